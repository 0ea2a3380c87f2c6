"""The water after a dose, judged for the fish that is to be in it: pH, carbon dioxide, ammonia, oxygen, chlorine."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from waterplan import tables
from waterplan.actions.doses.draft import Reason, Stopped, all_in, reason
from waterplan.actions.doses.task import Task
from waterplan.actions.doses.water import DoseWater
from waterplan.actions.record import Kind
from waterplan.case.choices import Buffer
from waterplan.hazards.limit_rows import nh3_limit, oxygen_level, water_limit
from waterplan.hazards.record import Hazard, Verdict
from waterplan.hazards.verdict import Yes, hazard_row, worst_verdict
from waterplan.published import Numbers
from waterplan.spread import band
from waterplan.stay.effects import Aired, SubstanceIn
from waterplan.stay.operations import air, air_to, dose
from waterplan.stay.quantities import UNITS, Q
from waterplan.stay.record import ActEnd, WaterKind
from waterplan.stay.state import State, parts

Told = tuple[bool, Reason]
Numbered = dict[str, tuple[Numbers, str]]
_ASLEEP = frozenset({"induction", "maintenance"})
# Masses by the weights of IUPAC: NaHCO3 84.007, CaCO3 100.087, of which a mmol of acid takes half.
_MG_PER_G, _MG_NAHCO3_PER_MMOL, _MG_CACO3_PER_MMOL = 1000.0, 84.007, 50.043
_INSTEAD = {
    "ph-of-the-bath": Kind.CHEMISTRY,
    "ph-change-of-the-bath": Kind.CHEMISTRY,
    "chlorine-in-the-bath": Kind.NEUTRALISE,
    "oxygen-of-the-bath": Kind.AIR,
}


def require_fit(task: Task, dosing: SubstanceIn) -> None:
    """Stops a dose whose water is not fit for its fish, at once, as the fish enters it, or when it has aired.

    Parameters
    ----------
    task : Task
        The dose, with the water before it and what is known around it; the water that is not fit is kept there as one that
        is not to be.
    dosing : SubstanceIn
        What goes in, with its acid and its bicarbonate.

    Raises
    ------
    Stopped
        Whatever a fish must not meet, as far as is known or whatever it is.

    Notes
    -----
    The table of verdicts decides, as for any water: what comes to `act now` is unfit. pH counts with the worse of
    closed and aired where it harms, and of when the fish goes in and aired where it is only watched. Carbon dioxide is
    at its height closed, and is aired out first where it is above its limit. Un-ionised ammonia is at its height aired
    through, which takes longer than a bath: there the level that harms counts. What was not measured is to be measured
    before the fish goes in; a pH that stands on it, and that may be unfit, is unfit.
    """
    water, draft = task.water, task.draft
    if dosing.acid_mmol:
        _require_alkalinity(water, dosing)
    closed, entered, aired = _states_after(task, dosing)
    if task.thing == "tricaine":
        for when, state in (("closed", closed), ("aired", aired)):
            draft.amount(f"ph {when}", state[Q.PH], "", act_end=ActEnd.BEST)
            draft.amount(f"carbon dioxide {when}", state[Q.CARBON_DIOXIDE], "mg/L", act_end=ActEnd.HIGH)
            ammonia = state[Q.UNIONISED_AMMONIA]
            draft.amount(f"un-ionised ammonia {when}", ammonia, "mg/L as N", act_end=ActEnd.HIGH)
    found = [
        *_ph(water, closed, entered, aired),
        *_ph_change(water, entered),
        *_ammonia(water, entered, aired),
        *_oxygen(water, entered, "anaesthetised" if task.dose.use in _ASLEEP else "settled"),
        *_chlorine(water, closed),
    ]
    unfit = [one for grave, one in found if grave]
    if unfit:
        task.around.hypothetical.append((water.id, replace(closed, hypothetical=True)))
        raise Stopped(*unfit, instead=_ways_out(task, unfit, entered))
    draft.caution(*(one for _, one in found))
    if entered is not closed:
        _air_it_first(task, closed, entered)


def _states_after(task: Task, dosing: SubstanceIn) -> tuple[State, State, State]:
    """The water after a dose: closed at once, as the fish enters it, and aired through.

    The fish enters it closed, unless its carbon dioxide is above the limit: then that is aired out first.
    """
    state, share, of = task.water.state, task.around.aired_share, task.draft.id
    acid, bicarbonate, name = dosing.acid_mmol, dosing.bicarbonate_g, dosing.substance
    put_in = {"acid_mmol": acid, "bicarbonate_g": bicarbonate, "substance_g": dosing.grams}
    closed = dose(state, came_from=of, substance=name, **put_in)
    if not (acid or bicarbonate):
        return closed, closed, closed
    # The pH goes on moving while gas leaves.
    aired = air(closed, share=share, co2_in_air_ppm=task.around.co2_in_air_ppm, came_from=of)
    if band(closed[Q.CARBON_DIOXIDE]).high <= _most_co2():
        return closed, closed, aired
    return closed, air_to(closed, co2_mg_per_l=_co2_of_a_bath(), share=share, came_from=of), aired


def _most_co2() -> float:
    """Carbon dioxide above which a bath is aired before a fish is put in [mg/L]."""
    return tables.row("defaults", what="carbon dioxide over the gills").value


def _co2_of_a_bath() -> float:
    """Carbon dioxide that it is then aired to [mg/L]."""
    return tables.row("defaults", what="carbon dioxide of a bath").value


def _ways_out(task: Task, unfit: Sequence[Reason], entered: State) -> list[tuple[Kind, Reason]]:
    """What to do first, so that the bath is fit."""
    # More bicarbonate than is ever weighed, on ammonia that the bath has, or further from where it comes from, is no
    # way out: another water is.
    no_more = any(one.code.startswith("ammonia") for one in unfit) or _is_above(task.water, entered)
    held = Buffer.TWO if no_more else task.dose.buffer
    words = {"buffer": str(held)} if held else {}
    ways = {Kind.CHEMISTRY: Kind.NEW_WATER} if held is Buffer.TWO else {}
    known = [(_INSTEAD[one.code], one.code) for one in unfit if one.code in _INSTEAD]
    return [(ways.get(kind, kind), Reason(code=f"first-{code}", words=words)) for kind, code in known]


def _air_it_first(task: Task, closed: State, entered: State) -> None:
    """That carbon dioxide is aired out before the fish goes in: of how much, to how much, and the pH that shows it."""
    water, draft, target = task.water, task.draft, _co2_of_a_bath()
    told = all_in("mg/L", closed=closed[Q.CARBON_DIOXIDE], limit=_most_co2(), to=target)
    draft.caution(reason("air-the-carbon-dioxide-out-first", **told, ph=(entered[Q.PH], "")))
    draft.amount("ph to reach", entered[Q.PH], "", act_end=ActEnd.BEST)
    if water.place is not None and water.at_h is None:
        draft.effects.append(Aired(action=draft.id, water=water.id, co2_mg_per_l=target))


def _require_alkalinity(water: DoseWater, dosing: SubstanceIn) -> None:
    """Stops a dose whose acid is more than the water can take up, in any draw."""
    known = water.state.known[Q.ALKALINITY]
    alkali_mmol = dosing.bicarbonate_g * _MG_PER_G / _MG_NAHCO3_PER_MMOL
    left = known.draws - (dosing.acid_mmol - alkali_mmol) * _MG_CACO3_PER_MMOL / water.litres
    if float(np.min(left)) <= 0.0:
        sure = known.is_known or float(np.max(left)) <= 0.0
        code = "acid-takes-all-the-alkalinity" if sure else "measure-ph-and-alkalinity-first"
        raise Stopped(reason(code, left=(left, "mg/L as CaCO3")))


def _verdict(
    water: DoseWater, hazard: Hazard, passed: Yes, harmed: Yes, *, assumed: bool, unseen: bool = False
) -> Verdict:
    """What the table of verdicts says of a bath."""
    kind = water.place.kind if water.place is not None else WaterKind.INDUCTION
    hours = np.where(harmed, 0.0, np.inf) if hazard is Hazard.CHLORINE else np.full(passed.shape, np.inf)
    severity = hazard_row(hazard, kind).severity
    told = {"assumed": assumed, "unseen": unseen}
    each = parts((*water.state.known.values(), *filter(None, [water.left_ph])))
    return worst_verdict(severity, each, passed=passed, harmed=harmed, hours=hours, **told)[0]


def _is_unfit(found: Verdict) -> bool:
    return found.rank >= Verdict.ACT_NOW.rank


def _ph(water: DoseWater, closed: State, entered: State, aired: State) -> Iterator[Told]:
    act, watch = (water_limit("ph", level) for level in ("act", "watch"))

    def within(row: tables.Row, *states: State) -> Yes:
        every = np.array([state[Q.PH] for state in states])
        return np.asarray((every.min(axis=0) >= row.low) & (every.max(axis=0) <= row.high))

    known = all(water.state.known[one].is_known for one in (Q.PH, Q.ALKALINITY))
    passed, harmed = within(watch, entered, aired), ~within(act, closed, aired)
    found = _verdict(water, Hazard.PH, passed, harmed, assumed=not known)
    if found is Verdict.NOT_KNOWN:
        found = _verdict(water, Hazard.PH, passed, harmed, assumed=False)
    if found is Verdict.WITHIN_LIMIT:
        return
    row = act if _is_unfit(found) else watch
    numbers = all_in("", before=water.state[Q.PH], closed=closed[Q.PH], entered=entered[Q.PH], aired=aired[Q.PH])
    numbers |= {"alkalinity": (closed[Q.ALKALINITY], UNITS[Q.ALKALINITY])}
    numbers |= all_in("", least=row.low, most=row.high)
    if _is_unfit(found):
        code = "ph-of-the-bath" if known or bool(harmed.all()) else "measure-ph-and-alkalinity-first"
        yield True, reason(code, {"table": row.id}, **numbers)
    else:
        yield False, reason("ph-of-the-bath-to-watch", {"table": row.id}, **numbers)


def _ph_change(water: DoseWater, entered: State) -> Iterator[Told]:
    """How far the pH that a dose leaves is, by the time the fish goes in, from that of the water that it comes out of."""
    limit, harm = (water_limit("ph_change", level) for level in ("limit", "harm"))
    left = water.left_ph or water.state.known[Q.PH]
    moved = np.abs(entered[Q.PH] - left.draws)
    known = left.is_known and all(water.state.known[one].is_known for one in (Q.PH, Q.ALKALINITY))
    found = _verdict(water, Hazard.PH_CHANGE, moved <= limit.value, moved > harm.value, assumed=False)
    if not _is_unfit(found) or np.array_equal(entered[Q.PH], water.state[Q.PH]):
        return
    numbers = all_in("", before=left.draws, entered=entered[Q.PH], limit=limit.value)
    yield True, reason("ph-change-of-the-bath", {"table": limit.id}, **numbers)
    if not known:
        yield True, reason("measure-ph-and-alkalinity-first")


def _is_above(water: DoseWater, entered: State) -> bool:
    """Whether the bath's pH is above that of another water that the fish comes out of."""
    return water.left_ph is not None and bool(entered[Q.PH][0] > water.left_ph.draws[0])


