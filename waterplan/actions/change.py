"""Water changed: once now, every day, and without salt before the way home, from a source that is better than what is there."""

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from typing import Any

import numpy as np

from waterplan import tables
from waterplan.actions.amounts import all_in_parts, down, high, least_g, low, rule, up
from waterplan.actions.needs import Need, aid_rows, need_of, needs, sign_of
from waterplan.actions.proposing import Context, Proposal, codes
from waterplan.actions.record import Action, Instead, Kind
from waterplan.actions.salts.matched import changed_like
from waterplan.actions.salts.salt import intended_salt_g_per_l, salt_ladder
from waterplan.actions.salts.unsalting import Unsalting, salt_must_stay, unsalting
from waterplan.actions.source import (
    DILUTED,
    NewWater,
    amounts_of,
    cautions_of,
    dosed,
    is_helped,
    is_over,
    no_source,
    salt_of,
    source_of,
)
from waterplan.actions.treating import NEUTRALISER
from waterplan.hazards.limit_rows import nh3_limit, water_limit
from waterplan.hazards.record import Hazard, Verdict, Why
from waterplan.published import FloatArray
from waterplan.stay import operations
from waterplan.stay.course import Scenario
from waterplan.stay.effects import Changed, Effect
from waterplan.stay.equipment import room_co2_ppm, stone
from waterplan.stay.happenings import first_change_h, meals
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, WaterKind
from waterplan.stay.standing import setup_of
from waterplan.stay.state import State, as_tank_water
from waterplan.stay.waters import HOME
from waterplan.tank.aeration import Diffuser, Gas
from waterplan.tank.answers import Answer, thinned
from waterplan.tank.changes_needed import NitrogenLimits, daily_change_litres
from waterplan.tank.occupants import Fish
from waterplan.tank.setup import Setup
from waterplan.tank.water_body import Room, Tank

_DAY_H, _PER_CENT = 24.0, 100.0
_DAYS, _SEARCH_DRAWS = 7.0, 64
# A meal doubles the uptake; bubbles of oxygen lift the water by 30 mg/L and more at any temperature and altitude.
_FED_AND_MORE, _OXYGEN_LIFT_MG_PER_L = 2.5, 25.0


def change(context: Context) -> Iterator[Proposal]:
    """What is over its limit or will be; beside it, a tub that is to be like the water that its fish come out of."""
    made = tuple(_against(context))
    yield from made
    yield from changed_like(context, but_for={one.action.water for one in made})


def _against(context: Context) -> Iterator[Proposal]:
    """A first change where something is over its limit already, and the daily one of a tank to the end of its stay."""
    for need in needs(context, *DILUTED, Hazard.SUBSTANCE, kind=Kind.CHANGE):
        if need.kind in (WaterKind.BAG, WaterKind.BOX):
            continue
        in_tank = need.kind is WaterKind.HOSPITAL
        stays = in_tank and first_change_h(need.water, need.stretch) <= need.stretch.until_h
        daily = tuple(_daily(need)) if stays and need.calls(Hazard.AMMONIA, Hazard.NITRITE) else ()
        worst = [one for one in need.judged if one.verdict.rank >= Verdict.ACT_NOW.rank]
        if worst and all(one.hazard is Hazard.SIGN for one in worst):
            yield _by_sign(need, *(["first"] if in_tank else []))
        elif need.urgent and (not (in_tank or need.ahead) or is_helped(need)):
            first = _once(need, *(["first"] if in_tank else []))
            if not any(_does_as_much(need, one.action, first.action) for one in daily):
                yield first
        yield from daily
    asked = {one.path for one in needs(context, Hazard.AMMONIA, Hazard.NITRITE)}
    for water in context.stay.waters.values():
        if water.place.kind is WaterKind.HOSPITAL and water.place.stretches and water.place.id not in asked:
            need = need_of(context, water)
            if (found := source_of(need)) is not None and not found.refused:
                yield from _unsalted(need, found, _unsalting(need, found, 0.0))


