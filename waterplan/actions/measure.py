"""What is to be measured, of every water, in one action."""

from collections.abc import Iterator

from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Action, Kind, Who
from waterplan.actions.tracer_salt import tracer_salt
from waterplan.hazards.record import Verdict
from waterplan.hazards.subject import Judged
from waterplan.stay.record import Moment


def measure(context: Context) -> Iterator[Proposal]:
    """One list of what would decide the judgements that are not known, and the salt of a tracer test where one is wanted."""
    yield from tracer_salt(context)
    unknown = [one for one in context.judged.values() if one.record.verdict is Verdict.NOT_KNOWN]
    wanted = _wanted(unknown)
    if not wanted:
        return
    # What an action answers already it only measures: it is not what that waits for.
    answered = {path for one in context.accepted if not one.action.refused_because for path in one.action.answers}
    order = list(Moment)
    first = min((one.record.moment for one in unknown), key=order.index)
    clock = context.ground.clock
    starts = [one.record.start for one in unknown if one.record.start is not None]
    now = clock.at(clock.now_h)
    by = min(starts, default=None)
    yield Proposal(
        action=Action(
            id=f"{first}/{Kind.MEASURE}",
            kind=Kind.MEASURE,
            moment=first,
            water=None,
            who=Who.OWNER if first in (Moment.CALL, Moment.HOME) else Who.NURSE,
            by=by if by is None or now is None else max(by, now),
            answers=tuple(one.id for one in unknown if one.id not in answered),
            words={water: ", ".join(quantities) for water, quantities in wanted.items()},
        )
    )


def _wanted(unknown: list[Judged]) -> dict[str, list[str]]:
    found: dict[str, dict[str, None]] = {}
    for one in unknown:
        for reading in one.record.measure:
            found.setdefault(reading.water, {})[reading.quantity] = None
    return {water: list(quantities) for water, quantities in found.items()}
