"""Clove oil for a level of eugenol."""

from waterplan.published import Numbers, published


@published(source="waterplan", locator="share of eugenol in the oil", status="derived")
def clove_oil_mg_per_l(eugenol_mg_per_l: Numbers, *, eugenol_fraction: Numbers) -> Numbers:
    """Clove oil that holds a level of eugenol: "mg/L clove oil" and "mg/L eugenol" are not the same.

    Parameters
    ----------
    eugenol_mg_per_l : float or array
        Eugenol wanted [mg/L].
    eugenol_fraction : float or array
        Share of the oil that is eugenol, from the bottle [fraction].

    Returns
    -------
    float or array
        Clove oil [mg/L].

    Raises
    ------
    ImpossibleInput
        A figure is negative, not finite, or the share is above 1.

    Notes
    -----
    Clove oil is commonly 85 to 95 % eugenol; a product for fish may be a tenth. Checked against hand arithmetic.

    Examples
    --------
    >>> clove_oil_mg_per_l(40.0, eugenol_fraction=0.8)
    50.0
    """
    return eugenol_mg_per_l / eugenol_fraction
