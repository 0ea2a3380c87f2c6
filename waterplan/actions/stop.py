"""What may be doing the harm is stopped first: a hose, a dosing pump, and food while oxygen is short or ammonia is high."""

from collections.abc import Iterator

from waterplan.actions.needs import needs
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Kind
from waterplan.hazards.record import Hazard, Verdict, Why
from waterplan.stay.effects import NotFed
from waterplan.stay.record import WaterKind

_BY_HOSE = (Hazard.CHLORINE, Hazard.OXYGEN, Hazard.GAS_PRESSURE, Hazard.SUBSTANCE)


def source_off(context: Context) -> Iterator[Proposal]:
    """The hose off at a pond where something must be done that tap water may have brought."""
    for need in needs(context, *_BY_HOSE, least=Verdict.ACT_NOW):
        if need.kind is WaterKind.HOME and need.stretch is not None:
            yield need.proposal(Kind.SOURCE_OFF, cautions=(Why(code="any-hose-off"), Why(code="dosing-pumps-off")))


def stop_feeding(context: Context) -> Iterator[Proposal]:
    """Feeding stopped in the pond and in the tank where something must be done, or where meals are what drives it."""
    feed = context.ground.case.intended.feed
    fed = feed is not None and feed.measured.best > 0.0
    for need in needs(context, Hazard.OXYGEN, Hazard.AMMONIA, Hazard.NITRITE, Hazard.TEMPERATURE):
        if need.urgent and (need.kind is WaterKind.HOME or (need.kind is WaterKind.HOSPITAL and fed)):
            stopped = NotFed(action=need.id(Kind.STOP_FEEDING), water=need.path, at_h=need.at_h)
            until = (Why(code="until-two-readings-are-good"),)
            yield need.proposal(Kind.STOP_FEEDING, done=None, cautions=until, effects=(stopped,))
