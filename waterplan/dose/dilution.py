"""How much of a substance, stock, tablet or drop a volume of water takes, and what a given amount makes of it."""

import numpy as np

from waterplan.errors import ImpossibleInput
from waterplan.published import Numbers, published
from waterplan.water.elementwise import larger


@published(source="waterplan", locator="mass balance", status="derived")
def substance_g(
    volume_l: Numbers, *, wanted_mg_per_l: Numbers, present_mg_per_l: Numbers = 0.0, active_fraction: Numbers = 1.0
) -> Numbers:
    """Product to weigh out to bring a volume of water to a level.

    Parameters
    ----------
    volume_l : float or array
        Volume of water [L].
    wanted_mg_per_l : float or array
        Level wanted, as active substance [mg/L].
    present_mg_per_l : float or array
        Level that is in the water already [mg/L].
    active_fraction : float or array
        Share of the product that is the active substance [fraction].

    Returns
    -------
    float or array
        Product, 0 where the water holds as much or more [g].

    Raises
    ------
    ImpossibleInput
        A figure is negative, not finite, or the product has no active substance.

    Notes
    -----
    volume x (wanted - present) / 1000 / active share. Checked against hand arithmetic.

    Examples
    --------
    >>> substance_g(600.0, wanted_mg_per_l=2.0)
    1.2
    """
    return volume_l * larger(wanted_mg_per_l - present_mg_per_l, 0.0) / 1000.0 / active_fraction


@published(source="waterplan", locator="mass balance", status="derived")
def level_mg_per_l(
    volume_l: Numbers, *, amount_g: Numbers, present_mg_per_l: Numbers = 0.0, active_fraction: Numbers = 1.0
) -> Numbers:
    """Level that an amount of product makes in a volume of water.

    Parameters
    ----------
    volume_l : float or array
        Volume of water, above 0 [L].
    amount_g : float or array
        Product put in [g].
    present_mg_per_l : float or array
        Level that is in the water already [mg/L].
    active_fraction : float or array
        Share of the product that is the active substance [fraction].

    Returns
    -------
    float or array
        Level, as active substance [mg/L].

    Raises
    ------
    ImpossibleInput
        There is no water, or a figure is negative or not finite.

    Notes
    -----
    The inverse of `substance_g`; with draws of the volume it gives the band of the level.

    Examples
    --------
    >>> level_mg_per_l(600.0, amount_g=1.2)
    2.0
    """
    if np.any(np.asarray(volume_l) <= 0.0):
        raise ImpossibleInput("volume_l", volume_l, "above 0", unit="L")
    return present_mg_per_l + amount_g * active_fraction * 1000.0 / volume_l


@published(source="waterplan", locator="dilution", status="derived")
def stock_ml(
    volume_l: Numbers, *, wanted_mg_per_l: Numbers, stock_mg_per_ml: Numbers, present_mg_per_l: Numbers = 0.0
) -> Numbers:
    """Stock to draw up for a finished volume.

    Parameters
    ----------
    volume_l : float or array
        Finished volume, stock and water together [L].
    wanted_mg_per_l : float or array
        Level wanted, as active substance [mg/L].
    stock_mg_per_ml : float or array
        Active substance in the stock [mg/mL].
    present_mg_per_l : float or array
        Level that is in the water already [mg/L].

    Returns
    -------
    float or array
        Stock [mL].

    Raises
    ------
    ImpossibleInput
        More is wanted than the stock holds, or a figure is impossible.

    Notes
    -----
    Poured into water that is there already, the stock adds its own volume: below 1 % of the tub this is left out.
    Checked against hand arithmetic and 21 CFR 529.1150.

    Examples
    --------
    >>> stock_ml(100.0, wanted_mg_per_l=75.0, stock_mg_per_ml=30.0)
    250.0
    """
    if np.any(np.asarray(wanted_mg_per_l) > np.asarray(stock_mg_per_ml) * 1000.0):
        strongest = float(np.min(stock_mg_per_ml)) * 1000.0
        raise ImpossibleInput("wanted_mg_per_l", wanted_mg_per_l, f"at most {strongest:g}, the strength of the stock")
    return volume_l * larger(wanted_mg_per_l - present_mg_per_l, 0.0) / stock_mg_per_ml


@published(source="waterplan", locator="arithmetic", status="derived")
def tablets(volume_l: Numbers, *, wanted_mg_per_l: Numbers, tablet_mg: Numbers) -> Numbers:
    """Tablets that bring a volume of water to a level.

    Parameters
    ----------
    volume_l : float or array
        Volume of water [L].
    wanted_mg_per_l : float or array
        Level wanted, as active substance [mg/L].
    tablet_mg : float or array
        Active substance in one tablet [mg].

    Returns
    -------
    float or array
        Tablets, not yet rounded.

    Raises
    ------
    ImpossibleInput
        A figure is negative or not finite, or the tablet is empty.

    Notes
    -----
    Round down to halves or quarters with `rounding.round_safely`. Checked against hand arithmetic.

    Examples
    --------
    >>> tablets(200.0, wanted_mg_per_l=2.0, tablet_mg=100.0)
    4.0
    """
    return volume_l * wanted_mg_per_l / tablet_mg


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