def _ammonia(water: DoseWater, entered: State, aired: State) -> Iterator[Told]:
    harm = water_limit("nh3", "harm")
    limit = nh3_limit(one.law_group for one in water.species).value
    rise = entered.known.get(Q.PH_RISE)
    known = entered.known[Q.AMMONIA].is_known and (rise is None or rise.is_known)
    now, later = entered[Q.UNIONISED_AMMONIA], aired[Q.UNIONISED_AMMONIA]
    # What is told is the level to act by, the high end: the best of a kit that showed none is nothing.
    worst = {name: np.full_like(draws, band(draws).high) for name, draws in (("entered", now), ("aired", later))}
    numbers = all_in(UNITS[Q.UNIONISED_AMMONIA], **worst, limit=limit, harm=harm.value)
    found = _verdict(water, Hazard.AMMONIA, now <= limit, now > harm.value, assumed=not known)
    # Aired through, which takes hours, only the level that harms counts against the bath.
    further = _verdict(water, Hazard.AMMONIA, later <= harm.value, later > harm.value, assumed=not known)
    if not _is_unfit(found) and _is_unfit(further):
        yield True, reason("ammonia-when-the-bath-has-aired", {"table": harm.id}, **numbers)
        return
    if found is Verdict.WITHIN_LIMIT and known and band(later).high > limit:
        found = Verdict.WATCH
    yield from _told(found, "ammonia-of-the-bath", Q.AMMONIA, harm.id, numbers)


