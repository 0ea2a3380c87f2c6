"""From measured values with errors to seeded draws, and back to low, best and high.

Every array of draws has one element more than there are draws: element 0 carries the best values, so that one pass of
the same equations gives the best answer (which can be followed by hand) and its spread.
"""

import math
import zlib
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

import numpy as np
from scipy.special import ndtr, ndtri

from waterplan.errors import ImpossibleInput
from waterplan.published import FloatArray, Numbers

DEFAULT_DRAWS = 1024
DEFAULT_SEED = 20260514
# A stated "± e" is read as the half-width of a 95 % interval (JCGM 100:2008, 6.3.3: coverage factor 2).
COVERAGE = 1.959964
_Z95 = 1.644854  # standard normal, 95th percentile
LOW_PERCENT, HIGH_PERCENT = 5.0, 95.0
# The farthest that any draw lies out: four standard deviations. Beyond it is one of 16,000, in no band that a reader sees,
# and the tail of a printed range runs on to what cannot be (a room that swings by 60 °C).
_FARTHEST = float(ndtr(-4.0))


# The form of an error.
Kind = StrEnum("Kind", ["EXACT", "NORMAL", "LOGNORMAL", "UNIFORM"])


class Band(NamedTuple):
    """The 5th percentile, the best value and the 95th percentile."""

    low: float
    best: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """A value and its error, in the unit of whatever it measures.

    `spread` is one standard deviation (NORMAL, in the value's unit), the standard deviation of the natural logarithm
    (LOGNORMAL), and unused otherwise; `spread_above` is the LOGNORMAL's above the best value where the sides differ;
    `floor` and `ceiling` cut a NORMAL error, bound a UNIFORM one, and are where a draw beyond them is kept.
    """

    best: float
    kind: Kind = Kind.EXACT
    spread: float = 0.0
    spread_above: float | None = None
    floor: float = -math.inf
    ceiling: float = math.inf
    censored: bool = False

    def __post_init__(self) -> None:
        if not math.isfinite(self.best):
            raise ImpossibleInput("best", self.best, "a finite number")
        for name, spread in (("spread", self.spread), ("spread_above", self.spread_above or 0.0)):
            if not (math.isfinite(spread) and spread >= 0):
                raise ImpossibleInput(name, spread, "finite and not negative")
        if self.kind is Kind.NORMAL and self.spread == 0:
            raise ImpossibleInput("spread", self.spread, "above 0 for a normal error")
        if not self.floor <= self.best <= self.ceiling:
            raise ImpossibleInput("best", self.best, f"between its floor {self.floor:g} and ceiling {self.ceiling:g}")
        if self.kind is Kind.LOGNORMAL and self.best <= 0:
            raise ImpossibleInput("best", self.best, "above 0 for a relative error")
        if self.kind is Kind.UNIFORM and not (math.isfinite(self.floor) and math.isfinite(self.ceiling)):
            raise ImpossibleInput("floor, ceiling", (self.floor, self.ceiling), "finite for a uniform error")

    @classmethod
    def exact(cls, best: float) -> "Measured":
        """A value without error: counted, or chosen."""
        return cls(best=best)

    @classmethod
    def plus_minus(
        cls, best: float, error: float, *, floor: float = -math.inf, ceiling: float = math.inf
    ) -> "Measured":
        """A value whose stated ± is the half-width of its 95 % interval."""
        if error == 0:
            return cls(best=best)
        return cls(best=best, kind=Kind.NORMAL, spread=error / COVERAGE, floor=floor, ceiling=ceiling)

    @classmethod
    def within_factor(cls, best: float, relative_sd: float) -> "Measured":
        """A positive value whose error is a proportion of it, one standard deviation `relative_sd`."""
        if relative_sd == 0:
            return cls(best=best)
        if not relative_sd > 0:
            raise ImpossibleInput("relative_sd", relative_sd, "0 or more")
        return cls(best=best, kind=Kind.LOGNORMAL, spread=math.sqrt(math.log1p(relative_sd**2)))

    @classmethod
    def from_range(cls, low: float, best: float, high: float) -> "Measured":
        """A positive value printed with a range, which is read as its 5th and 95th percentiles."""
        if not 0 < low <= best <= high:
            raise ImpossibleInput("low, best, high", (low, best, high), "positive and in this order")
        below, above = math.log(best / low) / _Z95, math.log(high / best) / _Z95
        return cls(best=best, kind=Kind.LOGNORMAL, spread=below, spread_above=above)

    @classmethod
    def between(cls, low: float, high: float, *, best: float | None = None, censored: bool = False) -> "Measured":
        """A value known only to lie between two others, as a reading below what a kit can see."""
        middle = (low + high) / 2 if best is None else best
        return cls(best=middle, kind=Kind.UNIFORM, floor=low, ceiling=high, censored=censored)

    def at(self, probability: FloatArray) -> FloatArray:
        """The quantiles of the error at probabilities in (0, 1): an array of the same shape."""
        if self.kind is Kind.EXACT:
            return np.full_like(probability, self.best)
        if self.kind is Kind.UNIFORM:
            return self.floor + (self.ceiling - self.floor) * probability
        if self.kind is Kind.LOGNORMAL:
            z = ndtri(probability)
            above = self.spread if self.spread_above is None else self.spread_above
            drawn = self.best * np.exp(z * np.where(z < 0, self.spread, above))
            return np.asarray(np.clip(drawn, self.floor, self.ceiling), dtype=np.float64)
        below = ndtr((self.floor - self.best) / self.spread)
        above = ndtr((self.ceiling - self.best) / self.spread)
        quantile = self.best + self.spread * ndtri(below + (above - below) * probability)
        return np.asarray(np.clip(quantile, self.floor, self.ceiling), dtype=np.float64)


