"""When stitches may come out: days and degree-days by the log of every water the fish was in, then by the plan's course."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from waterplan import tables
from waterplan.actions.days import DAY_H, Days, Since
from waterplan.actions.doses.given import quarantines
from waterplan.actions.needs import Need, need_of
from waterplan.actions.proposing import Context, Proposal, codes
from waterplan.actions.record import Action, Kind, Who
from waterplan.case.choices import Wound
from waterplan.case.fishes import Patient
from waterplan.fish.healing import days_to_degree_days
from waterplan.hazards.record import Why
from waterplan.published import FloatArray
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, Moment, WaterKind
from waterplan.stay.waters import HOME

_LONGEST_DAYS, _SEDATION = 3650.0, "sedation"


def wait(context: Context) -> Iterator[Proposal]:
    """The recheck of each tank's patients with stitches: the days by the printed sums, and whether it is due."""
    yield from quarantines(context)
    ground = context.ground
    stitched = {one.path for one in ground.case.patients if _has_stitches(one)}
    if ground.case.intended.operation_at is None or not stitched:
        return
    tanks = [one for one in context.stay.waters.values() if one.place.kind is WaterKind.HOSPITAL]
    holding = [one for one in tanks if any(stitched & set(stretch.fish) for stretch in one.place.stretches)]
    for water in holding or [context.stay[HOME]]:
        yield Proposal(action=_recheck(need_of(context, water)))


def _has_stitches(patient: Patient) -> bool:
    """Whether a wound was closed; one that is left open has no stitches to come out."""
    return patient.wound is Wound.CLOSED or (patient.wound is None and bool(patient.done))


# -- the days so far, and those to come -----------------------------------------------------------------------------


def _days(kept: Need) -> Days:
    """The days that are past by the log, and those to come in the tank by the plan's course, its ramps among them."""
    past = Since(kept=kept, from_h=0.0, path="recheck").days()
    ahead = list(_to_come(kept, past.counted))
    if not ahead:
        return past
    temps = np.stack([temp for _, temp in ahead])
    return replace(
        past,
        lengths=np.concatenate([past.lengths, [length for length, _ in ahead]]),
        cool=np.concatenate([past.cool, temps]),
        warm=np.concatenate([past.warm, temps]),
    )


def _to_come(kept: Need, counted: float) -> Iterator[tuple[float, FloatArray]]:
    """The rest of the stay in the tank, a day at most each, by the course that it is to take."""
    last = kept.stretch.until_h / DAY_H if kept.kind is WaterKind.HOSPITAL else 0.0
    if last <= counted:
        return
    course = kept.water.course(kept.stretch)
    hours, temps = course.hours_within, course.values[Q.TEMPERATURE]
    begin = counted
    while begin < last - 1e-9:
        end = min(np.floor(begin + 1e-9) + 1.0, last)
        inside = np.flatnonzero((hours >= begin * DAY_H - 1e-6) & (hours <= end * DAY_H + 1e-6))
        yield end - begin, temps[inside].mean(axis=0, dtype=np.float64) if inside.size else kept.kept_c
        begin = end


def _days_to(kept: Need, days: Days, temps: FloatArray, degree_days: float) -> FloatArray:
    """Days from the operation to a sum: by the log and the course, then at the pond's temperature."""
    sums, ends = days.sums(temps), np.concatenate([[0.0], np.cumsum(days.lengths)])
    reached = sums >= degree_days
    first, columns = reached.argmax(axis=0), np.arange(sums.shape[1])
    before = np.maximum(first - 1, 0)
    rise = sums[first, columns] - sums[before, columns]
    share = np.where(rise > 0.0, (degree_days - sums[before, columns]) / np.where(rise > 0.0, rise, 1.0), 0.0)
    inside = ends[before] + share * (ends[first] - ends[before])
    pond = kept.context.stay[HOME].start[Q.TEMPERATURE]
    after = ends[-1] + np.asarray(days_to_degree_days(np.maximum(degree_days - sums[-1], 0.0), water_temp_c=pond))
    found = np.where(reached.any(axis=0), inside, after)
    return np.where(found > _LONGEST_DAYS, np.inf, found)


# -- the recheck ----------------------------------------------------------------------------------------------------