# -- once -----------------------------------------------------------------------------------------------------------


def _once(need: Need, *which: str) -> Proposal:
    """One change, now or before the fish go in: the least share that brings what calls under its limit."""
    found = source_of(need)
    if found is None or found.refused:
        return no_source(need, found, *which)
    share, careful = first_share(need, found.state)
    return _changed_by(need, found, share, careful, *which)


def _does_as_much(need: Need, daily: Action, first: Action) -> bool:
    """Whether the daily change, by when a first one would be due, is of as many litres: then that one is enough."""
    if first.by is None or daily.at is None or not (first.is_open and daily.is_open) or daily.at > first.by:
        return False
    litres, enough = (need.context.figures.record(one.amounts["litres"]).act_on or 0.0 for one in (daily, first))
    return litres >= enough


# -- how much -------------------------------------------------------------------------------------------------------


def first_share(need: Need, source: State) -> tuple[float, bool]:
    """The least share of a change that brings what calls under its limits, and whether its parts must be small.

    Parameters
    ----------
    need : Need
        The water, and the judgements that call.
    source : State
        The new water as it is poured in.

    Returns
    -------
    tuple of float and bool
        The share of the water, one of those of the table `action_rules`: the most of them where none does. Whether its parts
        must be the careful ones.

    Notes
    -----
    Each part goes through the plan's own mixing; the parts are careful where one would raise un-ionised ammonia above
    what is there and above its limit.
    """
    shares = np.arange(rule("change at least"), rule("change most") + 1e-9, rule("change step"))
    share = float(next((one for one in shares if not is_over(need, _poured(need.state, source, one))), shares[-1]))
    return share, _rises(need, source, _parts(share, "change part"))


def _parts(share: float, part: str) -> int:
    return max(1, int(np.ceil(share / rule(part) - 1e-9)))


def _rises(need: Need, source: State, parts: int) -> bool:
    """Whether un-ionised ammonia is higher after a part than before the first, and over its limit."""
    state = need.state
    worst = max(high(state[Q.UNIONISED_AMMONIA]), _nh3_limit(need))
    for _ in range(parts):
        state = _poured(state, source, rule("change part"))
        if high(state[Q.UNIONISED_AMMONIA]) > worst:
            return True
    return False


def _poured(state: State, source: State, share: float) -> State:
    return operations.change(state, source, share * state[Q.VOLUME], came_from="trial", parts=1)


def _nh3_limit(need: Need) -> float:
    """The strictest law of the fish in the water."""
    return nh3_limit(one.law_group for one in need.species).value


def _daily_litres(need: Need, path: str, source: State) -> Answer:
    """Litres of a daily change that keep ammonia and nitrite under their limits, the filter not counted.

    The search is kept with the ground: the same tank, temperature, source and fish are searched once.
    """
    kept: dict[tuple[object, ...], Answer] = need.ground.searched  # type: ignore[assignment]
    key = ("daily change", need.path, path, tuple(id(one) for one in need.water.effects))
    if key not in kept:
        fed = tuple(meals(need.water, need.stretch, _DAYS * _DAY_H))
        few, poured, events = thinned((_held(need), as_tank_water(source), fed), _SEARCH_DRAWS)
        kept[key] = daily_change_litres(
            few,
            source=poured,
            limits=NitrogenLimits(
                nh3_mg_n_per_l=_nh3_limit(need),
                tan_mg_n_per_l=water_limit("tan", "cap").value,
                nitrite_mg_no2_per_l=water_limit("nitrite", "watch").value,
            ),
            events=sorted(events, key=lambda event: event.at_h),
            days=_DAYS,
        )
    return kept[key]


