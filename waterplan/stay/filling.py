"""A water as it was found, what is done to it before its fish go in, and the water that a change pours in."""

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

import numpy as np

from waterplan import tables
from waterplan.stay import prepare
from waterplan.stay.contents import with_contents
from waterplan.stay.course import Scenario
from waterplan.stay.effects import (
    Aired,
    BroughtTo,
    Changed,
    Effect,
    Neutralised,
    Oxygenated,
    SaltIn,
    SubstanceIn,
)
from waterplan.stay.equipment import room_co2_ppm
from waterplan.stay.ground import Ground, WaterStay
from waterplan.stay.operations import air, air_to, bring_to_temperature, change, dose, neutralise
from waterplan.stay.quantities import Q
from waterplan.stay.record import Origin, VolumeFound, WaterKind
from waterplan.stay.state import Known, State
from waterplan.stay.volume.found import Found
from waterplan.stay.waters import Place
from waterplan.water.carbonate import bicarbonate_for_alkalinity_mg_per_l

_MG_PER_G = 1000.0


def as_found(ground: Ground, place: Place, source: WaterStay | None) -> State:
    """A water as it was read or filled, with all that was put into it before the plan."""
    found = ground.found.get(place.id) or unlimited(ground, place)
    return with_contents(ground, place, found, _as_read(ground, place, source, found))


def _as_read(ground: Ground, place: Place, source: WaterStay | None, found: Found) -> State:
    readings = ground.readings[place.id]
    if place.kind in (WaterKind.HOME, WaterKind.SOURCE):
        return prepare.base_state(
            place,
            readings,  # type: ignore[arg-type]
            disinfectant=ground.case.mains_water.disinfectant,
            litres=found.litres,
            inputs=ground.inputs,
            air_pressure_kpa=ground.air_pressure_kpa,
        )
    assert source is not None
    equipment = ground.equipment.get(place.id)
    aired = equipment is not None and equipment.air_l_per_min is not None
    return prepare.vessel_state(
        place,
        source.start,
        readings,  # type: ignore[arg-type]
        litres=found.litres,
        inputs=ground.inputs,
        aired=aired,
    )


def before_the_fish(ground: Ground, place: Place, state: State, effect: Effect) -> State:
    """The state after an effect that is done before the fish go in; one that does nothing to the water leaves it."""
    does = _DOES.get(type(effect))
    return state if does is None else does(ground, place, state, effect)


def _neutralised(ground: Ground, _: Place, state: State, effect: Any) -> State:
    left = prepare.chloramine_ammonia(ground.case, state)
    return neutralise(state, came_from=effect.action, ammonia_mg_n_per_l=left)


def _aired(ground: Ground, _: Place, state: State, effect: Any) -> State:
    share = ground.inputs.value(tables.row("hospital_demands", demand="start of saturation"))
    if effect.co2_mg_per_l is not None:
        return air_to(state, co2_mg_per_l=effect.co2_mg_per_l, share=share, came_from=effect.action)
    return air(state, share=share, co2_in_air_ppm=room_co2_ppm(ground.inputs), came_from=effect.action)


def _oxygenated(_: Ground, __: Place, state: State, effect: Any) -> State:
    level = np.maximum(state[Q.OXYGEN], effect.oxygen_mg_per_l)
    return state.with_known({Q.OXYGEN: Known(draws=level, origin=Origin.WORKED_OUT, came_from=effect.action)})


def _brought(_: Ground, __: Place, state: State, effect: Any) -> State:
    # No colder than ice.
    return bring_to_temperature(state, np.maximum(effect.temp_c, 0.0), came_from=effect.action)


def _salted(_: Ground, __: Place, state: State, effect: Any) -> State:
    grams = sum(part for at_h, part in effect.parts if at_h is None)
    return dose(state, came_from=effect.action, salt_g=grams)


def _dosed(_: Ground, __: Place, state: State, effect: Any) -> State:
    return dose(
        state,
        came_from=effect.action,
        substance=effect.substance,
        substance_g=effect.grams,
        acid_mmol=effect.acid_mmol,
        bicarbonate_g=effect.bicarbonate_g,
    )


def _changed(ground: Ground, place: Place, state: State, effect: Any) -> State:
    source = source_for(ground, place, state, effect)
    return change(state, source, effect.litres, came_from=effect.action, parts=effect.parts)


_DOES: Mapping[type[Effect], Callable[[Ground, Place, State, Any], State]] = MappingProxyType(
    {
        Neutralised: _neutralised,
        Aired: _aired,
        Oxygenated: _oxygenated,
        BroughtTo: _brought,
        SaltIn: _salted,
        SubstanceIn: _dosed,
        Changed: _changed,
    }
)


def source_for(ground: Ground, place: Place, state: State, effect: Changed) -> State:
    """The water that a change pours in: as its source is, or treated, aired and brought to the tank's temperature and salt."""
    raw = as_found(ground, ground.places[effect.source], None)
    if not effect.matched:
        return raw
    name = effect.action
    made = neutralise(raw, came_from=name, ammonia_mg_n_per_l=prepare.chloramine_ammonia(ground.case, raw))
    made = bring_to_temperature(made, state[Q.TEMPERATURE], came_from=name)
    if effect.buffered_mg_caco3_per_l is not None:
        missing = bicarbonate_for_alkalinity_mg_per_l(
            effect.buffered_mg_caco3_per_l, alkalinity_mg_caco3_per_l=np.maximum(made[Q.ALKALINITY], 0.0)
        )
        made = dose(made, came_from=name, bicarbonate_g=made[Q.VOLUME] * np.asarray(missing) / _MG_PER_G)
    share = ground.inputs.value(tables.row("hospital_demands", demand="start of saturation"))
    made = air(made, share=share, co2_in_air_ppm=room_co2_ppm(ground.inputs), came_from=name)
    if effect.salted_g_per_l is None:
        return made
    salt = Known(
        draws=np.broadcast_to(np.asarray(effect.salted_g_per_l, dtype=np.float64), (made.size,)),
        origin=Origin.WORKED_OUT,
        came_from=name,
    )
    return made.with_known({Q.SALT: salt})


def unlimited(ground: Ground, place: Place) -> Found:
    """A source has as much as is wanted: a litre stands for it."""
    litre = Known(draws=np.ones(ground.inputs.size), origin=Origin.WORKED_OUT)
    return Found(litres=litre, guessed=False, record=VolumeFound(water=place.id, figure="", ways=()))


def start_of(water: WaterStay, scenario: Scenario) -> State:
    """The state that a stretch begins with; without power, at the temperature that the water is kept at if that is warmer."""
    kept_c = water.ground.kept_temp_c(water.place.id)
    if scenario is Scenario.AS_PLANNED or kept_c is None:
        return water.start
    return bring_to_temperature(
        water.start, np.maximum(kept_c, water.start[Q.TEMPERATURE]), came_from="kept temperature"
    )
