"""What the sheet at the hospital tank and the picture of its size are made of: plain numbers, from the plan's draws."""

from dataclasses import dataclass

import numpy as np

from waterplan import tables
from waterplan.dose import salt
from waterplan.errors import ImpossibleInput, Refused, Unanswerable
from waterplan.first_plan.call import oxygen_level
from waterplan.first_plan.daily_change import advised_change_l, nitrogen_limits, scheduled_change_l
from waterplan.first_plan.desk import Desk
from waterplan.first_plan.first_case.model import Vessel
from waterplan.first_plan.first_case.schema import Filter, Use
from waterplan.first_plan.safe_region import SafeRegion, safe_region
from waterplan.first_plan.salting import salt_wanted_g_per_l
from waterplan.first_plan.tank_course import stay_days
from waterplan.first_plan.tank_days import unattended_h
from waterplan.first_plan.tank_events import CHANGE_HOUR, salting
from waterplan.first_plan.tank_setup import clock_h, covered, heater_of, room_of, still_water, tank_of
from waterplan.fish.species import temperature_range_c
from waterplan.spread import Band, band
from waterplan.tank.answers import SEARCH_DRAWS, thinned
from waterplan.tank.equipment_events import HeaterSticksOn
from waterplan.tank.setup import Setup
from waterplan.tank.through_time import course

_G_PER_KG = 1000.0
# How far ahead a stuck heater is looked at, and how often.
LOOKED_AT_H, _EVERY_H = 48.0, 0.5
# Rounds before dawn and in the evening, twice a day at first, for a week on one sheet.
_EARLY, _LATE, _TWICE_DAYS, _DAYS_SHOWN = 6.0, 18.0, 3.0, 7.0


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmLevel:
    """A level at which somebody acts: of what, called what, and whether it is one to stay above.

    A unit that is a step means a change within a day.
    """

    state: str
    name: str
    value: float
    unit: str
    floor: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class StuckHeater:
    """A heater that sticks on: the ceiling of the water, and the hours to it; infinite where it is not reached."""

    heater_w: float
    from_temp_c: float
    ceiling_temp_c: float
    hours: Band


@dataclass(frozen=True, slots=True, kw_only=True)
class Round:
    """A round at the tank, early or late in the day: hours from the start, and what is due."""

    hours: float
    late: bool
    due: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class TankSheet:
    """What whoever looks after the hospital tank does each day, and when they act; None where it is not known."""

    tank: str
    holds_l: float | None
    intended_temp_c: float | None
    intended_salt_g_per_l: float | None
    change_l: float | None
    change_holds: bool
    change_hour: float
    salt_per_change_g: float
    meals: int
    meal_g: float | None
    unattended_h: float
    levels: tuple[AlarmLevel, ...]
    stuck: StuckHeater | None
    rounds: tuple[Round, ...]


def tank_sheet(desk: Desk) -> TankSheet | None:
    """The sheet of the first hospital tank; None where the case names none."""
    tanks = desk.case.vessels_for(Use.HOSPITAL)
    if not tanks:
        return None
    intended, change_l = desk.case.intended, scheduled_change_l(desk)
    try:
        per_change_g = salting(desk, change_l).per_change_g
    except (Unanswerable, ImpossibleInput, Refused):
        per_change_g = 0.0
    fed = intended.feed.measured.best if intended.feed is not None else 0.0
    meals = max(intended.meals or 1, 1) if fed > 0.0 else 0
    return TankSheet(
        tank=tanks[0].name,
        holds_l=float(desk.vessel_l(tanks[0])[0]) if desk.is_known(tanks[0]) else None,
        intended_temp_c=intended.temperature.measured.best if intended.temperature else None,
        intended_salt_g_per_l=salt_wanted_g_per_l(desk),
        change_l=change_l,
        change_holds=advised_change_l(desk) is not None,
        change_hour=CHANGE_HOUR,
        salt_per_change_g=per_change_g,
        meals=meals,
        meal_g=fed / 100.0 * float(desk.weight_kg()[0]) * _G_PER_KG / meals if meals else None,
        unattended_h=unattended_h(desk),
        levels=_levels(desk),
        stuck=_stuck(desk, tanks[0]),
        rounds=_rounds(desk, changes=change_l is not None),
    )


def region_of(desk: Desk) -> SafeRegion | None:
    """The litres that serve against the weight of the fish; None where the case does not give enough for it."""
    try:
        return safe_region(desk)
    except (Unanswerable, ImpossibleInput, Refused):
        return None  # the findings say why


def _temperatures_c(desk: Desk) -> tuple[float, float]:
    """Between what the hospital tank may stand: what the species tolerates, and a healthy fish's step from what is intended."""
    low, high = temperature_range_c(desk.species.name, "tolerated")
    intended = desk.case.intended.temperature
    if intended is None:
        return low, high
    colder, warmer = (
        tables.row("temperature_steps", situation="healthy", limit=f"{way} step").value for way in ("colder", "warmer")
    )
    return max(low, intended.measured.best - colder), min(high, intended.measured.best + warmer)


