"""Go or no-go: what must be so before a fish is lifted for an operation that can wait, each with its state."""

from collections.abc import Collection, Iterator, Sequence
from functools import cache

from waterplan import tables
from waterplan.actions.record import Action
from waterplan.hazards.record import Judgement, Verdict
from waterplan.plan.begin import is_done_by
from waterplan.plan.ordering import as_they_stand, state_of
from waterplan.plan.record import Condition, Go, GoNoGo, Plan, Readiness
from waterplan.stay.ground import Ground
from waterplan.stay.record import Moment, WaterKind

_OPERATED_IN = frozenset({WaterKind.INDUCTION, WaterKind.IRRIGATION, WaterKind.REVIVAL})
_OPEN = (Readiness.NOT_READY, Readiness.NOT_KNOWN)


def go_or_no_go(ground: Ground, plan: Plan) -> GoNoGo | None:
    """Whether the operation goes on, by the conditions of the table `go_conditions`; None where none is to come.

    Parameters
    ----------
    ground : Ground
        The case laid out.
    plan : Plan
        All the rest of it.

    Returns
    -------
    GoNoGo or None
        An operation that can wait is postponed while one condition is not met or not known.
    """
    if not _is_to_come(ground):
        return None
    conditions = tuple(_conditions(ground, plan))
    states = {one.state for one in conditions}
    if not states.isdisjoint(_OPEN):
        go = Go.URGENT if ground.case.intended.urgent else Go.POSTPONE
    else:
        go = Go.GO_IF_DONE if Readiness.READY_IF_DONE in states else Go.GO
    return GoNoGo(go=go, conditions=conditions)


def _is_to_come(ground: Ground) -> bool:
    """Whether an operation is planned and has not begun: no time of the plan says so, nor a reading that was taken after it."""
    tubs = [one for one in ground.places.values() if one.kind in _OPERATED_IN and one.stretches]
    at = ground.case.intended.operation_at
    read_since = at is not None and ground.as_of is None and any(one.taken > at for one in ground.log)
    planned = at is not None or bool(tubs)
    return planned and bool(ground.case.patients) and ground.clock.now_h < 0.0 and not read_since


def _conditions(ground: Ground, plan: Plan) -> Iterator[Condition]:
    before = [one for one in plan.judgements if one.moment is not Moment.HOME]
    at = ground.clock.at(0.0)
    late = {one.id for one in plan.actions if one.is_open and at is not None and not is_done_by(plan, one, at)}
    for row in tables.table("go_conditions"):
        if not row["hazards"]:
            yield from (_wakes(row["condition"], one) for one in plan.actions if "abort" in one.words)
            continue
        hazards, waters = _named(row["hazards"]), _named(row["waters"])
        own = [one for one in before if one.hazard in hazards and ground.places[one.water].kind in waters]
        if own:
            yield _condition(row, own, late)


def _condition(row: tables.Row, own: Sequence[Judgement], late: Collection[str]) -> Condition:
    """How a condition stands: as its judgements do, open from the verdict of its row: what is not known counts only from there.

    What is answered by an action that is done too late is not met.
    """
    from_rank = Verdict(row["open_from"]).rank
    unsure = {
        one.before or one.id
        for one in as_they_stand(own)
        if one.verdict is Verdict.NOT_KNOWN and one.verdict.rank < from_rank
    }
    state, because = state_of([one for one in own if (one.before or one.id) not in unsure])
    still = [one.id for one in as_they_stand(own) if one.verdict.rank >= from_rank]
    if state not in _OPEN and still:
        state, because = Readiness.NOT_KNOWN, still
    waiting = [one.id for one in own if one.id in because and not set(one.answered_by).isdisjoint(late)]
    if state is Readiness.READY_IF_DONE and waiting:
        state, because = Readiness.NOT_READY, waiting
    return Condition(condition=row["condition"], state=state, because=tuple(because))


def _wakes(condition: str, abort: Action) -> Condition:
    state = Readiness.NOT_READY if abort.refused_because else Readiness.READY
    return Condition(condition=condition, state=state, because=(abort.id,))


@cache
def _named(names: str) -> frozenset[str]:
    return frozenset(one.strip() for one in names.split(";"))
