"""Povidone-iodine: % povidone-iodine and mg/L available iodine kept apart."""

from waterplan.published import Numbers, published

# Available iodine is nominally a tenth of povidone-iodine by mass; 1 % is 10 mg in a mL.
_AVAILABLE = 0.10
_MG_PER_ML_PER_PERCENT = 10.0


@published(
    source="bp_2013_pvpi",
    locator="content, 0.85 to 1.20 % w/v available iodine",
    possible={"pvp_iodine_percent": (0.001, 100.0)},
)
def available_iodine_mg_per_ml(pvp_iodine_percent: Numbers) -> Numbers:
    """Available iodine in a povidone-iodine stock.

    Parameters
    ----------
    pvp_iodine_percent : float or array
        Povidone-iodine on the label, in grams in 100 mL [%].

    Returns
    -------
    float or array
        Available iodine [mg/mL].

    Raises
    ------
    ImpossibleInput
        The strength is not finite, not above 0, or above 100 %.

    Notes
    -----
    10 % povidone-iodine holds nominally 1 % available iodine, 10 mg in a mL; the pharmacopoeia allows 8.5 to 12. A
    label that states % available iodine must not be entered here: the two differ tenfold. Checked against hand
    arithmetic.

    Examples
    --------
    >>> available_iodine_mg_per_ml(10.0)
    10.0
    """
    return pvp_iodine_percent * _MG_PER_ML_PER_PERCENT * _AVAILABLE
