"""A water that stands with its fish in it: the tank's engine from stretch to stretch, with everything that happens."""

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from waterplan import tables
from waterplan.published import FloatArray
from waterplan.stay.course import Course, Scenario, kept, record_every_h
from waterplan.stay.effects import AirIsOn, BackUpReady, ThermostatRamp
from waterplan.stay.equipment import AIR, BACK_UP, OXYGEN, biofilter, heater, stone, tank_of
from waterplan.stay.fish import stress
from waterplan.stay.happenings import happenings
from waterplan.stay.operations import bring_to_temperature
from waterplan.stay.quantities import COURSE_STATES, Q
from waterplan.stay.record import FishState, WaterKind
from waterplan.stay.state import State, as_tank_water
from waterplan.stay.waters import Presence, Stretch, hours_of
from waterplan.stay.whole import WaterStay
from waterplan.tank.aeration import Diffuser, Gas
from waterplan.tank.body import Body
from waterplan.tank.course import Course as TankCourse
from waterplan.tank.course import Follow
from waterplan.tank.equipment_events import PowerFails
from waterplan.tank.events import Event
from waterplan.tank.fish_events import FishIn, FishOut, Handled
from waterplan.tank.occupants import Fish as TankFish
from waterplan.tank.setup import Heater, Setup
from waterplan.tank.through_time import course
from waterplan.tank.water_body import Room

_SOONER_H = 1e-3
_NEARLY_ALL, _TIMES_ENOUGH = 0.99, 4.0


def stand(water: WaterStay, stretch: Stretch, scenario: Scenario) -> Course:
    """The water through a stretch and on to the end of its clocks.

    Parameters
    ----------
    water : WaterStay
        The water, its equipment and what is done to it.
    stretch : Stretch
        From when until when, and who is in it.
    scenario : Scenario
        As planned, or without power from the start: then at the temperature that it is kept at.

    Returns
    -------
    Course
        What is kept of it.
    """
    setup = setup_of(water, stretch, scenario)
    length = stretch.until_h - stretch.start_h
    horizon = _horizon_h(water, stretch, scenario)
    events = [
        *_arrivals(water, stretch, setup, horizon),
        *_states_of_fish(water, stretch, horizon),
        *happenings(water, stretch, scenario, until_h=length),
    ]
    if scenario is Scenario.POWER_OFF:
        events.append(PowerFails(at_h=0.0))
    else:
        events.append(Event_of_end(at_h=length))
    events = sorted((one for one in events if one.at_h <= horizon + 1e-9), key=lambda one: one.at_h)
    follow = Follow.ALL if scenario is Scenario.AS_PLANNED else Follow.OXYGEN
    long = scenario is Scenario.POWER_OFF or length > hours_of("tub clocks")

    def through(setup: Setup, over_when: Callable[[Body], bool] | None) -> TankCourse:
        return course(
            setup,
            events,
            until_h=horizon,
            every_h=record_every_h(horizon),
            follow=follow,
            over_when=over_when,
        )

    made = through(setup, _spent(0.0 if long else length))
    if follow is Follow.ALL and made.hours[-1] < length - _SOONER_H:
        aired = through(replace(setup, aeration=(*setup.aeration, _ample(water, stretch))), None)
        return kept(_oxygen_of(made, aired), start_h=stretch.start_h, until_h=stretch.until_h)
    return kept(made, start_h=stretch.start_h, until_h=stretch.until_h)


def _ample(water: WaterStay, stretch: Stretch) -> Diffuser:
    """More air than any fish needs: for what else becomes of a water whose fish would be dead within hours."""
    fish, inputs = water.ground.fish, water.ground.inputs
    each = tables.row("defaults", what="air for each kg").high
    kilograms = sum((fish[one].together_kg for one in stretch.fish if one in fish), start=np.zeros(inputs.size))
    return stone(water.equipment, inputs, l_per_min=_TIMES_ENOUGH * each * kilograms, name="ample air")


def _oxygen_of(spent: TankCourse, other: TankCourse) -> TankCourse:
    """The other course with the oxygen of one that ended when it was spent, and stays so."""
    name, rows = COURSE_STATES[Q.OXYGEN], other.hours.size - spent.hours.size
    oxygen = spent.states[name]
    held = np.concatenate([oxygen, np.repeat(oxygen[-1:], rows, axis=0)])
    return replace(other, states={**other.states, name: held})


def _spent(not_before_h: float) -> Callable[[Body], bool]:
    """Whether, after its stretch, nearly all draws have less oxygen than any level that is asked for."""
    level = tables.row("defaults", what="oxygen spent").value

    def is_over(body: Body) -> bool:
        low = body.oxygen_mg < level * body.volume_l
        return body.now_h >= not_before_h and float(low.mean()) >= _NEARLY_ALL

    return is_over


class Event_of_end(Event):  # noqa: N801
    """Nothing: the course is written down at the end of the stretch."""

    words = "end of the stretch"

    def happen(self, body: object) -> None:
        """Does nothing."""


