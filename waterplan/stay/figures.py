"""Numbers with their band, and the number to act by: rounded once, in the safe direction."""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from waterplan import tables
from waterplan.published import FloatArray, Numbers
from waterplan.spread import band
from waterplan.stay.record import ActEnd, Figure

Equation = Callable[..., object]
# The draws that take each of several readings of one time.
Parts = tuple[NDArray[np.bool_] | slice, ...]
ALL: Parts = (slice(None),)
_EXACT_PART, _NOTHING = 1e-9, 1e-12
_MOST_DIGITS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Sum:
    """A figure while its draws are there, with the equations and table rows declared beside the sum.

    Where each of `parts` of its draws takes another reading of one time, its band holds the band of each.
    """

    draws: FloatArray
    unit: str
    act_end: ActEnd
    rows: tuple[str, ...] = ()
    equations: tuple[str, ...] = ()
    parts: Parts = ALL
    act_on: float | None = None
    worked_out_for: str | None = None


@dataclass(slots=True)
class Figures:
    """All figures of a plan by their path."""

    sums: dict[str, Sum] = field(default_factory=dict)

    def put(
        self,
        path: str,
        draws: Numbers,
        *,
        unit: str,
        act_end: ActEnd = ActEnd.BEST,
        rows: Iterable[str] = (),
        equations: Iterable[Equation] = (),
        parts: Parts = ALL,
        act_on: float | None = None,
        worked_out_for: str | None = None,
    ) -> str:
        """Puts a figure under its path and returns the path; `act_on` is given where a scale or a jug has rounded it."""
        self.sums[path] = Sum(
            draws=np.atleast_1d(np.asarray(draws, dtype=np.float64)),
            unit=unit,
            act_end=act_end,
            rows=tuple(dict.fromkeys(rows)),
            equations=tuple(dict.fromkeys(equation.equation.name for equation in equations)),  # type: ignore[attr-defined]
            parts=parts,
            act_on=act_on,
            worked_out_for=worked_out_for,
        )
        return path

    def draws(self, path: str) -> FloatArray:
        """The draws of a figure, the best value first."""
        return self.sums[path].draws

    def record(self, path: str) -> Figure:
        """The figure without its draws."""
        one = self.sums[path]
        bands = [band(one.draws[part]) for part in one.parts]
        low, best, high = min(each.low for each in bands), bands[0].best, max(each.high for each in bands)
        low, best, high = (0.0 if abs(end) < _NOTHING else end for end in (min(low, best), best, max(high, best)))
        ends = {ActEnd.LOW: low, ActEnd.BEST: best, ActEnd.HIGH: high}
        acted = one.act_on if one.act_on is not None else rounded(ends[one.act_end], unit=one.unit, end=one.act_end)
        drawn = one.draws[1:] if one.draws.size > 1 else one.draws
        never = float(np.isinf(drawn).mean())
        return Figure(
            best=_finite(best),
            low=_finite(low),
            high=_finite(high),
            unit=one.unit,
            act_on=_finite(acted),
            act_end=one.act_end,
            never=never if never > 0.0 or one.unit in ("min", "h") else None,
            rows=one.rows,
            equations=one.equations,
            worked_out_for=one.worked_out_for,
        )


def rounded(value: float, *, unit: str, end: ActEnd) -> float:
    """A number as a person reads or waits it, rounded down at its low end, up at its high end, else to the nearest.

    Parameters
    ----------
    value : float
        The number, infinite where it never comes.
    unit : str
        Its unit, by which the table `rounding` gives the step.
    end : ActEnd
        Which end of its band it is.

    Returns
    -------
    float
        The rounded number; an infinite one as it is.

    Notes
    -----
    A step is the largest one of the unit whose `from` the number reaches.

    Examples
    --------
    >>> rounded(24.6, unit="min", end=ActEnd.LOW)
    24.0
    """
    if not math.isfinite(value):
        return value
    step = step_of(abs(value), unit=unit)
    parts = value / step
    near = round(parts)
    exact = abs(parts - near) < _EXACT_PART * max(1.0, abs(parts))
    to_whole = {ActEnd.LOW: math.floor, ActEnd.HIGH: math.ceil}.get(end, round)
    whole = float(near if exact else to_whole(parts))
    decimals = max(0, -math.floor(math.log10(step) + _EXACT_PART) + 1)
    return round(whole * step, decimals)


def step_of(size: float, *, unit: str) -> float:
    """The step to which a number of a unit is rounded for a person, who reads four digits and no more."""
    steps = tables.rows("rounding", of=unit) or tables.rows("rounding", of="any")
    step = max((row for row in steps if size >= float(row["from"])), key=lambda row: float(row["from"])).value
    return max(step, 10.0 ** (math.floor(math.log10(size)) - _MOST_DIGITS + 1)) if size > 0.0 else step


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
