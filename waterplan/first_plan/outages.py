"""When air or power stops: every tub, the hospital tank, the home pond at night, and the back-up that would hold them."""

from dataclasses import replace

import numpy as np

from waterplan import tables
from waterplan.errors import Unanswerable
from waterplan.findings import Moment, Verdict, amount
from waterplan.first_plan.answers import Answer, Limit, Side
from waterplan.first_plan.call import oxygen_level
from waterplan.first_plan.desk import HOME, Desk
from waterplan.first_plan.first_case.model import Vessel
from waterplan.first_plan.first_case.schema import Use
from waterplan.first_plan.first_case.tank_choices import BackUp
from waterplan.first_plan.procedure import hours_to
from waterplan.first_plan.tank_days import unattended_h
from waterplan.first_plan.tank_setup import (
    breathing_patient,
    filter_of,
    handled,
    heater_of,
    home_fish,
    room_of,
    still_water,
    stone_of,
    stones_of,
    tank_of,
)
from waterplan.spread import Measured, band
from waterplan.tank.aeration import Diffuser
from waterplan.tank.air_needed import AirNeeded, least_air
from waterplan.tank.answers import SEARCH_DRAWS, thinned
from waterplan.tank.power_cut import WithoutPower, without_power
from waterplan.tank.setup import Setup
from waterplan.tank.water_body import Room, Tank

_STATES = {Use.INDUCTION: "anaesthetised", Use.IRRIGATION: "anaesthetised", Use.REVIVAL: "anaesthetised"}
_MOMENTS = {Use.INDUCTION: Moment.PROCEDURE, Use.IRRIGATION: Moment.PROCEDURE, Use.REVIVAL: Moment.REVIVAL}
_LOOKED_AT_H = 24.0
_POND_STONE_M, _MOST_POND_SHARE = 1.0, 0.97


def outages(desk: Desk) -> None:
    """The back-up of every tub, and how long tank and pond last without power."""
    for vessel in desk.case.vessels:
        if vessel.use is not Use.DIP:
            moment = _MOMENTS.get(vessel.use, Moment.HOSPITAL)
            title = f"{vessel.name}, air off: the back-up that it needs"
            desk.answer(moment, f"back-up: {vessel.name}", title, back_up, vessel)
    for vessel in desk.case.vessels_for(Use.HOSPITAL):
        title = f"{vessel.name}, power cut at night: to the emergency level"
        desk.answer(Moment.HOSPITAL, f"power cut: {vessel.name}", title, power_cut, vessel)
    if desk.case.home_pond is not None:
        title = "Home pond, power cut at night: to the emergency level"
        desk.answer(Moment.HOME, "power cut: home pond", title, pond_power_cut)


def back_up(desk: Desk, vessel: Vessel) -> Answer:
    """The least air that holds the emergency level with the fish handled, and by when it must run."""
    state, temp = _STATES.get(vessel.use, "settled"), desk.temperature_c(vessel.name)
    setup = Setup(
        tank=Tank(volume_l=desk.free_l(vessel)),
        water=still_water(desk, vessel.name, temp=temp),
        room=Room(air_temp_c=temp, air_pressure_kpa=desk.air_pressure_kpa()),
        fish=(handled(desk, breathing_patient(desk, temp)),),
    )
    emergency = oxygen_level(desk, state, "emergency")
    need = least_air(setup, stone=stone_of(desk, vessel, 1.0), target_do_mg_per_l=emergency)
    short = band(hours_to(desk, vessel, emergency)).low * 60.0
    when = f"within {amount(short, unit='min')} of the air's stop" if short >= 1.0 else "at once"
    how = "the tub's oxygen balance, surface none, the fish handled: air that holds the emergency level in 95 % of the draws"
    if need.flow.value is None:
        text = f"No air holds {amount(emergency, unit='mg/L')} here: oxygen must be on {when}."
        return Answer(text=text, verdict=Verdict.ACT, method=how)
    text = f"{_through(need)} hold {amount(emergency, unit='mg/L')}; they must run {when}"
    return _judged(desk, vessel, text, need, how)


def _judged(desk: Desk, vessel: Vessel, text: str, need: AirNeeded, how: str) -> Answer:
    """The back-up that is needed against the one that the case names."""
    each = need.flow.each
    if vessel.back_up is BackUp.CYLINDER:
        return Answer(
            text=f"{text}. An oxygen cylinder stands by.", unit="L/min", values=each, verdict=Verdict.PASS, method=how
        )
    if vessel.back_up in (None, BackUp.NONE):
        lack = "No back-up is named" if vessel.back_up is None else "There is none"
        return Answer(
            text=f"{text}. {lack}: have a battery pump beside it.",
            unit="L/min",
            values=each,
            verdict=Verdict.WATCH,
            method=how,
        )
    if vessel.back_up_air is not None:
        given = desk.drawn_reading(f"vessel {vessel.name}.back_up_air", vessel.back_up_air)
    else:
        row = tables.row("defaults", what="back-up air")
        given = np.full(desk.draws.count + 1, row.value)
        text += f" (the pump's air was not given: {amount(row.value, unit='L/min')} is assumed)"
    words = f"the battery pump blows {amount(given[0], unit='L/min')}"
    return Answer(
        text=f"{text}; {words}.",
        unit="L/min",
        values=each,
        limit=Limit(value=given, side=Side.AT_MOST, words=words),
        method=how,
    )


def _through(need: AirNeeded) -> str:
    stones = f"{need.outlets} stone{'s' if need.outlets and need.outlets > 1 else ''}"
    return f"{amount(need.flow.value or 0.0, unit='L/min')} through {stones}"