@dataclass(frozen=True, slots=True, kw_only=True)
class Draws:
    """A seeded Latin hypercube, one stratified column for each named input.

    A column depends on the seed, the number of draws and its own name only: adding a vessel moves no other draw. Two
    readings of one meter share its calibration by the meter's name and keep a reading error each by their own.
    """

    count: int = DEFAULT_DRAWS
    seed: int = DEFAULT_SEED

    def __post_init__(self) -> None:
        if not 1 <= self.count <= 1_000_000:
            raise ImpossibleInput("draws", self.count, "1 to 1000000")
        if self.seed < 0:
            raise ImpossibleInput("seed", self.seed, "0 or more")

    def probabilities(self, name: str) -> FloatArray:
        """One probability in each of `count` equal strata, shuffled, none farther out than `_FARTHEST`: shape (count,)."""
        generator = np.random.default_rng([self.seed, zlib.crc32(name.encode())])
        strata = generator.permutation(self.count)
        inside = generator.uniform(size=self.count)
        return np.clip((strata + inside) / self.count, _FARTHEST, 1 - _FARTHEST)

    def sharing(self, name: str, common: str, share: float) -> FloatArray:
        """Probabilities of which a share of the error's variance is that of another column; one in each stratum still.

        The ranks of the sum of both are taken, so that what is shared changes nothing in the spread of one reading.
        """
        own = self.probabilities(name)
        both = math.sqrt(share) * ndtri(self.probabilities(common)) + math.sqrt(1.0 - share) * ndtri(own)
        strata = np.empty(self.count)
        strata[np.argsort(both)] = np.arange(self.count)
        return np.clip((strata + own * self.count % 1.0) / self.count, _FARTHEST, 1 - _FARTHEST)

    def of(self, name: str, measured: Measured, *, common: str = "", share: float = 1.0) -> FloatArray:
        """The draws of a measured input, shape (count + 1,): the best value, then the draws.

        Of its error's variance `share` is that of the `common` column, where one is named.
        """
        drawn = self.sharing(name, common, share) if common else self.probabilities(name)
        return np.concatenate([[measured.best], measured.at(drawn)])


def band(values: Numbers) -> Band:
    """Low, best and high of draws as `Draws` gives them; a scalar, known without error, is all three."""
    array = np.asarray(values, dtype=np.float64)
    if array.ndim == 0:
        return Band(array.item(), array.item(), array.item())
    drawn = array[1:] if array.size > 1 else array
    # The nearest draw: an infinite time is an answer ("never"), and between two of them would lie a NaN.
    low, high = (round((drawn.size - 1) * percent / 100.0) for percent in (LOW_PERCENT, HIGH_PERCENT))
    ordered = np.partition(drawn, (low, high))
    return Band(float(ordered[low]), float(array[0]), float(ordered[high]))


def chance(passed: object) -> float:
    """The share of the draws in which something holds, element 0 (the best values) left out."""
    array = np.asarray(passed, dtype=bool)
    if array.ndim == 0:
        return float(array)
    return float(array[1:].mean()) if array.size > 1 else float(array[0])
