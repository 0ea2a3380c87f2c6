"""A straight line through weighed additions, with its error: the bucket test of a conductivity meter."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from waterplan.errors import CaseError, ImpossibleInput, Mistake
from waterplan.published import FloatArray, published
from waterplan.spread import Draws, Measured
from waterplan.vessel.volume import student

_FEWEST = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A straight line fitted by least squares.

    Parameters
    ----------
    slope, intercept : float
        In the units of the two axes.
    slope_error, intercept_error : float
        One standard error of each.
    residual_sd : float
        Standard deviation about the line.
    freedom : int
        Degrees of freedom.
    """

    slope: float
    intercept: float
    slope_error: float
    intercept_error: float
    residual_sd: float
    freedom: int


@published(source="jcgm_100", locator="annex H.3, equations H.13", status="from memory")
def fitted_line(x: FloatArray, *, y: FloatArray) -> Line:
    """The straight line through points, by least squares, with the errors of its slope and intercept.

    Parameters
    ----------
    x, y : array
        Three or more points, in any units.

    Returns
    -------
    Line
        Slope [unit of y to that of x], intercept [unit of y], and their standard errors.

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
    return Line(
        slope=slope,
        intercept=intercept,
        slope_error=float(np.sqrt(variance / squares)),
        intercept_error=float(np.sqrt(variance * (1.0 / x.size + x.mean() ** 2 / squares))),
        residual_sd=float(np.sqrt(variance)),
        freedom=freedom,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class BucketTest:
    """Weighed additions of the salt to a bucket of the pond's own water, read with the same meter.

    Parameters
    ----------
    added_g : tuple of float
        Salt in the bucket at each reading, counted up from 0 [g].
    read_ms_per_cm : tuple of float
        Conductivity brought to 25 °C at each [mS/cm].
    bucket_l : Measured
        Water in the bucket [L].

    Raises
    ------
    CaseError
        Fewer than three readings, salt that does not grow, or conductivity that does not: with the row.
    ImpossibleInput
        The bucket holds nothing.

    Examples
    --------
    >>> test = BucketTest(
    ...     added_g=(0.0, 2.0, 4.0), read_ms_per_cm=(0.42, 0.82, 1.22), bucket_l=Measured.exact(10.0)
    ... )
    >>> round(test.slope_ms_per_cm_per_g_per_l, 3)
    2.0
    """

    added_g: tuple[float, ...]
    read_ms_per_cm: tuple[float, ...]
    bucket_l: Measured

    @classmethod
    def of(cls, rows: Sequence[Sequence[float]], *, bucket_l: Measured) -> "BucketTest":
        """A test from rows of grams in the bucket and reading; a row that is not two numbers is told."""
        read, mistakes = [], []
        for number, row in enumerate(rows, start=1):
            try:
                added, reading = (float(value) for value in row)
            except (TypeError, ValueError):
                mistakes.append(
                    Mistake(where=f"row {number}", read=str(row), would_do="give grams and mS/cm as two numbers")
                )
                continue
            read.append((added, reading))
        if mistakes:
            raise CaseError("bucket test", mistakes)
        return cls(
            added_g=tuple(added for added, _ in read),
            read_ms_per_cm=tuple(reading for _, reading in read),
            bucket_l=bucket_l,
        )

    def __post_init__(self) -> None:
        if not self.bucket_l.best > 0:
            raise ImpossibleInput("bucket_l", self.bucket_l.best, "above 0", unit="L")
        mistakes = []
        if len(self.added_g) < _FEWEST or len(self.added_g) != len(self.read_ms_per_cm):
            mistakes.append(
                Mistake(
                    where="rows",
                    read=f"{len(self.added_g)} weights, {len(self.read_ms_per_cm)} readings",
                    would_do="give at least three pairs: the water alone and two additions",
                )
            )
        pairs = list(zip(self.added_g, self.read_ms_per_cm, strict=False))
        for number, (added, reading) in enumerate(pairs, start=1):
            if not (np.isfinite(added) and np.isfinite(reading)) or added < 0 or reading < 0:
                mistakes.append(
                    Mistake(where=f"row {number}", read=f"{added:g} g, {reading:g} mS/cm", would_do="give 0 or more")
                )
            elif number > 1 and added <= pairs[number - 2][0]:
                mistakes.append(
                    Mistake(
                        where=f"row {number}",
                        read=f"{added:g} g",
                        would_do="count the salt up: more than the row before",
                    )
                )
            elif number > 1 and reading <= pairs[number - 2][1]:
                mistakes.append(
                    Mistake(
                        where=f"row {number}",
                        read=f"{reading:g} mS/cm after {pairs[number - 2][1]:g}",
                        would_do="read again: conductivity cannot fall when salt is added",
                    )
                )
        if mistakes:
            raise CaseError("bucket test", mistakes)

    @property
    def line(self) -> Line:
        """Conductivity against grams of salt in the bucket."""
        return fitted_line(np.asarray(self.added_g), y=np.asarray(self.read_ms_per_cm))

    @property
    def slope_ms_per_cm_per_g_per_l(self) -> float:
        """What a gram of this salt in a litre of this water adds on this meter [mS/cm per g/L]."""
        return self.line.slope * self.bucket_l.best

    def drawn(self, draws: Draws, name: str) -> FloatArray:
        """Draws of the slope: the scatter about the line by Student's t, and the litres in the bucket."""
        line = self.line
        scatter = np.exp(student(draws, f"{name} bucket slope", sd=line.slope_error / line.slope, freedom=line.freedom))
        return np.asarray(line.slope * scatter * draws.of(f"{name} bucket litres", self.bucket_l), dtype=np.float64)
