"""What papers and charts draw: quantities against time, the rounds of the stay, the total ammonia that is at its limit."""

from collections.abc import Iterator, Sequence
from datetime import timedelta

import numpy as np

from waterplan.actions.record import Action
from waterplan.hazards.limits import nh3_limit, water_limit
from waterplan.plan.accepting import Outcome
from waterplan.plan.record import Day, Grid
from waterplan.stay.figures import rounded
from waterplan.stay.ground import Ground, WaterStay
from waterplan.stay.quantities import UNITS, Q
from waterplan.stay.record import ActEnd, Series, Water, WaterKind
from waterplan.stay.waters import Stretch, hours_of
from waterplan.water.ammonia import tan_giving_nh3_mg_n_per_l

_OF_A_TANK = (Q.OXYGEN, Q.AMMONIA, Q.UNIONISED_AMMONIA, Q.NITRITE, Q.TEMPERATURE, Q.SALT, Q.PH, Q.CARBON_DIOXIDE)
_TUBS = (WaterKind.INDUCTION, WaterKind.IRRIGATION, WaterKind.REVIVAL)
_DRAWN = {WaterKind.HOSPITAL: _OF_A_TANK, **dict.fromkeys(_TUBS, (Q.OXYGEN,))}
_PHS = (6.5, 7.0, 7.5, 8.0, 8.5, 9.0)
_TEMPERATURES = (5.0, 10.0, 15.0, 20.0, 25.0, 30.0)
_DIGITS = 4


def series(outcome: Outcome) -> dict[str, Series]:
    """Quantities of each water with fish against time, as the accepted actions make them."""
    found = {}
    for water in outcome.stay_after.waters.values():
        for stretch in water.place.stretches:
            for quantity in _DRAWN.get(water.place.kind, ()):
                made = _series(water, stretch, quantity)
                if made is not None:
                    found[f"{water.place.id}/{quantity}/{stretch.name}"] = made
    return found


def _series(water: WaterStay, stretch: Stretch, quantity: Q) -> Series | None:
    course = water.course(stretch)
    if quantity not in course.values:
        return None
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


def days(ground: Ground, actions: Sequence[Action], waters: Sequence[Water]) -> tuple[Day, ...]:
    """The rounds of the hospital stay, a day each until the last fish leaves, with what is due on it."""
    stays = [one for water in waters if water.kind is WaterKind.HOSPITAL for one in water.occupants]
    leaves = max((one.until for one in stays if one.until is not None), default=None)
    found = []
    for place in ground.places.values():
        if place.kind is not WaterKind.HOSPITAL:
            continue
        for stretch in place.stretches:
            found += list(_rounds(ground, place.id, stretch, actions))
    return tuple(one for one in found if leaves is None or one.at <= leaves)


def _rounds(ground: Ground, water: str, stretch: Stretch, actions: Sequence[Action]) -> Iterator[Day]:
    hour = ground.clock.next_hour_of_day(hours_of("change of water"), after_h=stretch.start_h)
    number = 1
    while hour <= stretch.until_h:
        at = ground.clock.at(hour)
        if at is None:
            return
        due = tuple(one.id for one in actions if one.water == water and _is_due(one, at.date().toordinal()))
        yield Day(at=at, day=number, actions=due)
        hour, number = hour + 24.0, number + 1


def _is_due(action: Action, day: int) -> bool:
    if action.refused_because or action.done is not None or action.at is None:
        return False
    first = action.at.date().toordinal()
    if action.every_h is None:
        return first == day
    last = (action.until or action.at + timedelta(days=365)).date().toordinal()
    return first <= day <= last


def ammonia_grid(ground: Ground, water: str) -> Grid | None:
    """Total ammonia that is at its limit by pH and temperature, for the strictest of the fish in a water."""
    fish = ground.fish_in(*ground.places[water].stretches)
    if not fish:
        return None
    strictest = nh3_limit(one.species.law_group for one in fish)
    cap = water_limit("tan", "cap")
    levels = np.minimum(
        np.asarray(
            tan_giving_nh3_mg_n_per_l(
                strictest.value,
                ph=np.asarray(_PHS)[None, :],
                water_temp_c=np.asarray(_TEMPERATURES)[:, None],
            )
        ),
        cap.value,
    )
    return Grid(
        columns=_PHS,
        column_unit="pH",
        rows=_TEMPERATURES,
        row_unit="°C",
        cells=tuple(tuple(rounded(float(one), unit="mg/L as N", end=ActEnd.LOW) for one in row) for row in levels),
        unit="mg/L as N",
        table_rows=(strictest.id, cap.id),
    )
