"""Sums about a tub or a bag with a fish in it, without a case: a power cut, the air, the heater, the hours of a bag."""

from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from waterplan import tables
from waterplan.actions.heat.heating import least_watts, most_watts
from waterplan.actions.proposing import codes
from waterplan.actions.record import Action, Instead, Kind, Who
from waterplan.case.choices import Use
from waterplan.case.kinds import shown
from waterplan.case.model import Vessel
from waterplan.case.values import Reading
from waterplan.fish.size import length_of_species_cm
from waterplan.fish.species import Species
from waterplan.hazards.limit_rows import oxygen_level
from waterplan.hazards.record import Hazard, Why
from waterplan.plan.quick import Values
from waterplan.plan.record import Plan
from waterplan.published import FloatArray
from waterplan.spread import Draws
from waterplan.stay.course import Course
from waterplan.stay.equipment import Equipment, stone, tank_of
from waterplan.stay.figures import Figures
from waterplan.stay.fish import FishAtHand, more_than_at_rest
from waterplan.stay.inputs import Inputs
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, FishState, Moment
from waterplan.stay.standing import opened_after
from waterplan.stay.state import Known
from waterplan.stay.volume.found import volume_as_stated
from waterplan.stay.waters import hours_of
from waterplan.tank.air_needed import air_flow_to_hold_l_per_min, least_air, outlets
from waterplan.tank.bag import Bag
from waterplan.tank.course import Follow
from waterplan.tank.fish_events import Handled
from waterplan.tank.occupants import Fish
from waterplan.tank.setup import Setup
from waterplan.tank.through_time import course
from waterplan.tank.water_body import Room, Water
from waterplan.water.oxygen import saturation_mg_per_l

# Fewer draws than a plan has, so that the answer comes while the field is still being looked at.
_DRAWS = 512
_MIN_PER_H, _EVERY_H, _BAG_EVERY_H, _ROOM_BESIDE_FISH, _L_PER_M3 = 60.0, 0.25, 0.5, 1.001, 1000.0
_FISH = "patient-1"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Written:
    """A tub with its fish, as somebody wrote it: values with their units, the fish alike."""

    litres: str
    weight: str
    temperature: str
    species: str
    count: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Tub:
    """A tub with its fish, as the engine takes them, at a temperature that stays."""

    setup: Setup
    species: Species
    full: FloatArray

    def level(self, level: str) -> tables.Row:
        return oxygen_level([self.species.oxygen_group], state="settled", level=level)


def _values() -> Values:
    return Values(inputs=Inputs(draws=Draws(count=_DRAWS)))


def _filled(values: Values, tub: _Written, *, altitude: str = "") -> _Tub:
    """Reads the few values and fills the tub; what is wrong stops here."""
    read = values.reading("litres", tub.litres, "volume")
    values.need("litres", read, "give the litres, such as '200 L, marked tub'")
    each = values.needed("weight", tub.weight, "2.4 kg")
    temp = values.needed("temperature", tub.temperature, "18 °C")
    kind, number = values.species(tub.species), _count(values, tub.count)
    pressure = values.air_pressure_kpa(altitude)
    values.stop_if_wrong()
    fish = _fish(values, kind, each, number, temp)
    full = np.asarray(saturation_mg_per_l(temp, salinity_g_per_kg=0.0, air_pressure_kpa=pressure))
    together = number * each
    assert read is not None
    if float(read.measured.best) <= float(together[0]) * _ROOM_BESIDE_FISH:
        values.wrong("litres", repr(tub.litres), "that is less than the fish: give the litres that it swims in")
        values.stop_if_wrong()
    start = values.inputs.value(tables.row("hospital_demands", demand="start of saturation"))
    water = Water(water_temp_c=temp, do_mg_per_l=start * full)
    return _Tub(setup=_standing(values, read, together, water, pressure, fish), species=kind, full=full)


def _count(values: Values, text: str) -> int:
    text = text.strip() or "1"
    if text.isascii() and text.isdecimal() and len(text) <= 6 and int(text) > 0:
        return int(text)
    values.wrong("count", shown(text), "write how many, such as '2'")
    return 1


