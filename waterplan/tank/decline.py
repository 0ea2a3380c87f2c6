"""Oxygen falling in a tub after the air stops."""

import numpy as np

from waterplan.published import Numbers, published


@published(source="mass_balance", locator="V dC/dt = -demand, no exchange through the surface", status="derived")
def hours_to_level(
    volume_l: Numbers, *, start_do_mg_per_l: Numbers, level_do_mg_per_l: Numbers, demand_mg_per_h: Numbers
) -> Numbers:
    """Time until the oxygen of an unaerated body of water has fallen to a level.

    Parameters
    ----------
    volume_l : float or array
        Volume of the water, the fish's own taken off [L].
    start_do_mg_per_l : float or array
        Dissolved oxygen when the air stops [mg/L].
    level_do_mg_per_l : float or array
        The level asked for [mg/L].
    demand_mg_per_h : float or array
        Oxygen taken in an hour by all that breathes in the water [mg/h].

    Returns
    -------
    float or array
        Time, 0 where the start is at or below the level, infinite where nothing breathes [h].

    Raises
    ------
    ImpossibleInput
        An argument that is negative or not finite.

    Notes
    -----
    V (C0 - C)/demand. Nothing is counted for the surface: still water gives a fish in a tub about a tenth of its need,
    and the time without it is the safe one. Checked by hand: 200 L, 2 kg at 150 mg/kg/h, 9.092 to 5 mg/L: 2.728 h.

    Examples
    --------
    >>> round(hours_to_level(200.0, start_do_mg_per_l=9.092, level_do_mg_per_l=5.0, demand_mg_per_h=300.0), 3)
    2.728
    """
    fall = np.maximum(np.asarray(start_do_mg_per_l) - level_do_mg_per_l, 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        hours = volume_l * fall / demand_mg_per_h
    return np.where(np.asarray(demand_mg_per_h) > 0.0, hours, np.where(fall > 0.0, np.inf, 0.0))


@published(
    source="mass_balance",
    locator="V dC/dt = -demand",
    status="derived",
    possible={"volume_l": (1e-6, 1e9)},
)
def do_after_hours_mg_per_l(
    volume_l: Numbers, *, hours: Numbers, start_do_mg_per_l: Numbers, demand_mg_per_h: Numbers
) -> Numbers:
    """Oxygen left in an unaerated body of water after a time; never below zero.

    Parameters
    ----------
    volume_l : float or array
        Volume of the water, the fish's own taken off [L].
    hours : float or array
        Time since the air stopped [h].
    start_do_mg_per_l : float or array
        Dissolved oxygen when the air stopped [mg/L].
    demand_mg_per_h : float or array
        Oxygen taken in an hour [mg/h].

    Returns
    -------
    float or array
        Dissolved oxygen [mg/L].

    Raises
    ------
    ImpossibleInput
        An argument that is negative or not finite, or no water at all.

    Notes
    -----
    The straight line of `hours_to_level`; a real fish takes less as the oxygen fails, so the last part is pessimistic.

    Examples
    --------
    >>> do_after_hours_mg_per_l(100.0, hours=2.0, start_do_mg_per_l=9.0, demand_mg_per_h=100.0)
    7.0
    """
    return np.maximum(start_do_mg_per_l - np.asarray(demand_mg_per_h) * hours / volume_l, 0.0)
