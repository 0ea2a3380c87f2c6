"""What happens in a water during a stretch, as the tank's events: meals, the case's own events, what actions do."""

from collections.abc import Callable, Iterator, Mapping

import numpy as np

from waterplan import tables
from waterplan.case.model import CaseEvent
from waterplan.case.tank_choices import Happens
from waterplan.errors import ImpossibleInput
from waterplan.published import FloatArray, Numbers
from waterplan.stay import effects
from waterplan.stay.course import Scenario
from waterplan.stay.filling import drawn, poured, source_for, start_temp_c
from waterplan.stay.fish import stress
from waterplan.stay.ground import Ground, WaterStay
from waterplan.stay.quantities import Q
from waterplan.stay.record import FishState, WaterKind
from waterplan.stay.state import CHLORIDE_OF_SALT, SOLUTES, as_tank_water
from waterplan.stay.waters import HOME, MAINS, Stretch, hours_of
from waterplan.tank.equipment_events import (
    AirReturns,
    AirStops,
    HeaterFails,
    HeaterMended,
    HeaterSticksOn,
    LidOff,
    LidOn,
    PowerFails,
    PowerReturns,
    ThermostatSet,
)
from waterplan.tank.events import BicarbonateDose, Dissolved, Event, IceIn, SaltDose, WaterChange
from waterplan.tank.fish_events import Fed, FilterDamaged, FishOut, Handled, PairedTest

_G_PER_KG, _PER_CENT = 1000.0, 100.0
_TO_FISH = frozenset({Happens.MEAL, Happens.HANDLED})  # what can happen to nobody in an empty tank
_OF_CHANGES = frozenset({Happens.CHANGES_STOP, Happens.CHANGES_GO_ON})
_MEAL_HOURS = (9.0, 18.0, 13.5, 21.0)


def happenings(water: WaterStay, stretch: Stretch, scenario: Scenario, *, until_h: float) -> Iterator[Event]:
    """Everything that happens in a stretch, in hours from its start; without power only what needs none."""
    if water.equipment.lid:
        yield LidOn(at_h=0.0)
    if scenario is Scenario.POWER_OFF:
        return
    if water.place.kind is WaterKind.HOSPITAL:
        yield from meals(water, stretch, until_h)
    if water.place.kind is not WaterKind.HOME:
        yield from _of_case(water, stretch, until_h)
    for effect in water.effects:
        for event in _of_effect(water, stretch, effect):
            if 0.0 <= event.at_h <= until_h:
                yield event


def _of_effect(water: WaterStay, stretch: Stretch, effect: effects.Effect) -> Iterator[Event]:
    start = stretch.start_h
    match effect:
        case effects.ThermostatRamp(rungs=rungs) if water.heater_w is not None:
            yield from (ThermostatSet(at_h=at - start, target_temp_c=temp) for at, temp in rungs)
        case effects.SaltIn(parts=parts):
            yield from (one for at, grams in parts if at is not None for one in _salted(at - start, grams))
        case effects.IceHung(parts=parts):
            yield from (IceIn(at_h=at - start, ice_kg=kilograms) for at, kilograms in parts)
    done_h = effect.at_h
    if done_h is None:
        return
    at_h = done_h - start
    match effect:
        case effects.Changed():
            yield from _changes(water, stretch, effect, done_h)
        case effects.SubstanceIn(substance=name, grams=grams, acid_mmol=acid, bicarbonate_g=bicarbonate):
            yield Dissolved(at_h=at_h, name=name, substance_g=grams, acid_mmol=acid, bicarbonate_g=bicarbonate)
        case effects.TakenOut(fish=fish):
            yield from (FishOut(at_h=max(at_h, 0.0), name=one) for one in fish if one in stretch.fish)
        case effects.FilterLost(treatment=treatment) if water.equipment.living_filter is not None:
            yield FilterDamaged(at_h=at_h, treatment=treatment)


def _salted(at_h: float, grams: Numbers) -> tuple[Event, Event]:
    """Salt with its chloride."""
    made = SaltDose(at_h=at_h, salt_g=grams)
    return made, _chloride_of(made)


def _chloride_of(salt: SaltDose) -> Event:
    return Dissolved(at_h=salt.at_h, name=SOLUTES[Q.CHLORIDE], substance_g=np.asarray(salt.salt_g) * CHLORIDE_OF_SALT)


