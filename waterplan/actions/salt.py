"""Salt weighed in: to the level that is meant for a tank, and against nitrite; never above the ceiling of the fish in it."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

import numpy as np

from waterplan import tables
from waterplan.actions.already import done, read_since, unnamed
from waterplan.actions.amounts import down, high, in_parts, low, up
from waterplan.actions.needs import Need, need_of, needs
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Instead, Kind
from waterplan.case.model import Done
from waterplan.case.tank_choices import Happens
from waterplan.dose.salt import Exposure, SaltStep, salt_ceiling, salt_steps, salt_to_add_g
from waterplan.hazards.limits import water_limit
from waterplan.hazards.record import Hazard, Why
from waterplan.published import FloatArray
from waterplan.stay.effects import SaltIn
from waterplan.stay.ground import WaterStay
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, Moment, WaterKind
from waterplan.stay.state import chloride_mg_per_l
from waterplan.stay.waters import HOME, Stretch
from waterplan.water.nitrite import chloride_needed_mg_per_l, salt_for_chloride_mg_per_l

_MG_PER_G, _G_PER_KG = 1000.0, 1000.0
_INSTEAD = (Instead(kind=Kind.CHANGE, because=(Why(code="dilute-instead-of-salt"),)),)


def salt(context: Context) -> Iterator[Proposal]:
    """What went in already, the level that is meant, and what nitrite asks for beyond it."""
    for water in context.stay.waters.values():
        yield from _went_in(context, water)
    for water in context.stay.waters.values():
        if asked_salt_g_per_l(context, water) is not None:
            yield from _to_level(need_of(context, water, ()))
    for need in needs(context, Hazard.NITRITE):
        if need.stretch is not None and (
            need.urgent or need.stretch.moment in (Moment.HOSPITAL, Moment.CALL, Moment.HOME)
        ):
            yield from _guard(need)


def _salted_g(context: Context, water: WaterStay, *, seen_by: Sequence[str] = ("salinity",)) -> float:
    """Grams that went in and that no reading has seen since: of the case's own lines and of its events in the past."""

    def unseen(at: datetime) -> bool:
        return not any(read_since(context, water.place, key, at) for key in seen_by)

    found = [one for one in done(context, Kind.SALT, water.place, "salt") if unseen(one.at)]
    grams = sum(_grams(one) for one in found)
    now = context.ground.clock.now_h
    for event in context.ground.case.events:
        hours = context.ground.clock.hours(event.at)
        mine = (event.water or unnamed(context)) == water.place.id
        past = event.what is Happens.SALT and event.weight is not None and hours is not None and hours <= now
        if mine and past and event.at is not None and unseen(event.at):
            assert event.weight is not None
            grams += event.weight.measured.best * _G_PER_KG
    return grams


def _grams(one: Done) -> float:
    return float(one.amount.value) if one.amount is not None and one.amount.unit == "g" else 0.0


def _went_in(context: Context, water: WaterStay) -> Iterator[Proposal]:
    """Salt that went in already has its effect and is not ordered again."""
    grams = _salted_g(context, water)
    if grams <= 0.0:
        return
    need = need_of(context, water, ())
    times = [*(one.at for one in done(context, Kind.SALT, water.place, "salt")), context.ground.as_of]
    path = need.id(Kind.SALT, "went-in")
    figure = need.put("salt/went-in", grams, "g")
    yield need.proposal(
        Kind.SALT,
        id=path,
        by=None,
        amounts={"salt": figure},
        substance="salt",
        done=max(t for t in times if t),
        effects=(SaltIn(action=path, water=need.path, parts=((None, grams),)),),
    )


# -- the level that is meant ----------------------------------------------------------------------------------------


def ceiling_row(context: Context, water: WaterStay) -> tables.Row:
    """The strictest ceiling for days of all fish that are ever in a water."""
    groups = {one.species.salt_group for one in context.ground.fish_in(*water.place.stretches)} or {"other"}
    return min((salt_ceiling(one, Exposure.PROLONGED) for one in sorted(groups)), key=lambda row: (row.high, row.value))


def asked_salt_g_per_l(context: Context, water: WaterStay) -> float | None:
    """The salt that the case intends for a hospital tank; None elsewhere, or where none is intended."""
    intended = context.ground.case.intended.salt
    if intended is None or water.place.kind is not WaterKind.HOSPITAL or not water.place.stretches:
        return None
    return float(intended.measured.best)


