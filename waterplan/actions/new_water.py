"""New water by where it comes from: what is read and done to it before it meets a fish, and what is never done."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from waterplan import tables
from waterplan.actions.amounts import bicarbonate_g, high, low, rule, up
from waterplan.actions.needs import Need, need_of
from waterplan.actions.proposing import Context, Proposal, codes
from waterplan.actions.record import Instead, Kind
from waterplan.hazards.limit_rows import water_limit
from waterplan.hazards.record import Hazard, Why
from waterplan.stay.effects import Effects, SubstanceIn
from waterplan.stay.filling import filled_h
from waterplan.stay.ground import Ground
from waterplan.stay.prepare import source_kind
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd
from waterplan.stay.waters import HOME, MAINS
from waterplan.water.carbonate import bicarbonate_for_alkalinity_mg_per_l

BICARBONATE = "sodium bicarbonate"


def new_water(context: Context) -> Iterator[Proposal]:
    """The steps of the table `source_steps` for the kind of water that is stated; refused where no fish goes into it."""
    water, stated = context.stay.waters.get(MAINS), context.ground.case.mains_water
    if water is None or stated.kind is None:
        return
    need = need_of(context, water, (one for one in context.calling(Hazard.SUBSTANCE) if one.water == MAINS))
    never, kind = source_kind(stated)["never"], stated.kind.value
    rows = [row for row in tables.rows("source_steps", kind=kind) if _is_due(row, need)]
    nevers = [row["code"] for row in rows if row["part"] == "never"]
    cautions = codes(*nevers)
    if never:
        instead = Instead(kind=Kind.NEW_WATER, because=codes("the-cold-tap-instead"))
        yield need.proposal(Kind.NEW_WATER, refused_because=codes(never), instead=(instead,), cautions=cautions)
        return
    buffered = _buffered(need) if high(need.state[Q.ALKALINITY]) < water_limit("alkalinity", "watch").value else {}
    grams = context.figures.record(buffered["bicarbonate"]).act_on if buffered else None
    per_litre = grams / rule("source batch") if grams else 0.0
    yield need.proposal(
        Kind.NEW_WATER,
        key="alkalinity",
        answers=(),
        amounts=buffered,
        substance=BICARBONATE if buffered else None,
        words={"of": kind},
        steps=tuple(_step(need, row) for row in rows if row["part"] == "step"),
        cautions=cautions,
        effects=[SubstanceIn(substance=BICARBONATE, grams=0.0, bicarbonate_g=per_litre)] if grams else (),
    )


def _step(need: Need, row: tables.Row) -> Why:
    """A step with its figure, where it has one."""
    code = row["code"]
    if not np.isfinite(row.value):
        return Why(code=code)
    return Why(code=code, figures={"amount": need.put(f"new-water/{code}", row.value, row.unit, rows=(row.id,))})


def _is_due(row: tables.Row, need: Need) -> bool:
    """Whether a step holds; what was read as enough already needs no buffer."""
    short = high(need.state[Q.ALKALINITY]) < water_limit("alkalinity", "watch").value
    return row["code"] != "buffer-then-read" or short


def _buffered(need: Need) -> dict[str, str]:
    """Bicarbonate for a batch that is short of alkalinity whatever it holds: for the least that it may hold."""
    wanted, litres = water_limit("alkalinity", "watch"), rule("source batch")
    there = np.maximum(need.state[Q.ALKALINITY], 0.0)
    grams = bicarbonate_g(litres, wanted=wanted.value, there=there)
    most = float(bicarbonate_g(litres, wanted=wanted.value, there=low(there)))
    total, equations = up(max(most, need.most(grams)), "g"), (bicarbonate_for_alkalinity_mg_per_l,)
    used = {"act_end": ActEnd.HIGH, "act_on": total, "equations": equations}
    return {
        "bicarbonate": need.put("new-water/bicarbonate", grams, "g", rows=(wanted.id,), **used),
        "litres": need.put("new-water/litres", litres, "L", rows=(tables.row("action_rules", rule="source batch").id,)),
        "alkalinity": need.put_row("new-water/alkalinity", wanted, "mg/L as CaCO3"),
    }


def with_tubs(ground: Ground, one: Proposal) -> Proposal:
    """What goes into a pond, with the tubs that are filled from it before that, or after the salt that is due by then."""
    into, now_h = Effects(all=one.effects), ground.clock.now_h
    salted_h, first_h = into.salted_h(HOME), into.put_in_h(HOME)
    after, before = list[str](), list[str]()
    # One that was read is full.
    empty = (one for one in ground.places.values() if one.source == HOME and one.vessel and not ground.readings[one.id])
    for place in (place for place in empty if place.stretches and first_h < np.inf):
        full_h = filled_h(ground, place, ground.places[HOME])
        if salted_h <= full_h >= now_h:
            after.append(place.id)
        elif first_h <= max(one.start_h for one in place.stretches) > now_h:
            before.append(place.id)
    told = (("fill-after-it", after), ("fill-before-it", before))
    more = (Why(code=code, words={"tubs": ", ".join(tubs)}) for code, tubs in told if tubs)
    return replace(one, action=one.action.model_copy(update={"cautions": (*one.action.cautions, *more)}))