def _oxygen(water: DoseWater, closed: State, state: str) -> Iterator[Told]:
    groups = [one.oxygen_group for one in water.species]
    alarm, emergency = (oxygen_level(groups, state=state, level=level) for level in ("alarm", "emergency"))
    values, known = closed[Q.OXYGEN], closed.known[Q.OXYGEN].is_known
    found = _verdict(water, Hazard.OXYGEN, values >= alarm.value, values < emergency.value, assumed=not known)
    numbers = all_in("mg/L", oxygen=values, limit=alarm.value, harm=emergency.value)
    yield from _told(found, "oxygen-of-the-bath", Q.OXYGEN, alarm.id, numbers)


def _chlorine(water: DoseWater, closed: State) -> Iterator[Told]:
    known = closed.known.get(Q.CHLORINE)
    if known is None:
        return
    limit, harm = (water_limit("chlorine", level) for level in ("limit", "harm"))
    passed, harmed, assumed = known.draws <= limit.value, known.draws > harm.value, not known.is_known
    found = _verdict(water, Hazard.CHLORINE, passed, harmed, assumed=assumed, unseen=known.censored)
    numbers = all_in("mg/L", chlorine=known.draws, limit=limit.value)
    yield from _told(found, "chlorine-in-the-bath", Q.CHLORINE, limit.id, numbers)


def _told(found: Verdict, code: str, quantity: Q, row: str, numbers: Numbered) -> Iterator[Told]:
    """A verdict as a reason: unfit, to be measured, or to be told."""
    if _is_unfit(found):
        yield True, reason(code, {"table": row}, **numbers)
    elif found is Verdict.NOT_KNOWN:
        yield False, reason("measure-before-the-fish-goes-in", {"quantity": quantity.value})
    elif found is Verdict.WATCH:
        yield False, reason(f"{code}-to-watch", {"table": row}, **numbers)
