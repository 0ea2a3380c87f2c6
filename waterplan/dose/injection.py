"""A drug by body weight: milligrams, millilitres, the dilution that a syringe can measure, and the sites."""

from enum import StrEnum

from waterplan.published import Numbers, published


class WeightFrom(StrEnum):
    """Where the weight comes from."""

    WEIGHED = "weighed"
    LENGTH = "worked out from the length"
    GUESSED = "guessed"


@published(source="waterplan", locator="dose x weight / strength", status="derived")
def injection_ml(weight_kg: Numbers, *, dose_mg_per_kg: Numbers, stock_mg_per_ml: Numbers) -> Numbers:
    """Volume of a stock that holds a dose by body weight.

    Parameters
    ----------
    weight_kg : float or array
        Weight of the fish [kg].
    dose_mg_per_kg : float or array
        Drug for a kilogram of fish, as the active form the label counts [mg/kg].
    stock_mg_per_ml : float or array
        The same active form in the stock [mg/mL].

    Returns
    -------
    float or array
        Stock, not yet rounded [mL].

    Raises
    ------
    ImpossibleInput
        A figure is negative or not finite.

    Notes
    -----
    mg/kg x kg / (mg/mL). Say which form both figures count (flunixin or flunixin meglumine). Checked against hand
    arithmetic.

    Examples
    --------
    >>> round(injection_ml(2.4, dose_mg_per_kg=0.5, stock_mg_per_ml=50.0), 6)
    0.024
    """
    return weight_kg * dose_mg_per_kg / stock_mg_per_ml
