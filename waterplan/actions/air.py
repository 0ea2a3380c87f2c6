"""Air, or oxygen where air cannot reach the level; and what is kept ready for a power cut."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from waterplan import tables
from waterplan.actions.amounts import down, low, rule, up
from waterplan.actions.needs import POWER_OFF, Need, need_of, needs
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Instead, Kind
from waterplan.hazards.limits import oxygen_level
from waterplan.hazards.record import Hazard, Why
from waterplan.published import FloatArray
from waterplan.stay.course import Scenario
from waterplan.stay.effects import Aired, AirIsOn, Effect, Oxygenated
from waterplan.stay.equipment import stone
from waterplan.stay.fish import stress
from waterplan.stay.ground import WaterStay
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, FishState, Moment, WaterKind
from waterplan.stay.standing import setup_of, stones_of
from waterplan.stay.volume.ways import rows_of
from waterplan.tank.aeration import Gas
from waterplan.tank.air_needed import AirNeeded, air_flow_to_hold_l_per_min, least_air
from waterplan.tank.cylinder import cylinder_minutes
from waterplan.tank.setup import Setup
from waterplan.water.oxygen import saturation_mg_per_l

# Whose power may fail: a bag and a dip have none.
POWERED = frozenset(
    {WaterKind.HOME, WaterKind.INDUCTION, WaterKind.IRRIGATION, WaterKind.REVIVAL, WaterKind.HOSPITAL, WaterKind.BOX}
)
_PER_CENT, _ALONE = 100.0, (WaterKind.INDUCTION, WaterKind.IRRIGATION)


def air(context: Context) -> Iterator[Proposal]:
    """Air for every water that is short of oxygen or heavy with carbon dioxide, and the back-up of each."""
    for need in needs(context, Hazard.OXYGEN, Hazard.CARBON_DIOXIDE):
        if need.stretch is not None:
            yield from _closed(need) if need.kind is WaterKind.BAG else _aired(need)
    for water in context.stay.waters.values():
        if water.place.kind in POWERED and water.place.stretches and _hangs_on_power(context, water):
            yield _back_up(need_of(context, water, ()))


def _hangs_on_power(context: Context, water: WaterStay) -> bool:
    """Whether air is put into it, or is called for."""
    calls = any(one.record.water == water.place.id for one in context.calling(Hazard.OXYGEN))
    return bool(stones_of(water)) or (calls and water.place.kind is not WaterKind.HOME)


def _closed(need: Need) -> Iterator[Proposal]:
    """A closed bag takes no air: what would do is oxygen at packing and a shorter way."""
    if not need.calls(Hazard.OXYGEN):
        return
    no_air = (Why(code="no-air-into-a-closed-bag"),)
    yield need.proposal(Kind.AIR, refused_because=no_air)


# -- air ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sized:
    """The level that is wanted of a water, the air that it takes, and that of the level below which harm begins."""

    need: Need
    setup: Setup
    stress: FloatArray
    target: float

    def least(self, target: float, gas: Gas) -> AirNeeded:
        equipment, inputs = self.need.water.equipment, self.need.context.ground.inputs
        blown = replace(stone(equipment, inputs, l_per_min=1.0), gas=gas)
        return least_air(
            self.setup,
            stone=blown,
            target_do_mg_per_l=target,
            stress_factor=self.stress,
            most_l_per_min_per_outlet=tables.row("aeration_rates", device="outlet").value,
            least_outlets=int(tables.row("aeration_rates", device="any tank", quantity="outlets").value),
        )


def _sized(need: Need) -> _Sized:
    """The water at its warmest with its fish handled, those of the pond at rest."""
    assert need.stretch is not None
    inputs = need.context.ground.inputs
    setup = setup_of(need.water, need.stretch, Scenario.POWER_OFF)
    at_hand = need.context.ground.fish_in(need.stretch)
    if need.kind in _ALONE and at_hand:  # one fish at a time: the heaviest
        at_hand = [max(at_hand, key=lambda one: float(one.weight_kg.draws[0]) * one.count)]
    temp = np.asarray(setup.water.water_temp_c)
    rest = stress(inputs, FishState.AT_REST)
    handled = rest if need.kind is WaterKind.HOME else stress(inputs, FishState.HANDLED)
    fish = tuple(one.breathing(inputs, temp) for one in at_hand)
    return _Sized(
        need=need,
        setup=replace(setup, fish=fish, aeration=(), heater=None, filter=None),
        stress=np.maximum(handled / rest, 1.0),
        target=_target(need),
    )


def _target(need: Need) -> float:
    """The strictest limit that calls; in a hospital tank also the level that is to be held there."""
    levels = list(need.limits(Hazard.OXYGEN)) or [_level(need, "alarm")]
    if need.kind is WaterKind.HOSPITAL:
        levels.append(tables.row("hospital_demands", demand="oxygen to hold").value)
    return max(levels)


def _level(need: Need, level: str) -> float:
    assert need.stretch is not None
    state = "settled" if need.kind in (WaterKind.HOME, WaterKind.HOSPITAL) else "anaesthetised"
    groups = (one.species.oxygen_group for one in need.context.ground.fish_in(need.stretch))
    return oxygen_level(groups, state=state, level=level).value


def _aired(need: Need) -> Iterator[Proposal]:
    """Air for the level wanted; where it cannot be had by air, as much air as can be blown, and oxygen."""
    sized = _sized(need)
    found, most = sized.least(sized.target, Gas.AIR), _most_l_per_min(need)
    enough = found.flow.value is not None and found.flow.value <= most
    made = _air_action(need, sized, found, enough=enough)
    yield made
    if not enough and need.calls(Hazard.OXYGEN) and need.kind is not WaterKind.HOME:
        yield _oxygen_action(need, sized, made.effects)


def _most_l_per_min(need: Need) -> float:
    """The most air that can be blown through a tub without throwing the fish about, or into a pond by the pumps there are."""
    pond = need.kind is WaterKind.HOME
    most = rule("pond air most") if pond else rule("tub air most") * low(need.water.start[Q.VOLUME])
    return max(down(most, "L/min"), 1.0)


def _air_action(need: Need, sized: _Sized, found: AirNeeded, *, enough: bool) -> Proposal:
    has = need.water.equipment.air_l_per_min
    wanted = up(found.flow.value, "L/min") if enough and found.flow.value is not None else _at_least(need, sized, found)
    given = 0.0 if has is None else float(has[0])
    flow = max(wanted, up(given, "L/min"))
    per_stone = tables.row("aeration_rates", device="outlet").value
    outlets = max(int(np.ceil(flow / per_stone)), found.outlets or 1 if enough else 2, need.water.equipment.stones or 1)
    amounts = {
        "air flow": need.put("air/flow", flow, "L/min", act_end=ActEnd.HIGH, act_on=flow),
        "stones": need.put("air/stones", float(outlets), "pieces", act_end=ActEnd.HIGH),
        "oxygen to hold": need.put("air/target", sized.target, "mg/L"),
    }
    if found.flow.each is not None:
        amounts["needed"] = need.put(
            "air/needed",
            found.flow.each,
            "L/min",
            act_end=ActEnd.HIGH,
            equations=(air_flow_to_hold_l_per_min,),
            worked_out_for="low",
        )
    path = need.id(Kind.AIR)
    costs = () if enough else (_falls_short(need, sized, found, amounts),)

    on = AirIsOn(action=path, water=need.path, at_h=need.at_h, l_per_min=flow, stones=outlets)
    aired = (Aired(action=path, water=need.path),) if need.ahead and need.kind is not WaterKind.HOME else ()
    return need.proposal(
        Kind.AIR,
        amounts=amounts,
        worked_out_for={"volume": "low"},
        costs=costs,
        cautions=tuple(_cautions(need, kept=given >= wanted)),
        effects=(on, *aired),
    )


def _at_least(need: Need, sized: _Sized, found: AirNeeded) -> float:
    """Where the level is out of reach: air for the emergency level, since more only carries off the oxygen beside it."""
    most = _most_l_per_min(need)
    if found.flow.value is not None:
        return most
    lesser = sized.least(_level(need, "emergency"), Gas.AIR).flow.value
    return most if lesser is None else min(up(lesser, "L/min"), most)


def _falls_short(need: Need, sized: _Sized, found: AirNeeded, amounts: dict[str, str]) -> Why:
    """Air that can reach the level, but more than can be blown; or that cannot reach it at all."""
    if found.flow.value is None:
        return Why(code="air-cannot-reach", figures=_reachable(need, sized, found))
    return Why(code="more-air-than-can-be-blown", figures={"needed": amounts["needed"], "blown": amounts["air flow"]})


def _cautions(need: Need, *, kept: bool) -> Iterator[Why]:
    if kept:
        yield Why(code="keep-the-air-on")
    if need.kind is WaterKind.HOME:
        yield Why(code="all-air-on-return-breaking-surface")
    if need.calls(Hazard.CARBON_DIOXIDE):
        yield Why(code="airing-raises-ph")


def _reachable(need: Need, sized: _Sized, found: AirNeeded) -> dict[str, str]:
    """The level that bubbles of air could bring this water to, and the share of saturation that is wanted."""
    full_mg = need.water.start.saturation_mg_per_l
    return {
        "reachable": need.put("air/reachable", found.highest_do_mg_per_l, "mg/L", act_end=ActEnd.LOW),
        "wanted": need.put("air/target", sized.target, "mg/L"),
        "share": need.put("air/target-share", _PER_CENT * sized.target / full_mg, "%", act_end=ActEnd.HIGH),
    }


# -- oxygen ---------------------------------------------------------------------------------------------------------


def _oxygen_action(need: Need, sized: _Sized, blown: tuple[Effect, ...]) -> Proposal:
    """Oxygen for what the fish takes and for what the air beside it carries off above its own ceiling."""
    context, tank = need.context, sized.setup.tank
    temp = np.asarray(sized.setup.water.water_temp_c)
    carried = sum(
        (_carried_off(need, sized, one, temp) for one in blown if isinstance(one, AirIsOn)), start=np.zeros(temp.size)
    )
    # What is carried off does not grow with the fish's excitement.
    beside = replace(tank, other_demand_mg_per_h=carried / sized.stress, rates_at_temp_c=temp)
    found = replace(sized, setup=replace(sized.setup, tank=beside)).least(sized.target, Gas.OXYGEN)
    path = need.id(Kind.AIR, "oxygen")
    if found.flow.value is None or found.flow.each is None:
        because = (Why(code="oxygen-cannot-reach", figures=_reachable(need, sized, found)),)
        return need.proposal(Kind.AIR, id=path, refused_because=because)
    flow = up(found.flow.value, "L/min")
    amounts = {
        "oxygen flow": need.put(
            "air/oxygen-flow",
            found.flow.each,
            "L/min",
            act_end=ActEnd.HIGH,
            act_on=flow,
            equations=(air_flow_to_hold_l_per_min,),
            worked_out_for="low",
        ),
        **_reachable(need, sized, sized.least(sized.target, Gas.AIR)),
        **_lasts(need, flow),
    }
    cautions = (
        *(() if context.ground.case.oxygen_cylinder is not None else (Why(code="no-cylinder-named"),)),
        Why(code="keep-air-bubbling-with-oxygen"),
        Why(code="no-flame-no-oil"),
    )

    on = AirIsOn(action=path, water=need.path, at_h=need.at_h, l_per_min=flow, stones=1, oxygen=True)
    ready = (Oxygenated(action=path, water=need.path, oxygen_mg_per_l=sized.target),) if need.ahead else ()
    return need.proposal(
        Kind.AIR,
        id=path,
        amounts=amounts,
        substance="oxygen",
        needs=(need.id(Kind.AIR),),
        cautions=cautions,
        effects=(on, *ready),
    )


def _lasts(need: Need, flow: float) -> dict[str, str]:
    """How long the cylinder at hand lasts at a flow, where its size and its pressure are stated."""
    cylinder, inputs = need.context.ground.case.oxygen_cylinder, need.context.ground.inputs
    if cylinder is None or cylinder.volume is None or cylinder.pressure is None:
        return {}
    minutes = cylinder_minutes(
        inputs.of_reading("oxygen-cylinder/volume", cylinder.volume),
        gauge_bar=inputs.of_reading("oxygen-cylinder/pressure", cylinder.pressure),
        oxygen_flow_l_per_min=flow,
    )
    rows = rows_of((cylinder.volume, cylinder.pressure))
    lasts = need.put("air/cylinder-lasts", minutes, "min", act_end=ActEnd.LOW, rows=rows, equations=(cylinder_minutes,))
    return {"cylinder lasts": lasts}


def _carried_off(need: Need, sized: _Sized, on: AirIsOn, temp: FloatArray) -> FloatArray:
    """Oxygen that bubbles of air carry out of water at the level wanted, where that is above what they bring it to [mg/h]."""
    air_stone = stone(need.water.equipment, need.context.ground.inputs, l_per_min=np.zeros(temp.size) + on.l_per_min)
    full = saturation_mg_per_l(
        temp,
        salinity_g_per_kg=sized.setup.water.salinity_g_per_l,
        air_pressure_kpa=sized.setup.room.air_pressure_kpa,
    )
    over = np.maximum(sized.target - np.asarray(full) * air_stone.ceiling, 0.0)
    return np.asarray(air_stone.transfer_l_per_h(temp) * over)


# -- back-up --------------------------------------------------------------------------------------------------------


def _back_up(need: Need) -> Proposal:
    """Air that needs no mains, for the alarm level of its fish at rest, and how soon it must run: by the clock without power."""
    context, stretch = need.context, need.stretch
    assert stretch is not None
    rest = replace(_sized(need), stress=np.ones(context.ground.inputs.size))
    level = _level(need, "alarm")
    found = rest.least(level, Gas.AIR)
    moment = Moment.CALL if need.kind is WaterKind.HOME else Moment.PREPARE
    path = f"{moment}/{Kind.AIR}/{need.path}/back-up"
    by = context.ground.clock.at(max(need.start_h, context.ground.clock.now_h))
    made = partial(need.proposal, Kind.AIR, id=path, moment=moment, by=by, done=None)
    if found.flow.value is None or found.flow.each is None or found.flow.value > _most_l_per_min(need):
        because = Why(code="air-cannot-reach", figures=_reachable(need, rest, found))
        bottle = Instead(kind=Kind.AIR, because=(Why(code="oxygen-as-back-up"),))
        return made(refused_because=(because,), instead=(bottle,))
    flow = up(found.flow.value, "L/min")
    several = (stretch.name,) if len(need.water.place.stretches) > 1 else ()
    amounts = {
        "air flow": need.put(
            "air/back-up-flow",
            found.flow.each,
            "L/min",
            act_end=ActEnd.HIGH,
            act_on=flow,
            equations=(air_flow_to_hold_l_per_min,),
            worked_out_for="low",
        ),
        # The clock that is worked out without power, once all else is accepted.
        "within": "/".join((need.path, Q.OXYGEN, "until-alarm", *several, POWER_OFF)),
    }
    given = need.water.equipment.back_up_l_per_min
    enough = given is not None and float(np.min(given)) >= flow
    code = "back-up-is-enough" if enough else "back-up-too-small" if given is not None else "no-back-up-named"
    return made(amounts=amounts, cautions=(Why(code=code), Why(code="try-the-back-up-first")))
