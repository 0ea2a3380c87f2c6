"""The water after a dose, judged for the fish that is to be in it: pH, carbon dioxide, ammonia, oxygen, chlorine."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from waterplan import tables
from waterplan.actions.doses.draft import Reason, reason
from waterplan.actions.doses.task import Task
from waterplan.actions.doses.water import DoseWater
from waterplan.hazards.limits import nh3_limit, oxygen_level, water_limit
from waterplan.hazards.record import Hazard, Verdict
from waterplan.hazards.verdict import Yes, hazard_row, verdict_of
from waterplan.published import Numbers
from waterplan.spread import band
from waterplan.stay.operations import air, air_to
from waterplan.stay.quantities import UNITS, Q
from waterplan.stay.record import WaterKind
from waterplan.stay.state import State

Told = tuple[bool, Reason]
Numbered = dict[str, tuple[Numbers, str]]
_ASLEEP = frozenset({"induction", "maintenance"})


@dataclass(frozen=True, slots=True, kw_only=True)
class After:
    """A water after its dose as the fish enters it, and when it has aired through.

    `unfit` is why it is not fit, `cautions` what is to be said of it; `co2_mg_per_l` is what it is aired to first.
    """

    entered: State
    aired: State
    unfit: tuple[Reason, ...]
    cautions: tuple[Reason, ...]
    co2_mg_per_l: float | None


def after(task: Task, closed: State, *, changed: bool) -> After:
    """The water of a bath judged at once, as the fish enters it, and when it has aired.

    Parameters
    ----------
    task : Task
        The dose, with the water before it and what is known around it.
    closed : State
        The water with the dose in it, before gas is lost.
    changed : bool
        Whether the dose moves the pH, so that gas has to leave and the pH goes on moving.

    Returns
    -------
    After
        `unfit` holds what a fish must not meet as far as is known, or whatever it is.

    Notes
    -----
    The table of verdicts decides, as for any water: what comes to `act now` is unfit. pH counts with the worse of
    closed and aired where it harms, and of when the fish goes in and aired where it is only watched. Carbon dioxide is
    at its height closed, and is aired out first where it is above its limit. Un-ionised ammonia is at its height aired
    through, which takes longer than a bath: there the level that harms counts. What was not measured is to be measured
    before the fish goes in; a pH that stands on it, and that may be unfit, is unfit.
    """
    water, share = task.water, task.around.aired_share
    name = closed.after[-1] if closed.after else ""
    co2_in_air = task.around.co2_in_air_ppm
    aired = air(closed, share=share, co2_in_air_ppm=co2_in_air, came_from=name) if changed else closed
    most = tables.row("defaults", what="carbon dioxide over the gills").value
    entered, target = closed, None
    if changed and band(closed[Q.CARBON_DIOXIDE]).high > most:
        target = tables.row("defaults", what="carbon dioxide of a bath").value
        entered = air_to(closed, co2_mg_per_l=target, share=share, came_from=name)
    found = [
        *_ph(water, closed, entered, aired),
        *_ammonia(water, entered, aired),
        *_oxygen(water, entered, "anaesthetised" if task.dose.use in _ASLEEP else "settled"),
        *_chlorine(water, closed),
    ]
    if target is not None:
        told: Numbered = {"closed": (closed[Q.CARBON_DIOXIDE], "mg/L"), "limit": (most, "mg/L"), "to": (target, "mg/L")}
        found.append((False, reason("air-the-carbon-dioxide-out-first", **told, ph=(entered[Q.PH], ""))))
    return After(
        entered=entered,
        aired=aired,
        unfit=tuple(one for grave, one in found if grave),
        cautions=tuple(one for grave, one in found if not grave),
        co2_mg_per_l=target,
    )


def _verdict(
    water: DoseWater, hazard: Hazard, passed: Yes, harmed: Yes, *, assumed: bool, unseen: bool = False
) -> Verdict:
    """What the table of verdicts says of a bath."""
    kind = water.place.kind if water.place is not None else WaterKind.INDUCTION
    hours = np.where(harmed, 0.0, np.inf) if hazard is Hazard.CHLORINE else np.full(passed.shape, np.inf)
    severity = hazard_row(hazard, kind).severity
    return verdict_of(severity, passed=passed, harmed=harmed, hours=hours, assumed=assumed, unseen=unseen)[0]


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
    states = {"before": water.state, "closed": closed, "entered": entered, "aired": aired}
    numbers: Numbered = {name: (state[Q.PH], "") for name, state in states.items()}
    numbers |= {"alkalinity": (closed[Q.ALKALINITY], UNITS[Q.ALKALINITY])}
    numbers |= {"least": (row.low, ""), "most": (row.high, "")}
    if _is_unfit(found):
        code = "ph-of-the-bath" if known or bool(harmed.all()) else "measure-ph-and-alkalinity-first"
        yield True, reason(code, {"table": row.id}, **numbers)
    else:
        yield False, reason("ph-of-the-bath-to-watch", {"table": row.id}, **numbers)


def _ammonia(water: DoseWater, entered: State, aired: State) -> Iterator[Told]:
    harm = water_limit("nh3", "harm")
    limit = nh3_limit(one.law_group for one in water.species).value
    known = entered.known[Q.AMMONIA].is_known
    now, later = entered[Q.UNIONISED_AMMONIA], aired[Q.UNIONISED_AMMONIA]
    values: dict[str, Numbers] = {"entered": now, "aired": later, "limit": limit, "harm": harm.value}
    numbers: Numbered = {name: (value, UNITS[Q.UNIONISED_AMMONIA]) for name, value in values.items()}
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
    ends: dict[str, Numbers] = {"oxygen": values, "limit": alarm.value, "harm": emergency.value}
    numbers: Numbered = {name: (value, "mg/L") for name, value in ends.items()}
    yield from _told(found, "oxygen-of-the-bath", Q.OXYGEN, alarm.id, numbers)


def _chlorine(water: DoseWater, closed: State) -> Iterator[Told]:
    known = closed.known.get(Q.CHLORINE)
    if known is None:
        return
    limit, harm = (water_limit("chlorine", level) for level in ("limit", "harm"))
    passed, harmed, assumed = known.draws <= limit.value, known.draws > harm.value, not known.is_known
    found = _verdict(water, Hazard.CHLORINE, passed, harmed, assumed=assumed, unseen=known.censored)
    numbers: Numbered = {"chlorine": (known.draws, "mg/L"), "limit": (limit.value, "mg/L")}
    yield from _told(found, "chlorine-in-the-bath", Q.CHLORINE, limit.id, numbers)


def _told(found: Verdict, code: str, quantity: Q, row: str, numbers: Numbered) -> Iterator[Told]:
    """A verdict as a reason: unfit, to be measured, or to be told."""
    if _is_unfit(found):
        yield True, reason(code, {"table": row}, **numbers)
    elif found is Verdict.NOT_KNOWN:
        yield False, reason("measure-before-the-fish-goes-in", {"quantity": quantity.value})
    elif found is Verdict.WATCH:
        yield False, reason(f"{code}-to-watch", {"table": row}, **numbers)
