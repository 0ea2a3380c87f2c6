"""What would be if something of a case were otherwise, planned with few draws; or if something stopped in a tank of it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

import numpy as np

from waterplan.case.fishes import CaseEvent
from waterplan.case.model import Case
from waterplan.case.reading import read_case
from waterplan.case.tank_choices import Happens
from waterplan.hazards.judging import judged_of
from waterplan.hazards.record import Hazard
from waterplan.hazards.subject import Subject
from waterplan.plan import pictures
from waterplan.plan.accepting import AFTER
from waterplan.plan.record import Plan
from waterplan.plan.set_up import number_of
from waterplan.plan.whole import plan
from waterplan.stay.course import Course, Rejoins, Scenario
from waterplan.stay.figures import Figures
from waterplan.stay.ground import WaterStay
from waterplan.stay.record import Series
from waterplan.stay.standing import stand
from waterplan.stay.waters import Stretch
from waterplan.stay.whole import Stay, stay

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
# The hazards whose figures what stops, or another order, can move.
_MOVED = (
    *((one, Scenario.AS_PLANNED) for one in (Hazard.OXYGEN, Hazard.AMMONIA, Hazard.NITRITE, Hazard.TEMPERATURE)),
    (Hazard.OXYGEN, Scenario.POWER_OFF),
)
# Half of the last digit where three are printed, by the figure.
_ROUNDED = 0.005
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """A plan with few draws, and the stay that it was written from, whose tanks can stand once more."""

    plan: Plan
    stay: Stay


def otherwise(case: Mapping[str, Any], water: str, texts: Mapping[str, str]) -> dict[str, Any]:
    """The tables of a case with some things of one tank otherwise.

    Parameters
    ----------
    case : mapping
        The raw tables.
    water : str
        The tank that it is of, by its path.
    texts : mapping of str to str
        By the names of `CHANGES`, what is to be written there.

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
    return made


def planned(case: Mapping[str, Any], since: Callable[[Case], Mapping[str, Any]] = lambda _: {}) -> Planned:
    """A case planned with few draws, and its stay; `since` gives the readings taken since, and the time of the plan."""
    read, stays = read_case(case, file="case"), list[Stay]()
    made = plan(read, draws=DRAWS, look=stays.append, **since(read))
    return Planned(plan=made, stay=stays[0])


def as_ordered(one: Planned, water: str, orders: Planned) -> Planned:
    """A plan in whose stay all is done that another plan orders, with the tank's figures and courses as they then are."""
    again = replace(one.stay.ground, figures=Figures(), made={}, searched={}, judged={})
    return _moved(one, stay(again, orders.stay.effects), water)


def stopped(one: Planned, water: str, stops: str, *, after_h: float, for_h: float) -> Plan:
    """A plan in one of whose tanks something stops: all is done as advised, and only that tank stands once more.

    Parameters
    ----------
    one : Planned
        The plan.
    water : str
        The tank, by its path.
    stops : str
        By the names of `STOPS`, what stops.
    after_h, for_h : float
        How long after the fish goes in, and for how long [h].

    Returns
    -------
    Plan
        The plan with the tank's figures of `told` and its courses as they would be.
    """
    tank = one.stay[water]
    goes_in_h = min((stretch.went_in_h for stretch in tank.place.stretches), default=0.0)
    supposed = tuple(
        (goes_in_h + at_h, CaseEvent.model_construct(what=Happens(what), water=water))
        for at_h, what in zip((after_h, after_h + for_h), STOPS[stops], strict=True)
    )

    def until_as_planned(water: WaterStay, stretch: Stretch, scenario: Scenario) -> Course:
        as_planned = tank.course(stretch, scenario)
        if scenario is not Scenario.AS_PLANNED:
            return as_planned  # without power nothing else is supposed
        return stand(water, stretch, scenario, rejoins=Rejoins(as_planned, not_before_h=goes_in_h + after_h + for_h))

    again = replace(tank.ground, figures=Figures(), made={}, judged={}, supposed=supposed, stands=until_as_planned)
    stands = replace(tank, ground=again, _courses={})
    return _moved(one, replace(one.stay, ground=again, waters={**one.stay.waters, water: stands}), water).plan


def _moved(one: Planned, of: Stay, water: str) -> Planned:
    """A plan with the figures and courses that a tank has in another stay."""
    sums = {
        path: found
        for stretch in of[water].place.stretches
        for hazard, scenario in _MOVED
        for judged in judged_of(Subject(stay=of, water=of[water], stretch=stretch, scenario=scenario), hazard)
        for path, found in judged.sums.items()
    }
    made = Figures(sums=sums)
    moved = {path: path.removesuffix(AFTER) for path in told(one.plan, water).values()}
    figures = {path: made.record(own) for path, own in moved.items() if own in sums}
    update = {"figures": {**one.plan.figures, **figures}, "series": {**one.plan.series, **pictures.series([of[water]])}}
    return Planned(plan=one.plan.model_copy(update=update), stay=of)


def told(plan: Plan, water: str) -> dict[str, str]:
    """The figures of a tank by which two plans of it are compared: each as it is once all that is advised is done."""
    paths = {name: (f"{water}/{name}{AFTER}", f"{water}/{name}") for name in _TOLD}
    found = {name: [path for path in each if path in plan.figures] for name, each in paths.items()}
    return {name: each[0] for name, each in found.items() if each}


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


def alike(one: Series, other: Series) -> bool:
    """Whether two courses are one by what is printed of them."""
    return one.hours == other.hours and np.allclose((one.low, one.high), (other.low, other.high), rtol=_ROUNDED)


def _copied(part: Any) -> Any:
    return [dict(one) for one in part] if isinstance(part, list) else dict(part) if isinstance(part, Mapping) else part
