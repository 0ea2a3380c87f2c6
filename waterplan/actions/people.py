"""Safety of people, for what the case itself shows: substances, oxygen, electricity, needles."""

from collections.abc import Iterator

from waterplan import tables
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Action, Kind, Who
from waterplan.case.model import Case
from waterplan.case.tank_choices import Happens
from waterplan.hazards.record import Why
from waterplan.stay.record import Moment


def people(context: Context) -> Iterator[Proposal]:
    """One action with a caution for each thing in the case that can hurt a person."""
    shown = set(_shown(context.ground.case))
    codes = [row["code"] for row in tables.rows("people_safety") if row["shown by"] in shown]
    if codes:
        clock = context.ground.clock
        yield Proposal(
            action=Action(
                id=f"{Moment.PREPARE}/{Kind.PEOPLE}",
                kind=Kind.PEOPLE,
                moment=Moment.PREPARE,
                water=None,
                who=Who.VET,
                by=clock.at(max(clock.now_h, 0.0) if clock.now_h > 0.0 else 0.0),
                cautions=tuple(Why(code=code) for code in dict.fromkeys(codes)),
            )
        )


def _shown(case: Case) -> Iterator[str]:
    for dose in case.doses:
        yield dose.substance
    for there in case.already:
        yield there.what
    if case.injections:
        yield "injection"
    if case.oxygen_cylinder is not None:
        yield "oxygen cylinder"
    if any(event.what is Happens.POWER_FAILS for event in case.events):
        yield "power fails"
    if any(vessel.heater is not None for vessel in case.vessels):
        yield "heater"
