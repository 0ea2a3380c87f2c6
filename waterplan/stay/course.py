"""What is kept of a stretch of time: least and most of every draw, when a level is first passed, bands for a picture."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from waterplan.published import FloatArray, Numbers
from waterplan.spread import HIGH_PERCENT, LOW_PERCENT
from waterplan.stay.quantities import COURSE_STATES, Q
from waterplan.stay.state import SOLUTES, solute_levels
from waterplan.stay.waters import Stretch
from waterplan.tank.body import Body
from waterplan.tank.course import Course as TankCourse
from waterplan.tank.course import level

Kept32 = NDArray[np.float32]
# Two courses are one where each draw of each quantity is as near as this share of the most that is planned of it.
_SAME_SHARE, _SAME_TIME_H = 5e-3, 1e-6
_MOST_ROWS, _A_DAY_H, _A_WEEK_H = 200, 24.0, 168.0


class Scenario(StrEnum):
    """As the case and the actions have it, or with the power gone from the start of the stretch."""

    AS_PLANNED = "as planned"
    POWER_OFF = "power off"


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """A water through a stretch: rows for `hours` of the stay, columns for the draws, in single precision.

    `values` have the shape (hours, draws + 1), each in the unit of its quantity. The stretch itself ends at `until_h`; the
    course may go on beyond it, for the clocks.
    """

    start_h: float
    until_h: float
    hours: FloatArray
    values: Mapping[Q, Kept32]

    def least(self, quantity: Q) -> FloatArray:
        """The least of each draw within the stretch."""
        return np.asarray(self._within(quantity).min(axis=0), dtype=np.float64)

    def most(self, quantity: Q) -> FloatArray:
        """The most of each draw within the stretch."""
        return np.asarray(self._within(quantity).max(axis=0), dtype=np.float64)

    def least_while(self, quantity: Q, other: Q, above: float) -> FloatArray:
        """The least of each draw while another quantity is above a level; infinite where it never is."""
        values = np.where(self._within(other) > above, self._within(quantity), np.inf)
        return np.asarray(values.min(axis=0), dtype=np.float64)

    def at_end(self, quantity: Q) -> FloatArray:
        """The last of each draw within the stretch."""
        return np.asarray(self._within(quantity)[-1], dtype=np.float64)

    def at(self, quantity: Q, hour: float) -> FloatArray:
        """Each draw at an hour of the stay, before what happens in that hour."""
        after = min(int(np.searchsorted(self.hours, hour - 1e-9)), self.hours.size - 1)
        before, values = max(after - 1, 0), self.values[quantity]
        apart = self.hours[after] - self.hours[before]
        share = 1.0 if apart <= 0.0 else np.clip((hour - self.hours[before]) / apart, 0.0, 1.0)
        return np.asarray(values[before] + share * (values[after] - values[before]), dtype=np.float64)

    def band(self, quantity: Q) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Low, best and high at each hour of the stretch, for a picture."""
        values = self._within(quantity)
        drawn = values[:, 1:] if values.shape[1] > 1 else values
        low, high = np.percentile(drawn, [LOW_PERCENT, HIGH_PERCENT], axis=1)
        best = values[:, 0].astype(np.float64)
        return np.minimum(low, best), best, np.maximum(high, best)

    @property
    def hours_within(self) -> FloatArray:
        """The hours of the stay within the stretch."""
        return self.hours[self.hours <= self.until_h + 1e-6]

    def _within(self, quantity: Q) -> Kept32:
        return self.values[quantity][: self.hours_within.size]

    def hours_until(self, quantity: Q, level: Numbers, *, falls: bool) -> FloatArray:
        """Hours from the start until each draw first falls under a level, or rises above it; infinite where never.

        Parameters
        ----------
        quantity : Q
            What is followed.
        level : float or array, shape (draws + 1,)
            The level, in the unit of the quantity.
        falls : bool
            Whether it falls to it, or rises.

        Returns
        -------
        array, shape (draws + 1,)
            Hours, on a straight line between the two records about the first that is beyond it [h].
        """
        values = self.values[quantity]
        beyond = values < np.asarray(level) if falls else values > np.asarray(level)
        first = beyond.argmax(axis=0)
        ever, columns = beyond.any(axis=0), np.arange(values.shape[1])
        before = np.maximum(first - 1, 0)
        a, b = values[before, columns].astype(np.float64), values[first, columns].astype(np.float64)
        moved = np.where(first == before, 1.0, b - a)
        share = np.where(first == before, 0.0, np.clip((level - a) / np.where(moved == 0.0, 1.0, moved), 0.0, 1.0))
        hour = self.hours[before] + share * (self.hours[first] - self.hours[before])
        return np.where(ever, hour - self.start_h, np.inf)


def kept(course: TankCourse, stretch: Stretch, scenario: Scenario) -> Course:
    """What is kept of the engine's course, its hours counted from the start; without power nobody asks but for oxygen."""
    if scenario is Scenario.POWER_OFF:
        levels = {Q.OXYGEN: course.states[Q.OXYGEN.state]}
    else:
        found = {quantity: course.states[name] for quantity, name in COURSE_STATES.items() if name in course.states}
        levels = found | solute_levels(course.solutes)[0]
    return Course(
        start_h=stretch.start_h,
        until_h=stretch.until_h,
        hours=course.hours + stretch.start_h,
        values={quantity: level.astype(np.float32, copy=False) for quantity, level in levels.items()},
    )


def record_every_h(hours: float) -> float:
    """How often a course of so many hours is written down [h]: half hours for a day, hours for a week, then two or more."""
    if hours <= _A_DAY_H:
        return 0.5
    return 1.0 if hours <= _A_WEEK_H else max(2.0, float(np.ceil(hours / _MOST_ROWS)))


class Rejoins:
    """Told a body in which something stopped, at each record, whether it runs again as the same water was planned to.

    What follows hangs on what the water then holds and on what is done to it, which is the same for both.

    Parameters
    ----------
    planned : Course
        The water as planned.
    not_before_h : float
        The hour of the stay from which on nothing happens that was not planned.
    """

    def __init__(self, planned: Course, *, not_before_h: float) -> None:
        self._planned, self._not_before_h, self.has = planned, not_before_h, False
        self._near = {one: _SAME_SHARE * float(np.abs(values).max()) for one, values in planned.values.items()}

    def __call__(self, body: Body) -> bool:
        """Whether it has at this record."""
        hours, hour = self._planned.hours, self._planned.start_h + body.now_h
        row = int(np.searchsorted(hours, hour + _SAME_TIME_H)) - 1
        if hour >= self._not_before_h and abs(hours[row] - hour) < _SAME_TIME_H:
            self.has = all(
                float(np.abs(_now(body, one) - self._planned.values[one][row]).max()) <= near
                for one, near in self._near.items()
            )
        return self.has

    def and_on(self, course: Course) -> Course:
        """A course that ended there, and from there on the planned one."""
        rest = self._planned.hours > course.hours[-1] + _SAME_TIME_H
        values = {one: np.concatenate([rows, self._planned.values[one][rest]]) for one, rows in course.values.items()}
        return replace(course, hours=np.concatenate([course.hours, self._planned.hours[rest]]), values=values)


def _now(body: Body, quantity: Q) -> FloatArray:
    if quantity in SOLUTES:
        return np.asarray(body.solutes[SOLUTES[quantity]] / body.volume_l)
    return level(body, quantity.state)
