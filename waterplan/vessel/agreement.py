"""Several volumes of one pond: whether they agree, which is the odd one out, and what they say together."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from scipy.special import chdtrc

from waterplan.errors import ImpossibleInput
from waterplan.published import FloatArray, published
from waterplan.spread import Draws

# Chance below which methods that do agree would differ as much or more.
_DISAGREE = 0.05


class Agreement(NamedTuple):
    """Whether several results agree with their weighted mean.

    Attributes
    ----------
    chance : float
        Chance that results that agree differ as much or more.
    odd : int or None
        Which result to leave out so that the others agree best, where they do not agree and there are three or more.
    """

    chance: float
    odd: int | None

    @property
    def agrees(self) -> bool:
        """Whether the results may be taken together."""
        return self.chance >= _DISAGREE


def _chi_squared(values: FloatArray, errors: FloatArray) -> float:
    """The squared differences from the weighted mean, each in its own standard deviations."""
    weights = 1.0 / errors**2
    mean = float(weights @ values / weights.sum())
    return float((((values - mean) / errors) ** 2).sum())


@published(
    source="cox_2007",
    locator="abstract: weighted mean, chi-squared test, largest consistent subset",
    status="published",
)
def agreement(values: FloatArray, *, errors: FloatArray) -> Agreement:
    """Whether independent results agree with their weighted mean, and the odd one out.

    Parameters
    ----------
    values : array
        Two or more results, in one unit.
    errors : array
        Their standard deviations, in the same unit, above 0.

    Returns
    -------
    Agreement
        The chance of such a chi-squared, and the odd one out.

    Raises
    ------
    ImpossibleInput
        Fewer than two results, or an error that is not above 0.

    Notes
    -----
    Weights are 1 / error^2; the results are taken to disagree where the chance of such a chi-squared is under 5 %. The
    odd one out is the one without which the chi-squared of the others is least: with two results neither can be told.
    Checked by hand and against scipy's chi-squared.

    Examples
    --------
    >>> agreement([10.0, 10.4, 13.0], errors=[0.5, 0.5, 0.5]).odd
    2
    """
    values, errors = np.asarray(values, dtype=np.float64), np.asarray(errors, dtype=np.float64)
    if values.size < 2 or values.shape != errors.shape or not np.isfinite(values).all():
        raise ImpossibleInput("values", f"{values.size} results", "two or more, each with its error")
    if not (np.isfinite(errors) & (errors > 0)).all():
        raise ImpossibleInput("errors", float(np.min(errors)), "above 0")
    chance = float(chdtrc(values.size - 1, _chi_squared(values, errors)))
    odd = None
    if chance < _DISAGREE and values.size > 2:
        without = [_chi_squared(np.delete(values, one), np.delete(errors, one)) for one in range(values.size)]
        odd = int(np.argmin(without))
    return Agreement(chance=chance, odd=odd)


def relative_error(litres: FloatArray) -> float:
    """Standard deviation of the natural logarithm of draws of a volume; 0 where they are exact."""
    return float(np.log(litres[1:]).std())


def combined(volumes: Sequence[FloatArray], *, draws: Draws, name: str) -> tuple[FloatArray, Agreement]:
    """One volume from several methods on the same pond.

    Parameters
    ----------
    volumes : sequence of array
        Two or more volumes, each with an error, as draws [L].
    draws : Draws
        The hypercube with which they were drawn.
    name : str
        The vessel, which names the column of draws.

    Returns
    -------
    tuple of array and Agreement
        Where they agree, the mean weighted by their errors; where they do not, draws that span them all [L].

    Raises
    ------
    ImpossibleInput
        Fewer than two volumes, or one without an error.

    Notes
    -----
    Errors of a volume are proportions, so the logarithms are weighed (`agreement`). Where the methods disagree, one of
    them is wrong by more than it says, and nobody knows which: each draw is taken from one of them at random.

    Examples
    --------
    >>> from waterplan.spread import Measured
    >>> draws = Draws()
    >>> two = [draws.of(key, Measured.within_factor(1000.0, 0.02)) for key in ("jug", "meter")]
    >>> round(combined(two, draws=draws, name="tub")[0][0])
    1000
    """
    logs = np.log(np.stack(volumes))
    errors = np.asarray([relative_error(litres) for litres in volumes])
    found = agreement(logs[:, 0], errors=errors)
    if found.agrees:
        weights = 1.0 / errors**2
        return np.exp(weights @ logs / weights.sum()), found
    which = np.floor(draws.probabilities(f"{name} which method") * len(logs)).astype(int)
    drawn = logs[np.minimum(which, len(logs) - 1), np.arange(1, draws.count + 1)]
    return np.exp(np.concatenate([[float(np.median(logs[:, 0]))], drawn])), found