def _fish(values: Values, kind: Species, each: FloatArray, number: int, temp: FloatArray) -> Fish:
    weight = Known.made(values.inputs.weighed(each), None)
    length = Known.made(np.asarray(length_of_species_cm(each, species=kind.name)), None)
    one = FishAtHand(
        id=_FISH, name="", species=kind, count=number, patient=True, weight_kg=weight, length_cm=length, fasted=False
    )
    return one.breathing(values.inputs, temp)


def _standing(
    values: Values, litres: Reading, fish_kg: FloatArray, water: Water, pressure: FloatArray, *fish: Fish
) -> Setup:
    """The water of a tub of the usual depth, in a room as warm as it is."""
    inputs = values.inputs
    found = volume_as_stated(inputs, Figures(), water="tub", reading=litres, made_up=True)
    free_l = np.maximum(found.litres.draws - fish_kg, fish_kg * (_ROOM_BESIDE_FISH - 1.0) + 1e-6)
    vessel = Vessel(name="tub", use=Use.HOSPITAL)
    room = Room(air_temp_c=water.water_temp_c, air_pressure_kpa=pressure)
    return Setup(tank=tank_of(vessel, found, free_l, inputs), water=water, room=room, fish=fish)


def quick_power_cut(
    *,
    litres: str,
    weight: str,
    temperature: str,
    species_name: str = "unknown",
    count: str = "1",
    oxygen: str = "",
    altitude: str = "",
) -> Plan:
    """Minutes until a tub whose air stops needs attention, and until help is needed at once, with the fish upset.

    Parameters
    ----------
    litres, weight, temperature : str
        The tub, one fish, the water.
    species_name, count : str
        Which fish and how many of them alike.
    oxygen : str
        What is in the water now, such as `8 mg/L`; nearly full without it.
    altitude : str
        Sea level without it.

    Returns
    -------
    Plan
        Figures `oxygen/start`, and `oxygen/until-alarm/power off` and `.../until-emergency/...` with the levels.

    Raises
    ------
    CaseError
        What cannot be read, all together.
    """
    values = _values()
    there = values.level_of_oxygen(oxygen)
    written = _Written(litres=litres, weight=weight, temperature=temperature, species=species_name, count=count)
    tub = _filled(values, written, altitude=altitude)
    setup = tub.setup
    if there is not None:
        setup = replace(setup, water=replace(setup.water, do_mg_per_l=np.maximum(there, 0.0)))
    longest = hours_of("without power")
    upset = Handled(
        at_h=0.0, stress_factor=more_than_at_rest(values.inputs, FishState.HANDLED), handled_h=longest, name=_FISH
    )
    spent = tables.row("defaults", what="oxygen spent").value
    ran = course(
        setup,
        [upset],
        until_h=longest,
        every_h=_EVERY_H,
        step_h=_EVERY_H,
        follow=Follow.OXYGEN,
        over_when=lambda now: bool(np.all(now.oxygen_mg < spent * now.volume_l)),
    )
    kept = Course(
        start_h=0.0, until_h=longest, hours=ran.hours, values={Q.OXYGEN: ran.states[Q.OXYGEN.state].astype(np.float32)}
    )
    values.figures.put("oxygen/start", np.asarray(setup.water.do_mg_per_l), unit="mg/L", act_end=ActEnd.LOW)
    for level in ("alarm", "emergency"):
        row = tub.level(level)
        hours = kept.hours_until(Q.OXYGEN, row.value, falls=True)
        minutes = hours * _MIN_PER_H
        values.figures.put(f"oxygen/until-{level}/power off", minutes, unit="min", act_end=ActEnd.LOW, rows=[row.id])
        values.figures.put(f"oxygen/{level}", row.value, unit="mg/L", act_end=ActEnd.HIGH, rows=[row.id])
    return values.plan("power cut")


