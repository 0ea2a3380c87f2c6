"""When stitches may come out: degree-days from the log, then from the temperature kept, then from the pond's."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from waterplan import tables
from waterplan.actions.amounts import rule
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Action, Kind, Who
from waterplan.fish.healing import days_to_degree_days
from waterplan.hazards.record import Why
from waterplan.published import FloatArray
from waterplan.stay.ground import WaterStay
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, Moment, WaterKind
from waterplan.stay.waters import HOME

_DAY_H = 24.0
_LONGEST_DAYS = 3650.0


def wait(context: Context) -> Iterator[Proposal]:
    """The recheck: the earliest and latest day by the printed sums, the expected one, and whether it is due."""
    case = context.ground.case
    operated = any(one.wound == "closed" or one.done for one in case.patients)
    if case.intended.operation_at is None or not operated:
        return
    where = _where(context)
    logged = _logged(context, where)
    yield Proposal(action=_action(context, where, logged))


@dataclass(frozen=True, slots=True, kw_only=True)
class Logged:
    """Means of the days since the operation, by day number, low and high where a gap could have been either."""

    means: dict[int, float]
    cool: FloatArray
    warm: FloatArray
    gaps: int

    @property
    def days(self) -> int:
        """Days that are covered."""
        return self.cool.size


def _where(context: Context) -> WaterStay:
    """The tank that the patient is kept in, else the pond."""
    tanks = [
        one for one in context.stay.waters.values() if one.place.kind is WaterKind.HOSPITAL and one.place.stretches
    ]
    return tanks[0] if tanks else context.stay[HOME]


def _logged(context: Context, where: WaterStay) -> Logged:
    """Daily means of the water that the patient is in: the tank until it goes home, then the pond."""
    ground, clock = context.ground, context.ground.clock
    home_h = where.place.stretches[-1].until_h if where.place.kind is WaterKind.HOSPITAL else 0.0
    found: dict[int, list[float]] = {}
    for row in ground.log:
        hours = clock.hours(row.taken)
        if row.key != "temperature" or hours is None or not 0.0 <= hours <= clock.now_h:
            continue
        own = where.place.id if hours < home_h else HOME
        if row.water == own:
            found.setdefault(int(hours // _DAY_H), []).append(row.reading.measured.best)
    means = {day: float(np.mean(values)) for day, values in sorted(found.items())}
    days = np.arange(max(means) + 1) if means else np.zeros(0)
    filled = np.interp(days, list(means), list(means.values())) if means else np.zeros(0)
    cool, warm, gaps = filled.copy(), filled.copy(), 0
    known = sorted(means)
    for first, second in zip([known[0], *known] if known else [], known, strict=False):
        if second - first > rule("log gap"):
            inside = slice(first + 1, second)
            cool[inside], warm[inside] = min(means[first], means[second]), max(means[first], means[second])
            gaps += 1
    return Logged(means=means, cool=cool, warm=warm, gaps=gaps)


def _days_to(context: Context, where: WaterStay, logged: FloatArray, degree_days: float) -> FloatArray:
    """Days from the operation to a sum: by the log, then as kept to the end of the stay, then at the pond's temperature."""
    so_far = np.concatenate([[0.0], np.cumsum(logged)])
    size = context.ground.inputs.size
    if so_far[-1] >= degree_days:
        return np.full(size, float(np.interp(degree_days, so_far, np.arange(so_far.size))))
    left = degree_days - so_far[-1]
    kept = context.ground.kept_temp_c(where.place.id)
    tank = kept if kept is not None else where.start[Q.TEMPERATURE]
    stay_h = where.place.stretches[-1].until_h if where.place.kind is WaterKind.HOSPITAL else 0.0
    stays = max(stay_h / _DAY_H - logged.size, 0.0)
    in_tank = np.asarray(days_to_degree_days(left, water_temp_c=tank))
    pond = context.stay[HOME].start[Q.TEMPERATURE]
    after = np.asarray(days_to_degree_days(np.maximum(left - stays * tank, 0.0), water_temp_c=pond))
    return np.asarray(logged.size + np.where(in_tank <= stays, in_tank, stays + after))


def _action(context: Context, where: WaterStay, logged: Logged) -> Action:
    put, clock = context.figures.put, context.ground.clock
    rows = {name: tables.row("healing", milestone=name) for name in ("inspect", "expect", "range")}
    head = f"{where.place.id}/recheck"

    def days(name: str, log: FloatArray, row: tables.Row, total: float, end: ActEnd) -> str:
        draws = _days_to(context, where, log, total)
        draws = np.where(draws > _LONGEST_DAYS, np.inf, draws)
        return put(f"{head}/{name}", draws, unit="d", act_end=end, rows=(row.id,), equations=(days_to_degree_days,))

    amounts = {
        "inspect": days("inspect", logged.warm, rows["inspect"], rows["inspect"].value, ActEnd.BEST),
        "expected": days("expected", logged.cool, rows["expect"], rows["expect"].value, ActEnd.BEST),
        "earliest": days("earliest", logged.warm, rows["range"], rows["range"].low, ActEnd.LOW),
        "latest": days("latest", logged.cool, rows["range"], rows["range"].high, ActEnd.HIGH),
        "degree-days": put(f"{head}/degree-days", float(logged.cool.sum()), unit="degree-days", act_end=ActEnd.LOW),
    }
    first, last = (context.figures.record(amounts[one]).act_on for one in ("inspect", "latest"))
    due = first is not None and clock.now_h >= first * _DAY_H
    return Action(
        id=f"{Moment.RECHECK}/{Kind.WAIT}/{where.place.id}",
        kind=Kind.WAIT,
        moment=Moment.RECHECK,
        water=where.place.id,
        who=Who.VET,
        at=None if first is None else clock.at(first * _DAY_H),
        until=None if last is None else clock.at(last * _DAY_H),
        amounts=amounts,
        words={"due": "yes" if due else "no", "days logged": str(len(logged.means)), "days counted": str(logged.days)},
        cautions=tuple(_cautions(context, where, logged)),
    )


def _cautions(context: Context, where: WaterStay, logged: Logged) -> Iterator[Why]:
    if not logged.means:
        yield Why(code="provisional-until-temperatures-are-logged")
    if logged.gaps:
        yield Why(code="gap-in-the-log-bounded")
    kept = context.ground.kept_temp_c(where.place.id)
    temp = float((kept if kept is not None else where.start[Q.TEMPERATURE])[0])
    cold = tables.row("healing", milestone="cold")
    if temp < cold.value:
        figure = context.figures.put(f"{where.place.id}/recheck/cold", cold.value, unit="°C", rows=(cold.id,))
        yield Why(code="healing-slow-in-the-cold", figures={"cold": figure})
    yield Why(code="wound-decides-not-the-date")
    yield Why(code="absorbable-sutures-may-not-dissolve")
