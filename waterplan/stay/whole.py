"""The stay: every body of water from the call to the recheck, as the case and the accepted actions make it.

`stay(ground, effects)` is a pure function of what was laid out once (`ground`) and of what is done (`effects`). A water
depends on the effects on itself and on those on the water it is filled from, and on nothing else: what was worked out
for the same effects is taken again and never twice.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from types import MappingProxyType
from typing import Any

import numpy as np

from waterplan import tables
from waterplan.case.model import Case, Logged
from waterplan.published import FloatArray
from waterplan.spread import Draws, Measured
from waterplan.stay import prepare
from waterplan.stay.clock import Clock
from waterplan.stay.contents import with_contents
from waterplan.stay.course import Course, Scenario
from waterplan.stay.effects import Aired, BroughtTo, Changed, Effect, Effects, Neutralised, SaltIn, SubstanceIn
from waterplan.stay.equipment import Equipment, equipment_of, room_co2_ppm, room_of
from waterplan.stay.figures import Figures
from waterplan.stay.fish import FishAtHand, fish_of
from waterplan.stay.inputs import Inputs
from waterplan.stay.operations import air, bring_to_temperature, change, dose, neutralise
from waterplan.stay.quantities import Q
from waterplan.stay.record import Origin, VolumeFound, WaterKind
from waterplan.stay.state import Known, State
from waterplan.stay.volumes import Found, find_volume, volume_as_stated
from waterplan.stay.waters import MAINS, Place, Stretch, hours_of, places
from waterplan.tank.water_body import Room
from waterplan.water import atmosphere


@dataclass(slots=True, kw_only=True)
class Ground:
    """All that no action changes: fish, places, volumes, equipment, readings; and what has been worked out on it."""

    case: Case
    log: tuple[Logged, ...]
    as_of: datetime | None
    clock: Clock
    inputs: Inputs
    figures: Figures
    air_pressure_kpa: FloatArray
    fish: Mapping[str, FishAtHand]
    places: Mapping[str, Place]
    found: Mapping[str, Found]
    equipment: Mapping[str, Equipment]
    readings: Mapping[str, Mapping[str, Sequence[object]]]
    room: Room
    hypothetical: list[tuple[str, State]] = field(default_factory=list)
    made: dict[tuple[str, tuple[int, ...]], "WaterStay"] = field(default_factory=dict)
    searched: dict[tuple[object, ...], object] = field(default_factory=dict)
    judged: dict[tuple[object, ...], Any] = field(default_factory=dict)
    hypothetical: list[tuple[str, State]] = field(default_factory=list)

    def kept_temp_c(self, water: str) -> FloatArray | None:
        """The temperature that a hospital tank is meant to be kept at; None where none is intended."""
        intended = self.case.intended.temperature
        if intended is None or self.places[water].kind is not WaterKind.HOSPITAL:
            return None
        return self.inputs.of_reading("intended temperature", intended)


@dataclass(slots=True, kw_only=True)
class WaterStay:
    """One water through the stay: its states in order, the one that each stretch begins with, and its courses.

    `states` begin with the water as it was found; each effect before the fish adds one. `start` is the last of them;
    `later` is the water right after each dose that is given with its fish in it.
    """

    place: Place
    ground: Ground
    found: Found
    equipment: Equipment
    effects: tuple[Effect, ...]
    source: "WaterStay | None"
    states: tuple[State, ...]
    later: tuple[State, ...] = ()
    _courses: dict[tuple[str, Scenario], Course] = field(default_factory=dict)

    @property
    def start(self) -> State:
        """The water that its fish go into."""
        return self.states[-1]

    @property
    def as_found(self) -> State:
        """The water before anything was done to it."""
        return self.states[0]

    def course(self, stretch: Stretch, scenario: Scenario = Scenario.AS_PLANNED) -> Course:
        """The water through a stretch, worked out once."""
        from waterplan.stay.standing import stand

        key = (stretch.name, scenario)
        if key not in self._courses:
            self._courses[key] = stand(self, stretch, scenario)
        return self._courses[key]

    @property
    def free_l(self) -> FloatArray:
        """Litres of water beside the fish of the fullest stretch (1 kg/L), a tenth of the vessel at least."""
        fish = self.ground.fish
        weights = [
            sum((fish[one].together_kg for one in stretch.fish if one in fish), start=np.zeros(self.start.size))
            for stretch in self.place.stretches
        ]
        litres = self.start[Q.VOLUME]
        heaviest = np.max(weights, axis=0) if weights else 0.0
        return np.asarray(np.maximum(litres - heaviest, 0.1 * litres))


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """All waters under the same accepted effects."""

    ground: Ground
    effects: Effects
    waters: Mapping[str, WaterStay]

    def __getitem__(self, water: str) -> WaterStay:
        return self.waters[water]


def lay_out(
    case: Case,
    *,
    readings: Sequence[Logged] = (),
    as_of: datetime | None = None,
    draws: Draws,
    progress: Callable[[float], None] | None = None,
) -> Ground:
    """Lays a case out for planning: draws of every input, fish, places, volumes, equipment, newest readings.

    Parameters
    ----------
    case : Case
        The case as read.
    readings : sequence of Logged
        Readings taken since.
    as_of : datetime, optional
        The time of the plan; later readings are left out.
    draws : Draws
        How many draws, and their seed.
    progress : callable, optional
        Told the share that is done.

    Returns
    -------
    Ground
        What every stay of this case stands on.

    Raises
    ------
    ImpossibleInput
        A figure of the case that cannot be.
    """
    clock = Clock.of(case.intended.operation_at, as_of, lead_h=hours_of("before the operation"))
    inputs, figures = Inputs(draws=draws), Figures()
    pressure = _air_pressure_kpa(case, inputs)
    found_places = {place.id: place for place in places(case, clock)}
    found = {
        path: _volume(place, case, inputs, figures, progress)
        for path, place in found_places.items()
        if place.kind is not WaterKind.SOURCE
    }
    return Ground(
        case=case,
        log=tuple(readings),
        as_of=as_of,
        clock=clock,
        inputs=inputs,
        figures=figures,
        air_pressure_kpa=pressure,
        fish=fish_of(case, inputs, clock),
        places=found_places,
        found=found,
        equipment={
            path: equipment_of(found_places[path].vessel, path, volume, inputs) for path, volume in found.items()
        },
        readings={path: prepare.newest(case, readings, place, as_of) for path, place in found_places.items()},
        room=room_of(case, pressure, inputs),
    )


def stay(ground: Ground, effects: Effects) -> Stay:
    """Every water as the case and these effects make it.

    Parameters
    ----------
    ground : Ground
        The case laid out.
    effects : Effects
        What is done to which water, in the order in which it was accepted.

    Returns
    -------
    Stay
        The waters by their path; courses are worked out when they are asked for, once.
    """
    waters: dict[str, WaterStay] = {}
    for path, place in ground.places.items():  # sources stand before what is filled from them
        source = waters.get(place.source) if place.source else None
        own = effects.on(path)
        key = (path, tuple(id(one) for one in (*own, *(source.effects if source else ()))))
        if key not in ground.made:
            ground.made[key] = _water(ground, place, source, own)
        waters[path] = ground.made[key]
    return Stay(ground=ground, effects=effects, waters=MappingProxyType(waters))


def _water(ground: Ground, place: Place, source: WaterStay | None, effects: tuple[Effect, ...]) -> WaterStay:
    states = [_as_found(ground, place, source)]
    for effect in effects:
        if effect.at_h is None:
            states.append(_before_the_fish(ground, place, states[-1], effect))
    later = [
        replace(_before_the_fish(ground, place, states[-1], effect), at_h=effect.at_h)
        for effect in effects
        if isinstance(effect, SubstanceIn) and effect.at_h is not None
    ]
    found = ground.found.get(place.id) or _unlimited(ground, place)
    return WaterStay(
        place=place,
        ground=ground,
        found=found,
        equipment=ground.equipment.get(place.id) or equipment_of(None, place.id, found, ground.inputs),
        effects=effects,
        source=source,
        states=tuple(one for one in states if one is not None),
        later=tuple(later),
    )


def _as_found(ground: Ground, place: Place, source: WaterStay | None) -> State:
    found = ground.found.get(place.id) or _unlimited(ground, place)
    return with_contents(ground, place, found, _as_read(ground, place, source, found))


def _as_read(ground: Ground, place: Place, source: WaterStay | None, found: Found) -> State:
    readings = ground.readings[place.id]
    if place.kind in (WaterKind.HOME, WaterKind.SOURCE):
        return prepare.base_state(
            place,
            readings,  # type: ignore[arg-type]
            case=ground.case,
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


def _before_the_fish(  # noqa: PLR0911 - one return a kind of effect
    ground: Ground, place: Place, state: State, effect: Effect
) -> State:
    """The state after an effect that is done before the fish go in."""
    name = effect.action
    if isinstance(effect, Neutralised):
        return neutralise(state, came_from=name, ammonia_mg_n_per_l=prepare.chloramine_ammonia(ground.case, state))
    if isinstance(effect, Aired):
        share = ground.inputs.value(tables.row("hospital_demands", demand="start of saturation"))
        return air(state, share=share, co2_in_air_ppm=room_co2_ppm(ground.inputs), came_from=name)
    if isinstance(effect, BroughtTo):
        return bring_to_temperature(state, effect.temp_c, came_from=name)
    if isinstance(effect, SaltIn):
        return dose(state, came_from=name, salt_g=sum(grams for at_h, grams in effect.parts if at_h is None))
    if isinstance(effect, SubstanceIn):
        return dose(
            state,
            came_from=name,
            substance=effect.substance,
            substance_g=effect.grams,
            acid_mmol=effect.acid_mmol,
            bicarbonate_g=effect.bicarbonate_g,
        )
    if isinstance(effect, Changed):
        source = source_for(ground, place, state, effect)
        return change(state, source, effect.litres, came_from=name, parts=effect.parts)
    return state


def source_for(ground: Ground, place: Place, state: State, effect: Changed) -> State:
    """The water that a change pours in: as its source is, or treated, aired and brought to the tank's temperature and salt."""
    raw = _as_found(ground, ground.places[effect.source], None)
    if not effect.matched:
        return raw
    name = effect.action
    made = neutralise(raw, came_from=name, ammonia_mg_n_per_l=prepare.chloramine_ammonia(ground.case, raw))
    made = bring_to_temperature(made, state[Q.TEMPERATURE], came_from=name)
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


