"""The stay: every body of water from the call to the recheck, as the case and the accepted actions make it.

`stay(ground, effects)` is a pure function of what was laid out once (`ground`) and of what is done (`effects`). A water
depends on the effects on itself and on those on the water it is filled from, and on nothing else: what was worked out
for the same effects is taken again and never twice.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import accumulate

import numpy as np

from waterplan import tables
from waterplan.case.model import Case, Logged
from waterplan.published import FloatArray
from waterplan.spread import Draws
from waterplan.stay.clock import Clock
from waterplan.stay.effects import Changed, Effect, Effects, SubstanceIn
from waterplan.stay.equipment import equipment_of, room_of
from waterplan.stay.figures import Figures
from waterplan.stay.filling import as_found, before_the_fish, drawn, filled_h
from waterplan.stay.fish import fish_of
from waterplan.stay.ground import Ground, WaterStay
from waterplan.stay.inputs import ALTITUDE, ALTITUDE_OF_POND, Inputs, by_altitude_kpa
from waterplan.stay.prepare import meet, newest
from waterplan.stay.record import VolumeFound, WaterKind
from waterplan.stay.standing import stand
from waterplan.stay.state import Known, State
from waterplan.stay.volume.found import Found, find_volume, volume_as_stated
from waterplan.stay.waters import HOME, Place, hours_of, places


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """All waters under the same accepted effects; what is drawn from a pond is of the one that is `foreseen`, if any is."""

    ground: Ground
    effects: Effects
    waters: Mapping[str, WaterStay]
    foreseen: WaterStay | None = None

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
    altitude, pressure = _height_and_air(case, inputs)
    waters = {place.id: place for place in places(case, clock)}
    found = {path: _volume(place, case, inputs, figures, progress) for path, place in waters.items()}
    return Ground(
        case=case,
        log=tuple(readings),
        as_of=as_of,
        clock=clock,
        inputs=inputs,
        figures=figures,
        altitude=altitude,
        air_pressure_kpa=pressure,
        fish=fish_of(case, inputs, clock),
        places=waters,
        found=found,
        equipment={path: equipment_of(place, found[path], inputs) for path, place in waters.items()},
        readings={path: newest(case, readings, place, as_of) for path, place in waters.items()},
        room=room_of(case, pressure, inputs),
        stands=stand,
    )


def stay(ground: Ground, effects: Effects, foreseen: WaterStay | None = None) -> Stay:
    """Every water as the case and these effects make it.

    Parameters
    ----------
    ground : Ground
        The case laid out.
    effects : Effects
        What is done to which water, in the order in which it was accepted.
    foreseen : WaterStay, optional
        The pond as it will be salted, where that is not among the effects yet.

    Returns
    -------
    Stay
        The waters by their path; courses are worked out when they are asked for, once.
    """
    waters: dict[str, WaterStay] = {}
    for path, place in ground.places.items():  # sources stand before what is filled from them
        source = waters.get(place.source) if place.source else None
        own = effects.on(path)
        draws = place.source == HOME or any(isinstance(one, Changed) and one.source == HOME for one in own)
        pond = (foreseen or waters[HOME]) if draws and path != HOME else None
        key = (path, tuple(id(one) for one in (*own, *(source.effects if source else ()), pond)))
        if key not in ground.made:
            ground.made[key] = _water(ground, place, source, pond, own)
        waters[path] = ground.made[key]
    return Stay(ground=ground, effects=effects, waters=waters, foreseen=foreseen)


def _water(
    ground: Ground, place: Place, source: WaterStay | None, pond: WaterStay | None, effects: tuple[Effect, ...]
) -> WaterStay:
    salted = None if pond is None else drawn(pond, filled_h(ground, place, pond.place))

    def after(state: State, effect: Effect) -> State:
        return replace(before_the_fish(ground, state, effect, salted), at_h=effect.at_h)

    first = [one for one in effects if one.at_h is None]
    found = as_found(ground, place, source, salted if place.source == HOME else None)
    states = tuple(accumulate(first, after, initial=found))
    doses = [one for one in effects if isinstance(one, SubstanceIn) and one.at_h is not None]
    _, *later = accumulate(sorted(doses, key=lambda one: one.at_h or 0.0), after, initial=states[-1])
    return WaterStay(
        place=place,
        ground=ground,
        found=ground.found[place.id],
        equipment=ground.equipment[place.id],
        effects=effects,
        source=source,
        pond=pond,
        states=states,
        later=tuple(later),
    )


def _volume(
    place: Place, case: Case, inputs: Inputs, figures: Figures, progress: Callable[[float], None] | None
) -> Found:
    """How much water there is; a source has as much as is wanted, and a litre stands for it."""
    if place.kind is WaterKind.SOURCE:
        litre = Known.made(np.ones(inputs.size), None)
        return Found(litres=litre, guessed=False, record=VolumeFound(water=place.id, figure="", ways=()))
    if place.transport is not None:
        return volume_as_stated(inputs, figures, water=place.id, reading=place.transport.volume, made_up=True)
    return find_volume(case, inputs, figures, water=place.id, vessel=place.vessel, progress=progress)


def _height_and_air(case: Case, inputs: Inputs) -> tuple[Known | None, FloatArray]:
    """Air pressure at the place: a barometer's, that of the altitude with the weather's swing, or half of the draws each
    where the two contradict each other, as a barometer that is reduced to sea level does; before it the altitude that is
    assumed where neither was stated."""
    altitude, barometer = case.place.altitude, case.place.station_pressure
    if altitude is None and barometer is None:
        row = tables.row("defensible_ranges", kind="place", quantity=ALTITUDE)
        height = Known.not_measured(inputs.over_range(ALTITUDE_OF_POND, row), ALTITUDE_OF_POND, row)
        return height, by_altitude_kpa(height.draws, inputs)
    if altitude is not None:
        by_altitude = by_altitude_kpa(inputs.of_reading(ALTITUDE_OF_POND, altitude), inputs)
    if barometer is None:
        return None, by_altitude
    read = inputs.of_reading("station pressure", barometer)
    apart = altitude is not None and not meet(read, by_altitude)
    return None, np.where(inputs.half("air pressure"), read, by_altitude) if apart else read
