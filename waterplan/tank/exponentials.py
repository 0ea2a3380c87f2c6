"""Closed forms of linear decay under a forcing, for many draws at once, exact where rates vanish or coincide.

For y' = -rate y + forcing over a step h, with x = rate h: `settling` holds the phi functions of -x, and the `overlap`
functions are divided differences of e^-x, which is what a chain of decays (ammonia, nitrite, oxygen) feeds on.
Every function takes x >= 0 and returns positive numbers, to about twelve digits.
"""

from typing import NamedTuple

import numpy as np

from waterplan.published import FloatArray

# Under these the differences of the closed forms lose digits and the short series below do not.
_SMALL, _SMALL_CHAIN = 3e-3, 5e-2
_NEVER_ZERO = 1e-100


class Settling(NamedTuple):
    """e^-x and the phi functions of -x.

    A forcing that goes straight from a to b gives y(h) = left y0 + h (first a + second (b - a)), and its integral over
    the step is h (first y0 + h (second a + third (b - a))).
    """

    left: FloatArray
    first: FloatArray
    second: FloatArray
    third: FloatArray


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
        second = (1.0 - first) / x
        return Settling(left, first, second, (0.5 - second) / x)
    near_second = 1 / 2 - x * (1 / 6 - x * (1 / 24 - x * (1 / 120 - x / 720)))
    near_third = 1 / 6 - x * (1 / 24 - x * (1 / 120 - x * (1 / 720 - x / 5040)))
    if small.all():
        return Settling(left, first, near_second, near_third)
    safe = np.where(small, 1.0, x)
    second = np.where(small, near_second, (1.0 - first) / safe)
    third = np.where(small, near_third, (0.5 - second) / safe)
    return Settling(left, first, second, third)


def overlap(x: FloatArray, y: FloatArray) -> FloatArray:
    """Integral over u from 0 to 1 of e^(-x u) e^(-y (1 - u)): a decay that feeds a decay."""
    return np.exp(-np.minimum(x, y)) * _first(np.abs(x - y))


def overlap_from_source(x: FloatArray, y: FloatArray) -> FloatArray:
    """A steady source through two decays: the second divided difference of e^-x at 0, x and y."""
    high = np.maximum(x, y)
    small = high < _SMALL
    if not small.any():
        return (_first(np.minimum(x, y)) - overlap(x, y)) / high
    direct = (_first(np.minimum(x, y)) - overlap(x, y)) / np.where(small, 1.0, high)
    near = 1 / 2 - (x + y) / 6 + (x * x + x * y + y * y) / 24 - (x + y) * (x * x + y * y) / 120
    return np.where(small, near, direct)


def overlap_3(x: FloatArray, y: FloatArray, z: FloatArray) -> FloatArray:
    """A decay that feeds a decay that feeds a decay: the second divided difference of e^-x at x, y and z."""
    low, middle, high = _in_order(x, y, z)
    spread = high - low
    small = spread < _SMALL
    direct = (overlap(low, middle) - overlap(middle, high)) / np.where(small, 1.0, spread)
    if not small.any():
        return direct
    mean = (low + middle + high) / 3.0
    a, b, c = low - mean, middle - mean, high - mean
    near = np.exp(-mean) * (1 / 2 + (a * a + b * b + c * c) / 48 - (a * a * a + b * b * b + c * c * c) / 360)
    return np.where(small, near, direct)


def overlap_3_from_source(x: FloatArray, y: FloatArray, z: FloatArray) -> FloatArray:
    """A steady source through three decays: the third divided difference of e^-x at 0, x, y and z, made positive."""
    low, middle, high = _in_order(x, y, z)
    small = high < _SMALL_CHAIN
    direct = (overlap_from_source(low, middle) - overlap_3(low, middle, high)) / np.where(small, 1.0, high)
    if not small.any():
        return direct
    # Complete symmetric polynomials of x; of x and y; of x, y and z; the k-th over (k + 3)! with alternating sign.
    of_x, of_xy, of_xyz = (np.ones_like(x) for _ in range(3))
    near, share = np.full_like(x, 1 / 6), 1 / 6
    for k in range(1, 7):
        of_x = of_x * x
        of_xy = of_x + of_xy * y
        of_xyz = of_xy + of_xyz * z
        share /= -(k + 3)
        near += share * of_xyz
    return np.where(small, near, direct)


def _in_order(x: FloatArray, y: FloatArray, z: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    less, more = np.minimum(x, y), np.maximum(x, y)
    return np.minimum(less, z), np.maximum(less, np.minimum(more, z)), np.maximum(more, z)
