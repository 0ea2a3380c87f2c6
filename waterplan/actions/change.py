"""Water changed: once now and then every day, from a source that is better than what is there."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from waterplan import tables
from waterplan.actions.amounts import down, high, in_parts, low, rule, up
from waterplan.actions.needs import Need, aid_rows, needs, sign_of
from waterplan.actions.proposing import Context, Proposal, codes
from waterplan.actions.record import Instead, Kind
from waterplan.actions.salt import intended_salt_g_per_l, salt_ladder
from waterplan.actions.treating import NEUTRALISER, put_thiosulphate
from waterplan.hazards.levels import most
from waterplan.hazards.limits import nh3_limit, water_limit
from waterplan.hazards.record import Hazard, Verdict, Why
from waterplan.hazards.subject import Subject
from waterplan.published import FloatArray
from waterplan.stay import operations
from waterplan.stay.course import Scenario
from waterplan.stay.effects import Changed, Effect
from waterplan.stay.equipment import room_co2_ppm, stone
from waterplan.stay.filling import source_for, start_of
from waterplan.stay.happenings import first_change_h, meals
from waterplan.stay.quantities import UNITS, Q
from waterplan.stay.record import ActEnd, WaterKind
from waterplan.stay.standing import setup_of
from waterplan.stay.state import State, as_tank_water
from waterplan.stay.waters import HOME, MAINS
from waterplan.tank.aeration import Diffuser, Gas
from waterplan.tank.answers import Answer, thinned
from waterplan.tank.changes_needed import NitrogenLimits, daily_change_litres
from waterplan.tank.occupants import Fish
from waterplan.tank.setup import Setup
from waterplan.tank.water_body import Room, Tank
from waterplan.water.carbonate import bicarbonate_for_alkalinity_mg_per_l

_SUSPECTS = (Hazard.AMMONIA, Hazard.NITRITE, Hazard.SUBSTANCE, Hazard.PH, Hazard.CONFLICT)
_DAY_H, _MG_PER_G = 24.0, 1000.0
_DAYS, _SEARCH_DRAWS = 7.0, 64
# A meal doubles the uptake; bubbles of oxygen lift the water by 30 mg/L and more at any temperature and altitude.
_FED_AND_MORE, _OXYGEN_LIFT_MG_PER_L = 2.5, 25.0
# What a change dilutes, by the hazard that calls for it.
_DILUTED = {
    Hazard.AMMONIA: Q.UNIONISED_AMMONIA,
    Hazard.NITRITE: Q.NITRITE,
    Hazard.SALT: Q.SALT,
    Hazard.CARBON_DIOXIDE: Q.CARBON_DIOXIDE,
}
_TOTAL = "water_limits/tan/"


def change(context: Context) -> Iterator[Proposal]:
    """A first change where something is over its limit already, and the daily one of a tank to the end of its stay."""
    for need in needs(context, *_DILUTED, Hazard.SUBSTANCE, kind=Kind.CHANGE):
        if need.kind in (WaterKind.BAG, WaterKind.BOX):
            continue
        in_tank = need.kind is WaterKind.HOSPITAL
        worst = [one for one in need.judged if one.verdict.rank >= Verdict.ACT_NOW.rank]
        if worst and all(one.hazard is Hazard.SIGN for one in worst):
            yield _by_sign(need, *(["first"] if in_tank else []))
        elif need.urgent and (not in_tank or _is_over(need, need.state)):
            yield _once(need, *(["first"] if in_tank else []))
        if in_tank and need.calls(Hazard.AMMONIA, Hazard.NITRITE):
            yield _daily(need)


# -- once -----------------------------------------------------------------------------------------------------------


def _once(need: Need, *which: str) -> Proposal:
    """One change, now or before the fish go in: the least share that brings what calls under its limit."""
    found = _source(need)
    if found is None or found.refused:
        return _no_source(need, found, *which)
    share, careful = first_share(need, found.state)
    return _changed_by(need, found, share, careful, *which)


# -- where the new water comes from ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _From:
    """A source: a change of no litres from it, its water as it is poured in, and why it may not be, if it may not."""

    pours: Changed
    state: State
    refused: tuple[Why, ...]


def _source(need: Need) -> _From | None:
    """The best of the sources: one that is under the limits itself, that which the water was filled from first of those;
    never one under suspicion.
    """
    kept = start_of(need.water, Scenario.POWER_OFF)
    found: list[_From] = []
    for path in dict.fromkeys((need.water.place.source, MAINS, HOME)):
        if path is not None and path != need.path and path in need.context.stay.waters:
            pours = Changed(litres=0.0, source=path, buffered_mg_caco3_per_l=_buffered(need, path))
            made = source_for(need.ground, kept, pours)
            refused = tuple(_suspected(need, path)) or tuple(_worse(need, path, made))
            found.append(_From(pours=pours, state=made, refused=refused))
    fit = [one for one in found if not one.refused]
    return next((one for one in fit if not _is_over(need, one.state)), (*fit, *found, None)[0])


def _suspected(need: Need, path: str) -> Iterator[Why]:
    """A source with something in it that treating and airing does not take out."""
    for one in need.context.judged.values():
        record = one.record
        if record.hazard is Hazard.SIGN and path == MAINS and tables.row("signs", sign=sign_of(record))["tap"]:
            yield Why(code="source-seen-as-cause", words={"source": path, "sign": sign_of(record)})
            return
        if record.water == path and record.hazard in _SUSPECTS and record.verdict.rank >= Verdict.ACT_NOW.rank:
            words = {"source": path, "hazard": record.hazard.value, "judgement": record.id}
            yield Why(code="source-suspected", words=words)
            return


def _worse(need: Need, path: str, made: State) -> Iterator[Why]:
    """A source that holds as much of what is too high, as its hazards read it before any action: both numbers are shown.

    Of what nobody has read in it nothing is said but that it is to be read.
    """
    before = need.context.before
    here = Subject(stay=before, water=before[need.path], stretch=need.stretch)
    for quantity in dict(_over_limits(need)):
        if made.has(quantity) and high(made[quantity]) >= high(there := most(here, quantity)):
            read = Q.AMMONIA if quantity is Q.UNIONISED_AMMONIA else quantity
            if (
                quantity in (Q.UNIONISED_AMMONIA, Q.AMMONIA, Q.NITRITE)
                and not before[path].as_found.known[read].is_known
            ):
                yield Why(code="source-not-read", words={"source": path, "quantity": read.value})
                return
            unit = UNITS[quantity]
            figures = {
                "here": need.put(f"change/{quantity}/here", there, unit, act_end=ActEnd.HIGH),
                "source": need.put(f"change/{quantity}/{path}", made[quantity], unit, act_end=ActEnd.HIGH),
            }
            yield Why(code="source-worse", figures=figures, words={"source": path, "quantity": quantity.value})


def _buffered(need: Need, source: str) -> float | None:
    """The alkalinity that new water is brought up to where it is short, as measured or whatever it is; else None."""
    known = need.context.stay[source].as_found.known[Q.ALKALINITY]
    watch = water_limit("alkalinity", "watch").value
    short = (low if known.is_known else high)(known.draws) < watch
    return watch if short and need.kind is WaterKind.HOSPITAL else None


def _no_source(need: Need, found: _From | None, *which: str, **keys: Any) -> Proposal:
    """A change that is refused, and what else there is."""
    others = {Kind.STOP_FEEDING: "less-ammonia-comes"}
    if need.kind is WaterKind.HOME:
        others[Kind.MOVE] = "to-water-that-is-fit"
    unread = found is not None and any(why.code == "source-not-read" for why in found.refused)
    others[Kind.MEASURE] = "read-the-source-first" if unread else "another-source-tested-first"
    return need.proposal(
        Kind.CHANGE,
        *which,
        source=found.pours.source if found else None,
        refused_because=found.refused if found else codes("no-source-known"),
        instead=tuple(Instead(kind=kind, because=codes(code)) for kind, code in others.items()),
        **keys,
    )


# -- how much -------------------------------------------------------------------------------------------------------


def _over_limits(need: Need) -> Iterator[tuple[Q, float]]:
    """What is to be diluted and the level that it is not to pass, of each judgement that calls."""
    for one in need.calls(*_DILUTED):
        limit = one.limit
        most = None if limit is None else limit.value if limit.upper is None else limit.upper
        if limit is not None and most is not None:
            yield Q.AMMONIA if limit.row.startswith(_TOTAL) else _DILUTED[one.hazard], most


def first_share(need: Need, source: State) -> tuple[float, bool]:
    """The least share of a change that brings what calls under its limits, and whether its parts must be small.

    Each part goes through the plan's own mixing: where one would raise un-ionised ammonia above what is there and above
    its limit, the parts are the careful ones.
    """
    shares = np.arange(rule("change at least"), rule("change most") + 1e-9, rule("change step"))
    share = float(next((one for one in shares if _holds(need, source, one)), shares[-1]))
    return share, _rises(need, source, _parts(share, "change part"))


def _parts(share: float, part: str) -> int:
    return max(1, int(np.ceil(share / rule(part) - 1e-9)))


def _is_over(need: Need, state: State) -> bool:
    """Whether a limit is passed in a state; what a change does to a substance that calls is not known."""
    over = any(state.has(quantity) and high(state[quantity]) > limit for quantity, limit in _over_limits(need))
    return over or bool(need.calls(Hazard.SUBSTANCE))


def _holds(need: Need, source: State, share: float) -> bool:
    return not _is_over(need, _poured(need.state, source, share))


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
    return nh3_limit(one.species.law_group for one in need.fish).value


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


def _daily(need: Need) -> Proposal:
    """Changes that hold the limits to the end of the stay."""
    found, stretch, at = _source(need), need.stretch, need.ground.clock.at
    if found is None or found.refused:
        return _no_source(need, found, moment=stretch.moment)
    source, holds = found.pours.source, low(need.state[Q.VOLUME])
    answer = _daily_litres(need, source, found.state)
    highest = down(tables.row("hospital_demands", demand="daily change at most").value * holds, "L")
    wanted = highest if answer.value is None else min(up(answer.value, "L"), highest)
    enough = answer.value is not None and wanted >= answer.value
    parts = int(np.ceil(wanted / (rule("change part") * holds) - 1e-9))
    first_h = first_change_h(need.water, stretch)
    amounts = _amounts(need, found, wanted, "change")
    level = intended_salt_g_per_l(need)
    if level is not None:
        grams = wanted * np.maximum(level - need.context.stay[source].as_found[Q.SALT], 0.0)
        amounts["salt"] = need.put("change/salt", grams, "g", act_end=ActEnd.LOW, worked_out_for="low")
    costs = []
    if not enough and answer.each is not None:
        needed = need.put("change/needed", answer.each, "L", act_end=ActEnd.HIGH)
        costs = [Why(code="change-not-enough", figures={"needed": needed}, words={"decides": answer.ruled_by})]
    one = replace(found.pours, litres=wanted, parts=parts, part_every_h=rule("change part every"))
    return need.proposal(
        Kind.CHANGE,
        moment=stretch.moment,
        at=at(first_h),
        by=at(first_h),
        until=at(stretch.until_h),
        every_h=_DAY_H,
        done=None,
        source=source,
        substance=NEUTRALISER if "thiosulphate" in amounts else None,
        amounts=amounts,
        parts=parts,
        part_amounts={"litres": in_parts(wanted, parts, unit="L")},
        worked_out_for={"volume": "low"},
        costs=tuple(costs),
        cautions=_cautions(need) + codes("" if enough else "test-twice-a-day"),
        effects=_salted(need, one, first_h),
    )


def _salted(need: Need, one: Changed, at_h: float) -> Iterator[Effect]:
    """The changes of the days: while salt is being raised each is salted to what the tank then holds, then to the level meant."""
    ladder, until_h = salt_ladder(need), need.stretch.until_h
    while ladder and at_h < ladder[-1].at_h and at_h <= until_h:
        reached = [step.level_g_per_l for step in ladder if step.at_h <= at_h]
        yield replace(one, at_h=at_h, salted_g_per_l=reached[-1] if reached else None)
        at_h += _DAY_H
    if at_h <= until_h:
        level = intended_salt_g_per_l(need)
        yield replace(one, at_h=at_h, every_h=_DAY_H, until_h=until_h, salted_g_per_l=level)


# -- what both take ---------------------------------------------------------------------------------------------------


def _changed_by(need: Need, found: _From, share: float, careful: bool, *which: str) -> Proposal:
    parts = _parts(share, "change careful part" if careful else "change part")
    litres = down(share * low(need.state[Q.VOLUME]), "L")
    return need.proposal(
        Kind.CHANGE,
        *which,
        key="tan",
        source=found.pours.source,
        amounts=_amounts(need, found, litres, "/".join(("change", *(which or ("once",))))),
        parts=parts,
        part_amounts={"litres": in_parts(litres, parts, unit="L")},
        worked_out_for={"volume": "low"},
        costs=codes("small-parts-ph-rises-on-ammonia" if careful else ""),
        cautions=_cautions(need),
        effects=[replace(found.pours, litres=litres, parts=parts, part_every_h=rule("change part every"))],
    )


def _by_sign(need: Need, *which: str) -> Proposal:
    """The part change that a sign calls for: never without the ammonia at the pH after it, never from what may be the cause."""
    found = _source(need)
    waters = [need.state, *([need.context.stay[found.pours.source].as_found] if found else [])]
    if found is not None and found.refused:
        return _no_source(need, found, *which)
    if not all(state.known[one].is_known for state in waters for one in (Q.AMMONIA, Q.PH)):
        instead = Instead(kind=Kind.MEASURE, because=codes("read-both-waters-first"))
        return need.proposal(Kind.CHANGE, *which, refused_because=codes("ammonia-and-ph-not-read"), instead=(instead,))
    if found is None:
        return _no_source(need, found, *which)
    share = max(row.value for one in need.calls(Hazard.SIGN) for row in aid_rows(sign_of(one), Kind.CHANGE))
    return _changed_by(need, found, share, _rises(need, found.state, _parts(share, "change part")), *which)


def _amounts(need: Need, found: _From, litres: float, name: str) -> dict[str, str]:
    """Litres, and the neutraliser and the bicarbonate that they take."""
    raw, buffered = need.context.stay[found.pours.source].as_found, found.pours.buffered_mg_caco3_per_l
    given = {"act_end": ActEnd.HIGH, "act_on": litres, "worked_out_for": "low"}
    amounts = {"litres": need.put(f"{name}/litres", litres, "L", **given)}
    chlorine = np.maximum(raw[Q.CHLORINE], 0.0)
    if high(chlorine) > 0.0:
        amounts["thiosulphate"] = put_thiosulphate(need, f"{name}/thiosulphate", litres, chlorine)
    if buffered is not None:
        equation, there = bicarbonate_for_alkalinity_mg_per_l, np.maximum(raw[Q.ALKALINITY], 0.0)
        grams = litres * np.asarray(equation(buffered, alkalinity_mg_caco3_per_l=there)) / _MG_PER_G
        amounts["bicarbonate"] = need.put(f"{name}/bicarbonate", grams, "g", equations=(equation,))
    return amounts


def _cautions(need: Need) -> tuple[Why, ...]:
    match = tables.row("temperature_steps", situation="after anaesthesia", limit="step")
    step = need.put_row("change/temperature-step", match, "°C", ActEnd.LOW)
    matched = Why(code="match-treat-and-air-new-water", figures={"step": step})
    return (matched, *codes("test-new-water-before-it-goes-in"))
