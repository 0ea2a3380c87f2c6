"""Oxygen in a cylinder: minutes left at a flow."""

import numpy as np

from waterplan.published import Numbers, published

_ATM_KPA = 101.325


@published(
    source="mass_balance", locator="Boyle: gas at ambient pressure = volume x pressure/ambient", status="derived"
)
def cylinder_minutes(
    cylinder_l: Numbers, *, gauge_bar: Numbers, oxygen_flow_l_per_min: Numbers, reserve_bar: Numbers = 10.0
) -> Numbers:
    """Minutes that an oxygen cylinder lasts at a flow.

    Parameters
    ----------
    cylinder_l : float or array
        Water volume of the cylinder [L].
    gauge_bar : float or array
        Pressure that its gauge shows [bar].
    oxygen_flow_l_per_min : float or array
        Flow at ambient pressure [L/min].
    reserve_bar : float or array
        Pressure to leave in it [bar].

    Returns
    -------
    float or array
        Minutes; 0 under the reserve, infinite without a flow [min].

    Raises
    ------
    ImpossibleInput
        An argument that is negative or not finite.

    Notes
    -----
    Volume x (gauge - reserve)/1.01325 over the flow. Oxygen at 200 bar is within 10 % of an ideal gas, on the safe
    side; the gauge is the larger error. Checked by hand: 10 L at 150 bar, 2 L/min, no reserve: 740 min.

    Examples
    --------
    >>> round(cylinder_minutes(10.0, gauge_bar=150.0, oxygen_flow_l_per_min=2.0, reserve_bar=0.0), 0)
    740.0
    """
    litres = cylinder_l * np.maximum(np.asarray(gauge_bar) - reserve_bar, 0.0) * 100.0 / _ATM_KPA
    with np.errstate(divide="ignore", invalid="ignore"):
        minutes = litres / oxygen_flow_l_per_min
    return np.where(litres > 0.0, minutes, 0.0)
