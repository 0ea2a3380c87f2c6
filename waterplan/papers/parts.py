"""What several papers take from the record: the last value of each quantity, clocks, the worst judgements, what a kit shows."""

from collections.abc import Callable, Container, Iterable
from typing import Any

from waterplan.actions.record import Action
from waterplan.hazards.limit_rows import strictest
from waterplan.hazards.record import Hazard, Judgement, Limit, Verdict
from waterplan.papers.drawings import air_off
from waterplan.plan.ordering import as_they_stand
from waterplan.plan.record import Plan
from waterplan.stay.record import Content, Quantity, Water, WaterKind
from waterplan.stay.waters import HOME
from waterplan.words import numbers
from waterplan.words.lines import judgement_words
from waterplan.words.speaker import Speaker

# What the template of a page is given, beside what all are given.
Values = dict[str, Any]
_NOT_TUBS = frozenset({WaterKind.HOME, WaterKind.SOURCE})
_KIT = frozenset({"oxygen", "ammonia", "nitrite", "chlorine", "ph", "temperature", "salt", "alkalinity"})
_SHOWN = 4


def tubs(plan: Plan) -> list[Water]:
    """The waters that have a card: each tub, bag and tank."""
    return [one for one in plan.waters if one.kind not in _NOT_TUBS]


def home(plan: Plan) -> str:
    """The path of the fish's own pond, or of the vat that it lives in; "" where the plan has none."""
    return next((one.id for one in plan.waters if one.id == HOME), "")


def named(water: Water) -> str:
    """What stands at the head of a sheet of a water."""
    return water.name or str(water.kind)


def to_do(plan: Plan, water: Water) -> list[Action]:
    """The actions on a water that are not done."""
    return [one for one in plan.actions if one.water == water.id and one.done is None]


def latest(water: Water) -> dict[str, Quantity]:
    """The last value of each quantity of a water."""
    return {name: one for state in water.states if not state.hypothetical for name, one in state.quantities.items()}


def contents(plan: Plan, water: Water) -> list[tuple[Content, bool]]:
    """What is in a water at the last, and what a refused dose would make of it, each substance and level once."""
    there = [state for state in water.states if not state.hypothetical][-1:]
    found: dict[tuple[str, float | None], tuple[Content, bool]] = {}
    for state in (*there, *(one for one in water.states if one.hypothetical)):
        for one in state.contents:
            level = plan.figures[one.level].act_on if one.level else None
            found.setdefault((one.substance, level), (one, state.hypothetical))
    return list(found.values())


def clocks(speaker: Speaker, water: str) -> list[tuple[str, str]]:
    """The clock of a water from when its air stops: which stage, and its figure."""
    return [(speaker.say(f"which.{stage}"), path) for stage, path in air_off(speaker.plan, water).items()]


def brief(speaker: Speaker, judgements: Iterable[Judgement], *, most: int = _SHOWN) -> list[str]:
    """The worst that is not within its limit, a line each; the rest is counted."""
    judged = sorted(judgements, key=lambda one: -one.verdict.rank)
    away = [one for one in judged if one.verdict is not Verdict.WITHIN_LIMIT]
    lines = []
    for one in away[:most]:
        words = judgement_words(speaker, one)
        lines.append(speaker.say("card.line", **words | {"why": "" if words["figure"] else words["why"]}))
    counts = {"more": len(away) - len(lines), "others": len(judged) - len(away)}
    keys = {"more": "card.more", "others": "card.others" if lines else "card.all"}
    rest = speaker.join((speaker.say(keys[name], n=n) for name, n in counts.items() if n > 0), " ")
    return [*lines, rest] if rest else lines


def in_a_kit(speaker: Speaker, water: str, hazards: Container[str] = _KIT) -> list[Judgement]:
    """The first judgement of each hazard that a kit or a meter of the bench shows, with the strictest limit; a clock is none.

    Of nitrite it is that of its chloride without the salt that is ordered, where that is stricter.
    """
    found: dict[Hazard, list[Judgement]] = {}
    for one in speaker.plan.judgements:
        if one.water == water and one.hazard in hazards and one.limit and one.limit.unit not in numbers.MINUTES:
            found.setdefault(one.hazard, []).append(one)
    return [_with_strictest(speaker.plan, several) for several in found.values()]


def _with_strictest(plan: Plan, several: list[Judgement]) -> Judgement:
    first, limit = several[0], strictest(one.limit for one in several)
    figure = plan.figures.get(f"{first.water}/nitrite/limit") if first.hazard is Hazard.NITRITE else None
    if limit and limit.value and figure and figure.best and figure.best < limit.value:
        limit = limit.model_copy(update={"value": figure.best, "row": figure.rows[0]})
    return first.model_copy(update={"limit": limit})


def until_salted(speaker: Speaker, judged: Judgement, limit: str, shown: Callable[[Limit], str]) -> str:
    """A limit of nitrite as it is `shown`, until the salt is in that is ordered in its water or its pond, and the one after."""
    plan, water = speaker.plan, judged.water
    salts = {water, *([HOME] if f"{water}/salt/pond" in plan.figures else [])}
    mine = (one for one in plan.judgements if (one.water, one.hazard) == (water, Hazard.NITRITE))
    salted = any(one.water in salts and one.is_open and one.substance == "salt" for one in plan.actions)
    then = strictest(one.limit for one in as_they_stand(mine)) if salted and judged.hazard is Hazard.NITRITE else None
    later = limit if then is None else shown(then)
    return limit if later == limit else speaker.say("paper.until salted", limit=limit, later=later)
