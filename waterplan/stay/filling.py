"""A water as it was found, what is done to it before its fish go in, and the water that a change pours in."""

from collections.abc import Iterable
from dataclasses import replace
from functools import partial, reduce

import numpy as np

from waterplan import tables
from waterplan.published import FloatArray
from waterplan.stay import effects, prepare
from waterplan.stay.afternoon import with_afternoon
from waterplan.stay.contents import with_contents
from waterplan.stay.course import Scenario
from waterplan.stay.equipment import room_co2_ppm
from waterplan.stay.ground import Ground, WaterStay
from waterplan.stay.operations import air, air_to, bring_to_temperature, change, dose, neutralise
from waterplan.stay.quantities import Q
from waterplan.stay.state import Known, State, chloride_mg_per_l, of_salt_mg_per_l
from waterplan.stay.waters import HOME, MAINS, Place
from waterplan.water.carbonate import bicarbonate_for_alkalinity_mg_per_l

_MG_PER_G = 1000.0


def as_found(ground: Ground, place: Place, source: WaterStay | None, pond: State | None = None) -> State:
    """A water as it was read, or as it was filled from its source, with all that was put into it before the plan.

    `pond` is the pond that it is filled from as it was salted by then.
    """
    readings, litres, inputs = ground.readings[place.id], ground.found[place.id].litres, ground.inputs
    if source is None:
        state = prepare.base_state(
            place,
            readings,
            new_water=ground.case.mains_water,
            hosed=place.id == HOME and ground.tap_suspected,
            litres=litres,
            inputs=inputs,
            air_pressure_kpa=ground.air_pressure_kpa,
        )
        if place.id == HOME:
            state = with_afternoon(ground, state)
    else:
        aired = ground.equipment[place.id].air_l_per_min is not None
        start = _salted_as(source.start, pond)
        state = prepare.vessel_state(place, start, readings, litres=litres, inputs=inputs, aired=aired)
    return with_contents(ground, place, state)


def filled_h(ground: Ground, place: Place, source: Place) -> float:
    """The hour at which a tub is full at the latest: as the first fish goes into any from its source, or it is read."""
    into = source.pours_into if place.id in source.pours_into else (place.id,)
    starts = [stretch.start_h for path in into for stretch in ground.places[path].stretches]
    taken = (one.taken for given in ground.readings[place.id].values() for one in given)
    hours = (None if at is None else ground.clock.hours(at) for at in taken)
    return min([*starts, *(ground.clock.now_h if hour is None else hour for hour in hours)], default=np.inf)


def drawn(pond: WaterStay | None, at_h: float) -> State | None:
    """A pond as its water is drawn at an hour, where it was salted by then; None where it was not."""
    done = () if pond is None else pond_effects(pond, until_h=at_h)
    if pond is None or not any(isinstance(one, effects.SaltIn) for one in done):
        return None
    key = ("drawn", id(pond), len(done))
    if key not in pond.ground.searched:
        pond.ground.searched[key] = after(pond, done)
    return pond.ground.searched[key]  # type: ignore[return-value]


def pond_effects(pond: WaterStay, *, until_h: float, told_until_h: float = np.inf) -> tuple[effects.Effect, ...]:
    """The salt and the changes of a pond by an hour, and the changes that the case tells of, each in its turn."""
    found: list[tuple[float, effects.Effect]] = []
    for one in pond.effects:
        if isinstance(one, effects.SaltIn):
            found += [(at_h, replace(one, parts=[(None, grams)])) for at_h, grams in one.parts if at_h is not None]
        elif isinstance(one, effects.Changed) and one.at_h is not None:
            found.append((one.at_h, one))
    for at_h, event in pond.ground.changes_at_home(told_until_h) if pond.place.id == HOME else ():
        litres = event.volume.measured.best if event.volume else 0.0
        found.append((at_h, effects.Changed(action="case/event", water=HOME, litres=litres, source=MAINS)))
    return tuple(one for at_h, one in sorted(found, key=lambda each: each[0]) if at_h <= until_h)


def after(pond: WaterStay, done: Iterable[effects.Effect]) -> State:
    """A pond after what was done to it."""
    return reduce(partial(before_the_fish, pond.ground), done, pond.start)


def _salted_as(state: State, pond: State | None) -> State:
    salts = {} if pond is None else {one: pond.known[one] for one in (Q.SALT, Q.CHLORIDE) if pond.has(one)}
    return state.with_known(salts) if salts else state


