"""Water treated: chlorine taken out, gas aired out, alkalinity made up; pH itself is never adjusted."""

from collections.abc import Iterator
from functools import partial
from itertools import accumulate, pairwise

import numpy as np

from waterplan import tables
from waterplan.actions.amounts import bicarbonate_g, high, in_parts, rule, up
from waterplan.actions.needs import Need, needs
from waterplan.actions.new_water import BICARBONATE
from waterplan.actions.proposing import Context, Proposal, codes
from waterplan.actions.record import Instead, Kind
from waterplan.dose import substances
from waterplan.dose.neutralise import neutraliser_g
from waterplan.hazards.limit_rows import nh3_limit, water_limit
from waterplan.hazards.record import Hazard, Verdict, Why
from waterplan.published import FloatArray, Numbers
from waterplan.stay.effects import Aired, BroughtTo, Effect, Neutralised, SubstanceIn
from waterplan.stay.equipment import stone
from waterplan.stay.operations import bring_to_temperature, dose
from waterplan.stay.prepare import chloramine_ammonia, source_kind
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, Origin, WaterKind
from waterplan.stay.standing import stones_of
from waterplan.stay.state import Known, State
from waterplan.stay.waters import HOME, MAINS
from waterplan.water.carbonate import bicarbonate_for_alkalinity_mg_per_l

NEUTRALISER = "thiosulphate pentahydrate"
_MG_PER_G, _FULL, _MOST_PARTS = 1000.0, 100.0, 12
_AIRED = "start of saturation"
_HOLDS = (WaterKind.HOME, WaterKind.HOSPITAL)


# -- chlorine -------------------------------------------------------------------------------------------------------


def neutralise(context: Context) -> Iterator[Proposal]:
    """Thiosulphate for every water in which chlorine was measured or may be."""
    calling = [
        need
        for need in needs(context, Hazard.CHLORINE, sources=True, kind=Kind.NEUTRALISE)
        if _from_tap(need) or need.urgent or (_may_be(need) and not _is_dosed(need))
    ]
    for need in calling:
        apart = not {one.path for one in calling}.isdisjoint(need.water.place.pours_into)
        yield _neutralised(need, apart=apart)
    for need in needs(context, Hazard.SUBSTANCE):
        yield from _taken_out(need)


def _taken_out(need: Need) -> Iterator[Proposal]:
    """What takes an oxidant that went in out again: for all that there may be, rounded up, until the test shows none."""
    answered = {one.id: one.id.rpartition("/")[2] for one in need.judged}
    for thing in dict.fromkeys(answered.values()):
        held, rows = need.state.contents.get(thing), tables.rows("neutralisers", oxidant=thing)
        if held is None or not rows or "/dose/" in (held.came_from or "") or need.past:
            continue
        row, litres, agent = rows[0], need.litres, rows[0]["neutraliser"]
        holds, label, of = _bottle(need, agent)
        unit, needed = "mL" if of or label else "g", partial(neutraliser_g, oxidant=thing, neutraliser=agent)
        most = up(float(needed(high(litres) * high(held.draws) / _MG_PER_G)) / holds, unit)
        draws = needed(np.asarray(litres * held.draws / _MG_PER_G)) / holds
        ends = {"act_end": ActEnd.HIGH, "act_on": most, "worked_out_for": "high"}
        mass = need.put(f"neutralise/{thing}", draws, unit, rows=(row.id, *of), equations=(neutraliser_g,), **ends)
        batch = {"litres": need.put(f"neutralise/{thing}/litres", litres, "L")} if need.is_batch else {}
        says = {"bottle": need.put(f"neutralise/{thing}/strength", _FULL * holds, "%", rows=of)} if of else {}
        told = Why(code=f"take-out-{thing}", figures={"grams": mass, **says}, words={"neutraliser": agent, **label})
        yield need.proposal(
            Kind.NEUTRALISE,
            thing,
            amounts={"mass": mass, **batch, **{f"neutraliser {name}": path for name, path in says.items()}},
            substance=agent,
            words={"oxidant": thing, **label, **({"per": "batch"} if batch else {})},
            worked_out_for={} if batch else {"volume": "high"},
            answers=tuple(path for path, name in answered.items() if name == thing),
            cautions=(told, *codes("little-at-a-time-and-test")),
        )


