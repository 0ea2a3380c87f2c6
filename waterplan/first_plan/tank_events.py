"""What happens to the hospital tank during the stay: ramps, salt, changes, meals, the case's own events, a what-if."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from waterplan import tables
from waterplan.dose import salt
from waterplan.dose.rounding import Safe, round_safely
from waterplan.errors import ImpossibleInput, Refused, Unanswerable
from waterplan.first_plan.daily_change import meals, scheduled_change_l
from waterplan.first_plan.desk import Desk
from waterplan.first_plan.first_case.model import CaseEvent
from waterplan.first_plan.first_case.tank_choices import Happens
from waterplan.first_plan.new_water import source_name
from waterplan.first_plan.salting import salt_wanted_g_per_l
from waterplan.first_plan.tank_setup import new_water, patient, stress
from waterplan.published import FloatArray
from waterplan.spread import band
from waterplan.tank.equipment_events import (
    AirReturns,
    AirStops,
    HeaterMended,
    HeaterSticksOn,
    LidOff,
    LidOn,
    PowerFails,
    PowerReturns,
    ThermostatSet,
)
from waterplan.tank.events import BicarbonateDose, Event, IceIn, SaltDose, WaterChange
from waterplan.tank.fish_events import Fed, FilterDamaged, FishIn, FishOut, Handled, PairedTest
from waterplan.tank.temperature_ramp import temperature_ramp
from waterplan.tank.water_body import Water

CHANGE_HOUR, NIGHT_HOUR, CUT_H = 10.0, 22.0, 12.0
_LEAST_BEFORE_CHANGE_H, _MISSED_DAYS = 12.0, 3
_G_PER_KG = 1000.0


class WhatIf(StrEnum):
    """What may go wrong, as an explicit choice."""

    NOTHING = "as planned"
    POWER_CUT = "power fails at 10 in the evening, for 12 hours"
    AIR_STOPS = "air pump stops at 10 in the evening, for 12 hours"
    HEATER_STICKS = "heater sticks on at 10 in the evening, until somebody looks"
    MISSED_CHANGES = "no change of water for the first three days"


@dataclass(frozen=True, slots=True, kw_only=True)
class Salting:
    """Salt to weigh: the parts that bring the tank to its level [h, g], and what each change's new water takes [g]."""

    parts: tuple[tuple[float, float], ...] = ()
    per_change_g: float = 0.0
    new_water_g_per_l: float = 0.0


def salting(desk: Desk, change_l: float | None) -> Salting:
    """Salt of the stay, weighed down to the scale: none where none is wanted, it is refused or the question is open."""
    tank, target = desk.hospital_tank(), salt_wanted_g_per_l(desk)
    source = float(band(np.maximum(_source_salt(desk), 0.0)).best)
    if target is None:
        return Salting(new_water_g_per_l=source)
    present, volume = band(np.maximum(desk.salinity_g_per_l(tank.name), 0.0)), band(desk.vessel_l(tank))
    needed = float(salt.salt_to_add_g(volume.low, present_g_per_l=present.high, intended_g_per_l=target))
    scale = tables.row("defaults", what="scale division")
    division = scale.value * (_G_PER_KG if scale.unit == "kg" else 1.0)
    weighed = _weighed(needed, division)
    steps = salt.salt_steps(present.best, intended_g_per_l=target) if weighed else ()
    part = weighed // len(steps) if steps else 0.0
    grams = [part] * (len(steps) - 1) + [weighed - part * (len(steps) - 1)] if steps else []
    parts = tuple((step.at_h, gram) for step, gram in zip(steps, grams, strict=True))
    per_change = _weighed(max(target - source, 0.0) * change_l, division) if change_l else 0.0
    level = source + per_change / change_l if change_l else source
    return Salting(parts=parts, per_change_g=per_change, new_water_g_per_l=level)


def _weighed(grams: float, division: float) -> float:
    rounded = round_safely(grams, division=division, safe=Safe.DOWN)
    return 0.0 if rounded.below_resolution else rounded.amount


def _source_salt(desk: Desk) -> FloatArray:
    return desk.salinity_g_per_l(source_name(desk))


def stay_events(desk: Desk, *, days: float, start_clock_h: float, what_if: WhatIf) -> tuple[Event, ...]:
    """Everything that happens during the stay, in order of time; at one time, what is to come first stands first."""
    until = 24.0 * days
    change_l = scheduled_change_l(desk)
    salts = salting(desk, change_l)
    made: list[Event] = []
    if desk.hospital_tank().lid == "yes":
        made.append(LidOn(at_h=0.0))
    made.append(Handled(at_h=0.0, stress_factor=stress(desk, "handled")))
    made += _ramp(desk, until)
    made += [SaltDose(at_h=at, salt_g=grams) for at, grams in salts.parts if at <= until]
    made += meals(desk, days=days, start_clock_h=start_clock_h)
    if change_l is not None:
        skipped = _MISSED_DAYS if what_if is WhatIf.MISSED_CHANGES else 0
        source = new_water(desk, temp=desk.hospital_temperature_c(), salt_g_per_l=salts.new_water_g_per_l)
        share = np.minimum(change_l / desk.vessel_l(desk.hospital_tank()), 1.0)
        made += [
            WaterChange(at_h=at, share_changed=share, source=source)
            for at in change_times(days, start_clock_h)[skipped:]
        ]
    made += [_of_case(desk, event) for event in desk.case.events]
    made += _gone_wrong(desk, what_if, start_clock_h)
    return tuple(sorted((one for one in made if 0.0 <= one.at_h <= until), key=lambda event: event.at_h))