def before_the_fish(ground: Ground, state: State, effect: effects.Effect, pond: State | None = None) -> State:
    """The state after an effect that is done before the fish go in; one that does nothing to the water leaves it.

    `pond` is the pond as it was salted by then.
    """
    name = effect.action
    match effect:
        case effects.Neutralised():
            left = prepare.chloramine_ammonia(ground.case, state)
            state = neutralise(state, came_from=name, ammonia_mg_n_per_l=left)
        case effects.Aired(co2_mg_per_l=None):
            state = _aired_through(ground, state, name)
        case effects.Aired(co2_mg_per_l=co2) if co2 is not None:
            state = air_to(state, co2_mg_per_l=co2, share=_aired_share(ground), came_from=name)
        case effects.Oxygenated(oxygen_mg_per_l=level):
            state = state.with_known({Q.OXYGEN: Known.made(np.maximum(state[Q.OXYGEN], level), name)})
        case effects.BroughtTo(temp_c=temp_c, like=other):
            warm = Known.made(np.maximum(temp_c, 0.0), name, *([] if other is None else [other]))  # no colder than ice
            state = bring_to_temperature(state, warm.draws, came_from=name, known=warm)
        case effects.Repacked(litres=float(litres)):
            state = state.with_known({Q.VOLUME: Known.made(np.full(state.size, litres), name)}, done=name)
        case effects.SaltIn(parts=parts):
            state = dose(state, came_from=name, salt_g=sum(grams for at_h, grams in parts if at_h is None))
        case effects.SubstanceIn(substance=substance, grams=grams, acid_mmol=acid, bicarbonate_g=alkali):
            put_in = {"substance_g": grams, "acid_mmol": acid, "bicarbonate_g": alkali}
            state = dose(state, came_from=name, substance=substance, **put_in)
        case effects.Changed(litres=litres, parts=parts):
            source = source_for(ground, state[Q.TEMPERATURE], effect, pond)
            state = change(state, source, litres, came_from=name, parts=parts)
    return state


def _aired_share(ground: Ground) -> float:
    return ground.inputs.value(tables.row("hospital_demands", demand="start of saturation"))


def _aired_through(ground: Ground, state: State, came_from: str) -> State:
    co2_ppm = room_co2_ppm(ground.inputs)
    return air(state, share=_aired_share(ground), co2_in_air_ppm=co2_ppm, came_from=came_from)


def poured(water: WaterStay, temp_c: FloatArray, effect: effects.Changed, at_h: float) -> State:
    """What `source_for` makes for a water at an hour, worked out once for all that hangs on it."""
    pond, searched = drawn(water.pond, at_h), water.ground.searched
    key = ("poured", id(effect), id(pond), temp_c.tobytes())
    if key not in searched:  # they are kept beside it, so that no other ever has their place
        searched[key] = (source_for(water.ground, temp_c, effect, pond), effect, pond)
    return searched[key][0]  # type: ignore[index, no-any-return]


def source_for(ground: Ground, temp_c: FloatArray, effect: effects.Changed, pond: State | None = None) -> State:
    """The water that a change pours in: its source treated, aired and brought to the tank's temperature and salt.

    `pond` is the pond as it was salted by then.
    """
    found, name = as_found(ground, ground.places[effect.source], None), effect.action
    found = _salted_as(found, pond if effect.source == HOME else None)
    raw = replace(found, known={key: one for key, one in found.known.items() if key is not Q.PH_RISE})
    made = neutralise(raw, came_from=name, ammonia_mg_n_per_l=prepare.chloramine_ammonia(ground.case, raw))
    made = bring_to_temperature(made, temp_c, came_from=name)
    if effect.buffered_mg_caco3_per_l is not None:
        missing = bicarbonate_for_alkalinity_mg_per_l(
            effect.buffered_mg_caco3_per_l, alkalinity_mg_caco3_per_l=np.maximum(made[Q.ALKALINITY], 0.0)
        )
        made = dose(made, came_from=name, bicarbonate_g=made[Q.VOLUME] * np.asarray(missing) / _MG_PER_G)
    made = _aired_through(ground, made, name)
    if effect.salted_g_per_l is None:
        return made
    there = np.maximum(made[Q.SALT], 0.0)
    salt = np.maximum(there, effect.salted_g_per_l)
    chloride = chloride_mg_per_l(made) + of_salt_mg_per_l(salt - there)
    return made.with_known({Q.SALT: Known.made(salt, name), Q.CHLORIDE: Known.made(chloride, name)})


def start_of(water: WaterStay, scenario: Scenario) -> State:
    """The state that a stretch begins with; without power, at the temperature that the water is kept at if that is warmer."""
    temp_c, start = start_temp_c(water, scenario), water.start
    if temp_c is start[Q.TEMPERATURE]:
        return start
    return bring_to_temperature(start, temp_c, came_from="kept temperature")


def start_temp_c(water: WaterStay, scenario: Scenario) -> FloatArray:
    """The temperature of that state."""
    begins_c, kept_c = water.start[Q.TEMPERATURE], water.ground.kept_temp_c(water.place.id)
    return begins_c if scenario is Scenario.AS_PLANNED or kept_c is None else np.maximum(kept_c, begins_c)