def _bottle(need: Need, agent: str) -> tuple[float, dict[str, str], tuple[str, ...]]:
    """Grams in a mL of what takes an oxidant out, the label of the case's own bottle, the row of the usual one; 1 of a powder."""
    labels = (one.bottle for one in need.ground.case.doses if one.substance == agent and one.bottle)
    own = next(((one.mg_per_ml, one.text) for one in labels if one.mg_per_ml), None)
    usual = tables.find("defaults", what=f"{agent} stock")
    if own is not None:
        return own[0] / _MG_PER_G, {"bottle": own[1]}, ()
    return (1.0, {}, ()) if usual is None else (usual.value, {}, (usual.id,))


def _from_tap(need: Need) -> bool:
    """Whether the water is of a source that may be disinfected, or filled from one."""
    source = need.water.source or need.water
    return source.place.kind is WaterKind.SOURCE and _is_tap(need)


def _is_tap(need: Need) -> bool:
    """Whether the new water of the case may hold what a water company puts into it."""
    new_water = need.ground.case.mains_water
    return (new_water.disinfectant or "none") != "none" or bool(source_kind(new_water)["disinfected"])


def _may_be(need: Need) -> bool:
    """Whether tap water may have run into a pond that nobody tested."""
    tap = _is_tap(need) or need.ground.tap_suspected
    return need.worst is Verdict.NOT_KNOWN and need.kind is WaterKind.HOME and tap


def _is_dosed(need: Need) -> bool:
    """Whether the case itself gives this water an antidote to chlorine."""
    return any(
        one.into.path == need.water.place.id
        and one.went_in is None
        and substances.kind_of(one.substance, use=one.use) is substances.Kind.DECHLORINATE
        for one in need.ground.case.doses
    )


def _neutralised(need: Need, *, apart: bool) -> Proposal:
    """Grams for the high end of the litres and of the chlorine, and the ammonia that is left; a tub may be treated apart."""
    case, state = need.ground.case, need.state
    litres, known = _ran_in(need) or (need.litres, state.known[Q.CHLORINE])
    batch = np.ndim(litres) == 0
    chlorine = np.maximum(known.draws, 0.0)
    amounts = {
        "thiosulphate": put_thiosulphate(need, "neutralise/thiosulphate", litres, chlorine),
        "litres": need.put("neutralise/litres", litres, "L", act_end=ActEnd.HIGH),
        "chlorine": need.put("neutralise/chlorine", chlorine, "mg/L", act_end=ActEnd.HIGH, rows=known.rows),
    }
    costs = codes("thiosulphate-takes-oxygen" if need.holding and not need.ahead else "")
    left = chloramine_ammonia(case, state)  # what the water as a whole is left with
    if high(left) > 0.0:
        figure = need.put("neutralise/ammonia-left", left, "mg/L as N", act_end=ActEnd.HIGH)
        costs = (Why(code="chloramine-leaves-ammonia", figures={"ammonia": figure}), *costs)
    unknown = not case.mains_water.disinfectant and _from_tap(need)
    return need.proposal(
        Kind.NEUTRALISE,
        key="chlorine",
        amounts=amounts,
        substance=NEUTRALISER,
        worked_out_for={} if batch else {"volume": "high"},
        costs=costs,
        cautions=codes(
            "only-if-tap-water-ran-in" if _may_be(need) else "",
            "disinfectant-unknown-worst-assumed" if unknown else "",
            "" if known.is_known else "chlorine-not-measured-worst-assumed",
            "test-total-chlorine-until-none",
            "kit-zero-is-not-none",
        ),
        words=(_per(need) if batch else {}) | ({"apart": "yes"} if apart else {}),
        effects=() if _may_be(need) else [Neutralised()],
    )