def _changes(water: WaterStay, stretch: Stretch, effect: effects.Changed, at_h: float) -> Iterator[Event]:
    """A change once or every so many hours, each in its parts, of water at the temperature that the tank is kept at.

    None while the case's own events say that nobody changes any.
    """
    temp_c = start_temp_c(water, Scenario.POWER_OFF)
    share = np.clip(np.asarray(effect.litres) / effect.parts / water.start[Q.VOLUME], 0.0, 1.0)
    last = min(stretch.until_h if effect.until_h is None else effect.until_h, stretch.until_h)
    told = sorted((hour, one.what) for hour, one in water.ground.events_in(water.place.id) if one.what in _OF_CHANGES)
    while at_h <= last:
        for part in range(effect.parts):
            part_h = at_h + part * effect.part_every_h
            if [what for hour, what in told if hour <= part_h][-1:] != [Happens.CHANGES_STOP]:
                source = poured(water, temp_c, effect, part_h)
                yield WaterChange(at_h=part_h - stretch.start_h, share_changed=share, source=as_tank_water(source))
        if effect.every_h is None:
            return
        at_h += effect.every_h


def meals(water: WaterStay, stretch: Stretch, until_h: float) -> Iterator[Event]:
    """The meals that the case intends, at ordinary hours of the clock, each fish by its own weight."""
    percent = ration_percent(water.ground)
    if percent is None or not stretch.present:
        return
    stops = [one.at_h for one in water.effects if isinstance(one, effects.NotFed)]
    stopped = min((stretch.start_h if at is None else at for at in stops), default=np.inf)
    hours = meal_hours(water, stretch)
    feed_g = ration_g_per_day(water.ground, stretch, percent) / len(hours)
    nitrogen = _feed_nitrogen(water)
    for first_h in hours:
        at_h = first_h
        while at_h <= stretch.start_h + until_h:
            if at_h < stopped:
                yield Fed(at_h=at_h - stretch.start_h, feed_g=feed_g, ammonia_kg_n_per_kg_feed=nitrogen)
            at_h += 24.0


def ration_percent(ground: Ground) -> FloatArray | None:
    """The feed that the case intends [%/day]; None where none is to be."""
    fed = ground.case.intended.feeding
    return None if fed is None else ground.inputs.of_reading("intended feed", fed)


def ration_g_per_day(ground: Ground, stretch: Stretch, percent: FloatArray) -> FloatArray:
    """The feed of the fish of a stretch, each by its own weight [g/day]."""
    return np.asarray(np.maximum(percent, 0.0) / _PER_CENT * ground.together_kg(stretch) * _G_PER_KG)


def meal_hours(water: WaterStay, stretch: Stretch) -> list[float]:
    """The hours of the stay of the first day's meals: none in the first hours after an operation."""
    clock, count = water.ground.clock, max(water.ground.case.intended.meals or 1, 1)
    hours = _MEAL_HOURS[:count] if count <= len(_MEAL_HOURS) else np.linspace(7.0, 21.0, count)
    after_h = stretch.begins_h
    if water.place.kind is WaterKind.HOSPITAL and (water.ground.case.is_operated_in or water.place.id != HOME):
        after_h = max(after_h, stretch.went_in_h + hours_of("fed again after"))
    return sorted(clock.next_hour_of_day(float(hour), after_h=after_h) for hour in hours)


def _feed_nitrogen(water: WaterStay) -> FloatArray:
    """Ammonia nitrogen of each kilogram of feed: by its protein where the label tells it, else of usual feeds."""
    inputs, protein = water.ground.inputs, water.ground.case.intended.protein
    if protein is None:
        return inputs.of_row("feed nitrogen", tables.row("feed_nitrogen", basis="ammonia nitrogen per feed"))
    each = inputs.of_row("protein nitrogen", tables.row("feed_nitrogen", basis="ammonia nitrogen per protein"))
    return np.asarray(each * inputs.of_reading("protein of the feed", protein) / _PER_CENT)


