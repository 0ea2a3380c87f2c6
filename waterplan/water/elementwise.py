"""Functions that take a float through `math` and an array through `numpy`, so that an equation is written once.

`numpy` on a single float costs ten times what `math` costs. None of these writes into what it is given; what they
return is new, and the caller may write into it.
"""

import math
from typing import overload

import numpy as np

from waterplan.published import FloatArray, Numbers

_LN_10 = math.log(10.0)


def exp(value: Numbers) -> Numbers:
    """The exponential."""
    return math.exp(value) if isinstance(value, float) else np.exp(value)


def log(value: Numbers) -> Numbers:
    """The natural logarithm."""
    return math.log(value) if isinstance(value, float) else np.log(value)


def pow10(value: Numbers) -> Numbers:
    """Ten to the power of `value`, through the exponential, which numpy does several times faster than a power."""
    return exp(value * _LN_10)


def sqrt(value: Numbers) -> Numbers:
    """The square root."""
    return math.sqrt(value) if isinstance(value, float) else np.sqrt(value)


def larger(value: Numbers, other: Numbers) -> Numbers:
    """The larger of two."""
    if isinstance(value, float) and isinstance(other, float):
        return max(value, other)
    return np.maximum(value, other)


def smaller(value: Numbers, other: Numbers) -> Numbers:
    """The smaller of two."""
    if isinstance(value, float) and isinstance(other, float):
        return min(value, other)
    return np.minimum(value, other)


def choose(condition: object, value: Numbers, other: Numbers) -> Numbers:
    """`value` where the condition holds, `other` elsewhere."""
    if isinstance(condition, bool):
        return value if condition else other
    return np.where(np.asarray(condition), value, other)


class Polynomial:
    """A polynomial of degree one or more by Horner's rule, its coefficients from the constant upwards."""

    __slots__ = ("_arrays", "_floats")

    def __init__(self, *coefficients: float) -> None:
        self._floats = coefficients[::-1]
        # numpy takes a 0-d array faster than it takes a float
        self._arrays = tuple(np.array(coefficient) for coefficient in self._floats)

    @overload
    def __call__(self, value: float) -> float: ...
    @overload
    def __call__(self, value: FloatArray) -> FloatArray: ...
    def __call__(self, value: Numbers) -> Numbers:
        """The value of the polynomial."""
        if isinstance(value, float):
            total = 0.0
            for coefficient in self._floats:
                total = total * value + coefficient
            return total
        result = np.empty_like(value)
        self.into(result, value)
        return result

    def into(self, result: FloatArray, value: FloatArray) -> None:
        """Writes the value of the polynomial into an array of the shape of `value`, which stays as it is."""
        np.multiply(value, self._arrays[0], out=result)
        for term in self._arrays[1:-1]:
            result += term
            result *= value
        result += self._arrays[-1]