def _per(need: Need) -> dict[str, str]:
    """What the grams of a batch are for: litres of a source or a pond, or of tap water that ran in."""
    return {"per": "batch", **({"ran in": "yes"} if _may_be(need) else {})}


def _ran_in(need: Need) -> tuple[Numbers, Known] | None:
    """Litres of tap water that ran into a pond, and its chlorine: those stated, or a batch where nothing is.

    None where the pond was read, and no more can have run in: then what was read is taken out.
    """
    if need.kind is not WaterKind.HOME or (need.state.known[Q.CHLORINE].is_known and not _may_be(need)):
        return None
    inputs, tap = need.ground.inputs, need.context.stay.waters.get(MAINS)
    ran_in = [one.litres for one in need.ground.seen(HOME) if one.litres is not None]
    if not ran_in and need.ground.tap_suspected:
        return None  # as much as there is in the pond
    litres: Numbers = rule("pond batch")
    if ran_in:
        read = (inputs.of_reading(f"{HOME}/ran-in/{number}", one) for number, one in enumerate(ran_in))
        litres = sum(read, start=np.zeros(inputs.size))
    elif not (need.is_batch or _may_be(need)):
        return None
    row = tables.row("defensible_ranges", kind="tap water ran in", quantity=Q.CHLORINE.value)
    path = f"{HOME}/ran-in/{Q.CHLORINE}"
    worst = Known.not_measured(inputs.over_range(path, row), path, row)
    return litres, worst if tap is None else tap.as_found.known[Q.CHLORINE]


def put_thiosulphate(need: Need, name: str, litres: Numbers, chlorine: FloatArray) -> str:
    """Grams for litres [L] of a water with a chlorine [mg/L], no less than those of both high ends, as a figure: its path."""
    pair = {"oxidant": "chlorine", "neutraliser": NEUTRALISER}
    grams = neutraliser_g(litres * chlorine / _MG_PER_G, **pair)
    of_both = float(neutraliser_g(need.most(litres) * need.most(chlorine) / _MG_PER_G, **pair))
    most = up(max(of_both, need.most(grams)), "g")
    used = {"rows": (tables.row("neutralisers", **pair).id,), "equations": (neutraliser_g,)}
    return need.put(name, grams, "g", act_end=ActEnd.HIGH, act_on=most, worked_out_for="high", **used)


# -- gas ------------------------------------------------------------------------------------------------------------


def degas(context: Context) -> Iterator[Proposal]:
    """Airing for every source and tub whose gas is, or may be, above its limit; a pond is looked over for the leak."""
    for need in needs(context, Hazard.GAS_PRESSURE, sources=True):
        if need.kind in (WaterKind.HOME, WaterKind.BOX) or (need.holding and not need.ahead):
            if need.urgent:  # with fish in it: the pump that sucks air, or the falls that take it deep
                yield need.proposal(Kind.DEGAS, cautions=codes("find-the-pump-that-sucks-air", "air-stone-shallow"))
        elif not any(isinstance(effect, Aired) for effect in need.water.effects):
            yield _degassed(need)


def _degassed(need: Need) -> Proposal:
    warm = _used_at(need)
    hours, flow = _hours(need, warm)
    amounts = {}
    if high(hours):  # else by what is known it is aired enough, and only a reading tells
        amounts["hours"] = need.put("degas/hours", hours, "h", act_end=ActEnd.HIGH)
        amounts["air flow"] = need.put("degas/air", flow, "L/min", act_end=ActEnd.HIGH)
    effects: list[Effect] = [Aired()]
    if warm is not None:
        amounts["litres"] = need.put("degas/litres", need.litres, "L")
        amounts["temperature"] = need.put("degas/temperature", warm, "°C", act_end=ActEnd.HIGH)
        effects.insert(0, BroughtTo(temp_c=warm))
    if high(hours) > rule("degas most"):
        because = (Why(code="airing-takes-too-long", figures={"hours": amounts["hours"]}),)
        instead = (Instead(kind=Kind.MEASURE, because=codes("another-source-tested-first")),)
        return need.proposal(Kind.DEGAS, refused_because=because, instead=instead)
    return need.proposal(
        Kind.DEGAS,
        key="gas_pressure",
        amounts=amounts,
        worked_out_for={"volume": "high"},
        cautions=(*codes("bring-to-temperature-first-then-air"), _end_of_airing(need)),
        effects=effects,
    )


