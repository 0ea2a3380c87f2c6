"""The days since something was done, by the log of every water that the fish was in: how cool and how warm each may have been."""

from collections import defaultdict
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from waterplan import tables
from waterplan.actions.amounts import high, low, rule
from waterplan.actions.needs import Need
from waterplan.case.values import Reading
from waterplan.published import FloatArray
from waterplan.stay.quantities import Q
from waterplan.stay.record import WaterKind
from waterplan.stay.waters import HOME

DAY_H = 24.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Days:
    """Stretches of a day at most since something was done: their lengths, and how cool and how warm each may have been.

    `lengths` are days, shape (stretches,), `cool` and `warm` °C, shape (stretches, draws + 1). `counted` is how many days are
    past; `read` on how many of them something was read; `gap` whether some that are past lie in a gap of the log.
    """

    lengths: FloatArray
    cool: FloatArray
    warm: FloatArray
    counted: float
    read: int
    gap: bool

    def sums(self, temps: FloatArray) -> FloatArray:
        """Degree-days at the end of each stretch at some temperatures [°C], nothing first: shape (stretches + 1, draws + 1)."""
        each = self.lengths[:, None] * np.maximum(temps, 0.0)
        return np.concatenate([np.zeros((1, temps.shape[1])), np.cumsum(each, axis=0)])

    def so_far(self, cooler: FloatArray) -> FloatArray:
        """Degree-days of the days that are past; of a gap at its cool end in the draws of `cooler`, else at its warm one."""
        past = np.cumsum(self.lengths) <= self.counted + 1e-9
        temps = np.where(cooler, self.cool[past], self.warm[past])
        return np.asarray(self.lengths[past] @ np.maximum(temps, 0.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Since:
    """The water that a fish is kept in, and from which hour its days are counted; `path` names their draws."""

    kept: Need
    from_h: float
    path: str

    def water_at(self, hours: float) -> str:
        """The water that it is in at an hour of the stay: before the tank and after it the pond, on the way a bag or box."""
        kept = self.kept
        if kept.kind is WaterKind.HOSPITAL and min(kept.stretch.went_in_h, 0.0) <= hours < kept.stretch.until_h:
            return kept.path
        fish = set(kept.stretch.fish)
        ways = (one for one in kept.ground.places.values() if one.transport is not None)
        stretches = ((one.id, stretch) for one in ways for stretch in one.stretches if fish & set(stretch.fish))
        return next((path for path, one in stretches if one.start_h <= hours < one.until_h), HOME)

    def days(self) -> Days:
        """The days that are past by the log."""
        counted = max(self.kept.ground.clock.now_h - self.from_h, 0.0) / DAY_H
        begun = int(np.ceil(counted - 1e-9))
        known = self._daily_means()
        cool, warm, gap = self._past(known, begun)
        lengths = np.array([min(counted - day, 1.0) for day in range(begun)])
        none = np.zeros((0, self.kept.ground.inputs.size))
        temps = {name: np.stack(one) if one else none for name, one in (("cool", cool), ("warm", warm))}
        return Days(lengths=lengths, counted=counted, read=len(known), gap=gap, **temps)

    def _daily_means(self) -> dict[int, FloatArray]:
        """The mean of each day on which the water that it was in was read, with the thermometer's error."""
        clock, inputs = self.kept.ground.clock, self.kept.ground.inputs
        found: dict[int, list[Reading]] = defaultdict(list)
        for row in self.kept.ground.log:
            hours = clock.hours(row.taken)
            if row.key != "temperature" or hours is None or not self.from_h <= hours <= clock.now_h:
                continue
            if row.water == self.water_at(hours):
                found[int((hours - self.from_h) // DAY_H)].append(row.reading)

        def mean(day: int) -> FloatArray:
            first = found[day][0]
            drawn = inputs.drawn(f"{self.path}/day-{day}", first.measured, meter=first.meter)
            return np.asarray(np.mean([one.measured.best for one in found[day]]) + drawn - drawn[0])

        return {day: mean(day) for day in sorted(found)}

    def _past(self, known: dict[int, FloatArray], begun: int) -> tuple[list[FloatArray], list[FloatArray], bool]:
        """How cool and how warm each past day may have been, and whether there is a gap.

        A few days without a reading lie on the line between their neighbours; in a longer gap, before the first and after
        the last reading too, each may be as cold or as warm as that water can be.
        """
        edges = [-1, *known, begun]
        gaps = [(first, second) for first, second in pairwise(edges) if second - first - 1 >= rule("log gap")]
        usual, days = self.kept.kept_c, sorted(known)
        cool, warm = [], []
        for day in range(begun):
            before = max((one for one in days if one <= day), default=None)
            after = min((one for one in days if one >= day), default=None)
            ends = [known[one] for one in (before, after) if one is not None] or [usual]
            if any(first < day < second for first, second in gaps):
                coldest, warmest = self._defensible(self.from_h + (day + 0.5) * DAY_H)
                cool.append(np.minimum.reduce([*ends, coldest]))
                warm.append(np.maximum.reduce([*ends, warmest]))
                continue
            share = 0.0 if before is None or after is None or before == after else (day - before) / (after - before)
            mean = ends[0] + share * (ends[-1] - ends[0])
            cool.append(mean)
            warm.append(mean)
        return cool, warm, bool(gaps)

    def _defensible(self, hours: float) -> tuple[FloatArray, FloatArray]:
        """The coldest and the warmest that the water may have been: of a tank its room or what it is kept at, of a pond the
        year's.
        """
        kept = self.kept
        if self.water_at(hours) == kept.path and kept.kind is WaterKind.HOSPITAL:
            room, meant = np.asarray(kept.ground.room.air_temp_c), kept.kept_c
            ends = min(low(room), low(meant)), max(high(room), high(meant))
        else:
            row = tables.row("defensible_ranges", kind=WaterKind.HOME, quantity=Q.TEMPERATURE)
            ends = row.low, row.high
        size = kept.ground.inputs.size
        return np.full(size, ends[0]), np.full(size, ends[1])
