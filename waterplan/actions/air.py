"""Air, or oxygen where air cannot reach the level; and what is kept ready for a power cut."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from waterplan import tables
from waterplan.actions.needs import POWER_OFF, Need, down, full, need_of, needs, rule, up
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Action, Instead, Kind
from waterplan.hazards.record import Hazard, Why
from waterplan.published import FloatArray
from waterplan.stay.course import Scenario
from waterplan.stay.effects import Aired, AirIsOn, BackUpReady
from waterplan.stay.equipment import stone
from waterplan.stay.fish import stress
from waterplan.stay.record import ActEnd, FishState, Moment, WaterKind
from waterplan.stay.standing import setup_of
from waterplan.tank.aeration import Gas
from waterplan.tank.air_needed import AirNeeded, air_flow_to_hold_l_per_min, least_air
from waterplan.tank.setup import Setup

_PER_CENT, _ALONE = 100.0, (WaterKind.INDUCTION, WaterKind.IRRIGATION)


def air(context: Context) -> Iterator[Proposal]:
    """Air for every water that is short of oxygen or heavy with carbon dioxide, and the back-up of each."""
    for need in needs(context, Hazard.OXYGEN, Hazard.CARBON_DIOXIDE):
        if need.stretch is not None:
            yield from _closed(need) if need.kind is WaterKind.BAG else _aired(need)
    for water in context.stay.waters.values():
        off = [
            one
            for one in context.calling(Hazard.OXYGEN)
            if one.record.water == water.place.id and POWER_OFF in one.id.split("/")
        ]
        if off and water.place.stretches and water.place.kind is not WaterKind.BAG:
            yield _back_up(need_of(context, water, off))


def _closed(need: Need) -> Iterator[Proposal]:
    """A closed bag takes no air: what would do is oxygen at packing and a shorter way."""
    if not need.calls(Hazard.OXYGEN):
        return
    no_air = (Why(code="no-air-into-a-closed-bag"),)
    yield Proposal(action=Action(**need.action(Kind.AIR, refused_because=no_air)))


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
    at_hand = [need.context.ground.fish[one] for one in need.stretch.fish if one in need.context.ground.fish]
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
    fish = need.context.ground.fish
    groups = {fish[one].species.oxygen_group for one in need.stretch.fish if one in fish}
    return max(tables.row("oxygen_levels", group=one, state=state, level=level).value for one in groups)


def _aired(need: Need) -> Iterator[Proposal]:
    """Air for the level wanted; where it cannot be had by air, air for what can, and oxygen."""
    sized = _sized(need)
    found = sized.least(sized.target, Gas.AIR)
    reached = found.flow.value is not None
    if not reached:
        limits = need.limits(Hazard.OXYGEN)
        lesser = [*(max(limits),) * bool(limits), _level(need, "emergency")]
        tried = (sized.least(level, Gas.AIR) for level in lesser if level < sized.target)
        found = next((one for one in tried if one.flow.value is not None), found)
    yield _air_action(need, sized, found, reached=reached)
    if not reached and need.calls(Hazard.OXYGEN):
        yield _oxygen_action(need, sized)


def _air_action(need: Need, sized: _Sized, found: AirNeeded, *, reached: bool) -> Proposal:
    context, put = need.context, need.context.figures.put
    has = need.water.equipment.air_l_per_min
    kilograms = sum(float(np.asarray(one.biomass_kg)[0]) for one in sized.setup.fish)
    by_weight = tables.row("defaults", what="air for each kg").value * kilograms
    wanted = up(found.flow.value if found.flow.value is not None else by_weight, "L/min")
    given = 0.0 if has is None else float(has[0])
    flow = max(wanted, given)
    draws = (
        found.flow.each if found.flow.value is not None and found.flow.each is not None else full(context, by_weight)
    )
    outlets = max(found.outlets or 1, need.water.equipment.stones or 1)
    amounts = {
        "air flow": put(
            f"{need.path}/air/flow",
            draws,
            unit="L/min",
            act_end=ActEnd.HIGH,
            act_on=flow,
            equations=(air_flow_to_hold_l_per_min,),
            worked_out_for="low",
        ),
        "stones": put(f"{need.path}/air/stones", float(outlets), unit="pieces", act_end=ActEnd.HIGH),
        "oxygen to hold": put(f"{need.path}/air/target", sized.target, unit="mg/L"),
    }
    path = need.id(Kind.AIR)
    costs = [] if reached else [Why(code="air-cannot-reach", figures=_reachable(need, sized, found))]
    whys = [Why(code="keep-the-air-on")] if given >= wanted else []
    if need.kind is WaterKind.HOME:
        whys.append(Why(code="all-air-on-return-breaking-surface"))
    if need.calls(Hazard.CARBON_DIOXIDE):
        whys.append(Why(code="airing-raises-ph"))
    action = Action(
        **need.action(
            Kind.AIR,
            amounts=amounts,
            worked_out_for={"volume": "low"},
            costs=tuple(costs),
            cautions=tuple(whys),
        )
    )
    on = AirIsOn(action=path, water=need.path, at_h=need.at_h, l_per_min=flow, stones=outlets)
    aired = (Aired(action=path, water=need.path),) if need.ahead and need.kind is not WaterKind.HOME else ()
    return Proposal(action=action, effects=(on, *aired))


def _reachable(need: Need, sized: _Sized, found: AirNeeded) -> dict[str, str]:
    """The level that bubbles of air could bring this water to, and the share of saturation that is wanted."""
    full_mg = need.water.start.saturation_mg_per_l
    put = need.context.figures.put
    return {
        "reachable": put(
            f"{need.path}/air/reachable",
            found.highest_do_mg_per_l,
            unit="mg/L",
            act_end=ActEnd.LOW,
        ),
        "wanted": put(f"{need.path}/air/target", sized.target, unit="mg/L"),
        "share": put(
            f"{need.path}/air/target-share", _PER_CENT * sized.target / full_mg, unit="%", act_end=ActEnd.HIGH
        ),
    }


# -- oxygen ---------------------------------------------------------------------------------------------------------


def _oxygen_action(need: Need, sized: _Sized) -> Proposal:
    context, found = need.context, sized.least(sized.target, Gas.OXYGEN)
    path = need.id(Kind.AIR, "oxygen")
    if found.flow.value is None or found.flow.each is None:
        because = (Why(code="oxygen-cannot-reach", figures=_reachable(need, sized, found)),)
        return Proposal(action=Action(**need.action(Kind.AIR, id=path, refused_because=because)))
    flow = up(found.flow.value, "L/min")
    has = context.ground.case.oxygen_cylinder is not None
    amounts = {
        "oxygen flow": context.figures.put(
            f"{need.path}/air/oxygen-flow",
            found.flow.each,
            unit="L/min",
            act_end=ActEnd.HIGH,
            act_on=flow,
            equations=(air_flow_to_hold_l_per_min,),
            worked_out_for="low",
        ),
        **_reachable(need, sized, sized.least(sized.target, Gas.AIR)),
    }
    cautions = (
        *(() if has else (Why(code="no-cylinder-named"),)),
        Why(code="keep-air-bubbling-with-oxygen"),
        Why(code="no-flame-no-oil"),
    )
    action = Action(
        **need.action(
            Kind.AIR, id=path, amounts=amounts, substance="oxygen", needs=(need.id(Kind.AIR),), cautions=cautions
        )
    )
    on = AirIsOn(action=path, water=need.path, at_h=need.at_h, l_per_min=flow, stones=1, oxygen=True)
    return Proposal(action=action, effects=(on,))


# -- back-up --------------------------------------------------------------------------------------------------------


def _back_up(need: Need) -> Proposal:
    """Air that needs no mains, for the level at which harm begins, and how soon it must run."""
    context, put = need.context, need.context.figures.put
    sized = _sized(need)
    level = min(_level(need, "alarm"), max(need.limits(Hazard.OXYGEN), default=np.inf))
    rest = replace(sized, stress=np.ones(context.ground.inputs.size))
    found = rest.least(level, Gas.AIR)
    moment = Moment.CALL if need.kind is WaterKind.HOME else Moment.PREPARE
    path = f"{moment}/{Kind.AIR}/{need.path}/back-up"
    soon = need.soonest_harm_h
    within_h = rule("act within") if soon is None else 0.5 * soon
    within = put(f"{need.path}/air/back-up-within", within_h * 60.0, unit="min", act_end=ActEnd.LOW)
    keys = need.action(
        Kind.AIR, id=path, moment=moment, by=context.ground.clock.at(max(need.start_h, context.ground.clock.now_h))
    )
    if found.flow.value is None or found.flow.each is None:
        because = Why(code="air-cannot-reach", figures=_reachable(need, rest, found))
        bottle = Instead(kind=Kind.AIR, because=(Why(code="oxygen-as-back-up"),))
        return Proposal(action=Action(**{**keys, "refused_because": (because,), "instead": (bottle,)}))
    flow = up(found.flow.value, "L/min")
    amounts = {
        "air flow": put(
            f"{need.path}/air/back-up-flow",
            found.flow.each,
            unit="L/min",
            act_end=ActEnd.HIGH,
            act_on=flow,
            equations=(air_flow_to_hold_l_per_min,),
            worked_out_for="low",
        ),
        "within": within,
    }
    given = need.water.equipment.back_up_l_per_min
    enough = given is not None and float(np.min(given)) >= flow
    code = "back-up-is-enough" if enough else "back-up-too-small" if given is not None else "no-back-up-named"
    action = Action(**{**keys, "amounts": amounts, "cautions": (Why(code=code), Why(code="try-the-back-up-first"))})
    ready = BackUpReady(action=path, water=need.path, l_per_min=flow, within_h=down(within_h * 60.0, "min") / 60.0)
    return Proposal(action=action, effects=(ready,))