def intended_salt_g_per_l(context: Context, water: WaterStay) -> float | None:
    """The salt that a tank is to hold; None where none is intended or where it is refused for a fish in it."""
    asked = asked_salt_g_per_l(context, water)
    return None if asked is None or asked > ceiling_row(context, water).high else asked


def salt_ladder(context: Context, water: WaterStay) -> tuple[SaltStep, ...]:
    """When a tank comes to which level of salt: hours of the stay and g/L; empty where there is nothing to raise."""
    level = intended_salt_g_per_l(context, water)
    if level is None or not water.place.stretches:
        return ()
    present = max(high(water.start[Q.SALT]), 0.0)
    start_h = water.place.stretches[0].start_h
    return tuple(
        replace(step, at_h=start_h + step.at_h) for step in salt_steps(min(present, level), intended_g_per_l=level)
    )


def _to_level(need: Need) -> Iterator[Proposal]:
    context, water, stretch = need.context, need.water, need.stretch
    assert stretch is not None
    asked = asked_salt_g_per_l(context, water)
    assert asked is not None
    path = f"{Moment.HOSPITAL}/{Kind.SALT}/{need.path}"
    figures = _levels(need, asked)
    at = context.ground.clock.at
    keys: dict[str, Any] = {
        "id": path,
        "moment": Moment.HOSPITAL,
        "done": None,
        "by": at(stretch.start_h),
        "substance": "salt",
    }
    refused = tuple(_refused(need, figures))
    if refused:
        yield need.proposal(Kind.SALT, **keys, refused_because=refused, instead=_INSTEAD)
        return
    present = np.maximum(water.start[Q.SALT], 0.0)
    held = high(present) + _salted_g(context, water) / low(water.start[Q.VOLUME])
    grams = np.asarray(
        salt_to_add_g(water.start[Q.VOLUME], present_g_per_l=np.maximum(present, held), intended_g_per_l=asked)
    )
    total = down(min(low(water.start[Q.VOLUME]) * max(asked - held, 0.0), low(grams)), "g")
    if total < tables.row("defaults", what="scale division").value:  # less than a kitchen scale shows
        return
    count = max(len(salt_steps(min(held, asked), intended_g_per_l=asked)), 1)
    parts = in_parts(total, count, unit="g")
    ladder = salt_ladder(context, water)
    times = [step.at_h for step in ladder][:count] or [stretch.start_h]
    amounts = {
        "salt": need.put(
            "salt/grams", grams, "g", act_end=ActEnd.LOW, act_on=total, equations=(salt_to_add_g,), worked_out_for="low"
        ),
        **figures,
    }
    yield need.proposal(
        Kind.SALT,
        **keys,
        at=at(times[0]),
        until=at(times[-1]),
        every_h=tables.row("dose_rules", rule="salt_step_every").value if count > 1 else None,
        amounts=amounts,
        parts=count,
        part_amounts={"salt": parts},
        worked_out_for={"volume": "low", "salt": "high"},
        costs=tuple(_confirm(need, asked)),
        cautions=tuple(_cautions(need)),
        effects=(SaltIn(action=path, water=need.path, parts=tuple(zip(times, parts, strict=False))),),
    )


def _levels(need: Need, asked: float) -> dict[str, str]:
    row = ceiling_row(need.context, need.water)
    return {
        "level": need.put("salt/level", asked, "g/L"),
        "ceiling": need.put("salt/ceiling", row.high, "g/L", rows=(row.id,)),
        "there": need.put("salt/there", np.maximum(need.water.start[Q.SALT], 0.0), "g/L", act_end=ActEnd.HIGH),
    }


def _refused(need: Need, figures: dict[str, str]) -> Iterator[Why]:
    if intended_salt_g_per_l(need.context, need.water) is None:
        yield Why(code="salt-above-ceiling", figures={key: figures[key] for key in ("level", "ceiling")})
    if _zeolite_in(need):
        yield Why(code="zeolite-gives-its-ammonia-back")


def _zeolite_in(need: Need) -> bool:
    case = need.context.ground.case
    written = any(one.what == "zeolite" and one.where == need.path for one in case.already)
    return written or (need.path == HOME and case.home_pond is not None and case.home_pond.zeolite is True)