def _end_of_airing(need: Need) -> Why:
    """The readings that end it, whatever the hours: total gas, and oxygen and pH that stay where they are."""
    limit = min((one for one in need.limits(Hazard.GAS_PRESSURE) if one > _FULL), default=_FULL)
    apart = tables.row("action_rules", rule="degas readings apart")
    share = tables.row("hospital_demands", demand=_AIRED)
    figures = {
        "gas": need.put("degas/until-gas", limit, "% total gas", act_end=ActEnd.LOW),
        "oxygen": need.put("degas/until-oxygen", share.value * _FULL, "%", act_end=ActEnd.HIGH, rows=(share.id,)),
        "apart": need.put_row("degas/readings-apart", apart, "h"),
    }
    return Why(code="degas-until-it-reads", figures=figures)


def _used_at(need: Need) -> FloatArray | None:
    """The warmest temperature at which a source is used: it is brought to that first, since warming sets gas free."""
    if need.kind is not WaterKind.SOURCE:
        return None
    temps = [need.state[Q.TEMPERATURE]]
    for path in need.water.place.pours_into:
        kept = need.ground.kept_temp_c(path)
        temps += [need.context.stay[path].start[Q.TEMPERATURE], *([] if kept is None else [kept])]
    return np.asarray(np.max(temps, axis=0))


def _hours(need: Need, warm: FloatArray | None) -> tuple[FloatArray, float]:
    """Hours at the rate of the stones until the gas above the air's own has sunk to the limit's share of it.

    Of new water also until its oxygen has come to that of an aired tub and its carbon dioxide under its limit.
    """
    state = need.state if warm is None else bring_to_temperature(need.state, warm, came_from="degas")
    running = stones_of(need.water)
    flow = float(np.max(running[0].air_flow_l_per_min)) if running else rule("gas air")
    blown = stone(need.water.equipment, need.ground.inputs, l_per_min=flow)
    per_h, of_co2 = (
        moved(state[Q.TEMPERATURE]) / need.litres for moved in (blown.transfer_l_per_h, blown.strips_l_per_h)
    )
    allowed = min((one - _FULL for one in need.limits(Hazard.GAS_PRESSURE) if one > _FULL), default=1.0)
    over = np.maximum(state[Q.GAS_PRESSURE] - _FULL, allowed)
    hours = np.log(over / allowed) / per_h
    if need.kind is WaterKind.SOURCE:
        full, short = state.saturation_mg_per_l, 1.0 - tables.row("hospital_demands", demand=_AIRED).value
        lacking = np.maximum(1.0 - np.maximum(state[Q.OXYGEN], 0.0) / full, short)
        most = water_limit("carbon_dioxide", "limit").value
        too_much = np.maximum(state[Q.CARBON_DIOXIDE], most)
        hours = np.max([hours, np.log(lacking / short) / per_h, np.log(too_much / most) / of_co2], axis=0)
    return np.asarray(hours), flow


# -- alkalinity -----------------------------------------------------------------------------------------------------


def chemistry(context: Context) -> Iterator[Proposal]:
    """Bicarbonate for every water that holds fish for days and is short of alkalinity as it was measured.

    A tub that is filled from one that gets it needs none, but where its own alkalinity was read: then it is filled already.
    """
    buffered = set()
    for need in needs(context, Hazard.ALKALINITY):  # sources stand before what is filled from them
        calls = need.urgent or (need.worst is not Verdict.NOT_KNOWN and need.kind in _HOLDS)
        read = need.water.as_found.known[Q.ALKALINITY].origin is Origin.MEASURED
        if calls and (read or need.water.place.source not in buffered) and high(_missing_g(need, 1.0)) > 0.0:
            made = _buffered(need)
            buffered |= {need.path} if made.effects else set()
            yield made