def _held(need: Need) -> Setup:
    """The tank held at its temperature and in oxygen by whatever does it, its stones running, its filter not counted."""
    water, inputs = need.water, need.ground.inputs
    setup = setup_of(water, need.stretch, Scenario.POWER_OFF)
    temp, stones = np.asarray(setup.water.water_temp_c), setup.aeration
    if not stones:
        row = tables.row("defaults", what="air for each kg")
        kilograms = sum((np.asarray(one.biomass_kg) for one in setup.fish), start=np.zeros(inputs.size))
        stones = (stone(water.equipment, inputs, l_per_min=row.value * kilograms),)
    pressure, co2 = need.ground.air_pressure_kpa, room_co2_ppm(inputs)
    return replace(
        setup,
        tank=Tank(volume_l=water.free_l),
        room=Room(air_temp_c=temp, air_pressure_kpa=pressure, co2_in_air_ppm=co2),
        aeration=(*stones, _oxygen_held(setup.fish, temp)),
        heater=None,
        filter=None,
    )


def _oxygen_held(fish: tuple[Fish, ...], temp: FloatArray) -> Diffuser:
    """A trickle of oxygen that keeps up with fed fish and is too small to carry off carbon dioxide."""
    bare = Diffuser(
        air_flow_l_per_min=1.0, depth_m=1.0, sote_percent_per_m=40.0, alpha=1.0, gas=Gas.OXYGEN, name="oxygen held"
    )
    takes = sum((one.uptake_mg_per_h(temp) for one in fish), start=np.zeros(temp.size))
    needed = _FED_AND_MORE * takes / _OXYGEN_LIFT_MG_PER_L
    return replace(bare, air_flow_l_per_min=needed / np.asarray(bare.transfer_l_per_h(temp)))


# -- every day --------------------------------------------------------------------------------------------------------


def _daily(need: Need) -> Iterator[Proposal]:
    """Changes that hold the limits to the end of the stay; the last of them let the salt out."""
    found, stretch = source_of(need), need.stretch
    first_h = first_change_h(need.water, stretch)
    if found is not None and found.dosed_h - 1.0 < first_h:
        found = replace(found, refused=(dosed(need, found.pours.source),))
    if found is None or found.refused:
        yield no_source(need, found, moment=stretch.moment)
        return
    source, holds = found.pours.source, low(need.state[Q.VOLUME])
    answer = _daily_litres(need, source, found.state)
    highest = down(tables.row("hospital_demands", demand="daily change at most").value * holds, "L")
    wanted = highest if answer.value is None else min(up(answer.value, "L"), highest)
    enough = answer.value is not None and wanted >= answer.value
    parts = int(np.ceil(wanted / (rule("change part") * holds) - 1e-9))
    unsalted = _unsalting(need, found, wanted / holds)
    until_h = unsalted.begin_h - 1.0 if unsalted is not None and not salt_must_stay(need) else stretch.until_h
    held = dosed(need, source).words if found.dosed_h <= until_h else {}
    until_h = min(until_h, found.dosed_h - 1.0)
    if until_h < first_h:  # the salt is let out from the first of them on
        yield from _unsalted(need, found, unsalted)
        return
    costs = []
    if not enough and answer.each is not None:
        needed = need.put("change/needed", answer.each, "L", act_end=ActEnd.HIGH)
        costs = [
            Why(code="change-not-enough", figures={"needed": needed}, words={"decides": answer.ruled_by}),
            _what_each_does(need, answer.each, highest),
        ]
    told: dict[str, Any] = {
        "words": held,
        "costs": tuple(costs),
        "cautions": codes("" if enough else "test-twice-a-day"),
    }
    one = replace(found.pours, litres=wanted, parts=parts, part_every_h=rule("change part every"))
    turn_h = first_h + _DAY_H * np.ceil((need.context.later.effects.salted_h(source) - first_h) / _DAY_H)
    # Salt that the new water brings is not weighed in once more: from then on it is another change.
    turns = intended_salt_g_per_l(need) is not None and first_h < turn_h <= until_h
    yield _each_day(need, one, first_h, turn_h - _DAY_H if turns else until_h, **told)
    if turns:
        yield _each_day(need, one, turn_h, until_h, "salted", **told)
    yield from _unsalted(need, found, unsalted)


