"""Water changed: once now and then every day, from a source that is better than what is there."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from waterplan import tables
from waterplan.actions.amounts import down, full, high, in_parts, low, rule, up
from waterplan.actions.change_search import DILUTED, daily_litres, first_share, over_limits
from waterplan.actions.needs import Need, needs
from waterplan.actions.neutralise import NEUTRALISER, put_thiosulphate
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Instead, Kind
from waterplan.actions.salt import intended_salt_g_per_l, salt_ladder
from waterplan.hazards.levels import most
from waterplan.hazards.limits import water_limit
from waterplan.hazards.record import Hazard, Verdict, Why
from waterplan.hazards.subject import Subject
from waterplan.published import Numbers
from waterplan.stay.course import Scenario
from waterplan.stay.effects import Changed, Effect
from waterplan.stay.filling import source_for, start_of
from waterplan.stay.happenings import first_change_h
from waterplan.stay.quantities import UNITS, Q
from waterplan.stay.record import ActEnd, WaterKind
from waterplan.stay.state import State
from waterplan.stay.waters import HOME, MAINS
from waterplan.water.carbonate import bicarbonate_for_alkalinity_mg_per_l

_SUSPECTS = (Hazard.AMMONIA, Hazard.NITRITE, Hazard.SUBSTANCE, Hazard.PH, Hazard.CONFLICT)
_DAY_H, _MG_PER_G = 24.0, 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _From:
    """A source with its water as it is poured in; `refused` where it may not be, with the reason."""

    path: str | None
    state: State | None
    refused: tuple[Why, ...] = ()


def change(context: Context) -> Iterator[Proposal]:
    """A first change where something is over its limit already, and the daily one of a tank."""
    for need in needs(context, *DILUTED, Hazard.SUBSTANCE):
        if need.stretch is None or need.kind in (WaterKind.BAG, WaterKind.BOX):
            continue
        if need.kind is WaterKind.HOSPITAL:
            yield from _of_tank(need)
        elif need.urgent:
            yield from _once(need)


# -- a tank ---------------------------------------------------------------------------------------------------------


def _of_tank(need: Need) -> Iterator[Proposal]:
    """The first change of a tank that is over a limit now, and the daily one that holds the limits to the end of the stay."""
    assert need.stretch is not None
    if need.urgent and _over_now(need):
        yield from _once(need, "first")
    if not need.calls(Hazard.AMMONIA, Hazard.NITRITE):
        return
    found = _source(need)
    path = f"{need.stretch.moment}/{Kind.CHANGE}/{need.path}"
    if found.refused or found.state is None or found.path is None:
        yield _no_source(need, found, path)
        return
    yield _daily(need, found, path)


def _over_now(need: Need) -> bool:
    """Whether a limit is passed by what the water holds as the stretch begins."""
    state = need.water.start
    over = any(state.has(quantity) and high(state[quantity]) > limit for quantity, limit in over_limits(need))
    return over or bool(need.calls(Hazard.SUBSTANCE))


# -- once -----------------------------------------------------------------------------------------------------------


def _once(need: Need, *more: str) -> Iterator[Proposal]:
    """One change, now or before the fish go in: the least share that brings what calls under its limit."""
    found = _source(need)
    path = need.id(Kind.CHANGE, *more)
    if found.refused or found.state is None or found.path is None:
        yield _no_source(need, found, path)
        return
    share, parts, careful = first_share(need, found.state)
    holds = need.water.start[Q.VOLUME]
    litres = down(share * low(holds), "L")
    costs = (Why(code="small-parts-ph-rises-on-ammonia"),) if careful else ()
    effect = _effect(need, found.path, litres, action=path, parts=parts, part_every_h=rule("change part every"))
    yield need.proposal(
        Kind.CHANGE,
        id=path,
        key="tan",
        source=found.path,
        amounts=_amounts(need, found, litres, "/".join((need.path, "change", *(more or ("once",))))),
        parts=parts,
        part_amounts={"litres": in_parts(litres, parts, unit="L")},
        worked_out_for={"volume": "low"},
        costs=costs,
        cautions=_cautions(need),
        effects=(effect,),
    )


# -- where the new water comes from ---------------------------------------------------------------------------------


def _source(need: Need) -> _From:
    """The best of the sources: the one that the water was filled from first, never one under suspicion."""
    own = need.water.place.source
    paths = [one for one in dict.fromkeys((own, MAINS, HOME)) if one in need.context.stay.waters and one != need.path]
    found: list[_From] = []
    for path in paths:
        assert path is not None
        made = source_for(need.context.ground, _kept(need), _effect(need, path, 0.0))
        found.append(
            _From(path=path, state=made, refused=tuple(_suspected(need, path)) or tuple(_worse(need, path, made)))
        )
    none = _From(path=None, state=None, refused=(Why(code="no-source-known"),))
    return next((one for one in found if not one.refused), found[0] if found else none)


def _suspected(need: Need, path: str) -> Iterator[Why]:
    """A source with something in it that treating and airing does not take out."""
    for one in need.context.judged.values():
        record = one.record
        if record.water == path and record.hazard in _SUSPECTS and record.verdict.rank >= Verdict.ACT_NOW.rank:
            yield Why(
                code="source-suspected", words={"source": path, "hazard": record.hazard.value, "judgement": record.id}
            )
            return


def _worse(need: Need, path: str, made: State) -> Iterator[Why]:
    """A source that holds as much of what is too high: both numbers are shown."""
    for quantity in dict(over_limits(need)):
        if not made.has(quantity):
            continue
        there = _worst_of(need, quantity)
        ours, theirs = high(there), high(made[quantity])
        if theirs >= ours:
            unit = UNITS[quantity]
            figures = {
                "here": need.put(f"change/{quantity}/here", there, unit, act_end=ActEnd.HIGH),
                "source": need.put(f"change/{quantity}/{path}", made[quantity], unit, act_end=ActEnd.HIGH),
            }
            yield Why(code="source-worse", figures=figures, words={"source": path, "quantity": quantity.value})


def _worst_of(need: Need, quantity: Q) -> Numbers:
    """The most that the water comes to in the stretch before any action, as its hazards read it."""
    before = need.context.before
    return most(Subject(stay=before, water=before[need.path], stretch=need.stretch), quantity)


def _kept(need: Need) -> State:
    return start_of(need.water, Scenario.POWER_OFF)


def _effect(need: Need, source: str, litres: Numbers, **others: object) -> Changed:
    keys = {
        "action": need.id(Kind.CHANGE),
        "water": need.path,
        "litres": litres,
        "source": source,
        "buffered_mg_caco3_per_l": _buffered(need, source),
        **others,
    }
    return Changed(**keys)  # type: ignore[arg-type]


def _buffered(need: Need, source: str) -> float | None:
    """The alkalinity that new water is brought up to where it was measured as short; None where it is not."""
    known = need.context.stay[source].as_found.known[Q.ALKALINITY]
    watch = water_limit("alkalinity", "watch").value
    return watch if known.is_known and low(known.draws) < watch and need.kind is WaterKind.HOSPITAL else None


# -- every day --------------------------------------------------------------------------------------------------------


def _daily(need: Need, found: _From, path: str) -> Proposal:
    context, stretch = need.context, need.stretch
    assert stretch is not None
    assert found.state is not None
    assert found.path is not None
    answer = daily_litres(need, found.path, found.state)
    holds = need.water.start[Q.VOLUME]
    highest = down(tables.row("hospital_demands", demand="daily change at most").value * low(holds), "L")
    wanted = highest if answer.value is None else min(up(answer.value, "L"), highest)
    enough = answer.value is not None and wanted >= answer.value
    parts = int(np.ceil(wanted / (rule("change part") * low(holds)) - 1e-9))
    part_every = rule("change part every")
    first_h = first_change_h(need.water, stretch)
    effects = tuple(_salted(need, found.path, path, wanted, parts, part_every, first_h))
    amounts = _amounts(need, found, wanted, f"{need.path}/change")
    amounts |= _salt_of(need, found, wanted)
    costs = []
    if not enough and answer.each is not None:
        needed = need.put("change/needed", answer.each, "L", act_end=ActEnd.HIGH)
        costs = [Why(code="change-not-enough", figures={"needed": needed}, words={"decides": answer.ruled_by})]
    at = context.ground.clock.at

    return need.proposal(
        Kind.CHANGE,
        id=path,
        moment=stretch.moment,
        at=at(first_h),
        by=at(first_h),
        until=at(stretch.until_h),
        every_h=_DAY_H,
        done=None,
        source=found.path,
        substance=NEUTRALISER if "thiosulphate" in amounts else None,
        amounts=amounts,
        parts=parts,
        part_amounts={"litres": in_parts(wanted, parts, unit="L")},
        worked_out_for={"volume": "low"},
        costs=tuple(costs),
        cautions=(*_cautions(need), *(() if enough else (Why(code="test-twice-a-day"),))),
        effects=effects,
    )


def _salted(
    need: Need, source: str, path: str, litres: float, parts: int, every: float, first_h: float
) -> Iterator[Effect]:
    """The changes of the days: while salt is being raised each is salted to what the tank then holds, then to the level meant."""
    stretch = need.stretch
    assert stretch is not None
    one = _effect(need, source, litres, action=path, parts=parts, part_every_h=every, at_h=first_h)
    ladder = salt_ladder(need.context, need.water)
    at_h = first_h
    while ladder and at_h < ladder[-1].at_h and at_h <= stretch.until_h:
        reached = [step.level_g_per_l for step in ladder if step.at_h <= at_h]
        level = reached[-1] if reached else None
        yield replace(one, at_h=at_h, salted_g_per_l=level)
        at_h += _DAY_H
    if at_h <= stretch.until_h:
        level = ladder[-1].level_g_per_l if ladder else intended_salt_g_per_l(need.context, need.water)
        yield replace(one, at_h=at_h, every_h=_DAY_H, until_h=stretch.until_h, salted_g_per_l=level)


def _salt_of(need: Need, found: _From, litres: float) -> dict[str, str]:
    """Grams of salt that a change takes, by what the new water holds itself."""
    level = intended_salt_g_per_l(need.context, need.water)
    if level is None or found.state is None or found.path is None:
        return {}
    own = need.context.stay[found.path].as_found[Q.SALT]
    grams = litres * np.maximum(level - own, 0.0)
    salt = need.put("change/salt", grams, "g", act_end=ActEnd.LOW, worked_out_for="low")
    return {"salt": salt}


# -- what both take ---------------------------------------------------------------------------------------------------


def _amounts(need: Need, found: _From, litres: float, path: str) -> dict[str, str]:
    """Litres, and the neutraliser that they take."""
    context = need.context
    amounts = {
        "litres": context.figures.put(
            f"{path}/litres", full(context, litres), unit="L", act_end=ActEnd.HIGH, act_on=litres, worked_out_for="low"
        )
    }
    raw = context.ground.places[found.path or ""]
    chlorine = np.maximum(context.stay[raw.id].as_found[Q.CHLORINE], 0.0)
    if high(chlorine) > 0.0:
        amounts["thiosulphate"] = put_thiosulphate(context, f"{path}/thiosulphate", full(context, litres), chlorine)
    buffered = _buffered(need, raw.id)
    if buffered is not None:
        there = np.maximum(context.stay[raw.id].as_found[Q.ALKALINITY], 0.0)
        missing = np.asarray(bicarbonate_for_alkalinity_mg_per_l(buffered, alkalinity_mg_caco3_per_l=there))
        amounts["bicarbonate"] = context.figures.put(
            f"{path}/bicarbonate",
            litres * missing / _MG_PER_G,
            unit="g",
            act_end=ActEnd.BEST,
            equations=(bicarbonate_for_alkalinity_mg_per_l,),
        )
    return amounts


def _cautions(need: Need) -> tuple[Why, ...]:
    match = tables.row("temperature_steps", situation="after anaesthesia", limit="step")
    step = need.put_row("change/temperature-step", match, "°C", ActEnd.LOW)
    return (
        Why(code="match-treat-and-air-new-water", figures={"step": step}),
        Why(code="test-new-water-before-it-goes-in"),
    )


def _no_source(need: Need, found: _From, path: str) -> Proposal:
    """A change that is refused, and what else there is."""
    made = [Instead(kind=Kind.STOP_FEEDING, because=(Why(code="less-ammonia-comes"),))]
    if need.kind is WaterKind.HOME:
        made.append(Instead(kind=Kind.MOVE, because=(Why(code="to-water-that-is-fit"),)))
    made.append(Instead(kind=Kind.MEASURE, because=(Why(code="another-source-tested-first"),)))
    return need.proposal(Kind.CHANGE, id=path, source=found.path, refused_because=found.refused, instead=tuple(made))