def _missing_g(need: Need, litres: Numbers) -> FloatArray:
    """Bicarbonate that so many litres of a water are short of, by what was put into it so far [g]."""
    return bicarbonate_g(litres, wanted=_wanted(need), there=need.state[Q.ALKALINITY])


def _wanted(need: Need) -> float:
    return max([water_limit("alkalinity", "watch").value, *need.limits(Hazard.ALKALINITY)])


def _buffered(need: Need) -> Proposal:
    """Grams for the high end of the litres: what is missing fails by too little; in parts that keep the step of pH."""
    state, litres = need.state, need.litres
    wanted = water_limit("alkalinity", "watch")
    target, grams = _wanted(need), _missing_g(need, litres)
    batch = {"litres": need.put("chemistry/litres", litres, "L")} if need.is_batch else {}
    total = up(max(need.most(_missing_g(need, need.most(litres))), need.most(grams)), "g")
    step, every = (tables.row("ramp_rates", quantity="ph", limit=limit) for limit in ("per step", "every"))
    parts = _parts(need, total, step.value)
    used = {"equations": (bicarbonate_for_alkalinity_mg_per_l,), "worked_out_for": "high"}
    amounts = {
        "bicarbonate": need.put("chemistry/bicarbonate", grams, "g", act_end=ActEnd.HIGH, act_on=total, **used),
        "alkalinity": need.put("chemistry/alkalinity", target, "mg/L as CaCO3", rows=(wanted.id,)),
        "ph step": need.put_row("chemistry/ph-step", step, "", ActEnd.LOW),
        **batch,
    }
    refused = tuple(_raises_ammonia(need, dose(state, came_from="trial", bicarbonate_g=need.in_all(total))))
    made = partial(need.proposal, Kind.CHEMISTRY, key="alkalinity", substance=BICARBONATE)
    if refused:
        instead = Instead(kind=Kind.CHANGE, because=codes("change-against-ammonia-first"))
        return made(refused_because=refused, instead=(instead,))
    return made(
        amounts=amounts,
        parts=len(parts),
        part_amounts={"bicarbonate": parts},
        every_h=every.value if len(parts) > 1 else None,
        worked_out_for={} if batch else {"volume": "high"},
        words={"per": "batch"} if batch else {},
        cautions=codes("dissolve-and-read-ph-after-each-part", "do-not-adjust-ph"),
        effects=[SubstanceIn(substance=BICARBONATE, grams=0.0, bicarbonate_g=need.in_all(total))],
    )


def _parts(need: Need, total: float, most: float) -> tuple[float, ...]:
    """The fewest parts, as they are weighed, none of which raises the pH by more than the step of the table.

    One where no fish is in it yet: those that come from another water are brought to it by the clock.
    """
    if need.ahead and need.kind is not WaterKind.HOME:
        return (total,)

    def then(now: State, grams: float) -> State:
        return dose(now, came_from="trial", bicarbonate_g=need.in_all(grams))

    for count in range(1, _MOST_PARTS):
        parts = in_parts(total, count, unit="g")
        states = accumulate(parts, then, initial=need.state)
        if all(high(np.abs(after[Q.PH] - now[Q.PH])) <= most for now, after in pairwise(states)):
            return parts
    return in_parts(total, _MOST_PARTS, unit="g")


def _raises_ammonia(need: Need, after: State) -> Iterator[Why]:
    """Ammonia that the higher pH would turn un-ionised, over its limit."""
    limit = nh3_limit(one.law_group for one in need.species)
    then = after[Q.UNIONISED_AMMONIA]
    if high(then) > max(limit.value, high(need.state[Q.UNIONISED_AMMONIA])):
        figures = {
            "after": need.put("chemistry/ammonia-after", then, "mg/L as N", act_end=ActEnd.HIGH),
            "limit": need.put_row("chemistry/ammonia-limit", limit, "mg/L as N"),
        }
        yield Why(code="bicarbonate-raises-ammonia", figures=figures)
