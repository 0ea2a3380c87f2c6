"""What papers and charts draw: quantities against time, the rounds of the stay, the total ammonia that is at its limit."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from itertools import chain
from math import ceil

import numpy as np

from waterplan.actions.record import Action
from waterplan.hazards.levels import most, state_of
from waterplan.hazards.limit_rows import nh3_limit, water_limit
from waterplan.hazards.salts import nitrite_allowed
from waterplan.hazards.subject import Subject
from waterplan.plan.accepting import Outcome
from waterplan.plan.record import Day, Grid
from waterplan.stay.effects import SaltIn
from waterplan.stay.figures import rounded
from waterplan.stay.filling import drawn
from waterplan.stay.fish import FishAtHand
from waterplan.stay.ground import Ground, WaterStay
from waterplan.stay.quantities import UNITS, Q
from waterplan.stay.record import ActEnd, Origin, Series, Water, WaterKind
from waterplan.stay.waters import HOME, Stretch, hours_of
from waterplan.water.ammonia import tan_giving_nh3_mg_n_per_l

_OF_A_TANK = (Q.OXYGEN, Q.AMMONIA, Q.UNIONISED_AMMONIA, Q.NITRITE, Q.TEMPERATURE, Q.SALT, Q.PH, Q.CARBON_DIOXIDE)
_TUBS = (WaterKind.INDUCTION, WaterKind.IRRIGATION, WaterKind.REVIVAL)
_DRAWN = {WaterKind.HOSPITAL: _OF_A_TANK, **dict.fromkeys(_TUBS, (Q.OXYGEN,))}
_PHS = (6.5, 7.0, 7.5, 8.0, 8.5, 9.0)
_TEMPERATURES = (5.0, 10.0, 15.0, 20.0, 25.0, 30.0)
_DIGITS = 4


def series(waters: Iterable[WaterStay]) -> dict[str, Series]:
    """Quantities of each water with fish against time, as the accepted actions make them."""
    return {
        f"{water.place.id}/{quantity}/{stretch.name}": _series(water, stretch, quantity)
        for water in waters
        for stretch in water.place.stretches
        for quantity in _DRAWN.get(water.place.kind, ())
        if quantity in water.course(stretch).values
    }


def _series(water: WaterStay, stretch: Stretch, quantity: Q) -> Series:
    course = water.course(stretch)
    low, best, high = (_short(one) for one in course.band(quantity))
    return Series(
        water=water.place.id,
        quantity=quantity.value,
        unit=UNITS[quantity],
        start=water.ground.clock.at(stretch.start_h),
        hours=_short(course.hours_within - stretch.start_h),
        low=low,
        best=best,
        high=high,
    )


def _short(values: np.ndarray) -> tuple[float, ...]:
    return tuple(float(one) for one in np.round(np.asarray(values, dtype=np.float64), _DIGITS))


def days(actions: Sequence[Action], waters: Sequence[Water], ground: Ground) -> tuple[Day, ...]:
    """Each day of the stay in each hospital tank, from the one on which a fish goes in, or from now, to the one on which the
    last leaves.

    What is due on a day stands with it; that on which it went in is the day 0.
    """
    tanks = (one for one in waters if one.kind is WaterKind.HOSPITAL)
    return tuple(chain.from_iterable(_of_the_stay(one, actions, ground) for one in tanks))


def _of_the_stay(water: Water, actions: Sequence[Action], ground: Ground) -> Iterator[Day]:
    first, left = min((one.start for one in water.occupants if one.start), default=None), water.left
    if first is None or left is None:
        return
    went_in = (ground.clock.at(one.went_in_h) for one in ground.places[water.id].stretches)
    before = (first.date() - min(first, *(one for one in went_in if one)).date()).days
    round_at = (datetime.min + timedelta(hours=hours_of("change of water"))).time()
    for number in range((left.date() - first.date()).days + 1):
        day = first.date() + timedelta(days=number)
        at = datetime.combine(day, round_at, tzinfo=first.tzinfo)
        due = tuple(one.id for one in actions if one.water == water.id and _is_due(one, day))
        yield Day(water=water.id, at=min(max(at, first), left), day=before + number, actions=due)


def _is_due(action: Action, day: date) -> bool:
    """Whether any time of an action falls on a day: its first, or each time after it until it ends."""
    if not action.is_open or action.at is None:
        return False
    if action.every_h is None or day <= action.at.date():
        return day == action.at.date()
    begins = datetime.combine(day, time(), action.at.tzinfo)
    rounds = ceil((begins - action.at) / timedelta(hours=action.every_h) - 1e-9)
    next_at = action.at + rounds * timedelta(hours=action.every_h)
    return next_at.date() == day and (action.until is None or next_at <= action.until)


def grids(ground: Ground) -> dict[str, Grid]:
    """Total ammonia that is at its limit by pH and temperature, for the strictest of the fish in a water."""
    return {
        f"{place.id}/ammonia at its limit": _ammonia_grid(fish)
        for place in ground.places.values()
        if place.kind in (WaterKind.HOSPITAL, WaterKind.HOME) and (fish := ground.fish_in(*place.stretches))
    }


def put_kit_limits(outcome: Outcome) -> None:
    """Puts what a kit may show of each tank and pond: the total ammonia that is at its limit in the worst case of its own pH
    and temperature, and the nitrite that is at its limit without the salt that is ordered against it; of each tub the salt of
    a pond that is salted before its fish come into it.
    """
    for water in outcome.stay_after.waters.values():
        ground, stretches = water.ground, water.place.stretches
        if stretches and (salted := drawn(outcome.stay_after[HOME], stretches[0].start_h)) is not None:
            ground.figures.put(f"{water.place.id}/salt/pond", salted[Q.SALT], unit=UNITS[Q.SALT])
        if not stretches or water.place.kind not in (WaterKind.HOSPITAL, WaterKind.HOME):
            continue
        subject = Subject(stay=outcome.stay_after, water=water, stretch=stretches[-1])
        strictest = nh3_limit(one.species.law_group for one in ground.fish_in(*stretches))
        cap, ph, warmest = water_limit("tan", "cap"), most(subject, Q.PH), most(subject, Q.TEMPERATURE)
        if state_of(subject).known[Q.PH].origin is not Origin.ASSUMED:
            ph = np.maximum(ph, state_of(subject)[Q.PH])  # the pH of the course and that which was read: the worse
        levels = np.minimum(tan_giving_nh3_mg_n_per_l(strictest.value, ph=ph, water_temp_c=warmest), cap.value)
        ground.figures.put(
            f"{water.place.id}/ammonia/limit",
            levels,
            unit=UNITS[Q.AMMONIA],
            act_end=ActEnd.LOW,
            rows=(strictest.id, cap.id),
            equations=(tan_giving_nh3_mg_n_per_l,),
        )
        # More nitrite asks for more salt: what that adds makes no limit laxer.
        others = tuple(one for one in water.effects if not (isinstance(one, SaltIn) and one.action.endswith(Q.NITRITE)))
        if len(others) < len(water.effects):
            row = water_limit("nitrite", "watch")
            level = row.value
            if water.place.kind is WaterKind.HOME:  # a tank without it would have to be followed anew
                _, allowed, row = nitrite_allowed(replace(subject, water=replace(water, effects=others)))
                level = float(allowed[0])
            ground.figures.put(f"{water.place.id}/nitrite/limit", level, unit=UNITS[Q.NITRITE], rows=(row.id,))


def _ammonia_grid(fish: Sequence[FishAtHand]) -> Grid:
    strictest = nh3_limit(one.species.law_group for one in fish)
    cap, unit = water_limit("tan", "cap"), UNITS[Q.AMMONIA]
    ph, temp = np.array(_PHS), np.array(_TEMPERATURES)[:, None]
    levels = np.minimum(tan_giving_nh3_mg_n_per_l(strictest.value, ph=ph, water_temp_c=temp), cap.value)
    return Grid(
        columns=_PHS,
        column_unit="pH",
        rows=_TEMPERATURES,
        row_unit=UNITS[Q.TEMPERATURE],
        cells=tuple(tuple(rounded(one, unit=unit, end=ActEnd.LOW) for one in row) for row in levels.tolist()),
        unit=unit,
        table_rows=(strictest.id, cap.id),
    )
