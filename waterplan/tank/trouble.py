"""When a limit is first passed, in which draws, and which limit it is."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from waterplan.published import FloatArray
from waterplan.spread import Band, band
from waterplan.tank.answers import quantile
from waterplan.tank.course import Course

CHECK_BY_SHARE = 0.5
UNFAVOURABLE = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A level of a state of the course that is not to be passed, from above (`falling`) or from below."""

    state: str
    level: float
    falling: bool
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Trouble:
    """Hours until the first of some limits is passed, for every draw, and which limit rules how often.

    `check_by_h` is half of the cautious end (5th percentile). Infinite where it never happens before the end.
    """

    hours: FloatArray
    within: Band
    check_by_h: float
    ruled_by: str
    shares: dict[str, float]


def first_trouble(course: Course, limits: Sequence[Limit]) -> Trouble:
    """The first limit passed in a course."""
    times = np.vstack([course.hours_until(limit.state, limit.level, falling=limit.falling) for limit in limits])
    first, hours = np.argmin(times, axis=0), times.min(axis=0)
    passed = np.isfinite(hours)
    drawn = slice(1, None) if hours.size > 1 else slice(None)
    shares = {limit.words: float((passed & (first == index))[drawn].mean()) for index, limit in enumerate(limits)}
    ruling = max(shares, key=lambda words: shares[words])
    low = float(np.percentile(hours[drawn], 100.0 * UNFAVOURABLE, method="lower"))
    return Trouble(
        hours=hours,
        within=band(hours),
        check_by_h=CHECK_BY_SHARE * low,
        ruled_by=ruling if shares[ruling] > 0.0 else "no limit",
        shares=shares,
    )


def chance_to_last(trouble: Trouble, hours: float) -> float:
    """The share of the draws in which no limit is passed before a time."""
    drawn = trouble.hours[1:] if trouble.hours.size > 1 else trouble.hours
    return float((drawn > hours).mean())


def hours_with_chance(trouble: Trouble, chance: float) -> float:
    """The time before which no limit is passed in a share of the draws; infinite where none is."""
    finite = np.where(np.isfinite(trouble.hours), trouble.hours, np.finfo(float).max)
    hours = quantile(finite, 1.0 - chance)
    return hours if hours < 1e300 else float("inf")
