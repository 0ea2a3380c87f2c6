"""Bicarbonate where alkalinity is short; pH itself is never adjusted."""

from collections.abc import Iterator
from functools import partial

import numpy as np

from waterplan import tables
from waterplan.actions.amounts import high, in_parts, low, up
from waterplan.actions.needs import Need, needs
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Instead, Kind
from waterplan.hazards.limits import nh3_limit, water_limit
from waterplan.hazards.record import Hazard, Verdict, Why
from waterplan.stay.effects import SubstanceIn
from waterplan.stay.operations import dose
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, WaterKind
from waterplan.stay.state import State
from waterplan.water.carbonate import bicarbonate_for_alkalinity_mg_per_l

BICARBONATE = "sodium bicarbonate"
_MG_PER_G = 1000.0
_MOST_PARTS = 12
_HOLDS = (WaterKind.HOME, WaterKind.HOSPITAL)


def chemistry(context: Context) -> Iterator[Proposal]:
    """Bicarbonate for every water that holds fish for days and is short of alkalinity as it was measured."""
    for need in needs(context, Hazard.ALKALINITY):
        if need.worst is Verdict.NOT_KNOWN and not need.urgent:
            continue
        if need.stretch is not None and (need.kind in _HOLDS or need.urgent):
            yield _one(need)


def _one(need: Need) -> Proposal:
    """Grams for the high end of the litres: what is missing fails by too little; in parts that keep the step of pH."""
    state = need.water.start
    wanted = water_limit("alkalinity", "watch")
    target = max([wanted.value, *need.limits(Hazard.ALKALINITY)])
    there = np.maximum(state[Q.ALKALINITY], 0.0)
    litres = state[Q.VOLUME]
    grams = (
        litres * np.asarray(bicarbonate_for_alkalinity_mg_per_l(target, alkalinity_mg_caco3_per_l=there)) / _MG_PER_G
    )
    missing = float(bicarbonate_for_alkalinity_mg_per_l(target, alkalinity_mg_caco3_per_l=low(there)))
    total = up(max(high(litres) * missing / _MG_PER_G, high(grams)), "g")
    path = need.id(Kind.CHEMISTRY)
    parts = _parts(state, total)
    after = dose(state, came_from=path, bicarbonate_g=total)
    step = tables.row("ramp_rates", quantity="ph", limit="per step")
    amounts = {
        "bicarbonate": need.put(
            "chemistry/bicarbonate",
            grams,
            "g",
            act_end=ActEnd.HIGH,
            act_on=total,
            equations=(bicarbonate_for_alkalinity_mg_per_l,),
            worked_out_for="high",
        ),
        "alkalinity": need.put("chemistry/alkalinity", target, "mg/L as CaCO3", rows=(wanted.id,)),
        "ph step": need.put_row("chemistry/ph-step", step, "", ActEnd.LOW),
    }
    refused = tuple(_refused(need, state, after))
    made = partial(need.proposal, Kind.CHEMISTRY, key="alkalinity", substance=BICARBONATE)
    if refused:
        instead = Instead(kind=Kind.CHANGE, because=(Why(code="change-against-ammonia-first"),))
        return made(refused_because=refused, instead=(instead,))
    effect = SubstanceIn(action=path, water=need.path, substance=BICARBONATE, grams=0.0, bicarbonate_g=total)
    return made(
        amounts=amounts,
        parts=parts,
        part_amounts={"bicarbonate": in_parts(total, parts, unit="g")},
        every_h=tables.row("ramp_rates", quantity="ph", limit="every").value if parts > 1 else None,
        worked_out_for={"volume": "high"},
        cautions=(Why(code="dissolve-and-read-ph-after-each-part"), Why(code="do-not-adjust-ph")),
        effects=(effect,),
    )


def _parts(state: State, total: float) -> int:
    """The fewest equal parts none of which raises the pH by more than the step of the table."""
    most = tables.row("ramp_rates", quantity="ph", limit="per step").value
    for count in range(1, _MOST_PARTS):
        now, steps = state, []
        for _ in range(count):
            after = dose(now, came_from="trial", bicarbonate_g=total / count)
            steps.append(high(np.abs(after[Q.PH] - now[Q.PH])))
            now = after
        if max(steps) <= most:
            return count
    return _MOST_PARTS


def _refused(need: Need, before: State, after: State) -> Iterator[Why]:
    """Ammonia that the higher pH would turn un-ionised, over its limit."""
    assert need.stretch is not None
    limit = nh3_limit(one.species.law_group for one in need.context.ground.fish_in(need.stretch))
    now, then = high(before[Q.UNIONISED_AMMONIA]), high(after[Q.UNIONISED_AMMONIA])
    if then > limit.value and then > now:
        figures = {
            "after": need.put("chemistry/ammonia-after", after[Q.UNIONISED_AMMONIA], "mg/L as N", act_end=ActEnd.HIGH),
            "limit": need.put_row("chemistry/ammonia-limit", limit, "mg/L as N"),
        }
        yield Why(code="bicarbonate-raises-ammonia", figures=figures)
