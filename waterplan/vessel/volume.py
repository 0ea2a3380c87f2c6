"""What is known of how much water there is: litres with their error, the method, the readings, the cautions."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

import numpy as np
from scipy.special import stdtrit

from waterplan import tables
from waterplan.errors import ImpossibleInput
from waterplan.published import FloatArray, Numbers
from waterplan.spread import COVERAGE, Band, Draws, band


class Method(StrEnum):
    """How a volume was found."""

    STATED = "as stated"
    SHAPE = "from its size and shape"
    SOUNDINGS = "from soundings"
    GRID = "from a grid of soundings"
    TRANSECTS = "from lines of soundings"
    CONTOURS = "from areas at several depths"
    TRACER = "from a weighed salt"
    TIMED = "from the time it took to fill"
    METER = "from a water meter"
    PARTS = "from its parts"
    TOGETHER = "from several methods together"


class Use(StrEnum):
    """What a volume is wanted for; each says which end of it is the safe one."""

    NARROW_DOSE = "a dose with a narrow margin"
    OXYGEN = "how long the oxygen lasts"
    AMMONIA = "how fast ammonia rises"
    ENOUGH = "whether there is enough water"
    ANTIDOTE = "an antidote: dechlorinator, chloride against nitrite, bicarbonate"


class Reading(NamedTuple):
    """One thing that went into a volume: what it is, and what was read."""

    what: str
    read: str


class Working(NamedTuple):
    """The volume to work with for one use, which end of the band it is, and why."""

    litres: float
    end: str
    words: str


_LOW = "low"
_HIGH = "high"
_WHY = {
    Use.NARROW_DOSE: (_LOW, "if there is less water than thought, the same dose is stronger"),
    Use.OXYGEN: (_LOW, "less water holds less oxygen"),
    Use.AMMONIA: (_LOW, "the same ammonia is stronger in less water"),
    Use.ENOUGH: (_LOW, "only the water that is surely there counts"),
    Use.ANTIDOTE: (_HIGH, "an antidote fails by being too little: enough for all the water there may be"),
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Volume:
    """Litres of water, and how they are known.

    Parameters
    ----------
    litres : float or array
        The best value followed by the draws, as `Draws.of` gives them [L]; a float where it is known without error.
    method : Method
        How it was found.
    words : str
        The method in a sentence.
    readings : tuple of Reading
        What was read.
    cautions : tuple of str
        What whoever uses the number must know.
    equations, rows : tuple
        The published functions, and the paths of the table rows, that the litres rest on.

    Examples
    --------
    >>> tub = Volume(litres=300.0, method=Method.STATED, words="marked on the tub")
    >>> tub.band
    Band(low=300.0, best=300.0, high=300.0)
    """

    litres: Numbers
    method: Method
    words: str
    readings: tuple[Reading, ...] = ()
    cautions: tuple[str, ...] = ()
    equations: tuple[Callable[..., object], ...] = ()
    rows: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        litres = np.asarray(self.litres, dtype=np.float64)
        if litres.ndim > 1 or not (np.isfinite(litres) & (litres > 0)).all():
            worst = float(litres.min()) if np.isfinite(litres).all() else math.nan
            raise ImpossibleInput("litres", f"{worst:g}", "finite and above 0 in every draw", unit="L")

    @property
    def band(self) -> Band:
        """Low (5th percentile), best and high (95th percentile) [L]."""
        return band(self.litres)

    @property
    def relative_sd(self) -> float:
        """Standard deviation of the natural logarithm of the litres; 0 where they are exact."""
        litres = np.asarray(self.litres, dtype=np.float64)
        return float(np.log(litres[1:]).std()) if litres.size > 1 else 0.0

    def working(self, use: Use) -> Working:
        """The volume to work with for one use."""
        end, why = _WHY[use]
        low, _, high = self.band
        litres = low if end == _LOW else high
        return Working(litres, end, f"For {use}: work with {litres:,.0f} L, the {end} end, because {why}.")


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
        Degrees of freedom of that estimate.

    Returns
    -------
    array
        0 followed by draws of Student's t times `sd`.

    Raises
    ------
    ImpossibleInput
        The degrees of freedom are not above 0.

    Notes
    -----
    JCGM 100:2008, annex G.3: the t distribution, which widens the band when there are few readings.

    Examples
    --------
    >>> float(student(Draws(count=100), "a", sd=1.0, freedom=4.0)[0])
    0.0
    """
    if not freedom > 0:
        raise ImpossibleInput("freedom", freedom, "above 0")
    # With one degree of freedom the outermost draws would be a thousand times the band, which they do not touch.
    probability = np.clip(draws.probabilities(name), 1e-3, 1.0 - 1e-3)
    return np.concatenate([[0.0], sd * stdtrit(freedom, probability)])


def mean_and_error(values: Sequence[float]) -> tuple[float, float]:
    """Mean of repeats, and its standard error from their own scatter; the error of one value alone is infinite.

    Parameters
    ----------
    values : sequence of float
        Repeats of one measurement, in any unit.

    Returns
    -------
    tuple of float
        Mean, and standard error of the mean.

    Raises
    ------
    ImpossibleInput
        There are none, or one is not finite.

    Notes
    -----
    JCGM 100:2008, equations 3 to 5. Checked against the temperatures of its example 4.4.3.

    Examples
    --------
    >>> mean_and_error([1.0, 3.0])
    (2.0, 1.0)
    """
    array = np.asarray(values, dtype=np.float64)
    if array.size == 0 or not np.isfinite(array).all():
        raise ImpossibleInput("repeats", list(values), "at least one, all finite")
    error = array.std(ddof=1) / math.sqrt(array.size) if array.size > 1 else math.inf
    return float(array.mean()), float(error)
