"""What may be doing the harm is turned off first: a hose, a dosing pump, a tap left running."""

from collections.abc import Iterator

from waterplan.actions.needs import needs
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Kind
from waterplan.hazards.record import Hazard, Verdict, Why
from waterplan.stay.record import WaterKind

_BY_HOSE = (Hazard.CHLORINE, Hazard.OXYGEN, Hazard.GAS_PRESSURE, Hazard.SUBSTANCE)


def source_off(context: Context) -> Iterator[Proposal]:
    """The hose off at a pond where something must be done that tap water may have brought."""
    for need in needs(context, *_BY_HOSE, least=Verdict.ACT_NOW):
        if need.kind is WaterKind.HOME and need.stretch is not None:
            cautions = (Why(code="any-hose-off"), Why(code="dosing-pumps-off"))
            yield need.proposal(Kind.SOURCE_OFF, cautions=cautions)
