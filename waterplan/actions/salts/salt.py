"""Salt weighed in: to the level that is meant for a tank, and against nitrite; never above the ceiling of the fish in it."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from functools import partial
from typing import Any

import numpy as np

from waterplan import tables
from waterplan.actions.amounts import down, high, in_parts, least_g, low, up
from waterplan.actions.needs import Need, need_of, needs
from waterplan.actions.proposing import Context, Proposal, codes
from waterplan.actions.record import Instead, Kind
from waterplan.actions.salts.matched import salted_like
from waterplan.dose.salt import SaltStep, salt_steps, salt_to_add_g
from waterplan.hazards.limit_rows import water_limit
from waterplan.hazards.record import Hazard, Verdict, Why
from waterplan.hazards.salts import SIGN_STOPS
from waterplan.published import FloatArray, Numbers
from waterplan.stay.effects import Changed, SaltIn
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, Moment, WaterKind
from waterplan.stay.salted import SALT_METERS, salt_ceiling_of, unseen_level_g_per_l, weighed_in, zeolite_in
from waterplan.stay.state import chloride_mg_per_l
from waterplan.water.nitrite import chloride_needed_mg_per_l, salt_for_chloride_mg_per_l

_MG_PER_G, _CONCENTRATED = 1000.0, 1.1
_ORDERED_IN = (Moment.HOSPITAL, Moment.CALL, Moment.HOME)


def salt(context: Context) -> Iterator[Proposal]:
    """What went in already, the level that is meant, what nitrite asks for beyond it, and a tub that is to be like another."""
    everywhere = [need_of(context, water) for water in context.stay.waters.values()]
    for need in everywhere:
        yield from _went_in(need)
    for need in everywhere:
        yield from _to_level(need)
    for need in needs(context, Hazard.NITRITE, kind=Kind.SALT):  # gills that were seen make it the more pressing
        if need.calls(Hazard.NITRITE) and _is_known(need) and (need.urgent or need.stretch.moment in _ORDERED_IN):
            yield from _against_nitrite(need)
    yield from salted_like(context)


# -- what went in ---------------------------------------------------------------------------------------------------


def _went_in(need: Need) -> Iterator[Proposal]:
    """Salt that went in already, of which no meter knows, is in the water and is not ordered again."""
    since = [(at, grams) for at, grams in weighed_in(need.ground, need.path) if not _is_read(need, at)]
    if since:
        yield need.proposal(
            Kind.SALT,
            "went-in",
            by=None,
            amounts={"salt": need.put("salt/went-in", sum(grams for _, grams in since), "g")},
            substance="salt",
            done=max(at for at, _ in since),
        )


def _is_read(need: Need, at: datetime) -> bool:
    return need.ground.read_since(need.path, at, *SALT_METERS)


# -- the level that is meant ----------------------------------------------------------------------------------------


def _ceiling(need: Need) -> tables.Row:
    return salt_ceiling_of(need.ground, need.water.place)


def _asked_g_per_l(need: Need) -> float | None:
    """The salt that the case intends for a hospital tank; None elsewhere, or where none is intended."""
    intended = need.ground.case.intended.salt
    if intended is None or need.kind is not WaterKind.HOSPITAL or need.holding is None:
        return None
    return float(intended.measured.best)


def intended_salt_g_per_l(need: Need) -> float | None:
    """The salt that a tank is to hold; None where none is intended or where it is refused for a fish in it."""
    asked = _asked_g_per_l(need)
    return None if asked is None or asked > _ceiling(need).high else asked


def salt_ladder(need: Need) -> tuple[SaltStep, ...]:
    """When a tank comes to which level of salt: hours of the stay and g/L; empty where there is nothing to raise."""
    level = intended_salt_g_per_l(need)
    if level is None:
        return ()
    present = max(high(need.state[Q.SALT]), 0.0)
    steps = salt_steps(min(present, level), intended_g_per_l=level)
    return tuple(replace(step, at_h=need.water.place.stretches[0].begins_h + step.at_h) for step in steps)


def _to_level(need: Need) -> Iterator[Proposal]:
    asked, litres = _asked_g_per_l(need), need.state[Q.VOLUME]
    if asked is None:
        return
    present, row = np.maximum(need.state[Q.SALT], 0.0), _ceiling(need)
    figures = {
        "level": need.put("salt/level", asked, "g/L"),
        "ceiling": need.put("salt/ceiling", row.high, "g/L", rows=(row.id,)),
        "there": need.put("salt/there", present, "g/L", act_end=ActEnd.HIGH),
    }
    start_h, at = need.stretch.begins_h, need.ground.clock.at
    made = partial(need.proposal, Kind.SALT, moment=Moment.HOSPITAL, by=at(start_h), done=None, substance="salt")
    over = {key: figures[key] for key in ("level", "ceiling")}
    refused = _refused(need, *([Why(code="salt-above-ceiling", figures=over)] if asked > row.high else []))
    if refused:
        yield made(**refused)
        return
    if unseen_level_g_per_l(need.ground, need.water.place) is not None:
        yield from _read_first(need, figures, made)
        return
    held = high(present)
    grams = np.asarray(salt_to_add_g(litres, present_g_per_l=np.maximum(present, held), intended_g_per_l=asked))
    # What went in unseen is taken off to the gram, so that a tank that was salted as ordered is not ordered the rest of an error.
    unseen = sum(weighed for at, weighed in weighed_in(need.ground, need.path) if not _is_read(need, at))
    first = low(litres) * max(asked - high(np.maximum(present - unseen / litres, 0.0)), 0.0) - unseen
    total = down(max(min(low(litres) * max(asked - held, 0.0), need.least(grams), first), 0.0), "g")
    if total < least_g():  # less than a kitchen scale shows
        return
    times = [start_h + step.at_h for step in salt_steps(min(held, asked), intended_g_per_l=asked)]
    weighed = need.put(
        "salt/grams", grams, "g", act_end=ActEnd.LOW, act_on=total, equations=(salt_to_add_g,), worked_out_for="low"
    )
    yield made(
        at=at(times[0]),
        until=at(times[-1]),
        amounts={"salt": weighed, **figures},
        worked_out_for={"volume": "low", "salt": "high"},
        **_in_steps(need, total, times, level=asked),
        cautions=_cautions(need),
    )


def _read_first(need: Need, figures: dict[str, str], made: Callable[..., Proposal]) -> Iterator[Proposal]:
    """Salt that may be in already is read before any more goes in; the amount is what the reading shows to be missing."""
    step, every = (tables.row("dose_rules", rule=rule) for rule in ("salt_step", "salt_step_every"))
    missing = {
        "level": figures["level"],
        "step": need.put_row("salt/step", step, "g/L"),
        "each": need.put("salt/each-step", need.state[Q.VOLUME] * step.value, "g", act_end=ActEnd.LOW),
        "every": need.put_row("salt/step-every", every, "h"),
    }
    told = Why(code="then-dissolve-what-is-missing", figures=missing)
    instead = (Instead(kind=Kind.MEASURE, because=codes("read-salt")),)
    yield made(refused_because=codes("salt-may-be-in-already"), instead=instead)
    kit = tables.row("ordinary_readings", quantity=Q.SALT.value)
    now = need.ground.clock.at(need.from_h)
    words = {"quantity": Q.SALT.value, "with": kit["with"]}
    yield need.proposal(Kind.MEASURE, "salt", moment=Moment.HOSPITAL, by=now, done=None, words=words, cautions=(told,))


# -- against nitrite ------------------------------------------------------------------------------------------------


def _is_known(need: Need) -> bool:
    """Whether somebody read the nitrite, or a tank's course passes its limit whatever it began with."""
    in_tank = need.stretch.moment is Moment.HOSPITAL
    return need.state.known[Q.NITRITE].is_known or (in_tank and need.urgent)


