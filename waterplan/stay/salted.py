"""Salt that went into a water before the plan, or may have: as salt, and as the chloride that guards against nitrite.

Chloride begins at none. It is what a kit has read; else no more than the sodium chloride that somebody weighed in, and no
more than the salt that is there. Salt that an earlier plan had put into a tank, of which nobody tells, is in half of the draws.
"""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime

import numpy as np

from waterplan import tables
from waterplan.case.tank_choices import Happens
from waterplan.dose.salt import Exposure, salt_ceiling, salt_steps
from waterplan.published import FloatArray
from waterplan.stay.ground import Ground
from waterplan.stay.quantities import Q
from waterplan.stay.record import Origin, WaterKind
from waterplan.stay.state import Known, State, chloride_mg_per_l, of_salt_mg_per_l
from waterplan.stay.waters import HOME, Place, is_in

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


def salt_ceiling_of(ground: Ground, place: Place) -> tables.Row:
    """The strictest ceiling for days of all fish that are ever in a water."""
    groups = {one.species.salt_group for one in ground.fish_in(*place.stretches)} or {"other"}
    return min((salt_ceiling(one, Exposure.PROLONGED) for one in sorted(groups)), key=lambda row: (row.high, row.value))


def zeolite_in(ground: Ground, place: Place) -> list[bool]:
    """Of each zeolite that the case speaks of, whether it is in this water."""
    case = ground.case
    in_pond = [place.id == HOME] if case.home_pond is not None and case.home_pond.zeolite else []
    return [*in_pond, *(is_in(place, one) for one in case.already if one.what == "zeolite")]


def unseen_level_g_per_l(ground: Ground, place: Place) -> float | None:
    """The salt that an earlier plan may have brought a tank to: a part was due, and nobody said so or read it since.

    None where none was due, where it was read since, or where what went in is told in grams: then that is counted.
    """
    intended, stretches = ground.case.intended.salt, place.stretches
    if intended is None or place.kind is not WaterKind.HOSPITAL or not stretches or ground.is_over(*stretches):
        return None
    level, begun = float(intended.measured.best), ground.clock.at(stretches[0].went_in_h)
    if level > salt_ceiling_of(ground, place).high or any(zeolite_in(ground, place)) or begun is None:
        return None  # it was refused then as it is now
    if any(at >= begun for at, _ in weighed_in(ground, place.id)):
        return None
    due_h = (stretches[0].went_in_h + step.at_h for step in salt_steps(0.0, intended_g_per_l=level))
    past = [ground.clock.at(hour) for hour in due_h if hour < ground.clock.now_h]
    unread = [at for at in past if at is not None and not ground.read_since(place.id, at, *SALT_METERS)]
    return level if unread else None


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
    return _with_unseen(ground, place, state.with_known(own) if own else state)


def _with_unseen(ground: Ground, place: Place, state: State) -> State:
    """In half of the draws the salt of an earlier plan is in; the chloride of it is not counted on."""
    level, salt = unseen_level_g_per_l(ground, place), state.known[Q.SALT]
    if level is None:
        return state
    path = f"{place.id}/{Q.SALT}"
    either = np.where(ground.inputs.half(f"{path}/unseen"), salt.draws, np.maximum(salt.draws, level))
    known = replace(salt, draws=either, origin=Origin.ASSUMED, why="may be in already", assumed=salt.assumed | {path})
    return state.with_known({Q.SALT: known})
