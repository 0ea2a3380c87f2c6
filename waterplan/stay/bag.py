"""A closed bag on its way as a course: its water and the oxygen over it, with the fish in it."""

import numpy as np

from waterplan import tables
from waterplan.stay.course import Course
from waterplan.stay.fish import more_than_at_rest
from waterplan.stay.ground import WaterStay
from waterplan.stay.quantities import Q
from waterplan.stay.record import FishState
from waterplan.stay.state import as_tank_water
from waterplan.stay.waters import Stretch, hours_of
from waterplan.tank.bag import Bag, bag_after

# Hours from closing at which the bag is worked out; what it holds runs nearly straight between them.
_LOOKED_AT_H = (*np.arange(0.0, 3.0, 0.25), *np.arange(3.0, 12.0), *np.arange(12.0, 49.0, 4.0))
_ROOM_BESIDE_FISH = 1.001
_STEADY = (Q.VOLUME, Q.TEMPERATURE, Q.SALT, Q.ALKALINITY, Q.NITRITE, Q.NITRATE, Q.CHLORINE, Q.NITROGEN)
# What gas and water share out between them begins as it was filled.
_SHARED_OUT = (Q.CARBON_DIOXIDE, Q.PH, Q.UNIONISED_AMMONIA)


def travel(water: WaterStay, stretch: Stretch) -> Course:
    """The closed bag from its closing, through the journey and on to the end of its clocks.

    Parameters
    ----------
    water : WaterStay
        The bag: its water as it was filled.
    stretch : Stretch
        The journey, and who is in the bag.

    Returns
    -------
    Course
        What is kept of it, as of any other water.

    Notes
    -----
    The fish are handled all the way: the error is to the safe side. The temperature stays; see `tank.bag.bag_after`.
    """
    length, last = stretch.until_h - stretch.start_h, hours_of("bag clocks")
    hours = np.unique([*(one for one in _LOOKED_AT_H if one <= last), length, max(length, last)])
    bag, state = _closed(water, stretch), water.start
    opened = [bag_after(bag, float(hour)) for hour in hours]
    levels = {one: [state[one]] * hours.size for one in _STEADY if state.has(one)}
    for quantity in (Q.OXYGEN, Q.CARBON_DIOXIDE, Q.AMMONIA, Q.PH, Q.UNIONISED_AMMONIA):
        levels[quantity] = [getattr(one, quantity.state) for one in opened]
    for quantity in _SHARED_OUT:
        levels[quantity][0] = state[quantity]
    return Course(
        start_h=stretch.start_h,
        until_h=stretch.until_h,
        hours=hours + stretch.start_h,
        values={quantity: np.array(rows, dtype=np.float32) for quantity, rows in levels.items()},
    )


def _closed(water: WaterStay, stretch: Stretch) -> Bag:
    """The bag when it is closed: its water, the oxygen over it (told, or the usual share of the bag), and the fish."""
    ground, state, transport = water.ground, water.start, water.place.transport
    inputs, litres = ground.inputs, state[Q.VOLUME]
    share = inputs.value(tables.row("defaults", what="bag oxygen"))
    if transport is None or transport.oxygen is None:
        gas_l = litres * share / (1.0 - share)
    else:
        gas_l = inputs.of_reading(f"{water.place.id}/gas", transport.oxygen)
    weight = ground.together_kg(stretch)
    return Bag(
        volume_l=np.maximum(litres - weight, weight * _ROOM_BESIDE_FISH + 1e-6),
        gas_l=gas_l,
        water=as_tank_water(state),
        fish=tuple(one.breathing(inputs, state[Q.TEMPERATURE]) for one in ground.fish_in(stretch)),
        stress_factor=more_than_at_rest(inputs, FishState.HANDLED),
        air_pressure_kpa=ground.air_pressure_kpa,
    )
