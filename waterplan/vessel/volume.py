"""How much water there is: litres with their error, and what they rest on."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from waterplan import tables
from waterplan.errors import ImpossibleInput
from waterplan.published import FloatArray
from waterplan.spread import COVERAGE, Draws


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Volume:
    """Litres of water, and what they rest on.

    Parameters
    ----------
    litres : array
        The best value followed by the draws, as `Draws.of` gives them [L].
    area_m2 : array, optional
        The area of the surface in the same draws, where the measurement gives it [m2].
    equations, rows : tuple
        The published functions, and the paths of the table rows, that the litres rest on.

    Examples
    --------
    >>> Volume(litres=np.array([300.0, 298.0, 301.0])).litres[0]
    300.0
    """

    litres: FloatArray
    area_m2: FloatArray | None = None
    equations: tuple[Callable[..., object], ...] = ()
    rows: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not (np.isfinite(self.litres) & (self.litres > 0)).all():
            worst = float(self.litres.min()) if np.isfinite(self.litres).all() else math.nan
            raise ImpossibleInput("litres", f"{worst:g}", "finite and above 0 in every draw", unit="L")


def relative_sd(method: str) -> float:
    """One standard deviation of a way of measuring, as a share of what it measures, from the table of methods.

    Parameters
    ----------
    method : str
        A row of `vessel_methods`.

    Returns
    -------
    float
        One standard deviation as a fraction; a row that prints a ± is read as the half-width of a 95 % interval.

    Raises
    ------
    LookupError
        There is no such row.

    Notes
    -----
    JCGM 100:2008, 4.3.4 and 6.3.3, for the reading of a stated ±.

    Examples
    --------
    >>> relative_sd("owner's word")
    0.4
    """
    row = tables.row("vessel_methods", method=method)
    return row.value / COVERAGE if row["form"] == "±" else row.value


def effective_freedom(variances: FloatArray, *, freedoms: FloatArray) -> float:
    """Degrees of freedom of a sum of variances, each estimated from readings of its own.

    Parameters
    ----------
    variances : array
        The variances, in one unit, 0 or more.
    freedoms : array
        Degrees of freedom of each, above 0; infinite where its size is known.

    Returns
    -------
    float
        Degrees of freedom of the sum; the fewest of them where there is nothing to add.

    Notes
    -----
    Welch and Satterthwaite, as JCGM 100:2008, annex G.4, has it: the square of the sum over the sum of squares, each by
    its own freedom.

    Examples
    --------
    >>> effective_freedom([1.0, 1.0], freedoms=[4.0, 4.0])
    8.0
    """
    variances, freedoms = np.asarray(variances, dtype=np.float64), np.asarray(freedoms, dtype=np.float64)
    left = float((variances**2 / freedoms).sum())
    return float(variances.sum()) ** 2 / left if left > 0 else float(freedoms.min())


def student(draws: Draws, name: str, *, sd: float, freedom: float) -> FloatArray:
    """Draws of an error of mean 0 whose own size was estimated from few readings.

    Parameters
    ----------
    draws : Draws
        The hypercube.
    name : str
        The column.
    sd : float
        Its estimated standard error, in any unit.
    freedom : float
        Degrees of freedom of that estimate, above 0.

    Returns
    -------
    array
        0 followed by draws of Student's t times `sd`.

    Notes
    -----
    JCGM 100:2008, annex G.3: the t distribution, which widens the band when there are few readings.

    Examples
    --------
    >>> float(student(Draws(count=100), "a", sd=1.0, freedom=4.0)[0])
    0.0
    """
    # With one degree of freedom the outermost draws would be a thousand times the band, which they do not touch.
    probability = np.clip(draws.probabilities(name), 1e-3, 1.0 - 1e-3)
    return np.concatenate([[0.0], sd * stdtrit(freedom, probability)])
