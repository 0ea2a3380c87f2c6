"""What would be if something of a case were otherwise: the case with that changed, to be planned with few draws."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from waterplan.case.reading import read_case
from waterplan.plan.record import Plan
from waterplan.plan.set_up import number_of
from waterplan.plan.whole import plan

DRAWS = 64
# What may be otherwise: the section and the key that it changes, of the tank itself where the section is `vessels`.
CHANGES: Mapping[str, tuple[str, str]] = {
    "litres": ("vessels", "volume"),
    "air": ("vessels", "air"),
    "heater": ("vessels", "heater"),
    "filter": ("vessels", "filter"),
    "temperature": ("intended", "temperature"),
    "weight": ("patients", "weight"),
    "salt": ("intended", "salt"),
    "feed": ("intended", "feed"),
    "altitude": ("place", "altitude"),
}
_SIZES = ("shape", "length", "width", "diameter", "depth")
# What stops, and what ends it.
STOPS: Mapping[str, tuple[str, str]] = {
    "power": ("power fails", "power returns"),
    "pump": ("air stops", "air returns"),
    "heat": ("heater fails", "heater mended"),
    "change": ("changes stop", "changes go on"),
}
# What a tank answers with, in this order.
_TOLD = (
    "oxygen/lowest",
    "oxygen/until-alarm/power off",
    "oxygen/until-alarm",
    "un-ionised ammonia/highest",
    "nitrite/highest",
    "temperature/farthest",
    "change/litres",
    "air/needed",
    "warm/heater",
    "warm/heater-before",
    "salt/grams",
)


def otherwise(
    case: Mapping[str, Any],
    water: str,
    texts: Mapping[str, str],
    *,
    stops: str = "",
    after_h: float = 0.0,
    for_h: float = 0.0,
) -> dict[str, Any]:
    """The tables of a case with some things of one tank otherwise.

    Parameters
    ----------
    case : mapping
        The raw tables.
    water : str
        The tank that it is of, by its path.
    texts : mapping of str to str
        By the names of `CHANGES`, what is to be written there.
    stops : str
        By the names of `STOPS`, what stops; nothing where it is empty.
    after_h, for_h : float
        How long after the fish goes in, and for how long [h].

    Returns
    -------
    dict
        The tables; those given are left as they are.
    """
    made: dict[str, Any] = {name: _copied(part) for name, part in case.items()}
    number = number_of(made, water)
    for name, text in texts.items():
        section, key = CHANGES[name]
        if section == "vessels" and number is not None:
            tank = made["vessels"][number]
            if name == "litres":
                made["vessels"][number] = tank = {one: value for one, value in tank.items() if one not in _SIZES}
                made["volumes"] = [one for one in made.get("volumes", ()) if one.get("of") != tank.get("name")]
            tank[key] = text
        elif section == "patients":
            made.setdefault(section, [{}])[0][key] = text
        elif section != "vessels":
            made.setdefault(section, {})[key] = text
    if stops and number is not None and for_h > 0.0:
        made["events"] = [*made.get("events", ()), *_stopped(made, water, number, stops, after_h, for_h)]
    return made


def _stopped(
    made: Mapping[str, Any], water: str, number: int, stops: str, after_h: float, for_h: float
) -> list[dict[str, str]]:
    """What stops and what ends it, at hours after the fish goes in."""
    goes_in = next(
        each.start for one in few(made).waters if one.id == water for each in one.occupants if each.start is not None
    )
    times = (goes_in + timedelta(hours=after_h), goes_in + timedelta(hours=after_h + for_h))
    name = made["vessels"][number]["name"]
    return [
        {"at": at.isoformat(timespec="minutes"), "what": what, "water": name}
        for at, what in zip(times, STOPS[stops], strict=True)
    ]


def told(plan: Plan, water: str) -> dict[str, str]:
    """The figures of a tank by which two plans of it are compared: each as it is once all that is advised is done."""
    found = {name: (f"{water}/{name}/after", f"{water}/{name}") for name in _TOLD}
    return {
        name: next(path for path in paths if path in plan.figures)
        for name, paths in found.items()
        if any(path in plan.figures for path in paths)
    }


def farthest_at(plan: Plan, water: str, quantity: str) -> tuple[datetime | None, float] | None:
    """When oxygen is lowest in a water, or anything else highest: by the clock where there is one, and in hours from its start."""
    courses = [one for one in plan.series.values() if (one.water, one.quantity) == (water, quantity) and one.as_planned]
    falls = quantity == "oxygen"
    ends = [
        (low if falls else -high, hour, one.start)
        for one in courses
        for low, high, hour in zip(one.low, one.high, one.hours, strict=True)
    ]
    if not ends:
        return None
    _, hour, start = min(ends, key=lambda each: each[:2])
    return (start + timedelta(hours=hour) if start else None), hour


def few(case: Mapping[str, Any]) -> Plan:
    """The plan of a case with few draws."""
    return plan(read_case(case, file="case"), draws=DRAWS)


def _copied(part: Any) -> Any:
    return [dict(one) for one in part] if isinstance(part, list) else dict(part) if isinstance(part, Mapping) else part