def _begun(need: Need, at_h: float) -> float | None:
    """The hour of a part; the first of a tub is in it before nitrite is met."""
    return None if at_h == 0.0 and need.kind is not WaterKind.HOME else need.from_h + at_h


def _comes_g_per_l(need: Need) -> FloatArray:
    """What the level that is meant brings beside it; of salt that may be in already, in the draws where it is not."""
    there, meant = need.state[Q.SALT], intended_salt_g_per_l(need) or 0.0
    unseen = unseen_level_g_per_l(need.ground, need.water.place) is not None
    return np.maximum(meant - (there if unseen else np.full(there.size, high(there))), 0.0)


def _lacking_mg_per_l(need: Need, ratio: float) -> Numbers:
    """Chloride that is lacking against the most nitrite that comes [mg/L, shape (draws + 1,)]."""
    # A change takes nitrite out before salt need answer it.
    changed = any(isinstance(one, Changed) for one in need.water.effects)
    followed = need.water if changed else need.context.before[need.path]
    in_tank = need.stretch.moment is Moment.HOSPITAL
    most = followed.course(need.stretch).most(Q.NITRITE) if in_tank else need.state[Q.NITRITE]
    if need.water.salting and high(most) < _CONCENTRATED * high(need.state[Q.NITRITE]):
        most = need.state[Q.NITRITE]  # what evaporates leaves chloride too
    there = chloride_mg_per_l(need.state)
    return chloride_needed_mg_per_l(np.maximum(most, 0.0), ratio=ratio, chloride_mg_per_l=there)