def quick_air(
    *, litres: str, weight: str, temperature: str, species_name: str = "unknown", count: str = "1", altitude: str = ""
) -> Plan:
    """The air that holds a tub at the level for a patient, the fish upset, through ordinary stones.

    Parameters
    ----------
    litres, weight, temperature : str
        The tub, one fish, the water.
    species_name, count : str
        Which fish and how many of them alike.
    altitude : str
        Sea level without it.

    Returns
    -------
    Plan
        Figures `air/needed`, `stones`, `oxygen/target`; where air cannot hold it, `oxygen/reachable` in their place.

    Raises
    ------
    CaseError
        What cannot be read, all together.
    """
    values = _values()
    written = _Written(litres=litres, weight=weight, temperature=temperature, species=species_name, count=count)
    tub = _filled(values, written, altitude=altitude)
    inputs, put = values.inputs, values.figures.put
    held = tables.row("hospital_demands", demand="oxygen to hold")
    row = max(held, tub.level("alarm"), key=lambda one: one.value)
    depth = tables.row("defaults", what="stone depth")
    found = least_air(
        tub.setup,
        stone=stone(Equipment(stone_depth_m=inputs.value(depth)), inputs, l_per_min=1.0),
        target_do_mg_per_l=row.value,
        stress_factor=more_than_at_rest(inputs, FishState.HANDLED),
    )
    put("oxygen/target", row.value, unit="mg/L", act_end=ActEnd.HIGH, rows=[row.id])
    if found.flow.value is None:
        put("oxygen/reachable", found.highest_do_mg_per_l, unit="mg/L", act_end=ActEnd.LOW)
        values.judge(Hazard.OXYGEN, "oxygen/reachable", row, *codes("air-alone-cannot-hold-it"))
        return values.plan("air")
    put("air/needed", found.flow.each, unit="L/min", act_end=ActEnd.HIGH, equations=[air_flow_to_hold_l_per_min])
    each = tables.row("aeration_rates", device="outlet")
    least = tables.row("aeration_rates", device="any tank", quantity="outlets")
    number = outlets(found.flow.value, most_l_per_min_per_outlet=each.value, least_outlets=int(least.value))
    put("stones", float(number), unit="pieces", act_end=ActEnd.HIGH, rows=[each.id, least.id])
    return values.plan("air")


def quick_heater(*, litres: str, temperature: str, room: str = "", species_name: str = "unknown") -> Plan:
    """The watts that hold a tub warm on the coldest hour, and the most that cannot cook the fish where they stick on.

    Parameters
    ----------
    litres, temperature : str
        The tub and what it is to be kept at.
    room : str
        The room; an unheated room of any season without it.
    species_name : str
        Whose tolerance is the ceiling.

    Returns
    -------
    Plan
        Figures `heater`, and `heater at most` where some watts are safe.

    Raises
    ------
    CaseError
        What cannot be read, all together, and a temperature that the fish does not bear.
    """
    values = _values()
    read = values.reading("litres", litres, "volume")
    values.need("litres", read, "give the litres, such as '200 L, marked tub'")
    target = values.needed("temperature", temperature, "20 °C")
    air = values.reading("room", room)
    kind = values.species(species_name)
    borne = tables.row("species_ranges", species=kind.name, range="tolerated temperature")
    ends = (borne.low, borne.high)
    if not values.mistakes and not ends[0] < target[0] < ends[1]:
        both = (*ends, *(32.0 + 1.8 * end for end in ends))
        told = "stay above {:g} and below {:g} °C ({:g} and {:g} °F) for this fish".format(*both)
        values.wrong("temperature", repr(temperature), told)
    values.stop_if_wrong()
    assert read is not None
    inputs, put = values.inputs, values.figures.put
    nothing, wanted = np.zeros(inputs.size), float(target[0])
    water = Water(water_temp_c=np.full(inputs.size, wanted), do_mg_per_l=nothing)
    setup = _standing(values, read, nothing, water, values.air_pressure_kpa())
    swing = np.maximum(inputs.or_default("room swing", None), 0.0)
    around = replace(setup.room, air_temp_c=inputs.or_default("room temperature", air), daily_swing_c=swing)
    setup = replace(setup, room=around)
    least = least_watts(setup, wanted, lid=None, inputs=inputs)
    sized = {"heater": put("heater", least.each, unit="W", act_end=ActEnd.HIGH)}
    unattended_h = tables.row("defaults", what="unattended").value / _MIN_PER_H
    most = most_watts(setup, wanted, lid=None, highest_c=borne.high, unattended_h=unattended_h, inputs=inputs)
    if most is not None:
        sized["most"] = put("heater at most", most, unit="W", act_end=ActEnd.LOW, rows=[borne.id])
    watts = [values.figures.record(path).act_on or 0.0 for path in sized.values()]
    if watts[0] <= max(watts[1:], default=0.0):
        return values.plan("heater")
    why, ways = ((Why(code=code, figures=sized),) for code in ("one-heater-is-not-safe", "instead-of-one-heater"))
    path, instead = f"{Moment.PREPARE}/{Kind.WARM}/tub", (Instead(kind=Kind.WARM, because=ways),)
    action = Action(
        id=path, kind=Kind.WARM, moment=Moment.PREPARE, water=None, who=Who.NURSE, refused_because=why, instead=instead
    )
    return values.plan("heater", actions=[action])