def setup_of(water: WaterStay, stretch: Stretch, scenario: Scenario = Scenario.AS_PLANNED) -> Setup:
    """The water as it stands at the start of a stretch, with its fish and its equipment, for the tank's engine."""
    ground, inputs = water.ground, water.ground.inputs
    state = start_of(water, scenario)
    temp = state[Q.TEMPERATURE]
    fish = tuple(_breathing(water, stretch, temp))
    fed = sum(float(np.asarray(one.excretion_mg_n_per_h(temp))[0]) for one in fish)
    indoors = water.place.vessel is not None
    room = ground.room if indoors else Room(air_temp_c=temp, air_pressure_kpa=ground.air_pressure_kpa)
    tank = tank_of(water.place.vessel, water.found, water.free_l, inputs)
    if water.place.kind is WaterKind.HOME:
        tank = replace(tank, other_demand_mg_per_h=pond_itself_mg_per_h(water, fish, temp), rates_at_temp_c=temp)
    return Setup(
        tank=tank,
        water=as_tank_water(state),
        room=room,
        fish=tuple(
            one for one, present in zip(fish, stretch.present, strict=False) if present.start_h <= stretch.start_h
        ),
        aeration=(*stones_of(water), *_back_up(water, scenario)),
        heater=_heater(water, temp),
        filter=biofilter(water.equipment, fed_mg_n_per_h=fed, warm_c=float(temp[0]), inputs=inputs),
        start_clock_h=ground.clock.hour_of_day(stretch.start_h),
    )


def start_of(water: WaterStay, scenario: Scenario) -> State:
    """The state that a stretch begins with; without power, at the temperature that the water is kept at if that is warmer."""
    kept_c = water.ground.kept_temp_c(water.place.id)
    if scenario is Scenario.AS_PLANNED or kept_c is None:
        return water.start
    return bring_to_temperature(
        water.start, np.maximum(kept_c, water.start[Q.TEMPERATURE]), came_from="kept temperature"
    )


def stones_of(water: WaterStay) -> tuple[Diffuser, ...]:
    """The stones that run: as the case has them, or as the last actions that set the air and the oxygen have left them."""
    inputs, equipment = water.ground.inputs, water.equipment
    flows = {} if equipment.air_l_per_min is None else {AIR: equipment.air_l_per_min}
    for effect in water.effects:
        if isinstance(effect, AirIsOn):
            flows[OXYGEN if effect.oxygen else AIR] = np.zeros(inputs.size) + effect.l_per_min
    made = {name: stone(equipment, inputs, l_per_min=flow, name=name) for name, flow in flows.items()}
    return tuple(replace(one, gas=Gas.OXYGEN) if name == OXYGEN else one for name, one in made.items())


def _back_up(water: WaterStay, scenario: Scenario) -> Iterator[Diffuser]:
    """The pump that runs without mains, where one stands ready."""
    ready = [one for one in water.effects if isinstance(one, BackUpReady)]
    if ready and scenario is Scenario.POWER_OFF:
        inputs = water.ground.inputs
        flow = np.zeros(inputs.size) + ready[-1].l_per_min
        yield replace(stone(water.equipment, inputs, l_per_min=flow, name=BACK_UP), mains=False)


def pond_itself_mg_per_h(water: WaterStay, fish: tuple[TankFish, ...], temp: FloatArray) -> FloatArray:
    """What plankton and mud take beside the fish, by the share of a pond's respiration that is not its animals'."""
    row = tables.rows("pond_respiration")[0]
    share = np.clip(water.ground.inputs.of_row("share of the pond itself", row), 0.0, 0.97)
    animals = sum((one.uptake_mg_per_h(temp) for one in fish), start=np.zeros(temp.size))
    return np.asarray(animals * share / (1.0 - share))


def _horizon_h(water: WaterStay, stretch: Stretch, scenario: Scenario) -> float:
    length = stretch.until_h - stretch.start_h
    if scenario is Scenario.POWER_OFF:
        return hours_of("without power")
    if water.place.kind in (WaterKind.HOSPITAL, WaterKind.HOME):
        return length
    return max(length, hours_of("tub clocks"))


def _breathing(water: WaterStay, stretch: Stretch, temp: FloatArray) -> Iterator[TankFish]:
    for present in stretch.present:
        if present.fish in water.ground.fish:
            yield water.ground.fish[present.fish].breathing(water.ground.inputs, temp)


def _arrivals(water: WaterStay, stretch: Stretch, setup: Setup, horizon: float) -> Iterator[Event]:
    """Fish that come after the first, and those that leave before the end."""
    for present in _here(water, stretch):
        at_h = present.start_h - stretch.start_h
        if at_h > 0.0:
            fish = water.ground.fish[present.fish].breathing(water.ground.inputs, np.asarray(setup.water.water_temp_c))
            yield FishIn(at_h=at_h, fish=fish)
        if present.until_h < stretch.until_h and present.until_h - stretch.start_h <= horizon:
            yield FishOut(at_h=present.until_h - stretch.start_h - _SOONER_H, name=present.fish)


def _here(water: WaterStay, stretch: Stretch) -> Iterator[Presence]:
    return (one for one in stretch.present if one.fish in water.ground.fish)


def _states_of_fish(water: WaterStay, stretch: Stretch, horizon: float) -> Iterator[Event]:
    """What handling and anaesthesia do to the uptake: all along for those under it, wearing off for those that recover."""
    at_rest = stress(water.ground.inputs, FishState.AT_REST)
    for present in _here(water, stretch):
        if present.state is FishState.AT_REST:
            continue
        times = np.maximum(stress(water.ground.inputs, present.state) / at_rest, 1.0)
        start = max(present.start_h - stretch.start_h, 0.0)
        wears_off = present.state is FishState.RECOVERING
        lasts = hours_of("handled for") if wears_off else horizon + 1.0
        yield Handled(at_h=start, stress_factor=times, handled_h=lasts, name=present.fish)


def _heater(water: WaterStay, temp: FloatArray) -> Heater | None:
    inputs = water.ground.inputs
    for effect in reversed(water.effects):
        if isinstance(effect, ThermostatRamp) and effect.heater_w is not None:
            return heater(effect.heater_w, float(temp[0]), inputs)
    if water.equipment.heater_w is None:
        return None
    return heater(water.equipment.heater_w, float(temp[0]), inputs)
