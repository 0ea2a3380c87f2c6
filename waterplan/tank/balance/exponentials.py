"""Closed forms of linear decay under a forcing, for many draws at once, exact where rates vanish or coincide.

For y' = -rate y + forcing over a step h, with x = rate h: `settling` holds the phi functions of -x, and the `overlap`
functions are divided differences of e^-x, which is what a chain of decays (ammonia, nitrite) feeds on.
Every function takes x >= 0 and returns positive numbers, to about twelve digits. `Law` is such a decay through time.
"""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from waterplan.published import FloatArray, Numbers

# Under these the differences of the closed forms lose digits and the short series below do not.
_SMALL, _SMALL_CHAIN = 3e-3, 5e-2
_NEVER_ZERO = 1e-100
# How the hour is found in which a level is passed: Newton's method squares its error, so that after a move of less than this
# share of the time that there is 1e-4 of it or less is left.
_MOST_HALVINGS, _NEAR_ENOUGH, _NO_SLOPE = 60, 1e-2, 1e-300


class Settling(NamedTuple):
    """e^-x and the phi functions of -x.

    A forcing that goes straight from a to b gives y(h) = left y0 + h (first a + second (b - a)), and its integral over
    the step is h (first y0 + h (second a + third (b - a))).
    """

    x: FloatArray
    left: FloatArray
    first: FloatArray
    second: FloatArray

    def end(self, y: FloatArray, h: Numbers, a: FloatArray, rise: FloatArray) -> FloatArray:
        """y(h), under a forcing that goes straight from a by `rise`."""
        return self.left * y + h * (self.first * a + self.second * rise)

    @property
    def third(self) -> FloatArray:
        """Worked out where it is asked for: only integrals want it."""
        x = self.x
        small = x < _SMALL
        if not small.any():
            return (0.5 - self.second) / x
        near = 1 / 6 - x * (1 / 24 - x * (1 / 120 - x * (1 / 720 - x / 5040)))
        return near if small.all() else np.where(small, near, (0.5 - self.second) / np.where(small, 1.0, x))


def _first(x: FloatArray) -> FloatArray:
    negative = np.minimum(-x, -_NEVER_ZERO)
    return np.asarray(np.expm1(negative) / negative)


def decay(x: FloatArray) -> tuple[FloatArray, FloatArray]:
    """What is left after a step, and what a steady forcing adds: `left` and `first` of `Settling`."""
    first = _first(x)
    return 1.0 - x * first, first


def settling(x: FloatArray) -> Settling:
    """What is left after a step and what a forcing adds, for a rate of x per step."""
    left, first = decay(x)
    small = x < _SMALL
    if not small.any():
        return Settling(x, left, first, (1.0 - first) / x)
    near = 1 / 2 - x * (1 / 6 - x * (1 / 24 - x * (1 / 120 - x / 720)))
    if not small.all():
        near = np.where(small, near, (1.0 - first) / np.where(small, 1.0, x))
    return Settling(x, left, first, near)


class Law(NamedTuple):
    """y' = drive + rise t - rate y, with t in hours from the start of a step."""

    rate: FloatArray
    drive: FloatArray
    rise: FloatArray

    def of(self, draws: NDArray[np.bool_ | np.intp]) -> "Law":
        """That of some draws."""
        return Law(*(one[draws] for one in self))

    def after(self, y: FloatArray, from_h: Numbers, hours: Numbers) -> tuple[FloatArray, FloatArray]:
        """What y has come to so many hours after `from_h`, and its integral over them."""
        s, drive, ramp = settling(self.rate * hours), self.drive + self.rise * from_h, self.rise * hours
        return s.end(y, hours, drive, ramp), hours * (s.first * y + hours * (s.second * drive + s.third * ramp))

    def turns_after(self, y: FloatArray, from_h: Numbers, hours: FloatArray) -> FloatArray:
        """After how many hours y turns, rising or falling no longer; `hours` where it does not within them.

        The slope settles to rise / rate: it is nothing where exp(-rate t) is 1 / (1 - rate slope / rise).
        """
        slope = self.drive + self.rise * from_h - self.rate * y
        against = slope * self.rise < 0.0
        linear = -slope / np.where(against, self.rise, 1.0)
        x = self.rate * np.where(against, linear, 0.0)
        share = np.where(
            x < _SMALL, 1.0 - x * (1 / 2 - x * (1 / 3 - x / 4)), np.log1p(x) / np.where(x < _SMALL, 1.0, x)
        )
        return np.where(against, np.minimum(linear * share, hours), hours)

    def hour_of(
        self, level: FloatArray, y: FloatArray, end: FloatArray, from_h: FloatArray, until_h: Numbers
    ) -> FloatArray:
        """The hour in which y passes a level on its way to `end` beyond it.

        Newton's method from the straight line between both, halving where it would leave what is left.
        """
        rate, drive, falls = self.rate, self.drive + self.rise * from_h, end < level
        low, high = np.zeros(y.size), until_h - from_h
        near, hour = _NEAR_ENOUGH * high, high * np.clip((level - y) / (end - y), 0.0, 1.0)
        for _ in range(_MOST_HALVINGS):
            here = drive + self.rise * hour
            amount = settling(rate * hour).end(y, hour, drive, here - drive)
            early = (amount >= level) == falls
            low, high = np.where(early, hour, low), np.where(early, high, hour)
            slope = here - rate * amount
            guess = hour - (amount - level) / np.where(slope == 0.0, _NO_SLOPE, slope)
            guess = np.where((guess >= low) & (guess <= high), guess, 0.5 * (low + high))
            moved, hour = guess - hour, guess
            if np.all(np.abs(moved) <= near):
                break
        return from_h + hour


