"""A water that stands with its fish in it: the tank's engine from stretch to stretch, with everything that happens."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from waterplan import tables
from waterplan.published import FloatArray
from waterplan.stay.course import Course, Rejoins, Scenario, kept, record_every_h
from waterplan.stay.effects import AirIsOn, Repacked
from waterplan.stay.equipment import AIR, OXYGEN, biofilter, heater, stone, tank_of
from waterplan.stay.filling import start_of
from waterplan.stay.fish import handled_for_h, more_than_at_rest, on_the_way
from waterplan.stay.ground import WaterStay
from waterplan.stay.happenings import happenings
from waterplan.stay.inputs import ALTITUDE, Inputs, by_altitude_kpa
from waterplan.stay.quantities import Q
from waterplan.stay.record import FishState, WaterKind
from waterplan.stay.state import SOLUTES, as_tank_water
from waterplan.stay.waters import Stretch, hours_of
from waterplan.tank.aeration import Diffuser, Gas
from waterplan.tank.bag import Bag, BagHolds, bag_after
from waterplan.tank.body import Body
from waterplan.tank.course import Course as TankCourse
from waterplan.tank.course import Follow
from waterplan.tank.equipment_events import PowerFails
from waterplan.tank.events import Dissolved, Event, WaterChange
from waterplan.tank.fish_events import FishIn, FishOut, Handled
from waterplan.tank.setup import Setup
from waterplan.tank.through_time import DEFAULT_STEP_H, course
from waterplan.tank.water_body import Room, Water

_SOONER_H = 1e-3
# A tub's oxygen may be gone in minutes, and falls steepest at first: between half hours a straight line runs late.
_FIRST_H = (0.15, 0.3)
# Through days steps of two hours, which is how often a long stay is written down, are good to a hundredth of what
# each state moves through (DEVELOPERS.md).
LONG_STEP_H, _A_DAY_H = 2.0, 24.0
_NEARLY_ALL, _TIMES_ENOUGH = 0.99, 4.0
# Hours from closing at which the bag is worked out; what it holds runs nearly straight between them.
_LOOKED_AT_H = (*np.arange(0.0, 3.0, 0.25), *np.arange(3.0, 12.0), *np.arange(12.0, 49.0, 4.0))
_ROOM_BESIDE_FISH = 1.001
_STEADY = (Q.VOLUME, Q.TEMPERATURE, Q.SALT, Q.ALKALINITY, Q.NITRITE, Q.NITRATE, Q.CHLORINE, Q.NITROGEN)
# What gas and water share out between them begins as it was filled.
_SHARED_OUT = (Q.CARBON_DIOXIDE, Q.PH, Q.UNIONISED_AMMONIA)


def stand(water: WaterStay, stretch: Stretch, scenario: Scenario, *, rejoins: Rejoins | None = None) -> Course:
    """The water through a stretch and on to the end of its clocks: a closed bag travels, any other water stands.

    Parameters
    ----------
    water : WaterStay
        The water, its equipment and what is done to it.
    stretch : Stretch
        From when until when, and who is in it.
    scenario : Scenario
        As planned, or without power from the start: then at the temperature that it is kept at.
    rejoins : Rejoins, optional
        The same water without what is supposed to happen to it: followed until the two are one again.

    Returns
    -------
    Course
        What is kept of it.
    """
    if water.place.kind is WaterKind.BAG:
        return _travel(water, stretch)
    setup, ground = setup_of(water, stretch, scenario), water.ground
    length = stretch.until_h - stretch.start_h
    planned = scenario is Scenario.AS_PLANNED
    horizon = _horizon_h(water, length, scenario)
    events = [
        *_arrivals(water, stretch, setup, horizon),
        *_states_of_fish(water, stretch, horizon),
        *happenings(water, stretch, scenario, until_h=length),
        _WrittenDown(at_h=length) if planned else PowerFails(at_h=0.0),
        *(_WrittenDown(at_h=one) for one in _FIRST_H if horizon <= _A_DAY_H),
    ]
    events = sorted((one for one in events if one.at_h <= horizon + 1e-9), key=lambda one: one.at_h)
    # A cylinder goes on without mains, but may be empty or closed: no clock without power counts on it.
    setup = replace(setup, water=_with_chloride(setup.water, events), aeration=setup.aeration if planned else ())

    def through(setup: Setup, over_when: Callable[[Body], bool] | None) -> TankCourse:
        return course(
            setup,
            events,
            until_h=horizon,
            every_h=record_every_h(horizon),
            step_h=LONG_STEP_H if horizon > _A_DAY_H else DEFAULT_STEP_H,
            # Of a pond, which is judged as it stands, only what air makes of its oxygen is asked for.
            follow=Follow.ALL if planned and water.place.kind is not WaterKind.HOME else Follow.OXYGEN,
            over_when=over_when,
            brief=True,
        )

    spent = _spent(length if planned and length <= hours_of("tub clocks") else 0.0)
    made = through(setup, lambda body: spent(body) or (rejoins is not None and rejoins(body)))
    if rejoins is not None and rejoins.has:
        return rejoins.and_on(kept(made, stretch, scenario))
    if planned and made.hours[-1] < length - _SOONER_H:
        # More air than any fish needs: for what else becomes of a water whose fish would be dead within hours.
        each = tables.row("defaults", what="air for each kg").high
        air = _TIMES_ENOUGH * each * ground.together_kg(stretch)
        ample = stone(water.equipment, ground.inputs, l_per_min=air, name="ample air")
        made = _oxygen_of(made, through(replace(setup, aeration=(*setup.aeration, ample)), None))
    return kept(made, stretch, scenario)


def _with_chloride(water: Water, events: Sequence[Event]) -> Water:
    """The water with no chloride yet where some comes later: what is followed is there from the start."""
    chloride = SOLUTES[Q.CHLORIDE]
    comes = any(
        (isinstance(one, Dissolved) and one.name == chloride)
        or (isinstance(one, WaterChange) and chloride in one.source.solutes_per_l)
        for one in events
    )
    return replace(water, solutes_per_l={chloride: 0.0, **water.solutes_per_l}) if comes else water


def _oxygen_of(spent: TankCourse, other: TankCourse) -> TankCourse:
    """The other course with the oxygen of one that ended when it was spent, and stays so."""
    name, rows = Q.OXYGEN.state, other.hours.size - spent.hours.size
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


class _WrittenDown(Event):
    """Nothing: the course is written down then."""

    words = "written down"

    def happen(self, body: object) -> None:
        """Does nothing."""


def setup_of(water: WaterStay, stretch: Stretch, scenario: Scenario = Scenario.AS_PLANNED) -> Setup:
    """The water as it stands at the start of a stretch, with its fish and its equipment, for the tank's engine."""
    ground, inputs, place, equipment = water.ground, water.ground.inputs, water.place, water.equipment
    state = start_of(water, scenario)
    temp = state[Q.TEMPERATURE]
    fish = [ground.fish[one.fish].breathing(inputs, temp) for one in stretch.present]
    each = {one.name: float(np.asarray(one.excretion_mg_n_per_h(temp))[0]) for one in fish}
    fed = sum(each.values())
    room = ground.room if place.vessel else Room(air_temp_c=temp, air_pressure_kpa=ground.air_pressure_kpa)
    tank = tank_of(place.vessel, water.found, water.free_l, inputs)
    if place.kind is WaterKind.HOME:
        animals = sum((one.uptake_mg_per_h(temp) for one in fish), start=np.zeros(temp.size))
        # What plankton and mud take, by the share of a pond's respiration that is not its animals'.
        share = np.clip(inputs.of_row("share of the pond itself", tables.rows("pond_respiration")[0]), 0.0, 0.97)
        tank = replace(tank, other_demand_mg_per_h=animals * share / (1.0 - share), rates_at_temp_c=temp)
    warm_c, watts = float(temp[0]), water.heater_w
    return Setup(
        tank=tank,
        water=as_tank_water(state),
        room=room,
        fish=tuple(one for one, when in zip(fish, stretch.present, strict=True) if when.start_h <= stretch.start_h),
        aeration=stones_of(water),
        heater=None if watts is None else heater(watts, warm_c, inputs),
        filter=biofilter(equipment, fed_mg_n_per_h=fed, warm_c=warm_c, inputs=inputs),
        start_clock_h=ground.clock.hour_of_day(stretch.start_h),
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


def _horizon_h(water: WaterStay, length: float, scenario: Scenario) -> float:
    if scenario is Scenario.POWER_OFF:
        return hours_of("without power")
    return length if water.place.kind in (WaterKind.HOSPITAL, WaterKind.HOME) else max(length, hours_of("tub clocks"))


def _arrivals(water: WaterStay, stretch: Stretch, setup: Setup, horizon: float) -> Iterator[Event]:
    """Fish that come after the first, and those that leave before the end."""
    ground, temp = water.ground, np.asarray(setup.water.water_temp_c)
    for present in stretch.present:
        comes_h, leaves_h = present.start_h - stretch.start_h, present.until_h - stretch.start_h
        if comes_h > 0.0:
            yield FishIn(at_h=comes_h, fish=ground.fish[present.fish].breathing(ground.inputs, temp))
        if present.until_h < stretch.until_h and leaves_h <= horizon:
            yield FishOut(at_h=leaves_h - _SOONER_H, name=present.fish)


def _states_of_fish(water: WaterStay, stretch: Stretch, horizon: float) -> Iterator[Event]:
    """What handling and anaesthesia do to the uptake: all along for those under it, wearing off for those that recover."""
    inputs = water.ground.inputs
    for present in stretch.present:
        if present.state is not FishState.AT_REST:
            times, start_h = more_than_at_rest(inputs, present.state), max(present.start_h - stretch.start_h, 0.0)
            lasts = handled_for_h(inputs) if present.state is FishState.RECOVERING else horizon + 1.0
            ago_h = max(stretch.start_h - stretch.went_in_h, 0.0)
            yield Handled(at_h=start_h, stress_factor=times, handled_h=lasts, ago_h=ago_h, name=present.fish)


# -- a closed bag on its way: its water and the oxygen over it, with the fish in it ---------------------------------------


def _travel(water: WaterStay, stretch: Stretch) -> Course:
    """The closed bag from its closing, through the journey and on to the end of its clocks.

    The fish were handled, and are carried all the way. The temperature stays; see `tank.bag.bag_after`.
    """
    length, last = stretch.until_h - stretch.start_h, hours_of("bag clocks")
    hours = np.unique([*(one for one in _LOOKED_AT_H if one <= last), length, max(length, last)])
    bag, state = closed_bag(water, stretch), water.start
    opened = [opened_after(bag, float(hour), inputs=water.ground.inputs) for hour in hours]
    levels = {one: [state[one]] * hours.size for one in _STEADY if state.has(one)}
    for quantity in (Q.OXYGEN, Q.CARBON_DIOXIDE, Q.AMMONIA, Q.PH, Q.UNIONISED_AMMONIA):
        levels[quantity] = [getattr(one, quantity.state) for one in opened]
    for quantity in _SHARED_OUT:
        levels[quantity][0] = state[quantity]
    return Course(
        start_h=stretch.start_h,
        until_h=stretch.until_h,
        hours=hours + stretch.start_h,
        values={quantity: np.array(rows, dtype=np.float32) for quantity, rows in levels.items()},
    )


def opened_after(bag: Bag, hours: float, *, inputs: Inputs) -> BagHolds:
    """What a bag holds whose fish were handled, and carried for so many hours [h]."""
    return bag_after(replace(bag, stress_factor=on_the_way(inputs, hours)), hours)


def closed_bag(water: WaterStay, stretch: Stretch) -> Bag:
    """The bag when it is closed: its water, the oxygen over it (told, or the usual share of the bag), and the fish."""
    ground, state, transport = water.ground, water.start, water.place.transport
    inputs, litres = ground.inputs, state[Q.VOLUME]
    share = inputs.value(tables.row("defaults", what="bag oxygen"))
    packed = next((one.gas_l for one in water.effects if isinstance(one, Repacked) and one.gas_l is not None), None)
    if packed is not None:
        gas_l = np.full(inputs.size, packed)
    elif transport is None or transport.oxygen is None:
        gas_l = litres * share / (1.0 - share)
    else:
        gas_l = inputs.of_reading(f"{water.place.id}/gas", transport.oxygen)
    weight = ground.together_kg(stretch)
    return Bag(
        volume_l=np.maximum(litres - weight, weight * _ROOM_BESIDE_FISH + 1e-6),
        gas_l=gas_l,
        water=as_tank_water(state),
        fish=tuple(one.breathing(inputs, state[Q.TEMPERATURE]) for one in ground.fish_in(stretch)),
        air_pressure_kpa=closed_at_kpa(water),
    )


def closed_at_kpa(water: WaterStay) -> FloatArray:
    """The air pressure where a bag was closed [kPa]: by the height that is stated of it, else that of the pond."""
    transport, ground = water.place.transport, water.ground
    if transport is None or transport.altitude is None:
        return ground.air_pressure_kpa
    altitude_m = ground.inputs.of_reading(f"{water.place.id}/{ALTITUDE}", transport.altitude)
    return by_altitude_kpa(altitude_m, ground.inputs)
