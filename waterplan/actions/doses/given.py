"""Drugs of before and what must not follow them; the days of a withdrawal and of a quarantine, counts that clear nothing."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date

import numpy as np

from waterplan import tables
from waterplan.actions.days import DAY_H, Since
from waterplan.actions.doses.draft import Draft, Reason, reason
from waterplan.actions.needs import Need, need_of
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Kind, Who
from waterplan.case.fishes import Patient
from waterplan.case.model import Given
from waterplan.dose import drugs
from waterplan.published import FloatArray
from waterplan.stay.fish import FishAtHand
from waterplan.stay.ground import Ground
from waterplan.stay.record import ActEnd, Moment, WaterKind
from waterplan.stay.waters import HOME

_ICE_C = 1e-6  # a day of ice adds nothing


def given_to(ground: Ground, fish: FishAtHand) -> list[tuple[Given, float]]:
    """What a patient was given by the time of the plan, each with the days since; none where no clock is known."""
    since = [(one, ground.clock.hours(one.at)) for one in ground.case.drugs_given if _is_for(one, fish)]
    days = [(one, (ground.clock.now_h - hours) / DAY_H) for one, hours in since if hours is not None]
    return [(one, passed) for one, passed in days if passed >= 0.0]


def lately(ground: Ground, fish: FishAtHand) -> tuple[tuple[str, float], ...]:
    """The drugs of the days for which is asked back, with the days since."""
    back = tables.row("dose_rules", rule="asked back").value
    return tuple((one.drug, passed) for one, passed in given_to(ground, fish) if passed <= back)


def given_before(before: tuple[tuple[str, float], ...]) -> Iterator[Reason]:
    """Which drugs were given already in those days."""
    for name, passed in before:
        yield reason("given-lately", {"substance": name}, passed=(passed, "d"))


def withdrawals(context: Context, fish: FishAtHand, temp_c: FloatArray | None) -> Iterator[Proposal]:
    """The days that are left of the withdrawal of each drug: by the log, a gap at its coldest, then as warm as the fish is kept."""
    for number, (one, passed) in enumerate(given_to(context.ground, fish), 1):
        draft = Draft(
            kind=Kind.WAIT,
            moment=Moment.RECHECK,
            water=None,
            who=Who.VET,
            path=f"{fish.id}/withdrawal/{number}",
            figures=context.figures,
            substance=one.drug,
            words={"fish": fish.id},
        )
        if temp_c is None:
            draft.words["no withdrawal"] = "yes"
        else:
            warm, used = np.maximum(temp_c, 0.0), (drugs.withdrawal_days,)
            kept, from_h = _kept_in(context, fish.id), context.ground.clock.now_h - passed * DAY_H
            days = Since(kept=kept, from_h=from_h, path=draft.path).days()
            so_far = days.so_far(context.ground.inputs.half(f"{draft.path}/gap"))
            if days.gap:
                draft.caution(reason("gap-in-the-count-bounded"))
            left = np.maximum(drugs.withdrawal_days(warm) - so_far / np.maximum(warm, _ICE_C), 0.0)
            draft.amount("withdrawal", left, "d", act_end=ActEnd.HIGH, equations=used)
            draft.amount("degree-days", so_far, "degree-days", act_end=ActEnd.LOW)
        yield draft.proposal()


def _is_for(one: Given, fish: FishAtHand) -> bool:
    return not one.patients or fish.id in {f"patient-{number}" for number in one.patients}


# -- a quarantine ---------------------------------------------------------------------------------------------------


def quarantines(context: Context) -> Iterator[Proposal]:
    """For each patient that is kept apart the days so far, and those whose mean lay in each range of the table."""
    ground = context.ground
    for patient in ground.case.patients:
        began_h = None if patient.quarantined is None else ground.clock.hours(patient.quarantined)
        if began_h is None or began_h > ground.clock.now_h:
            continue
        need = _kept_in(context, patient.path)
        means = _daily_means(need, began_h)
        amounts = {"quarantined": _put(need, patient, "day", (ground.clock.now_h - began_h) // DAY_H)}
        for kind in ("warm", "cool"):
            of_range, wanted = tables.row("quarantine", rule=kind), tables.row("quarantine", rule=f"{kind} days")
            days = sum(of_range.low <= mean <= of_range.high for mean in means)
            amounts[f"{kind} days"] = _put(need, patient, f"{kind}-days", float(days), of_range.id)
            amounts[f"{kind} days wanted"] = _put(need, patient, f"{kind}-days-wanted", wanted.value, wanted.id)
        yield need.proposal(
            Kind.WAIT,
            "quarantine",
            patient.path,
            moment=need.stretch.moment,
            by=None,
            done=None,
            answers=(),
            amounts=amounts,
            words={"fish": patient.path},
        )


def _kept_in(context: Context, patient: str) -> Need:
    """The water that a patient is in for days: the tank that it is held in, else its home."""
    tanks = (one for one in context.stay.waters.values() if one.place.kind is WaterKind.HOSPITAL)
    held = (one for one in tanks if any(patient in stretch.fish for stretch in one.place.stretches))
    return need_of(context, next(held, context.stay[HOME]))


def _daily_means(need: Need, began_h: float) -> list[float]:
    """The mean temperature of each day on which the water was read since then, by the log and the case; others count nothing."""
    ground, found = need.ground, defaultdict[date, list[float]](list)
    logged = [row.reading for row in ground.log if (row.water, row.key) == (need.path, "temperature")]
    for reading in {id(one): one for one in (*logged, *ground.readings[need.path].get("temperature", ()))}.values():
        at_h = None if reading.taken is None else ground.clock.hours(reading.taken)
        if reading.taken is not None and at_h is not None and began_h <= at_h <= ground.clock.now_h:
            found[reading.taken.date()].append(reading.measured.best)
    return [float(np.mean(one)) for one in found.values()]


def _put(need: Need, patient: Patient, name: str, days: float, *rows: str) -> str:
    return need.put(f"quarantine/{patient.path}/{name}", days, "d", act_end=ActEnd.LOW, rows=rows)
