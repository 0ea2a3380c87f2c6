"""Several volumes of one pond: whether they agree, which is the odd one out, and what they say together."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from scipy.special import chdtrc

from waterplan.errors import ImpossibleInput
from waterplan.published import FloatArray, published
from waterplan.spread import Draws
from waterplan.vessel.volume import Method, Reading, Volume

# Chance below which methods that do agree would differ as much or more.
_DISAGREE = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreement:
    """A weighted mean of several results, and whether they agree with it.

    Parameters
    ----------
    mean, error : float
        Weighted mean and its standard deviation, in the unit of the results.
    chi_squared : float
        Sum of the squared differences from the mean, each in its own standard deviations.
    freedom : int
        One less than the number of results.
    chance : float
        Chance that results that agree differ as much or more.
    odd : int or None
        Which result to leave out so that the others agree best, where they do not agree and there are three or more.
    """

    mean: float
    error: float
    chi_squared: float
    freedom: int
    chance: float
    odd: int | None

    @property
    def agrees(self) -> bool:
        """Whether the results may be taken together."""
        return self.chance >= _DISAGREE


def _weighted(values: FloatArray, errors: FloatArray) -> tuple[float, float, float]:
    weights = 1.0 / errors**2
    mean = float(weights @ values / weights.sum())
    return mean, float(1.0 / np.sqrt(weights.sum())), float((((values - mean) / errors) ** 2).sum())


@published(
    source="cox_2007",
    locator="abstract: weighted mean, chi-squared test, largest consistent subset",
    status="published",
)
def agreement(values: FloatArray, *, errors: FloatArray) -> Agreement:
    """Weighted mean of independent results, a test of whether they agree, and the odd one out.

    Parameters
    ----------
    values : array
        Two or more results, in one unit.
    errors : array
        Their standard deviations, in the same unit, above 0.

    Returns
    -------
    Agreement
        Mean and error [unit of the results], chi-squared and its chance, and the odd one out.

    Raises
    ------
    ImpossibleInput
        Fewer than two results, or an error that is not above 0.

    Notes
    -----
    Weights are 1 / error^2; the results are taken to disagree where the chance of such a chi-squared is under 5 %. The
    odd one out is the one without which the chi-squared of the others is least: with two results neither can be told.
    Checked against the weighted mean of measurements of one constant by hand and against scipy's chi-squared.

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
    mean, error, chi_squared = _weighted(values, errors)
    chance = float(chdtrc(values.size - 1, chi_squared))
    odd = None
    if chance < _DISAGREE and values.size > 2:
        without = [_weighted(np.delete(values, one), np.delete(errors, one))[2] for one in range(values.size)]
        odd = int(np.argmin(without))
    return Agreement(mean=mean, error=error, chi_squared=chi_squared, freedom=values.size - 1, chance=chance, odd=odd)


def combined(volumes: Mapping[str, Volume], *, draws: Draws, name: str) -> Volume:
    """One volume from several methods on the same pond.

    Parameters
    ----------
    volumes : mapping of str to Volume
        Two or more volumes, by the name under which a caution may tell of them.
    draws : Draws
        The hypercube with which they were drawn.
    name : str
        The vessel, which names the column of draws.

    Returns
    -------
    Volume
        Where they agree, the mean weighted by their errors; where they do not, a band that spans them all, and a
        caution that names the odd one out.

    Raises
    ------
    ImpossibleInput
        Fewer than two volumes, one without an error, or draws of another number.

    Notes
    -----
    Errors of a volume are proportions, so the logarithms are weighed (`agreement`). Where the methods disagree, one of
    them is wrong by more than it says, and nobody knows which: each draw is taken from one of them at random.

    Examples
    --------
    >>> from waterplan.vessel.volume import stated_volume
    >>> draws = Draws()
    >>> two = {key: stated_volume(1000.0, method="marked tub", draws=draws, name=key) for key in ("jug", "meter")}
    >>> round(combined(two, draws=draws, name="tub").band.best)
    1000
    """
    if len(volumes) < 2:
        raise ImpossibleInput("volumes", len(volumes), "2 or more")
    for key, volume in volumes.items():
        if np.shape(volume.litres) != (draws.count + 1,) or volume.relative_sd == 0:
            raise ImpossibleInput("volumes", key, f"given with an error, in {draws.count} draws")
    names = list(volumes)
    logs = np.log(np.stack([np.asarray(volume.litres) for volume in volumes.values()]))
    errors = np.asarray([volume.relative_sd for volume in volumes.values()])
    found = agreement(logs[:, 0], errors=errors)
    weights = 1.0 / errors**2
    together = weights @ logs / weights.sum()
    if not found.agrees:
        which = np.floor(draws.probabilities(f"{name} which method") * len(names)).astype(int)
        drawn = logs[np.minimum(which, len(names) - 1), np.arange(1, draws.count + 1)]
        together = np.concatenate([[float(np.median(logs[:, 0]))], drawn])
    told = ", ".join(f"{key} {np.exp(logs[number, 0]):,.0f} L" for number, key in enumerate(names))
    cautions = [caution for volume in volumes.values() for caution in volume.cautions]
    if found.agrees:
        words = f"{told}: they agree, and are weighed by their errors."
    else:
        words = f"{told}: they do not agree; the band spans them all."
        if found.odd is None:
            odd = "With two methods it cannot be told which is wrong: measure in a third way."
        else:
            odd = f"The odd one out is {names[found.odd]}: look for the mistake in it first."
        cautions.insert(
            0, f"The methods do not agree (chance {found.chance:.1%} if all their errors were right). {odd}"
        )
    return Volume(
        litres=np.exp(together),
        method=Method.TOGETHER,
        words=words,
        readings=tuple(Reading(key, f"{np.exp(logs[number, 0]):,.0f} L") for number, key in enumerate(names)),
        cautions=tuple(dict.fromkeys(cautions)),
        equations=tuple(dict.fromkeys((*(one for volume in volumes.values() for one in volume.equations), agreement))),
        rows=tuple(dict.fromkeys(row for volume in volumes.values() for row in volume.rows)),
    )