def overlap(x: FloatArray, y: FloatArray) -> FloatArray:
    """Integral over u from 0 to 1 of e^(-x u) e^(-y (1 - u)): a decay that feeds a decay."""
    return np.exp(-np.minimum(x, y)) * _first(np.abs(x - y))


def overlap_from_source(
    x: FloatArray, y: FloatArray, first_x: FloatArray, first_y: FloatArray, together: FloatArray
) -> FloatArray:
    """A steady source through two decays: the second divided difference of e^-x at 0, x and y.

    `first_x` and `first_y` are `decay` of each, `together` their `overlap`: whoever asks has them.
    """
    gain = np.maximum(first_x, first_y) - together  # the larger is that of the slower decay
    return _unless_small(
        np.maximum(x, y),
        _SMALL,
        gain,
        lambda: 1 / 2 - (x + y) / 6 + (x * x + x * y + y * y) / 24 - (x + y) * (x * x + y * y) / 120,
    )


class Chain(NamedTuple):
    """What a decay z feels of decays x and y before it: divided differences of e^-x, `source` with a rate of 0 beside."""

    x_z: FloatArray
    y_z: FloatArray
    x_y_z: FloatArray
    source_x_z: FloatArray
    source_y_z: FloatArray
    source_x_y_z: FloatArray


def chain(
    x: FloatArray,
    y: FloatArray,
    z: FloatArray,
    first_x: FloatArray,
    first_y: FloatArray,
    first_z: FloatArray,
    together: FloatArray,
    from_source: FloatArray,
) -> Chain:
    """A decay that feeds a decay that feeds a decay; `together` and `from_source` are those of x and y.

    The differences fall as their rates rise, so that the largest of them is that of the two lowest rates.
    """
    x_z, y_z = overlap(x, z), overlap(y, z)
    source_x_z = overlap_from_source(x, z, first_x, first_z, x_z)
    source_y_z = overlap_from_source(y, z, first_y, first_z, y_z)
    less, more = np.minimum(x, y), np.maximum(x, y)
    low, high = np.minimum(less, z), np.maximum(more, z)

    spread = high - low
    steep, flat = np.maximum(np.maximum(x_z, y_z), together), np.minimum(np.minimum(x_z, y_z), together)
    x_y_z = _unless_small(spread, _SMALL, steep - flat, lambda: _near_together(x, y, z))
    steep = np.maximum(np.maximum(source_x_z, source_y_z), from_source)
    source_x_y_z = _unless_small(high, _SMALL_CHAIN, steep - x_y_z, lambda: _near_zero(x, y, z))
    return Chain(x_z, y_z, x_y_z, source_x_z, source_y_z, source_x_y_z)


def _unless_small(divisor: FloatArray, least: float, gain: FloatArray, series: Callable[[], FloatArray]) -> FloatArray:
    small = divisor < least
    if not small.any():
        return gain / divisor
    return np.where(small, series(), gain / np.where(small, 1.0, divisor))


def _near_together(x: FloatArray, y: FloatArray, z: FloatArray) -> FloatArray:
    """The second divided difference of e^-x at three rates that lie close together."""
    middle = (x + y + z) / 3.0
    a, b, c = x - middle, y - middle, z - middle
    return np.asarray(
        np.exp(-middle) * (1 / 2 + (a * a + b * b + c * c) / 48 - (a * a * a + b * b * b + c * c * c) / 360)
    )


def _near_zero(x: FloatArray, y: FloatArray, z: FloatArray) -> FloatArray:
    """The third divided difference of e^-x at 0 and three rates close to it, made positive."""
    # Complete symmetric polynomials of x; of x and y; of x, y and z; the k-th over (k + 3)! with alternating sign.
    of_x, of_xy, of_xyz = (np.ones_like(x) for _ in range(3))
    total, share = np.full_like(x, 1 / 6), 1 / 6
    for k in range(1, 7):
        of_x = of_x * x
        of_xy = of_x + of_xy * y
        of_xyz = of_xy + of_xyz * z
        share /= -(k + 3)
        total += share * of_xyz
    return total