def quick_bag(
    *, litres: str, oxygen: str, weight: str, temperature: str, species_name: str = "unknown", count: str = "1"
) -> Plan:
    """How long a fish may stay in a closed bag with oxygen over the water, upset: until gas or oxygen passes its limit.

    Parameters
    ----------
    litres, oxygen : str
        The water, and the oxygen over it; the usual share where the oxygen is left out.
    weight, temperature : str
        One fish, and the water.
    species_name, count : str
        Which fish and how many of them alike.

    Returns
    -------
    Plan
        Figures `hours`, `carbon dioxide/until-limit` and `oxygen/until-alarm`, and the kilograms in a cubic metre.

    Raises
    ------
    CaseError
        What cannot be read, all together.
    """
    values = _values()
    over = values.draws("oxygen", oxygen)
    written = _Written(litres=litres, weight=weight, temperature=temperature, species=species_name, count=count)
    tub = _filled(values, written)
    setup, inputs = tub.setup, values.inputs
    free, together = np.asarray(setup.tank.volume_l), np.asarray(setup.fish[0].biomass_kg)
    share = inputs.value(tables.row("defaults", what="bag oxygen"))
    alkaline = inputs.of_row("alkalinity", tables.row("defaults", what="alkalinity"))
    gas = (free + together) * share / (1.0 - share) if over is None else over
    water, air = replace(setup.water, alkalinity_mg_caco3_per_l=alkaline), setup.room.air_pressure_kpa
    bag = Bag(volume_l=free, gas_l=gas, water=water, fish=setup.fish, air_pressure_kpa=air)
    breath, level = tables.row("defaults", what="carbon dioxide on the way"), tub.level("alarm")
    gassed, breathless = _bag_clocks(inputs, bag, breath.value, level.value)
    put = values.figures.put
    minutes = partial(put, unit="min", act_end=ActEnd.LOW)
    minutes("hours", np.minimum(gassed, breathless), rows=[breath.id, level.id])
    minutes("carbon dioxide/until-limit", gassed, rows=[breath.id])
    minutes("oxygen/until-alarm", breathless, rows=[level.id])
    loading = tables.row("bag_loading", stage="patient")
    put("stocking", together / (free + together) * _L_PER_M3, unit="kg/m3", act_end=ActEnd.HIGH)
    put("stocking/limit", loading.value, unit="kg/m3", act_end=ActEnd.LOW, rows=[loading.id])
    crowded = together / (free + together) * float((free + together)[0])
    more = put("litres/needed", crowded / loading.value * _L_PER_M3, unit="L", act_end=ActEnd.HIGH, rows=[loading.id])
    why = Why(code="take-more-water-for-the-bag", figures={"litres": more})
    values.judge(Hazard.STOCKING, "stocking", loading, why, harm=loading.high)
    return values.plan("bag")


def _bag_clocks(inputs: Inputs, bag: Bag, most_co2: float, least_oxygen: float) -> tuple[FloatArray, FloatArray]:
    """Minutes until a bag passes the carbon dioxide, and falls under the oxygen, of each draw; infinite beyond the longest way."""
    hours = np.arange(0.0, hours_of("bag clocks") + 1e-9, _BAG_EVERY_H)
    held = []
    for hour in hours:
        held.append(opened_after(bag, float(hour), inputs=inputs))
        past = (held[-1].co2_mg_per_l > most_co2) & (held[-1].do_mg_per_l < least_oxygen)
        if np.all(past):
            break
    levels = {Q.CARBON_DIOXIDE: [one.co2_mg_per_l for one in held], Q.OXYGEN: [one.do_mg_per_l for one in held]}
    values, looked = {name: np.array(each, np.float32) for name, each in levels.items()}, hours[: len(held)]
    kept = Course(start_h=0.0, until_h=float(looked[-1]), hours=looked, values=values)
    gassed = kept.hours_until(Q.CARBON_DIOXIDE, most_co2, falls=False)
    breathless = kept.hours_until(Q.OXYGEN, least_oxygen, falls=True)
    return gassed * _MIN_PER_H, breathless * _MIN_PER_H