def _each_day(need: Need, one: Changed, first_h: float, until_h: float, *which: str, **told: Any) -> Proposal:
    """The change of each day from an hour to another, of new water brought to the salt that is meant."""
    at, level, litres = need.ground.clock.at, intended_salt_g_per_l(need), float(np.max(one.litres))
    amounts, missing = amounts_of(need, one, litres, "change"), codes()
    if level is not None:
        salted = need.context.later.effects.salted_h(one.source) <= first_h
        grams = litres * np.maximum(level - salt_of(need, one.source, until_h if salted else first_h), 0.0)
        name = "/".join(("change", *which, "salt"))
        put = need.put(name, grams, "g", act_end=ActEnd.LOW, worked_out_for="low")
        if (need.context.figures.record(put).act_on or 0.0) >= least_g():
            amounts["salt"] = put
        else:  # it may hold the level already: what is missing is known once it is read
            known = {"level": need.put("change/salt-level", level, "g/L")}
            missing = (Why(code="read-salt-of-new-water-first", figures=known),) if high(grams) >= least_g() else ()
            level = None
    return need.proposal(
        Kind.CHANGE,
        *which,
        moment=need.stretch.moment,
        at=at(first_h),
        by=at(first_h),
        until=at(until_h),
        every_h=_DAY_H,
        done=None,
        substance=NEUTRALISER if "thiosulphate" in amounts else None,
        **_in_parts(need, one, amounts),
        cautions=cautions_of(need, one.source, until_h) + missing + told.pop("cautions"),
        effects=_salted(need, one, first_h, until_h, level),
        **told,
    )


def _salted(need: Need, one: Changed, at_h: float, until_h: float, level: float | None) -> Iterator[Effect]:
    """The changes of the days: while salt is being raised each is salted to what the tank then holds, then to the level meant.

    With no level none is salted.
    """
    ladder = salt_ladder(need) if level is not None else ()
    while at_h <= until_h and (at_h < need.from_h or (ladder and at_h < ladder[-1].at_h)):
        due_h = max(at_h, need.from_h)  # that of today may be late
        reached = [step.level_g_per_l for step in ladder if step.at_h <= due_h]
        yield replace(one, at_h=due_h, salted_g_per_l=reached[-1] if reached else None if ladder else level)
        at_h += _DAY_H
    if at_h <= until_h:
        yield replace(one, at_h=at_h, every_h=_DAY_H, until_h=until_h, salted_g_per_l=level)


def _what_each_does(need: Need, each: FloatArray, highest: float) -> Why:
    """What each remedy does where no change of this tank holds the limit; what is changed goes with the weight of the fish."""
    share, figures = tables.row("hospital_demands", demand="daily change at most"), {}
    if np.isfinite(high(each)):
        held, tank = _PER_CENT * np.minimum(highest / each, 1.0), each / share.value
        figures = {
            "held": need.put("change/fish-held", held, "%", act_end=ActEnd.LOW, rows=(share.id,)),
            "tank": need.put("change/tank-that-holds", tank, "L", act_end=ActEnd.HIGH, rows=(share.id,)),
        }
    return Why(code="what-each-remedy-does", figures=figures)


# -- before the way home ----------------------------------------------------------------------------------------------


def _unsalting(need: Need, found: NewWater, daily_share: float) -> Unsalting | None:
    """How the salt is let out before the way home; none from a vat in which the fish stays."""
    if need.path == HOME:
        return None
    source_g_per_l = high(salt_of(need, found.pours.source, need.stretch.until_h))
    return unsalting(need, source_g_per_l=source_g_per_l, daily_share=daily_share)


