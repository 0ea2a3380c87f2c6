"""How much of a substance, stock, tablet or drop a volume of water takes, and what a given amount makes of it."""

from waterplan.published import Numbers, published


@published(source="waterplan", locator="arithmetic", status="derived")
def drops(volume_l: Numbers, *, wanted_mg_per_l: Numbers, stock_mg_per_ml: Numbers, drop_ml: Numbers) -> Numbers:
    """Drops of a stock that bring a volume of water to a level.

    Parameters
    ----------
    volume_l : float or array
        Volume of water [L].
    wanted_mg_per_l : float or array
        Level wanted, as active substance [mg/L].
    stock_mg_per_ml : float or array
        Active substance in the stock [mg/mL].
    drop_ml : float or array
        Size of one drop, measured: count the drops of 1 mL [mL].

    Returns
    -------
    float or array
        Drops, not yet rounded.

    Raises
    ------
    ImpossibleInput
        A figure is negative or not finite.

    Notes
    -----
    A drop has no size of its own: it runs from 0.02 to 0.1 mL by bottle and liquid, so that it must be given. Checked
    against hand arithmetic.

    Examples
    --------
    >>> round(drops(10.0, wanted_mg_per_l=2.0, stock_mg_per_ml=20.0, drop_ml=0.05), 6)
    20.0
    """
    return volume_l * wanted_mg_per_l / stock_mg_per_ml / drop_ml
