"""Ammonia that a fish gives to the water."""

import numpy as np

from waterplan.published import Numbers, published


@published(
    source="zakes_1999",
    locator="fasted level, carried to other temperatures by Q10",
    status="derived",
    fitted={"water_temp_c": (15.0, 25.0)},
)
def excretion_at_temperature_mg_n_per_kg_h(
    excretion_mg_n_per_kg_h: Numbers, *, water_temp_c: Numbers, q10: Numbers = 2.0
) -> Numbers:
    """Ammonia given off by a fish at a temperature, from its rate at another.

    Parameters
    ----------
    excretion_mg_n_per_kg_h : float or array
        Rate at 20 °C [mg/kg/h as N].
    water_temp_c : float or array
        Water temperature [°C].
    q10 : float or array
        Factor for ten degrees [-].

    Returns
    -------
    float or array
        Rate at the temperature [mg/kg/h as N].

    Raises
    ------
    ImpossibleInput
        A rate or temperature that is not finite or not possible.

    Notes
    -----
    Rate times Q10^((t - 20)/10). Fasted pikeperch went from 1.4 at 20 °C to 2.0 at 24 °C.

    Examples
    --------
    >>> excretion_at_temperature_mg_n_per_kg_h(4.0, water_temp_c=10.0)
    2.0
    """
    return excretion_mg_n_per_kg_h * np.power(q10, (np.asarray(water_temp_c) - 20.0) / 10.0)