def _levels(desk: Desk) -> tuple[AlarmLevel, ...]:
    limits = nitrogen_limits(desk)
    low, high = _temperatures_c(desk)
    found = [
        AlarmLevel(state="oxygen", name=name, value=oxygen_level(desk, "settled", name), unit="mg/L", floor=True)
        for name in ("alarm", "emergency")
    ]
    harm = tables.row("water_limits", quantity="nh3", group="any", level="harm").value
    n, no2 = "mg/L as N", "mg/L as NO2"
    act = tables.row("water_limits", quantity="nitrite", group="any", level="act").value
    watch = tables.row("water_limits", quantity="nitrite", group="any", level="watch").value
    ph, worse = (tables.row("water_limits", quantity="ph", group="any", level=level) for level in ("watch", "act"))
    per_day = tables.row("temperature_steps", situation="convalescent", limit="per day").value
    found += [
        AlarmLevel(state="nh3", name="alarm", value=limits.nh3_mg_n_per_l or harm, unit=n, floor=False),
        AlarmLevel(state="nh3", name="emergency", value=harm, unit=n, floor=False),
        AlarmLevel(state="nitrite", name="alarm", value=watch, unit=no2, floor=False),
        AlarmLevel(state="nitrite", name="emergency", value=act, unit=no2, floor=False),
        AlarmLevel(state="temperature", name="alarm", value=per_day, unit="°C step", floor=False),
        AlarmLevel(state="temperature", name="emergency", value=low, unit="°C", floor=True),
        AlarmLevel(state="temperature", name="emergency", value=high, unit="°C", floor=False),
        AlarmLevel(state="ph", name="alarm", value=ph.low, unit="", floor=True),
        AlarmLevel(state="ph", name="alarm", value=ph.high, unit="", floor=False),
        AlarmLevel(state="ph", name="emergency", value=worse.low, unit="", floor=True),
        AlarmLevel(state="ph", name="emergency", value=worse.high, unit="", floor=False),
    ]
    ceiling = salt.salt_ceiling(desk.species.salt_group, salt.Exposure.PROLONGED).high
    found.append(AlarmLevel(state="salt", name="alarm", value=ceiling, unit="g/L", floor=False))
    return tuple(found)


def _rounds(desk: Desk, *, changes: bool) -> tuple[Round, ...]:
    """The rounds of the first week and what each is for, as the steps of the hospital say it."""
    start, last = clock_h(desk), 24.0 * min(stay_days(desk), _DAYS_SHOWN)
    working = desk.filter_state() is Filter.SEEDED
    found = []
    for day in range(int(_DAYS_SHOWN) + 1):
        for hour, late in ((_EARLY, False), (_LATE, True)):
            at = 24.0 * day + hour - start
            if not 0.0 <= at <= last:
                continue
            due = set()
            if at < 24.0 * _TWICE_DAYS or not late:
                due |= {"temperature", "oxygen"}
            if not late or not working:
                due |= {"ammonia", "nitrite", "pH"}
            if changes and not late:
                due |= {"salt", "water changed"}
                due |= {"salt weighed in"} if salt_wanted_g_per_l(desk) else set()
            found.append(Round(hours=at, late=late, due=frozenset(due)))
    return tuple(found)


def _stuck(desk: Desk, tank: Vessel) -> StuckHeater | None:
    """How soon a heater that never switches off has the water at its ceiling, the lid on unless it has none."""
    if tank.heater is None:
        return None
    step = tables.row("temperature_steps", situation="healthy", limit="warmer step").value
    low, high = temperature_range_c(desk.species.name, "tolerated")
    try:
        temp = desk.hospital_temperature_c()
        start = float(temp[0])
        open_tank = tank_of(desk, tank)
        setup = Setup(
            tank=open_tank if tank.lid == "no" else covered(open_tank),
            water=still_water(desk, tank.name, temp=np.full(desk.draws.count + 1, start)),
            room=room_of(desk),
            heater=heater_of(desk, tank),
            start_clock_h=clock_h(desk),
        )
        if not low < start < high:
            return None
        ceiling = min(high, start + step)
        events = [HeaterSticksOn(at_h=0.0)]
        done = course(thinned(setup, SEARCH_DRAWS), events, until_h=LOOKED_AT_H, every_h=_EVERY_H, step_h=_EVERY_H)
    except (Unanswerable, ImpossibleInput, Refused):
        return None  # the findings say why
    return StuckHeater(
        heater_w=tank.heater.measured.best,
        from_temp_c=start,
        ceiling_temp_c=ceiling,
        hours=band(done.hours_until("water_temp_c", ceiling, falling=False)),
    )