def _confirm(need: Need, level: float) -> Iterator[Why]:
    row = ceiling_row(need.context, need.water)
    if level > row.value:
        usual = need.put_row("salt/usual-ceiling", row, "g/L")
        yield Why(code="above-usual-ceiling-vet-confirms", figures={"usual": usual})


def _cautions(need: Need) -> Iterator[Why]:
    yield Why(code="salt-without-additives")
    yield Why(code="dissolve-salt-first")
    yield Why(code="top-up-with-unsalted-water")
    case = need.context.ground.case
    if any(one.what == "zeolite" for one in case.already) or (case.home_pond is not None and case.home_pond.zeolite):
        yield Why(code="zeolite-out-first")


# -- against nitrite ------------------------------------------------------------------------------------------------


def _guard(need: Need) -> Iterator[Proposal]:
    """Chloride over the nitrite in the ratio of the table: both at their high ends, since an antidote fails by too little."""
    context, state, stretch = need.context, need.water.start, need.stretch
    assert stretch is not None
    ratio = water_limit("chloride_ratio", "least")
    most = (
        context.before[need.path].course(stretch).most(Q.NITRITE)
        if stretch.moment is Moment.HOSPITAL
        else state[Q.NITRITE]
    )
    nitrite = np.maximum(most, 0.0)
    there = chloride_mg_per_l(state)
    missing = np.asarray(chloride_needed_mg_per_l(nitrite, ratio=ratio.value, chloride_mg_per_l=there))
    meant = intended_salt_g_per_l(context, need.water)
    went_in = _salted_g(context, need.water, seen_by=("salinity", "chloride"))
    comes = max((meant or 0.0) - high(state[Q.SALT]), went_in / high(state[Q.VOLUME]))
    more = np.asarray(salt_for_chloride_mg_per_l(missing)) / _MG_PER_G - comes
    if high(more) <= 0.0:
        return
    path = need.id(Kind.SALT, "nitrite")
    row = ceiling_row(context, need.water)
    litres = state[Q.VOLUME]
    total = up(high(more) * high(litres), "g")
    reached = np.maximum(state[Q.SALT], 0.0) + comes + total / litres
    figures = {
        "ratio": need.put_row("salt/chloride-ratio", ratio, ""),
        "reached": need.put("salt/nitrite-level", reached, "g/L", act_end=ActEnd.HIGH),
        "ceiling": need.put("salt/ceiling", row.high, "g/L", rows=(row.id,)),
    }
    over = [] if high(reached) <= row.high else [Why(code="nitrite-salt-above-ceiling", figures=figures)]
    over += [Why(code="zeolite-gives-its-ammonia-back")] if _zeolite_in(need) else []
    if over:
        yield need.proposal(
            Kind.SALT, id=path, done=None, substance="salt", refused_because=tuple(over), instead=_INSTEAD
        )
        return
    yield _guarded(need, figures, more * litres, total, stretch, path)


def _guarded(
    need: Need,
    figures: dict[str, str],
    grams: FloatArray,
    total: float,
    stretch: Stretch,
    path: str,
) -> Proposal:
    context = need.context
    rise = total / low(need.water.start[Q.VOLUME])
    most = tables.row("dose_rules", rule="salt_step").value
    count = max(1, int(np.ceil(rise / most - 1e-9)))
    parts = in_parts(total, count, unit="g")
    every = tables.row("dose_rules", rule="salt_step_every").value
    begin = max(stretch.start_h, context.ground.clock.now_h)
    times = [begin + every * number for number in range(count)]
    amount = need.put(
        "salt/nitrite",
        np.maximum(grams, 0.0),
        "g",
        act_end=ActEnd.HIGH,
        act_on=total,
        equations=(chloride_needed_mg_per_l, salt_for_chloride_mg_per_l),
        worked_out_for="high",
    )
    return need.proposal(
        Kind.SALT,
        id=path,
        done=None,
        substance="salt",
        amounts={"salt": amount, **figures},
        parts=count,
        part_amounts={"salt": parts},
        every_h=every if count > 1 else None,
        worked_out_for={"volume": "high", "nitrite": "high"},
        costs=tuple(_confirm(need, high(need.context.figures.draws(figures["reached"])))),
        cautions=(Why(code="keeps-nitrite-out-does-not-remove-it"), *_cautions(need)),
        effects=(SaltIn(action=path, water=need.path, parts=tuple(zip(times, parts, strict=True))),),
    )
