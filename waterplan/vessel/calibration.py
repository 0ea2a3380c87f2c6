"""A straight line through weighed additions, with its error: the bucket test of a conductivity meter."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from waterplan.errors import ImpossibleInput
from waterplan.published import FloatArray, published
from waterplan.spread import Draws, Measured
from waterplan.vessel.limits import Row, WrongRows, is_amount, numbers_of, require_above_0
from waterplan.vessel.volume import student

_FEWEST = 3


class Line(NamedTuple):
    """The slope of a straight line fitted by least squares, its standard error, and the degrees of freedom."""

    slope: float
    slope_error: float
    freedom: int


@published(source="jcgm_100", locator="annex H.3, equations H.13", status="from memory")
def fitted_line(x: FloatArray, *, y: FloatArray) -> Line:
    """The straight line through points, by least squares, with the error of its slope.

    Parameters
    ----------
    x, y : array
        Three or more points, in any units.

    Returns
    -------
    Line
        Slope and its standard error [unit of y to that of x].

    Raises
    ------
    ImpossibleInput
        Fewer than three points, points that are not finite, or all at one x.

    Notes
    -----
    All the error is taken to be in y. Checked against the certified values of the data set Norris of the NIST
    Statistical Reference Datasets, and against the calibration of a thermometer in annex H.3.

    Examples
    --------
    >>> fitted_line([0.0, 1.0, 2.0], y=[1.0, 3.0, 5.0]).slope
    2.0
    """
    x, y = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
    if x.size < _FEWEST or x.shape != y.shape or not (np.isfinite(x).all() and np.isfinite(y).all()):
        raise ImpossibleInput("points", f"{x.size} and {y.size}", "three or more pairs of finite numbers")
    from_mean = x - x.mean()
    squares = float(from_mean @ from_mean)
    if squares == 0:
        raise ImpossibleInput("x", f"{x[0]:g} throughout", "at two or more different values")
    slope = float(from_mean @ (y - y.mean())) / squares
    intercept = float(y.mean()) - slope * float(x.mean())
    residual = y - intercept - slope * x
    freedom = x.size - 2
    variance = float(residual @ residual) / freedom
    return Line(slope=slope, slope_error=math.sqrt(variance / squares), freedom=freedom)


@dataclass(frozen=True, slots=True, kw_only=True)
class BucketTest:
    """Weighed additions of the salt to a bucket of the pond's own water, read with the same meter.

    Parameters
    ----------
    line : Line
        Conductivity brought to 25 °C [mS/cm] against salt in the bucket [g].
    bucket_l : Measured
        Water in the bucket [L].

    Examples
    --------
    >>> test = BucketTest.of([(0.0, 0.42), (2.0, 0.82), (4.0, 1.22)], bucket_l=Measured.exact(10.0))
    >>> round(float(test.drawn(Draws(count=10), "tub")[0]), 3)
    2.0
    """

    line: Line
    bucket_l: Measured

    @classmethod
    def of(cls, rows: Sequence[Row], *, bucket_l: Measured) -> "BucketTest":
        """A test from rows of grams in the bucket, counted up from 0, and reading; what is wrong is told by row.

        Raises
        ------
        CaseError
            Fewer than three readings, salt that does not grow, or conductivity that does not: with the row.
        ImpossibleInput
            The bucket holds nothing.
        """
        wrong = WrongRows("bucket test")
        read: list[tuple[float, ...]] = []
        for number, row in enumerate(rows, start=1):
            found = numbers_of(row, 2)
            if found is None:
                wrong.add(number, str(row), "give grams and mS/cm as two numbers")
            else:
                read.append(found)
        wrong.tell()
        require_above_0("bucket_l", bucket_l.best, unit="L")
        if len(read) < _FEWEST:
            would_do = "give at least three pairs: the water alone and two additions"
            wrong.add("rows", f"{len(read)} weights, {len(read)} readings", would_do)
        before = [(-math.inf, -math.inf), *read]
        for number, ((less, lower), (added, reading)) in enumerate(zip(before, read, strict=False), start=1):
            if not (is_amount(added) and is_amount(reading)):
                wrong.add(number, f"{added:g} g, {reading:g} mS/cm", "give 0 or more")
            elif added <= less:
                wrong.add(number, f"{added:g} g", "count the salt up: more than the row before")
            elif reading <= lower:
                read_again = "read again: conductivity cannot fall when salt is added"
                wrong.add(number, f"{reading:g} mS/cm after {lower:g}", read_again)
        wrong.tell()
        added_g, read_ms_per_cm = np.asarray(read).T
        return cls(line=fitted_line(added_g, y=read_ms_per_cm), bucket_l=bucket_l)

    def drawn(self, draws: Draws, name: str) -> FloatArray:
        """Draws of what a gram of this salt in a litre of this water adds on this meter [mS/cm per g/L].

        They hold the scatter about the line by Student's t, and the error of the litres in the bucket.
        """
        slope, error, freedom = self.line
        scatter = np.exp(student(draws, f"{name} bucket slope", sd=error / slope, freedom=freedom))
        return slope * scatter * draws.of(f"{name} bucket litres", self.bucket_l)