def _recheck(kept: Need) -> Action:
    clock, days = kept.ground.clock, _days(kept)
    inspect, expect, most = (tables.row("healing", milestone=name) for name in ("inspect", "expect", "range"))
    amounts = {}
    for name, temps, row, total, end in (
        ("inspect", days.warm, inspect, inspect.value, ActEnd.BEST),
        ("expected", days.cool, expect, expect.value, ActEnd.BEST),
        ("earliest", days.warm, most, most.low, ActEnd.LOW),
        ("latest", days.cool, most, most.high, ActEnd.HIGH),
    ):
        used = {"rows": (row.id,), "equations": (days_to_degree_days,)}
        draws = _days_to(kept, days, temps, total)
        amounts[name] = kept.put(f"recheck/{name}", draws, "d", act_end=end, **used)
    # Half of the draws lie at the cool end of a gap and half at the warm end: its band holds both.
    so_far = days.so_far(kept.ground.inputs.half("recheck/gap"))
    amounts["degree-days"] = kept.put("recheck/degree-days", so_far, "degree-days", act_end=ActEnd.LOW)
    first, last = (kept.context.figures.record(amounts[one]).act_on for one in ("inspect", "latest"))
    passed = (day is not None and clock.now_h >= day * DAY_H for day in (last, first))
    due = next((said for said, one in zip(("overdue", "yes"), passed, strict=True) if one), "no")
    counts = {"days logged": str(days.read), "days counted": str(round(days.counted, 2))}
    return Action(
        id=f"{Moment.RECHECK}/{Kind.WAIT}/{kept.path}",
        kind=Kind.WAIT,
        moment=Moment.RECHECK,
        water=kept.path,
        who=Who.VET,
        at=None if first is None else clock.at(first * DAY_H),
        until=None if last is None else clock.at(last * DAY_H),
        amounts=amounts,
        words={"due": due, **counts, **_stitched(kept)},
        cautions=(*_cautions(kept, days, counts), *(_sedated(kept) if due != "no" else ())),
    )


def _stitched(kept: Need) -> dict[str, str]:
    """Nobody is sent to look at stitches of a wound that was not said to be closed."""
    closed = any(one.wound is Wound.CLOSED for one in kept.ground.case.patients)
    return {} if closed else {"if any": "stitches"}


def _cautions(kept: Need, days: Days, counts: dict[str, str]) -> Iterator[Why]:
    yield from codes(
        "" if days.read else "provisional-until-temperatures-are-logged",
        "gap-in-the-log-bounded" if days.gap else "",
    )
    if days.read and not days.gap and days.read < int(days.counted):
        yield Why(code="days-between-readings-joined", words={"logged": counts["days logged"]})
    cold = tables.row("healing", milestone="cold")
    if float(kept.kept_c[0]) < cold.value:
        figure = kept.put_row("recheck/cold", cold, "°C")
        yield Why(code="healing-slow-in-the-cold", figures={"cold": figure})
    yield from _noted(kept)
    yield from codes("wound-decides-not-the-date", "absorbable-sutures-may-not-dissolve")


def _sedated(kept: Need) -> Iterator[Why]:
    """That sedation is enough for the removal, with the level that is reported; not where the case has such a dose."""
    if any(one.use == _SEDATION for one in kept.ground.case.doses):
        return
    row = tables.row("anaesthetics", agent="tricaine", stage=_SEDATION, fish="any")
    ends = {"low": (row.low, ActEnd.LOW), "high": (row.high, ActEnd.HIGH)}
    figures = {
        name: kept.put(f"recheck/sedation/{name}", value, row.unit, act_end=end, rows=(row.id,))
        for name, (value, end) in ends.items()
    }
    yield Why(code="sedation-for-the-removal", figures=figures)


def _noted(kept: Need) -> Iterator[Why]:
    """Notes and pictures of before, to hold the wound against: each with its date."""
    for note in kept.ground.case.notes:
        if note.at is None or kept.ground.as_of is None or note.at <= kept.ground.as_of:
            at = "" if note.at is None else note.at.isoformat()
            words = {"said": note.words, "of": note.of, "picture": note.picture, "at": at}
            yield Why(code="compare-with-the-note", words={name: text for name, text in words.items() if text})