def _is_pressing(need: Need) -> bool:
    """Whether nitrite calls by what was read: a sign alone, of one that its chloride keeps out, asks for no few grams."""
    read = [one for one in need.calls(Hazard.NITRITE) if not any(why.code == SIGN_STOPS for why in one.why)]
    return any(one.verdict.rank >= Verdict.ACT_NOW.rank for one in read)


def _against_nitrite(need: Need) -> Iterator[Proposal]:
    """Chloride over the nitrite in the ratio of the table: both at their high ends, since an antidote fails by too little."""
    state, litres, row, ratio = need.state, need.litres, _ceiling(need), water_limit("chloride_ratio", "least")
    missing = _lacking_mg_per_l(need, ratio.value)
    comes = _comes_g_per_l(need)
    more = np.asarray(salt_for_chloride_mg_per_l(missing)) / _MG_PER_G - high(comes)
    # What is drawn from a salted pond has its salt, which was sized for the errors already.
    if (more[0] if need.water.salting else high(more)) <= 0.0:
        return
    if not _is_pressing(need) and high(more) < tables.row("action_rules", rule="salt least").value:
        return
    grams = np.maximum(more * litres, 0.0)
    # A pond from which tubs are filled guards their fish too: by every draw.
    most_g = float(np.max(grams)) if need.water.place.pours_into else need.most(grams)
    total = up(max(high(more) * high(litres), most_g), "g")
    reached = np.maximum(state[Q.SALT], 0.0) + comes + total / litres
    figures = {
        "ratio": need.put_row("salt/chloride-ratio", ratio, ""),
        "reached": need.put("salt/nitrite-level", reached, "g/L", act_end=ActEnd.HIGH),
        "ceiling": need.put("salt/ceiling", row.high, "g/L", rows=(row.id,)),
    }
    batch = {"litres": need.put("salt/litres", litres, "L")} if need.is_batch else {}
    made = partial(need.proposal, Kind.SALT, "nitrite", done=None, substance="salt")
    over = [Why(code="nitrite-salt-above-ceiling", figures=figures)] if high(reached) > row.high else []
    refused = _refused(need, *over)
    if refused:
        yield made(**refused)
        return
    steps = salt_steps(0.0, intended_g_per_l=total / low(litres))
    used = (chloride_needed_mg_per_l, salt_for_chloride_mg_per_l)
    amount = need.put(
        "salt/nitrite", grams, "g", act_end=ActEnd.HIGH, act_on=total, equations=used, worked_out_for="high"
    )
    yield made(
        amounts={"salt": amount, **figures, **batch},
        worked_out_for={"nitrite": "high"} if batch else {"volume": "high", "nitrite": "high"},
        words={"per": "batch"} if batch else {},
        **_in_steps(need, total, [_begun(need, step.at_h) for step in steps], level=high(reached)),
        cautions=codes(
            "keeps-nitrite-out-does-not-remove-it", "" if state.has(Q.CHLORIDE) else "chloride-not-read-none-counted"
        )
        + _cautions(need),
    )


# -- what both say --------------------------------------------------------------------------------------------------


def _refused(need: Need, *over: Why) -> dict[str, Any]:
    """What speaks against salt in a water, its ceiling or zeolite, and what else there is; empty where nothing does."""
    because = over + codes("zeolite-gives-its-ammonia-back" if any(zeolite_in(need.ground, need.water.place)) else "")
    instead = (Instead(kind=Kind.CHANGE, because=codes("dilute-instead-of-salt")),)
    return {"refused_because": because, "instead": instead} if because else {}


def _in_steps(need: Need, total: float, times: Sequence[float | None], *, level: float) -> dict[str, Any]:
    """Salt weighed in, a part at each time; the veterinarian confirms a level above the usual ceiling."""
    row, parts = _ceiling(need), in_parts(total, len(times), unit="g")
    every = tables.row("dose_rules", rule="salt_step_every").value
    usual = {"usual": need.put_row("salt/usual-ceiling", row, "g/L")} if level > row.value else {}
    return {
        "parts": len(parts),
        "part_amounts": {"salt": parts},
        "every_h": every if len(parts) > 1 else None,
        "costs": (Why(code="above-usual-ceiling-vet-confirms", figures=usual),) if usual else (),
        "effects": [SaltIn(parts=tuple(zip(times, map(need.in_all, parts), strict=True)))],
    }


def _cautions(need: Need) -> tuple[Why, ...]:
    zeolite = "zeolite-out-first" if zeolite_in(need.ground, need.water.place) else ""
    return codes("salt-without-additives", "dissolve-salt-first", "top-up-with-unsalted-water", zeolite)
