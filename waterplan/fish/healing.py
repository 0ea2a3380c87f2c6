"""Healing counted in degree-days."""

import numpy as np

from waterplan.published import Numbers, published


@published(source="anderson_1975", locator="rate of wound healing proportional to temperature", status="derived")
def days_to_degree_days(degree_days: Numbers, *, water_temp_c: Numbers) -> Numbers:
    """Days until a sum of daily mean temperatures is reached.

    Parameters
    ----------
    degree_days : float or array
        Sum of daily mean temperatures, base 0 °C [°C days].
    water_temp_c : float or array
        Daily mean water temperature [°C].

    Returns
    -------
    float or array
        Days; infinite at or below 0 °C, 0 where there is nothing left to sum [days].

    Raises
    ------
    ImpossibleInput
        An argument that is not finite or not possible.

    Notes
    -----
    degree-days/temperature. Healing rate was found proportional to temperature over 5 to 30 °C; the sum at which a
    stitch may come out has no published figure. Checked by hand: 500 degree-days are 25 days at 20 °C.

    Examples
    --------
    >>> days_to_degree_days(500.0, water_temp_c=20.0)
    25.0
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        days = np.asarray(degree_days) / np.maximum(water_temp_c, 0.0)
    return np.where(np.asarray(degree_days) > 0.0, days, 0.0)
