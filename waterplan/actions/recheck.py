"""When stitches may come out: degree-days from the log, then from the temperature kept, then from the pond's."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from waterplan import tables
from waterplan.actions.amounts import rule
from waterplan.actions.proposing import Context, Proposal, codes
from waterplan.actions.record import Action, Kind, Who
from waterplan.fish.healing import days_to_degree_days
from waterplan.hazards.record import Why
from waterplan.published import FloatArray
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, Moment, WaterKind
from waterplan.stay.waters import HOME

_DAY_H, _LONGEST_DAYS = 24.0, 3650.0


def wait(context: Context) -> Iterator[Proposal]:
    """The recheck: the earliest and latest day by the printed sums, the expected one, and whether it is due."""
    case = context.ground.case
    operated = any(one.wound == "closed" or one.done for one in case.patients)
    if case.intended.operation_at is not None and operated:
        kept = _kept(context)
        yield Proposal(action=_action(context, kept, _logged(context, kept)))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kept:
    """The water that the patient is in at first, its temperature, and until when: a tank until it goes home."""

    water: str
    temp_c: FloatArray
    until_h: float


def _kept(context: Context) -> _Kept:
    """The tank that the patient is kept in, else the pond."""
    for path, water in context.stay.waters.items():
        if water.place.kind is WaterKind.HOSPITAL and water.place.stretches:
            meant, until_h = context.ground.kept_temp_c(path), water.place.stretches[-1].until_h
            return _Kept(water=path, temp_c=water.start[Q.TEMPERATURE] if meant is None else meant, until_h=until_h)
    return _Kept(water=HOME, temp_c=context.stay[HOME].start[Q.TEMPERATURE], until_h=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Logged:
    """Means of the days since the operation, low and high where a gap could have been either; how many were logged."""

    count: int
    cool: FloatArray
    warm: FloatArray
    gap: bool


def _logged(context: Context, kept: _Kept) -> _Logged:
    """Daily means of the water that the patient is in: the tank until it goes home, then the pond."""
    clock = context.ground.clock
    found: dict[int, list[float]] = defaultdict(list)
    for row in context.ground.log:
        hours = clock.hours(row.taken)
        if row.key != "temperature" or hours is None or not 0.0 <= hours <= clock.now_h:
            continue
        if row.water == (kept.water if hours < kept.until_h else HOME):
            found[int(hours // _DAY_H)].append(row.reading.measured.best)
    known = sorted(found)
    if not known:
        return _Logged(count=0, cool=np.zeros(0), warm=np.zeros(0), gap=False)
    means = np.interp(np.arange(known[-1] + 1), known, [float(np.mean(found[day])) for day in known])
    cool, warm = means.copy(), means.copy()
    gaps = [(first, second) for first, second in pairwise(known) if second - first > rule("log gap")]
    for first, second in gaps:
        inside = slice(first + 1, second)
        cool[inside], warm[inside] = min(means[first], means[second]), max(means[first], means[second])
    return _Logged(count=len(known), cool=cool, warm=warm, gap=bool(gaps))


def _days_to(context: Context, kept: _Kept, logged: FloatArray, degree_days: float) -> FloatArray:
    """Days from the operation to a sum: by the log, then as kept to the end of the stay, then at the pond's temperature."""
    so_far = np.concatenate([[0.0], np.cumsum(logged)])
    if so_far[-1] >= degree_days:
        return np.full(context.ground.inputs.size, np.interp(degree_days, so_far, np.arange(so_far.size)))
    left = degree_days - so_far[-1]
    stays = max(kept.until_h / _DAY_H - logged.size, 0.0)
    in_tank = np.asarray(days_to_degree_days(left, water_temp_c=kept.temp_c))
    pond = context.stay[HOME].start[Q.TEMPERATURE]
    after = np.asarray(days_to_degree_days(np.maximum(left - stays * kept.temp_c, 0.0), water_temp_c=pond))
    days = np.asarray(logged.size + np.where(in_tank <= stays, in_tank, stays + after))
    return np.where(days > _LONGEST_DAYS, np.inf, days)


def _action(context: Context, kept: _Kept, logged: _Logged) -> Action:
    put, clock, head = context.figures.put, context.ground.clock, f"{kept.water}/recheck"
    inspect, expect, most = (tables.row("healing", milestone=name) for name in ("inspect", "expect", "range"))
    amounts = {}
    for name, log, row, total, end in (
        ("inspect", logged.warm, inspect, inspect.value, ActEnd.BEST),
        ("expected", logged.cool, expect, expect.value, ActEnd.BEST),
        ("earliest", logged.warm, most, most.low, ActEnd.LOW),
        ("latest", logged.cool, most, most.high, ActEnd.HIGH),
    ):
        draws = _days_to(context, kept, log, total)
        amounts[name] = put(
            f"{head}/{name}", draws, unit="d", act_end=end, rows=(row.id,), equations=(days_to_degree_days,)
        )
    so_far = float(logged.cool.sum())
    amounts["degree-days"] = put(f"{head}/degree-days", so_far, unit="degree-days", act_end=ActEnd.LOW)
    first, last = (context.figures.record(amounts[one]).act_on for one in ("inspect", "latest"))
    due = first is not None and clock.now_h >= first * _DAY_H
    return Action(
        id=f"{Moment.RECHECK}/{Kind.WAIT}/{kept.water}",
        kind=Kind.WAIT,
        moment=Moment.RECHECK,
        water=kept.water,
        who=Who.VET,
        at=None if first is None else clock.at(first * _DAY_H),
        until=None if last is None else clock.at(last * _DAY_H),
        amounts=amounts,
        words={
            "due": "yes" if due else "no",
            "days logged": str(logged.count),
            "days counted": str(logged.cool.size),
        },
        cautions=tuple(_cautions(context, kept, logged)),
    )


def _cautions(context: Context, kept: _Kept, logged: _Logged) -> Iterator[Why]:
    yield from codes(
        "" if logged.count else "provisional-until-temperatures-are-logged",
        "gap-in-the-log-bounded" if logged.gap else "",
    )
    cold = tables.row("healing", milestone="cold")
    if float(kept.temp_c[0]) < cold.value:
        figure = context.figures.put(f"{kept.water}/recheck/cold", cold.value, unit="°C", rows=(cold.id,))
        yield Why(code="healing-slow-in-the-cold", figures={"cold": figure})
    yield from codes("wound-decides-not-the-date", "absorbable-sutures-may-not-dissolve")