def first_change_h(water: WaterStay, stretch: Stretch) -> float:
    """The hour of the stay of the next daily change, at its hour of the day: the first half a day after its fish went in at
    least, from a vat in which they live at once; today's is due until it was done.
    """
    ground, clock, path = water.ground, water.ground.clock, water.place.id
    lives = path == HOME and stretch.went_in_h <= clock.now_h
    hour, after_h = hours_of("change of water"), stretch.went_in_h + (0.0 if lives else 12.0)
    midnight_h = clock.now_h - clock.hour_of_day(clock.now_h)
    at_h = max(clock.next_hour_of_day(hour, after_h=after_h), midnight_h + hour)
    is_done = ground.as_of and any(one.at.date() == ground.as_of.date() for one in ground.done("change", path))
    return at_h + 24.0 if is_done and at_h < midnight_h + 24.0 else at_h


# -- the case's own events ------------------------------------------------------------------------------------------


def _of_case(water: WaterStay, stretch: Stretch, until_h: float) -> Iterator[Event]:
    """The events of the case in this water; what is past lies before the stretch and is in its readings."""
    for at_h, event in water.ground.events_in(water.place.id):
        if event.what in _TO_FISH and not stretch.present:
            continue
        if event.what in _MAKERS and 0.0 <= at_h - stretch.start_h <= until_h:
            try:
                made = _MAKERS[event.what](water, event, at_h - stretch.start_h)
            except ImpossibleInput:
                continue
            if made is not None:
                yield made
            if isinstance(made, SaltDose):
                yield _chloride_of(made)


def _case_change(water: WaterStay, event: CaseEvent, at_h: float) -> Event:
    assert event.volume is not None
    litres = event.volume.measured.best
    path, source_path = water.place.id, water.place.source or MAINS
    own = effects.Changed(action="case/event", water=path, litres=litres, source=source_path)
    pond = drawn(water.pond, water.ground.clock.hours(event.at) or 0.0)
    source = as_tank_water(source_for(water.ground, water.start[Q.TEMPERATURE], own, pond))
    return WaterChange(at_h=at_h, share_changed=np.clip(litres / water.start[Q.VOLUME], 0.0, 1.0), source=source)


def _grams(event: CaseEvent) -> float:
    assert event.weight is not None
    return event.weight.measured.best * _G_PER_KG


def _meal(water: WaterStay, event: CaseEvent, at_h: float) -> Event:
    return Fed(at_h=at_h, feed_g=_grams(event), ammonia_kg_n_per_kg_feed=_feed_nitrogen(water))


_MAKERS: Mapping[Happens, Callable[[WaterStay, CaseEvent, float], Event | None]] = {
    Happens.CHANGE: _case_change,
    Happens.MEAL: _meal,
    Happens.SALT: lambda _, event, at_h: SaltDose(at_h=at_h, salt_g=_grams(event)),
    Happens.BICARBONATE: lambda _, event, at_h: BicarbonateDose(at_h=at_h, bicarbonate_g=_grams(event)),
    Happens.ICE: lambda _, event, at_h: IceIn(at_h=at_h, ice_kg=_grams(event) / _G_PER_KG),
    Happens.POWER_FAILS: lambda _, __, at_h: PowerFails(at_h=at_h),
    Happens.POWER_RETURNS: lambda _, __, at_h: PowerReturns(at_h=at_h),
    Happens.AIR_STOPS: lambda _, __, at_h: AirStops(at_h=at_h),
    Happens.AIR_RETURNS: lambda _, __, at_h: AirReturns(at_h=at_h),
    Happens.HEATER_STICKS: lambda water, _, at_h: HeaterSticksOn(at_h=at_h) if water.heater_w is not None else None,
    Happens.HEATER_FAILS: lambda water, _, at_h: HeaterFails(at_h=at_h) if water.heater_w is not None else None,
    Happens.HEATER_MENDED: lambda water, _, at_h: HeaterMended(at_h=at_h) if water.heater_w is not None else None,
    Happens.LID_ON: lambda _, __, at_h: LidOn(at_h=at_h),
    Happens.LID_OFF: lambda _, __, at_h: LidOff(at_h=at_h),
    Happens.HANDLED: lambda water, _, at_h: Handled(
        at_h=at_h, stress_factor=stress(water.ground.inputs, FishState.HANDLED)
    ),
    Happens.FILTER_DAMAGED: lambda water, event, at_h: (
        FilterDamaged(at_h=at_h, treatment=event.words) if water.equipment.living_filter else None
    ),
    Happens.CLEAN_TEST: lambda water, _, at_h: (
        PairedTest(at_h=at_h, clean=True) if water.equipment.living_filter else None
    ),
}
FOLLOWED = frozenset(_MAKERS) | _OF_CHANGES
