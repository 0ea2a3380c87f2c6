"""When stitches may come out: days and degree-days by the log of every water the fish was in, then by the plan's course."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from waterplan import tables
from waterplan.actions.amounts import high, low, rule
from waterplan.actions.doses.given import quarantines
from waterplan.actions.needs import Need, need_of
from waterplan.actions.proposing import Context, Proposal, codes
from waterplan.actions.record import Action, Kind, Who
from waterplan.case.choices import Wound
from waterplan.case.fishes import Patient
from waterplan.case.values import Reading
from waterplan.fish.healing import days_to_degree_days
from waterplan.hazards.record import Why
from waterplan.published import FloatArray
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, Moment, WaterKind
from waterplan.stay.waters import HOME

_DAY_H, _LONGEST_DAYS = 24.0, 3650.0


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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Days:
    """Stretches of a day at most since the operation: their lengths, and how cool and how warm each may have been.

    `counted` is how many days are past; `read` on how many of them something was read.
    """

    lengths: FloatArray
    cool: FloatArray
    warm: FloatArray
    counted: float
    read: int
    gap: bool

    def sums(self, temps: FloatArray) -> FloatArray:
        """Degree-days at the end of each stretch, nothing first."""
        each = self.lengths[:, None] * np.maximum(temps, 0.0)
        return np.concatenate([np.zeros((1, temps.shape[1])), np.cumsum(each, axis=0)])

    def so_far(self, temps: FloatArray) -> FloatArray:
        """Degree-days of the days that are past."""
        past = np.cumsum(self.lengths) <= self.counted + 1e-9
        return np.asarray(self.lengths[past] @ np.maximum(temps[past], 0.0))


def _leaves_h(kept: Need) -> float:
    """When the patient leaves the tank."""
    return kept.stretch.until_h if kept.kind is WaterKind.HOSPITAL else 0.0


def _days(kept: Need) -> _Days:
    """The days that are past by the log, and those to come in the tank by the plan's course, its ramps among them."""
    counted = max(kept.ground.clock.now_h, 0.0) / _DAY_H
    begun = int(np.ceil(counted - 1e-9))
    known = _daily_means(kept)
    cool, warm, gap = _past(kept, known, begun)
    lengths = [min(counted - day, 1.0) for day in range(begun)]
    temps = [np.stack(one) if one else np.zeros((0, kept.ground.inputs.size)) for one in (cool, warm)]
    for length, temp in _to_come(kept, counted):
        lengths.append(length)
        temps = [np.concatenate([one, temp[None]]) for one in temps]
    return _Days(lengths=np.array(lengths), cool=temps[0], warm=temps[1], counted=counted, read=len(known), gap=gap)