def _volume(
    place: Place, case: Case, inputs: Inputs, figures: Figures, progress: Callable[[float], None] | None
) -> Found:
    if place.transport is not None:
        return volume_as_stated(inputs, figures, water=place.id, reading=place.transport.volume, made_up=True)
    return find_volume(case, inputs, figures, water=place.id, vessel=place.vessel, progress=progress)


def _unlimited(ground: Ground, place: Place) -> Found:
    """A source has as much as is wanted: a litre stands for it."""
    litre = Known(draws=np.ones(ground.inputs.size), origin=Origin.WORKED_OUT)
    return Found(litres=litre, guessed=False, record=VolumeFound(water=place.id, figure="", ways=()))


def _air_pressure_kpa(case: Case, inputs: Inputs) -> FloatArray:
    """Air pressure at the place: a barometer's, that of the altitude with the weather's swing, or half of the draws each
    where the two contradict each other, as a barometer that is reduced to sea level does."""
    place = case.place
    by_altitude = _by_altitude_kpa(case, inputs)
    if place.station_pressure is None:
        return by_altitude
    read = inputs.of_reading("station pressure", place.station_pressure)
    if place.altitude is None or prepare._meet(read, by_altitude):
        return read
    return np.where(inputs.half("air pressure"), read, by_altitude)


def _by_altitude_kpa(case: Case, inputs: Inputs) -> FloatArray:
    if case.place.altitude is not None:
        altitude_m = inputs.of_reading("altitude", case.place.altitude)
    else:
        altitude_m = np.full(inputs.size, inputs.value(tables.row("defaults", what="altitude")))
    swing = tables.row("defaults", what="weather").value
    weather = inputs.of("weather", Measured.plus_minus(0.0, swing))
    return np.asarray(atmosphere.air_pressure_kpa(altitude_m) + weather)


__all__ = ["MAINS", "Ground", "Stay", "WaterStay", "lay_out", "source_for", "stay"]