def change_times(days: float, start_clock_h: float) -> list[float]:
    """Hours from the start at which the water is changed each day."""
    first = (CHANGE_HOUR - start_clock_h) % 24.0
    if first < _LEAST_BEFORE_CHANGE_H:
        first += 24.0
    return [at for day in range(int(days) + 1) if (at := first + 24.0 * day) < 24.0 * days]


def _ramp(desk: Desk, until: float) -> list[Event]:
    """The thermostat set step by step, as the plan's ramp has it."""
    tank = desk.hospital_tank()
    if tank.heater is None:
        return []
    hour = tables.row("temperature_steps", situation="convalescent", limit="per hour").value
    day = tables.row("temperature_steps", situation="convalescent", limit="per day").value
    start, target = float(desk.temperature_c(tank.name)[0]), float(desk.hospital_temperature_c()[0])
    steps = temperature_ramp(start, target_temp_c=target, per_hour_c=hour, per_day_c=day)
    return [ThermostatSet(at_h=step.at_h, target_temp_c=step.water_temp_c) for step in steps if step.at_h <= until]


def _gone_wrong(desk: Desk, what_if: WhatIf, start_clock_h: float) -> list[Event]:
    night = (NIGHT_HOUR - start_clock_h) % 24.0
    unattended = desk.case.intended.unattended
    alone = (unattended.measured.best if unattended else tables.row("defaults", what="unattended").value) / 60.0
    return {
        WhatIf.NOTHING: [],
        WhatIf.MISSED_CHANGES: [],
        WhatIf.POWER_CUT: [PowerFails(at_h=night), PowerReturns(at_h=night + CUT_H)],
        WhatIf.AIR_STOPS: [AirStops(at_h=night), AirReturns(at_h=night + CUT_H)],
        WhatIf.HEATER_STICKS: [HeaterSticksOn(at_h=night), HeaterMended(at_h=night + alone)],
    }[what_if]


# -- the case's own events ------------------------------------------------------------------------------------------


def _of_case(desk: Desk, event: CaseEvent) -> Event:
    """An event of the case as the tank takes it; what cannot be is refused with the event named."""
    begin = desk.start()
    if begin is None:
        raise Unanswerable("[intended] operation_at: the events of the case are counted from it")
    at_h = (event.at - begin).total_seconds() / 3600.0
    try:
        return _MAKERS[event.what](desk, event, at_h)
    except ImpossibleInput as wrong:
        raise Refused(f"{event.what} at {event.at:%Y-%m-%d %H:%M}: {wrong}") from None


def _change(desk: Desk, event: CaseEvent, at_h: float) -> Event:
    assert event.volume is not None  # the reader has seen to it
    holds, litres = float(desk.vessel_l(desk.hospital_tank())[0]), event.volume.measured.best
    if litres > holds:
        raise ImpossibleInput("water changed", f"{litres:g} L", f"at most what the tank holds, {holds:.0f} L")
    share = np.clip(
        desk.drawn_reading(f"event {event.at}", event.volume) / desk.vessel_l(desk.hospital_tank()), 0.0, 1.0
    )
    water: Water = new_water(
        desk,
        temp=desk.hospital_temperature_c(),
        salt_g_per_l=salting(desk, scheduled_change_l(desk)).new_water_g_per_l,
    )
    return WaterChange(at_h=at_h, share_changed=share, source=water)


def _grams(event: CaseEvent) -> float:
    assert event.weight is not None  # the reader has seen to it
    return event.weight.measured.best * _G_PER_KG


def _meal(desk: Desk, event: CaseEvent, at_h: float) -> Event:
    nitrogen = desk.drawn_row("feed nitrogen", tables.row("feed_nitrogen", basis="ammonia nitrogen per feed"))
    return Fed(at_h=at_h, feed_g=_grams(event), ammonia_kg_n_per_kg_feed=nitrogen)


def _fish_in(desk: Desk, event: CaseEvent, at_h: float) -> Event:
    kilograms = _grams(event) / _G_PER_KG
    fish = replace(patient(desk, desk.hospital_temperature_c()), name=event.words, biomass_kg=kilograms)
    return FishIn(at_h=at_h, fish=fish)


_MAKERS: Mapping[Happens, Callable[[Desk, CaseEvent, float], Event]] = {
    Happens.CHANGE: _change,
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
    Happens.HANDLED: lambda desk, _, at_h: Handled(at_h=at_h, stress_factor=stress(desk, "handled")),
    Happens.FISH_IN: _fish_in,
    Happens.FISH_OUT: lambda _, event, at_h: FishOut(at_h=at_h, name=event.words),
    Happens.FILTER_DAMAGED: lambda _, event, at_h: FilterDamaged(at_h=at_h, treatment=event.words),
    Happens.CLEAN_TEST: lambda _, __, at_h: PairedTest(at_h=at_h, clean=True),
}