def _without_power(setup: Setup, alarm: float, emergency: float, stone: Diffuser) -> WithoutPower:
    """The balance over a night and a day, with as many draws as a search uses."""
    return without_power(
        thinned(setup, SEARCH_DRAWS),
        alarm_do_mg_per_l=alarm,
        emergency_do_mg_per_l=emergency,
        back_up_stone=thinned(stone, SEARCH_DRAWS),
        horizon_h=_LOOKED_AT_H,
    )


def power_cut(desk: Desk, vessel: Vessel) -> Answer:
    """Hours until the hospital tank is at the emergency level after a power cut, the fish settled."""
    temp = desk.hospital_temperature_c()
    setup = Setup(
        tank=tank_of(desk, vessel),
        water=replace(still_water(desk, vessel.name, temp=temp), water_temp_c=temp),
        room=room_of(desk),
        fish=(breathing_patient(desk, temp),),
        aeration=stones_of(desk, vessel),
        heater=heater_of(desk, vessel),
        filter=filter_of(desk, vessel),
        start_clock_h=22.0,
    )
    alarm, emergency = oxygen_level(desk, "settled", "alarm"), oxygen_level(desk, "settled", "emergency")
    found = _without_power(setup, alarm, emergency, stone_of(desk, vessel, 1.0))
    return _lasts(
        desk, found, alarm, emergency, "the settled fish, the tank cooling with the room, surface none", vessel.back_up
    )


def pond_power_cut(desk: Desk) -> Answer:
    """Hours until the home pond is at the emergency level after a power cut at night, mud and plankton counted."""
    pond, temp = desk.case.home_pond, desk.temperature_c(HOME)
    assert pond is not None  # asked only where there is one
    fish = home_fish(desk, temp)
    together = sum((one.uptake_mg_per_h(temp) for one in fish), start=np.zeros(desk.draws.count + 1))
    row = tables.row("pond_respiration", pond="share of a pond's respiration that is not its animals")
    share = np.minimum(
        desk.drawn("pond respiration", Measured.from_range(row.low, row.value, row.high)), _MOST_POND_SHARE
    )
    weight = sum((np.asarray(one.biomass_kg) for one in fish), start=np.zeros(desk.draws.count + 1))
    free = desk.pond_l() - weight
    if free[0] <= 0.0:
        raise Unanswerable("the size of the home pond again: it is smaller than its fish")
    setup = Setup(
        tank=Tank(
            volume_l=np.maximum(free, 1.0), other_demand_mg_per_h=together * share / (1.0 - share), rates_at_temp_c=temp
        ),
        water=still_water(desk, HOME, temp=temp),
        room=Room(air_temp_c=temp, air_pressure_kpa=desk.air_pressure_kpa()),
        fish=fish,
        start_clock_h=22.0,
    )
    depth = desk.drawn_reading("home pond.depth", pond.body.depth) if pond.body.depth is not None else _POND_STONE_M
    stone = Diffuser(
        air_flow_l_per_min=1.0,
        depth_m=np.minimum(depth, _POND_STONE_M),
        sote_percent_per_m=desk.drawn_row(
            "SOTE air stone", tables.row("aeration_rates", device="air stone", quantity="SOTE per metre")
        ),
    )
    alarm, emergency = oxygen_level(desk, "settled", "alarm"), oxygen_level(desk, "settled", "emergency")
    found = _without_power(setup, alarm, emergency, stone)
    what = "all fish settled, mud and plankton taking what they do in ponds, surface none, in the dark"
    made = _lasts(desk, found, alarm, emergency, what, None)
    return replace(made, text=f"{made.text} A battery air pump, charged and run for ten minutes each week.")


def _lasts(desk: Desk, found: WithoutPower, alarm: float, emergency: float, what: str, named: BackUp | None) -> Answer:
    """The answer of a power cut: hours to the emergency against the time that nobody looks, and the back-up."""
    hours, alone = found.to_emergency.hours, unattended_h(desk)
    low, best, _ = band(hours)
    to_alarm = found.to_alarm.within
    text = (
        f"{_comes_to('the emergency level', emergency, best, low)} "
        f"{_comes_to('the alarm level', alarm, to_alarm.best, to_alarm.low)}"
    )
    if found.back_up.flow.value is None:
        text += f" No air holds {amount(emergency, unit='mg/L')}: oxygen, or fewer fish."
    elif low <= alone:
        text += f" Back-up: {_through(found.back_up)} hold it."
    limit = Limit(value=alone, side=Side.AT_LEAST, words=f"the {amount(alone, unit='h')} that nobody looks")
    how = f"oxygen balance without power: {what}"
    if named is BackUp.BATTERY or named is BackUp.CYLINDER:
        text += f" The {named} stands by: try it before every night."
    return Answer(text=text, unit="h", values=hours, limit=limit, method=how)


def _comes_to(what: str, level: float, best: float, low: float) -> str:
    """When a level is reached, by the best figures and at the short end."""
    named, looked_at = f"{what}, {amount(level, unit='mg/L')}", amount(_LOOKED_AT_H, unit="h")
    if best <= 0.0:
        return f"It is at {named}, already."
    if low >= _LOOKED_AT_H:
        return f"It does not come to {named}, within {looked_at}, even at the short end."
    short = "at once" if low <= 0.0 else f"after {amount(low, unit='h')}"
    if best >= _LOOKED_AT_H:
        return f"It comes to {named}, {short} at the short end, by the best figures not within {looked_at}."
    return f"It comes to {named}, after {amount(best, unit='h')} by the best figures, {short} at the short end."
