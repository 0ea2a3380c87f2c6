"""A closed bag on its way as a course: its water and the oxygen over it, with the fish in it."""

import numpy as np

from waterplan import tables
from waterplan.published import FloatArray
from waterplan.stay.course import Course, Kept32
from waterplan.stay.fish import stress
from waterplan.stay.ground import WaterStay
from waterplan.stay.quantities import Q
from waterplan.stay.record import FishState
from waterplan.stay.state import as_tank_water
from waterplan.stay.waters import Stretch, hours_of
from waterplan.tank.bag import Bag, bag_after

# Hours from closing at which the bag is worked out; what it holds runs nearly straight between them.
_LOOKED_AT_H = (*np.arange(0.0, 3.0, 0.25), *np.arange(3.0, 12.0), *np.arange(12.0, 49.0, 4.0))
_ROOM_BESIDE_FISH = 1.001


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
    bag, state = bag_of(water, stretch), water.start
    steady = {
        quantity: np.repeat(state[quantity][None, :].astype(np.float32), hours.size, axis=0)
        for quantity in (Q.VOLUME, Q.TEMPERATURE, Q.SALT, Q.ALKALINITY, Q.NITRITE, Q.NITRATE, Q.CHLORINE, Q.NITROGEN)
        if state.has(quantity)
    }
    opened = [bag_after(bag, float(hour)) for hour in hours]

    def rows(name: str, as_filled: Q | None = None) -> Kept32:
        """A level hour by hour; what gas and water share out between them begins as it was filled."""
        levels = [getattr(one, name) for one in opened]
        first = levels[0] if as_filled is None else state[as_filled]
        return np.array([first, *levels[1:]], dtype=np.float32)

    return Course(
        start_h=stretch.start_h,
        until_h=stretch.until_h,
        hours=hours + stretch.start_h,
        values={
            **steady,
            Q.OXYGEN: rows("do_mg_per_l"),
            Q.CARBON_DIOXIDE: rows("co2_mg_per_l", Q.CARBON_DIOXIDE),
            Q.AMMONIA: rows("tan_mg_n_per_l"),
            Q.PH: rows("ph", Q.PH),
            Q.UNIONISED_AMMONIA: rows("nh3_mg_n_per_l", Q.UNIONISED_AMMONIA),
        },
    )


def bag_of(water: WaterStay, stretch: Stretch) -> Bag:
    """The bag when it is closed, for the sums of the way.

    Parameters
    ----------
    water : WaterStay
        The bag.
    stretch : Stretch
        The journey.

    Returns
    -------
    Bag
        Water beside the fish, the oxygen over it (as the case has it, or the usual share of the bag), and the fish.
    """
    ground, state = water.ground, water.start
    inputs, transport = ground.inputs, water.place.transport
    temp, litres = state[Q.TEMPERATURE], state[Q.VOLUME]
    share = inputs.value(tables.row("defaults", what="bag oxygen"))
    said = transport.oxygen if transport is not None else None
    gas: FloatArray = (
        litres * share / (1.0 - share) if said is None else inputs.of_reading(f"{water.place.id}/gas", said)
    )
    inside = ground.fish_in(stretch)
    weight = sum((one.together_kg for one in inside), start=np.zeros(inputs.size))
    return Bag(
        volume_l=np.maximum(litres - weight, weight * _ROOM_BESIDE_FISH + 1e-6),
        gas_l=gas,
        water=as_tank_water(state),
        fish=tuple(one.breathing(inputs, temp) for one in inside),
        stress_factor=np.maximum(stress(inputs, FishState.HANDLED) / stress(inputs, FishState.AT_REST), 1.0),
        air_pressure_kpa=ground.air_pressure_kpa,
    )
