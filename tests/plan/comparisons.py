"""Two plans of one case, before and after a change of it: what must not have moved, or only one way."""

import math
from collections.abc import Collection, Iterator
from typing import Any

from tests.plan.invariants import Complaints, accepted, minutes
from waterplan import tables
from waterplan.actions.record import Action
from waterplan.hazards.record import Hazard, Judgement, Side, Verdict
from waterplan.plan.record import Plan
from waterplan.stay.record import Origin

# The draws are the same on both sides, so that only the rounding of what is printed lies between.
CLOSE = 1e-3
GASES = frozenset({Hazard.OXYGEN, Hazard.STOCKING})
WASTE = frozenset({Hazard.OXYGEN, Hazard.STOCKING, Hazard.AMMONIA, Hazard.NITRITE})

_UP_AND_DOWN = {"colder step", "warmer step"}


def both(before: Plan, after: Plan) -> Iterator[tuple[Judgement, Judgement]]:
    """The judgements that stand in both plans, by their path."""
    found = {one.id: one for one in after.judgements}
    for one in before.judgements:
        if one.id in found:
            yield one, found[one.id]


def softened(
    before: Plan, after: Plan, *, hazards: Collection[Hazard], waters: Collection[str] | None = None
) -> Complaints:
    """Verdicts of these hazards that are milder afterwards.

    One that was not known may be settled as bad, at no better chance: a contingency that fails for sure is a watch.
    """

    def settled(old: Judgement, new: Judgement) -> bool:
        open_before = old.verdict is Verdict.NOT_KNOWN and new.verdict is not Verdict.WITHIN_LIMIT
        return open_before and (new.chance or 0.0) <= (old.chance or 0.0)

    return [
        f"{old.id}: {old.verdict} became {new.verdict}"
        for old, new in both(before, after)
        if old.hazard in hazards and (waters is None or old.water in waters) and new.verdict.rank < old.verdict.rank
        if not settled(old, new)
    ]


def lengthened(
    before: Plan, after: Plan, *, hazards: Collection[Hazard], waters: Collection[str] | None = None
) -> Complaints:
    """Clocks of these hazards that run longer afterwards."""
    complaints = []
    for old, new in both(before, after):
        if old.hazard not in hazards or (waters is not None and old.water not in waters) or old.until_harm is None:
            continue
        was, now = minutes(before, old.until_harm), minutes(after, new.until_harm)
        if now > was * (1.0 + CLOSE) and new.until_harm is not None:
            complaints.append(f"{old.id}: {was:g} min became {now:g} min")
    return complaints


def ceilings_raised(before: Plan, after: Plan) -> Complaints:
    """Limits that are easier afterwards."""
    complaints = []
    for old, new in both(before, after):
        if old.limit is None or new.limit is None or not old.fish:
            continue  # a water without a fish is judged for the most sensitive that may come
        was, now = old.limit, new.limit
        if {was.row.rpartition("/")[2], now.row.rpartition("/")[2]} == _UP_AND_DOWN:
            continue  # the other end of the same band decides: each way has its own limit
        most = [(limit.value if limit.side is Side.AT_MOST else limit.upper) for limit in (was, now)]
        least = [(limit.value if limit.side is not Side.AT_MOST else None) for limit in (was, now)]
        if None not in most and most[1] > most[0] * (1.0 + 1e-9):  # type: ignore[operator]
            complaints.append(f"{old.id}: at most {most[0]} became at most {most[1]}")
        if None not in least and least[1] < least[0] * (1.0 - 1e-9):  # type: ignore[operator]
            complaints.append(f"{old.id}: at least {least[0]} became at least {least[1]}")
    return complaints


def green_without(before: Plan, after: Plan, *, water: str, quantity: str) -> Complaints:
    """Judgements that the reading decided, and that are within their limit without it."""
    complaints = []
    for old, new in both(before, after):
        decided = any(
            (given.water, given.quantity, given.origin, given.decides) == (water, quantity, Origin.MEASURED, True)
            for given in old.inputs
        )
        # What filled a tub still tells what is in it; what is assumed in the place of a reading does not.
        instead = {given.origin for given in new.inputs if (given.water, given.quantity) == (water, quantity)}
        known = instead == {Origin.WORKED_OUT}
        if decided and new.verdict is Verdict.WITHIN_LIMIT and not new.whatever and not known:
            complaints.append(f"{new.id}: within limit without {water}/{quantity}, which decided it")
    return complaints