def _unsalted(need: Need, found: NewWater, plan: Unsalting | None) -> Iterator[Proposal]:
    """The changes of the last days, that bring the salt to within a step of the pond's."""
    if plan is None:
        return
    litres, at = down(plan.share * low(need.state[Q.VOLUME]), "L"), need.ground.clock.at
    levels = {"level": plan.from_g_per_l, "reached": plan.to_g_per_l, "pond": plan.pond_g_per_l}
    figures = {name: need.put(f"unsalting/{name}", value, "g/L") for name, value in levels.items()}
    made = partial(need.proposal, Kind.CHANGE, "unsalted", moment=need.stretch.moment, done=None)
    stays = codes(salt_must_stay(need)) or ((dosed(need, found.pours.source),) if found.dosed_h <= plan.last_h else ())
    if stays:
        instead = (Instead(kind=Kind.WAIT, because=codes("salt-is-let-out-later")),)
        yield made(source=found.pours.source, refused_because=stays, instead=instead)
        return
    amounts = amounts_of(need, found.pours, litres, "unsalting")
    salted = plan.new_water_g_per_l - high(salt_of(need, found.pours.source, plan.begin_h))
    if salted * litres >= least_g():
        amounts["salt"] = need.put("unsalting/salt", down(salted * litres, "g"), "g", act_end=ActEnd.LOW)
    parts = _parts(plan.share, "change part")
    one = replace(found.pours, litres=litres, parts=parts, part_every_h=rule("change part every"))
    level = plan.new_water_g_per_l if "salt" in amounts else None
    yield made(
        at=at(plan.begin_h),
        by=at(plan.begin_h),
        until=at(plan.last_h),
        every_h=_DAY_H,
        **_in_parts(need, one, amounts),
        costs=() if plan.in_time else (Why(code="unsalting-needs-more-days", words={"days": str(plan.days)}),),
        cautions=(Why(code="salt-let-out-before-home", figures=figures), *codes("no-salt-out-on-nitrite-or-bad-gills")),
        effects=[replace(one, at_h=plan.begin_h, every_h=_DAY_H, until_h=plan.last_h, salted_g_per_l=level)],
    )


# -- what both take ---------------------------------------------------------------------------------------------------


def _changed_by(need: Need, found: NewWater, share: float, careful: bool, *which: str) -> Proposal:
    parts = _parts(share, "change careful part" if careful else "change part")
    litres = down(share * low(need.state[Q.VOLUME]), "L")
    amounts = amounts_of(need, found.pours, litres, "/".join(("change", *(which or ("once",)))))
    one = replace(found.pours, litres=litres, parts=parts, part_every_h=rule("change part every"))
    return need.proposal(
        Kind.CHANGE,
        *which,
        key="tan",
        **_in_parts(need, one, amounts),
        costs=codes("small-parts-ph-rises-on-ammonia" if careful else ""),
        cautions=cautions_of(need, one.source, need.from_h),
        effects=[one],
    )


def _in_parts(need: Need, one: Changed, amounts: dict[str, str]) -> dict[str, Any]:
    """What every change has: its source, and its amounts in parts."""
    return {
        "source": one.source,
        "amounts": amounts,
        "parts": one.parts,
        "part_amounts": all_in_parts(need.ground.figures, amounts, one.parts),
        "part_every_h": one.part_every_h if one.parts > 1 else None,
        "worked_out_for": {"volume": "low"},
    }


def _by_sign(need: Need, *which: str) -> Proposal:
    """The part change that a sign calls for: never without the ammonia at the pH after it, never from what may be the cause."""
    found = source_of(need)
    waters = [need.state, *([need.context.stay[found.pours.source].as_found] if found else [])]
    if found is not None and found.refused:
        return no_source(need, found, *which)
    if not all(state.known[one].is_known for state in waters for one in (Q.AMMONIA, Q.PH)):
        instead = Instead(kind=Kind.MEASURE, because=codes("read-both-waters-first"))
        return need.proposal(Kind.CHANGE, *which, refused_because=codes("ammonia-and-ph-not-read"), instead=(instead,))
    if found is None:
        return no_source(need, found, *which)
    share = max(row.value for one in need.calls(Hazard.SIGN) for row in aid_rows(sign_of(one), Kind.CHANGE))
    return _changed_by(need, found, share, _rises(need, found.state, _parts(share, "change part")), *which)
