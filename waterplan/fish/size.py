"""Weight from length: good enough for the rest of the pond, not for a dose."""

import numpy as np

from waterplan import tables
from waterplan.published import Numbers, published
from waterplan.spread import Measured

# Two published fits for one species and length differ by 25 to 40 % (husbandry literature on carp and goldfish).
LENGTH_WEIGHT_RELATIVE_SD = 0.25


@published(source="froese_2006", locator="W = a L^b", fitted={"length_cm": (3.0, 120.0)})
def weight_from_length_kg(length_cm: Numbers, *, coefficient: float, exponent: float) -> Numbers:
    """Weight of a fish from its length by the allometric relation.

    Parameters
    ----------
    length_cm : float or array
        Length of the fish, measured as the fit's row says (total, fork or standard) [cm].
    coefficient : float
        The fit's a [g/cm^b].
    exponent : float
        The fit's b [-].

    Returns
    -------
    float or array
        Weight of the fish [kg].

    Raises
    ------
    ImpossibleInput
        The length is not finite, or outside 0 to 500 cm.

    Notes
    -----
    W = a L^b; b is 2.5 to 3.5 for almost all fish. Two fits of one species differ by 25 to 40 % at the same length.

    Examples
    --------
    >>> round(weight_from_length_kg(50.0, coefficient=0.01910, exponent=2.920), 2)
    1.75
    """
    return coefficient * np.power(length_cm, exponent) / 1000.0


def weight_of_species_kg(length_cm: Numbers, *, species: str) -> Numbers:
    """Weight of a fish from its length with the default fit of its species (`length_weight` table) [kg]."""
    fit = tables.row("length_weight", species=species)
    return weight_from_length_kg(length_cm, coefficient=fit.value, exponent=float(fit["exponent"]))


def length_of_species_cm(weight_kg: Numbers, *, species: str) -> Numbers:
    """Length of a fish from its weight: the inverse of the default fit of its species [cm]."""
    fit = tables.row("length_weight", species=species)
    return np.power(np.asarray(weight_kg) * 1000.0 / fit.value, 1.0 / float(fit["exponent"]))


def about_its_weight(species: str) -> Measured:
    """How many times the weight by its length one fish weighs: as the species' fit has it, else as two fits differ."""
    fit = tables.row("length_weight", species=species)
    if np.isnan(fit.low):
        return Measured.within_factor(1.0, LENGTH_WEIGHT_RELATIVE_SD)
    return Measured.from_range(fit.low / fit.value, 1.0, fit.high / fit.value)
