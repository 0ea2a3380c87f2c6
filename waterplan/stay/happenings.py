"""What happens in a water during a stretch, as the tank's events: meals, the case's own events, what actions do."""

from collections.abc import Callable, Iterator, Mapping

import numpy as np

from waterplan import tables
from waterplan.case.model import CaseEvent
from waterplan.case.tank_choices import Happens
from waterplan.errors import ImpossibleInput
from waterplan.published import FloatArray
from waterplan.stay.course import Scenario
from waterplan.stay.effects import (
    BackUpReady,
    Changed,
    FilterLost,
    IceHung,
    NotFed,
    SaltIn,
    SubstanceIn,
    TakenOut,
    ThermostatRamp,
)
from waterplan.stay.equipment import BACK_UP, Equipment
from waterplan.stay.fish import stress
from waterplan.stay.quantities import Q
from waterplan.stay.record import FishState, WaterKind
from waterplan.stay.state import State, as_tank_water
from waterplan.stay.waters import Stretch, hours_of
from waterplan.stay.whole import WaterStay, source_for
from waterplan.tank.equipment_events import (
    AirReturns,
    AirStops,
    DeviceSet,
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
_MEAL_HOURS = (9.0, 18.0, 13.5, 21.0)


def happenings(water: WaterStay, stretch: Stretch, scenario: Scenario, *, until_h: float) -> Iterator[Event]:
    """Everything that happens in a stretch, in hours from its start; without power only what needs none."""
    if water.equipment.lid:
        yield LidOn(at_h=0.0)
    if scenario is Scenario.POWER_OFF:
        yield from _back_up_comes_on(water)
        return
    if water.place.kind is WaterKind.HOSPITAL:
        yield from meals(water, stretch, until_h)
        yield from _of_case(water, stretch, until_h)
    for effect in water.effects:
        for event in _of_effect(water, stretch, effect):
            if 0.0 <= event.at_h <= until_h:
                yield event


def _back_up_comes_on(water: WaterStay) -> Iterator[Event]:
    ready = [one for one in water.effects if isinstance(one, BackUpReady)]
    if ready:
        yield DeviceSet(at_h=0.0, device=BACK_UP, on=False)
        yield DeviceSet(at_h=ready[-1].within_h, device=BACK_UP, on=True)


def _of_effect(water: WaterStay, stretch: Stretch, effect: object) -> Iterator[Event]:
    start = stretch.start_h
    if isinstance(effect, Changed) and effect.at_h is not None:
        yield from _changes(water, stretch, effect)
    elif isinstance(effect, SaltIn):
        yield from (SaltDose(at_h=at - start, salt_g=grams) for at, grams in effect.parts if at is not None)
    elif isinstance(effect, SubstanceIn) and effect.at_h is not None:
        yield Dissolved(
            at_h=effect.at_h - start,
            name=effect.substance,
            substance_g=effect.grams,
            acid_mmol=effect.acid_mmol,
            bicarbonate_g=effect.bicarbonate_g,
        )
    elif isinstance(effect, ThermostatRamp):
        for at, temp in effect.rungs:
            yield ThermostatSet(at_h=at - start, target_temp_c=temp)
    elif isinstance(effect, IceHung):
        yield from (IceIn(at_h=at - start, ice_kg=kilograms) for at, kilograms in effect.parts)
    elif isinstance(effect, TakenOut) and effect.at_h is not None:
        inside = [one for one in effect.fish if one in stretch.fish and one in water.ground.fish]
        yield from (FishOut(at_h=max(effect.at_h - start, 0.0), name=one) for one in inside)
    elif isinstance(effect, FilterLost) and effect.at_h is not None and _filtered(water.equipment):
        yield FilterDamaged(at_h=effect.at_h - start, treatment=effect.treatment)


def _filtered(equipment: Equipment) -> bool:
    return equipment.filter is not None and equipment.filter.value != "unseeded"


def _changes(water: WaterStay, stretch: Stretch, effect: Changed) -> Iterator[Event]:
    """A change once or every so many hours, each in its parts."""
    source = as_tank_water(source_for(water.ground, water.place, _kept_warm(water), effect))
    share = np.clip(np.asarray(effect.litres) / effect.parts / water.start[Q.VOLUME], 0.0, 1.0)
    at_h = effect.at_h
    assert at_h is not None
    last = min(effect.until_h if effect.until_h is not None else stretch.until_h, stretch.until_h)
    while at_h <= last:
        for part in range(effect.parts):
            yield WaterChange(
                at_h=at_h + part * effect.part_every_h - stretch.start_h, share_changed=share, source=source
            )
        if effect.every_h is None:
            return
        at_h += effect.every_h


def _kept_warm(water: WaterStay) -> State:
    """The state that new water is matched to: the tank's, at the temperature that it is kept at."""
    from waterplan.stay.standing import start_of

    return start_of(water, Scenario.POWER_OFF)


def meals(water: WaterStay, stretch: Stretch, until_h: float) -> Iterator[Event]:
    """The meals that the case intends, at ordinary hours of the clock, each fish by its own weight."""
    intended, inputs = water.ground.case.intended, water.ground.inputs
    stopped = min(
        (one.at_h if one.at_h is not None else stretch.start_h for one in water.effects if isinstance(one, NotFed)),
        default=np.inf,
    )
    if intended.feed is None or intended.feed.measured.best <= 0.0:
        return
    count = max(intended.meals or 1, 1)
    together = sum(
        (water.ground.fish[one].together_kg for one in stretch.fish if one in water.ground.fish),
        start=np.zeros(inputs.size),
    )
    share = np.maximum(inputs.of_reading("intended feed", intended.feed), 0.0) / _PER_CENT
    nitrogen = inputs.of_row("feed nitrogen", tables.row("feed_nitrogen", basis="ammonia nitrogen per feed"))
    hours = _MEAL_HOURS[:count] if count <= len(_MEAL_HOURS) else np.linspace(7.0, 21.0, count)
    for hour in hours:
        at_h = water.ground.clock.next_hour_of_day(float(hour), after_h=stretch.start_h)
        while at_h <= stretch.start_h + until_h:
            if at_h < stopped:
                yield Fed(
                    at_h=at_h - stretch.start_h,
                    feed_g=share * together * _G_PER_KG / count,
                    ammonia_kg_n_per_kg_feed=nitrogen,
                )
            at_h += 24.0


def first_change_h(water: WaterStay, stretch: Stretch) -> float:
    """The hour of the stay of the first daily change: at its hour of the day, half a day after the start at least."""
    at_h = water.ground.clock.next_hour_of_day(hours_of("change of water"), after_h=stretch.start_h)
    return at_h if at_h - stretch.start_h >= 12.0 else at_h + 24.0


# -- the case's own events ------------------------------------------------------------------------------------------


def _of_case(water: WaterStay, stretch: Stretch, until_h: float) -> Iterator[Event]:
    """The events of the case in this tank; what is past lies before the stretch and is in its readings."""
    for event in water.ground.case.events:
        if getattr(event, "water", "") not in ("", water.place.id, water.place.name):
            continue
        at_h = water.ground.clock.hours(event.at)
        if at_h is None or not 0.0 <= at_h - stretch.start_h <= until_h:
            continue
        made = _one_of_case(water, event, at_h - stretch.start_h)
        if made is not None:
            yield made


def _one_of_case(water: WaterStay, event: CaseEvent, at_h: float) -> Event | None:
    try:
        return _MAKERS[event.what](water, event, at_h) if event.what in _MAKERS else None
    except ImpossibleInput:
        return None


def _litres(water: WaterStay, event: CaseEvent) -> FloatArray:
    assert event.volume is not None
    return np.clip(np.full(water.start.size, event.volume.measured.best) / water.start[Q.VOLUME], 0.0, 1.0)


def _case_change(water: WaterStay, event: CaseEvent, at_h: float) -> Event:
    poured = Changed(action="case/event", water=water.place.id, litres=0.0, source=water.place.source or "home-pond")
    source = as_tank_water(source_for(water.ground, water.place, water.start, poured))
    return WaterChange(at_h=at_h, share_changed=_litres(water, event), source=source)


def _grams(event: CaseEvent) -> float:
    assert event.weight is not None
    return event.weight.measured.best * _G_PER_KG


def _handled(water: WaterStay, _: CaseEvent, at_h: float) -> Event:
    return Handled(at_h=at_h, stress_factor=stress(water.ground.inputs, FishState.HANDLED))


def _meal(water: WaterStay, event: CaseEvent, at_h: float) -> Event:
    row = tables.row("feed_nitrogen", basis="ammonia nitrogen per feed")
    nitrogen = water.ground.inputs.of_row("feed nitrogen", row)
    return Fed(at_h=at_h, feed_g=_grams(event), ammonia_kg_n_per_kg_feed=nitrogen)


_MAKERS: Mapping[Happens, Callable[[WaterStay, CaseEvent, float], Event]] = {
    Happens.CHANGE: _case_change,
    Happens.MEAL: _meal,
    Happens.SALT: lambda _, event, at_h: SaltDose(at_h=at_h, salt_g=_grams(event)),
    Happens.BICARBONATE: lambda _, event, at_h: BicarbonateDose(at_h=at_h, bicarbonate_g=_grams(event)),
    Happens.ICE: lambda _, event, at_h: IceIn(at_h=at_h, ice_kg=_grams(event) / _G_PER_KG),
    Happens.POWER_FAILS: lambda _, __, at_h: PowerFails(at_h=at_h),
    Happens.POWER_RETURNS: lambda _, __, at_h: PowerReturns(at_h=at_h),
    Happens.AIR_STOPS: lambda _, __, at_h: AirStops(at_h=at_h),
    Happens.AIR_RETURNS: lambda _, __, at_h: AirReturns(at_h=at_h),
    Happens.HEATER_STICKS: lambda _, __, at_h: HeaterSticksOn(at_h=at_h),
    Happens.HEATER_MENDED: lambda _, __, at_h: HeaterMended(at_h=at_h),
    Happens.LID_ON: lambda _, __, at_h: LidOn(at_h=at_h),
    Happens.LID_OFF: lambda _, __, at_h: LidOff(at_h=at_h),
    Happens.HANDLED: _handled,
    Happens.FILTER_DAMAGED: lambda _, event, at_h: FilterDamaged(at_h=at_h, treatment=event.words),
    Happens.CLEAN_TEST: lambda _, __, at_h: PairedTest(at_h=at_h, clean=True),
}
