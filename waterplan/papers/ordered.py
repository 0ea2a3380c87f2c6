"""What is ordered for a water: what it is kept at, in which steps it is warmed, and its limits as a kit shows them."""

from datetime import datetime

from waterplan.actions.record import Action, Kind
from waterplan.hazards.record import Hazard, Limit, Side
from waterplan.plan.record import Plan
from waterplan.stay.figures import rounded
from waterplan.stay.record import ActEnd
from waterplan.words.speaker import Speaker

HEAT = frozenset({Kind.WARM, Kind.COOL})


def kept_at(plan: Plan, water: str | None, hazard: Hazard) -> str:
    """The figure of what a water is kept at once its fish are in it, as ordered: its temperature, or its salt; or ""."""
    mine = [one for one in plan.actions if one.water == water and one.is_open and one.at is not None]
    held = {Hazard.TEMPERATURE: ("temperature", HEAT), Hazard.SALT: ("level", frozenset({Kind.SALT}))}
    name, kinds = held.get(hazard, ("", frozenset()))
    # What begins when it is due lasts; what has an hour to end by leads elsewhere, as the way home does.
    found = [
        one.amounts[name] for one in mine if one.kind in kinds and name in one.amounts and one.by in (None, one.at)
    ]
    salted = hazard is Hazard.SALT and any(f"{water}/change/salt" in one.amounts.values() for one in mine)
    return found[0] if found else f"{water}/salt/level" if salted else ""


def kit_limit(speaker: Speaker, limit: Limit | None) -> str:
    """A limit as a kit or a meter shows it, to its strict side, unless nothing would be left of it."""
    if limit is None or limit.value is None:
        return ""
    end = ActEnd.LOW if limit.side is Side.AT_MOST else ActEnd.HIGH
    value = rounded(limit.value, unit=limit.unit, end=end) or limit.value
    upper = None if limit.upper is None else rounded(limit.upper, unit=limit.unit, end=ActEnd.LOW)
    return speaker.limit(limit.model_copy(update={"value": value, "upper": upper}))


def heat_steps(one: Action) -> list[tuple[datetime, str]]:
    """The steps in which a water is warmed: when, and the figure of its temperature."""
    named = ((why.words[name], why.figures[name]) for why in one.cautions for name in why.words if name in why.figures)
    return [(datetime.fromisoformat(at), path) for at, path in named] if one.kind in HEAT and one.parts > 1 else []