def _daily_means(kept: Need) -> dict[int, FloatArray]:
    """The mean of each day on which the water that the patient was in was read, with the thermometer's error."""
    clock, inputs = kept.ground.clock, kept.ground.inputs
    found: dict[int, list[Reading]] = defaultdict(list)
    for row in kept.ground.log:
        hours = clock.hours(row.taken)
        if row.key != "temperature" or hours is None or not 0.0 <= hours <= clock.now_h:
            continue
        if row.water == _water_at(kept, hours):
            found[int(hours // _DAY_H)].append(row.reading)

    def mean(day: int) -> FloatArray:
        first = found[day][0]
        drawn = inputs.drawn(f"recheck/day-{day}", first.measured, meter=first.meter)
        return np.asarray(np.mean([one.measured.best for one in found[day]]) + drawn - drawn[0])

    return {day: mean(day) for day in sorted(found)}


def _water_at(kept: Need, hours: float) -> str:
    """The water that the patient is in at an hour of the stay: the tank, on the way home a bag or box, then the pond."""
    if hours < _leaves_h(kept):
        return kept.path
    fish = set(kept.stretch.fish)
    ways = (one for one in kept.ground.places.values() if one.transport is not None)
    stretches = ((one.id, stretch) for one in ways for stretch in one.stretches if fish & set(stretch.fish))
    return next((path for path, one in stretches if one.start_h <= hours < one.until_h), HOME)


def _past(kept: Need, known: dict[int, FloatArray], begun: int) -> tuple[list[FloatArray], list[FloatArray], bool]:
    """How cool and how warm each past day may have been, and whether there is a gap.

    A few days without a reading lie on the line between their neighbours; in a longer gap, before the first and after
    the last reading too, each may be as cold or as warm as that water can be.
    """
    edges = [-1, *known, begun]
    gaps = [(first, second) for first, second in pairwise(edges) if second - first - 1 >= rule("log gap")]
    usual, days = kept.kept_c, sorted(known)
    cool, warm = [], []
    for day in range(begun):
        before = max((one for one in days if one <= day), default=None)
        after = min((one for one in days if one >= day), default=None)
        ends = [known[one] for one in (before, after) if one is not None] or [usual]
        if any(first < day < second for first, second in gaps):
            coldest, warmest = _defensible(kept, (day + 0.5) * _DAY_H)
            cool.append(np.minimum.reduce([*ends, coldest]))
            warm.append(np.maximum.reduce([*ends, warmest]))
            continue
        share = 0.0 if before is None or after is None or before == after else (day - before) / (after - before)
        mean = ends[0] + share * (ends[-1] - ends[0])
        cool.append(mean)
        warm.append(mean)
    return cool, warm, bool(gaps)


def _defensible(kept: Need, hours: float) -> tuple[FloatArray, FloatArray]:
    """The coldest and the warmest that the water may have been: of a tank its room or what it is kept at, of a pond the year's."""
    if _water_at(kept, hours) == kept.path and kept.kind is WaterKind.HOSPITAL:
        room, meant = np.asarray(kept.ground.room.air_temp_c), kept.kept_c
        ends = min(low(room), low(meant)), max(high(room), high(meant))
    else:
        row = tables.row("defensible_ranges", kind=WaterKind.HOME, quantity=Q.TEMPERATURE)
        ends = row.low, row.high
    size = kept.ground.inputs.size
    return np.full(size, ends[0]), np.full(size, ends[1])


def _to_come(kept: Need, counted: float) -> Iterator[tuple[float, FloatArray]]:
    """The rest of the stay in the tank, a day at most each, by the course that it is to take."""
    last = _leaves_h(kept) / _DAY_H
    if last <= counted:
        return
    course = kept.water.course(kept.stretch)
    hours, temps = course.hours_within, course.values[Q.TEMPERATURE]
    begin = counted
    while begin < last - 1e-9:
        end = min(np.floor(begin + 1e-9) + 1.0, last)
        inside = np.flatnonzero((hours >= begin * _DAY_H - 1e-6) & (hours <= end * _DAY_H + 1e-6))
        yield end - begin, temps[inside].mean(axis=0, dtype=np.float64) if inside.size else kept.kept_c
        begin = end


def _days_to(kept: Need, days: _Days, temps: FloatArray, degree_days: float) -> FloatArray:
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
    cool, warm = days.so_far(days.cool), days.so_far(days.warm)
    so_far = np.where(kept.ground.inputs.half("recheck/gap"), cool, warm)
    amounts["degree-days"] = kept.put("recheck/degree-days", so_far, "degree-days", act_end=ActEnd.LOW)
    first, last = (kept.context.figures.record(amounts[one]).act_on for one in ("inspect", "latest"))
    passed = (day is not None and clock.now_h >= day * _DAY_H for day in (last, first))
    due = next((said for said, one in zip(("overdue", "yes"), passed, strict=True) if one), "no")
    counts = {"days logged": str(days.read), "days counted": str(round(days.counted, 2))}
    return Action(
        id=f"{Moment.RECHECK}/{Kind.WAIT}/{kept.path}",
        kind=Kind.WAIT,
        moment=Moment.RECHECK,
        water=kept.path,
        who=Who.VET,
        at=None if first is None else clock.at(first * _DAY_H),
        until=None if last is None else clock.at(last * _DAY_H),
        amounts=amounts,
        words={"due": due, **counts, **_stitched(kept)},
        cautions=tuple(_cautions(kept, days, counts)),
    )


def _stitched(kept: Need) -> dict[str, str]:
    """Nobody is sent to look at stitches of a wound that was not said to be closed."""
    closed = any(one.wound is Wound.CLOSED for one in kept.ground.case.patients)
    return {} if closed else {"if any": "stitches"}


def _cautions(kept: Need, days: _Days, counts: dict[str, str]) -> Iterator[Why]:
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


def _noted(kept: Need) -> Iterator[Why]:
    """Notes and pictures of before, to hold the wound against: each with its date."""
    for note in kept.ground.case.notes:
        if note.at is None or kept.ground.as_of is None or note.at <= kept.ground.as_of:
            at = "" if note.at is None else note.at.isoformat()
            words = {"said": note.words, "of": note.of, "picture": note.picture, "at": at}
            yield Why(code="compare-with-the-note", words={name: text for name, text in words.items() if text})