def more_oxygen(before: Plan, after: Plan) -> Complaints:
    """Waters that hold more oxygen afterwards, by figure, verdict or clock."""
    spent = tables.row("defaults", what="oxygen spent").value  # less is told by no course: it ends there
    complaints = softened(before, after, hazards={Hazard.OXYGEN}) + lengthened(before, after, hazards={Hazard.OXYGEN})
    for old, new in both(before, after):
        if old.hazard is not Hazard.OXYGEN or old.figure is None or new.figure is None:
            continue
        was, now = before.figures[old.figure], after.figures[new.figure]
        if None in {was.best, now.best} or was.unit != now.unit:
            continue
        if now.best > max(was.best * (1.0 + CLOSE), spent):  # type: ignore[operator]
            complaints.append(f"{new.figure}: {was.best:g} became {now.best:g} {now.unit}")
    return complaints


def figures_moved(before: Plan, after: Plan, *, share: float = 1e-6, bands: bool = True) -> Complaints:
    """Figures that are not the same on both sides, verdicts that are not, and paths that stand on one side only."""
    complaints = [f"figure {name} on one side only" for name in sorted(before.figures.keys() ^ after.figures.keys())]
    for name in before.figures.keys() & after.figures.keys():
        old, new = before.figures[name], after.figures[name]
        ends = [(old.best, new.best), *([(old.low, new.low), (old.high, new.high)] if bands else [])]
        if not all(same(one, other, share) for one, other in ends) or old.unit != new.unit:
            complaints.append(f"{name}: {old.low}, {old.best}, {old.high} became {new.low}, {new.best}, {new.high}")
    for part in ("judgements", "actions", "waters"):
        ids = [{one.id for one in getattr(plan, part)} for plan in (before, after)]
        complaints += [f"{path} on one side only" for path in sorted(ids[0] ^ ids[1])]
    complaints += [
        f"{old.id}: {old.verdict} became {new.verdict}"
        for old, new in both(before, after)
        if old.verdict != new.verdict
    ]
    return complaints


def same(one: float | None, other: float | None, share: float) -> bool:
    """Whether two ends agree; an infinite one is None."""
    if one is None or other is None:
        return one is other
    return math.isclose(one, other, rel_tol=share, abs_tol=1e-9)


def without_names(plan: Plan) -> Any:
    """The plan as JSON, without what a person called things."""

    def bare(found: Any) -> Any:
        if isinstance(found, dict):
            return {
                key: bare(part)
                for key, part in found.items()
                if key not in {"name", "text", "words", "title", "written"}
            }
        return [bare(part) for part in found] if isinstance(found, list) else found

    return bare(plan.model_dump(mode="json", by_alias=True))


def differences(one: Any, other: Any, path: str = "") -> Complaints:
    """Where two JSON values differ, at most twenty places."""
    if isinstance(one, dict) and isinstance(other, dict):
        found = [f"{path}/{key}: on one side only" for key in sorted(one.keys() ^ other.keys())]
        for key in one.keys() & other.keys():
            found += differences(one[key], other[key], f"{path}/{key}")
        return found[:20]
    if isinstance(one, list) and isinstance(other, list):
        found = [] if len(one) == len(other) else [f"{path}: {len(one)} became {len(other)}"]
        for number, (first, second) in enumerate(zip(one, other, strict=False)):
            found += differences(first, second, f"{path}/{number}")
        return found[:20]
    return [] if one == other else [f"{path}: {one!r} became {other!r}"]


def orders(plan: Plan, *, water: str, substance: str) -> list[Action]:
    """The accepted actions that put a substance into a water."""
    return [one for one in accepted(plan) if (one.water, one.substance) == (water, substance)]
