"""Salt that is known to have been weighed into a water before the plan: as salt, and as the chloride that guards against nitrite.

Chloride begins at none. It is what a kit has read; else no more than the sodium chloride that somebody weighed in, and no
more than the salt that is there.
"""

from collections.abc import Iterator
from datetime import datetime

import numpy as np

from waterplan.case.tank_choices import Happens
from waterplan.published import FloatArray
from waterplan.stay.ground import Ground
from waterplan.stay.quantities import Q
from waterplan.stay.state import Known, State, chloride_mg_per_l, of_salt_mg_per_l
from waterplan.stay.waters import Place

_G_PER_KG = 1000.0
SALT_METERS = ("salinity", "conductivity")


def weighed_in(ground: Ground, water: str) -> Iterator[tuple[datetime, float]]:
    """Grams that went into a water and when: by what was done, and by the case's events in the past."""
    for one in ground.done("salt", water, "salt"):
        if one.amount is not None and one.amount.unit == "g":
            yield one.at, float(one.amount.value)
    for event in ground.case.events:
        hours = ground.clock.hours(event.at)
        past = hours is not None and hours <= ground.clock.now_h
        mine = event.what is Happens.SALT and (event.water or ground.unnamed) == water
        if mine and past and event.weight is not None:
            yield event.at, event.weight.measured.best * _G_PER_KG


def with_salt(ground: Ground, place: Place, state: State, *, counted: FloatArray) -> State:
    """A water as it was read, with what was weighed into it: `counted` g/L of salt known to be there are in its salt already."""
    weighed, litres, came_from = list(weighed_in(ground, place.id)), state[Q.VOLUME], "case/salt"
    unseen = sum(grams for at, grams in weighed if not ground.read_since(place.id, at, *SALT_METERS))
    own: dict[Q, Known] = {}
    if unseen:
        own[Q.SALT] = state.known[Q.SALT].worked_out(np.maximum(state[Q.SALT], 0.0) + unseen / litres, came_from)
    read = ground.readings[place.id].get("chloride", ())
    if read:  # a kit saw what had gone in by then; one of which nobody said when has seen it all
        later = sum(grams for at, grams in weighed if all(one.taken is not None and one.taken < at for one in read))
        chloride = chloride_mg_per_l(state) + of_salt_mg_per_l(later / litres)
    else:
        put_in = counted + sum(grams for _, grams in weighed) / litres
        chloride = chloride_mg_per_l(state) + of_salt_mg_per_l(put_in)
        chloride = np.minimum(chloride, of_salt_mg_per_l({**state.known, **own}[Q.SALT].draws))
    if not np.array_equal(chloride, chloride_mg_per_l(state)):
        before = [state.known[Q.CHLORIDE]] if state.has(Q.CHLORIDE) else []
        own[Q.CHLORIDE] = Known.made(chloride, came_from, *before)
    return state.with_known(own) if own else state
