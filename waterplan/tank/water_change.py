"""Ammonia without a filter: what a daily water change holds."""

import numpy as np

from waterplan.published import Numbers, published


@published(source="mass_balance", locator="a daily exchange carries off what a day brings", status="derived")
def litres_per_day_to_hold(
    production_mg_n_per_day: Numbers, *, limit_tan_mg_n_per_l: Numbers, source_tan_mg_n_per_l: Numbers = 0.0
) -> Numbers:
    """Water to change each day so that total ammonia never passes a limit.

    Parameters
    ----------
    production_mg_n_per_day : float or array
        Ammonia given to the water in a day [mg/day as N].
    limit_tan_mg_n_per_l : float or array
        Highest total ammonia allowed, just before a change [mg/L as N].
    source_tan_mg_n_per_l : float or array
        Total ammonia of the new water [mg/L as N].

    Returns
    -------
    float or array
        Water to change [L/day]; infinite where the new water is at or above the limit itself.

    Raises
    ------
    ImpossibleInput
        An argument that is negative or not finite.

    Notes
    -----
    The steady peak before a change is source + production/litres, so litres = production/(limit - source): it does not
    depend on the tank, which must only hold more than is changed. Checked by hand: 1 kg at 2 mg/kg/h, limit 0.5:
    96 L/day.

    Examples
    --------
    >>> litres_per_day_to_hold(48.0, limit_tan_mg_n_per_l=0.5)
    96.0
    """
    room = np.asarray(limit_tan_mg_n_per_l) - source_tan_mg_n_per_l
    with np.errstate(divide="ignore", invalid="ignore"):
        litres = np.asarray(production_mg_n_per_day) / room
    return np.where(room > 0.0, litres, np.inf)


@published(source="mass_balance", locator="peak of a steady daily exchange", status="derived")
def peak_tan_mg_n_per_l(
    litres_per_day: Numbers, *, production_mg_n_per_day: Numbers, source_tan_mg_n_per_l: Numbers = 0.0
) -> Numbers:
    """Total ammonia just before a change, once a steady daily exchange has settled.

    Parameters
    ----------
    litres_per_day : float or array
        Water changed each day [L/day].
    production_mg_n_per_day : float or array
        Ammonia given to the water in a day [mg/day as N].
    source_tan_mg_n_per_l : float or array
        Total ammonia of the new water [mg/L as N].

    Returns
    -------
    float or array
        Total ammonia [mg/L as N]; infinite where nothing is changed.

    Raises
    ------
    ImpossibleInput
        An argument that is negative or not finite.

    Notes
    -----
    source + production/litres: the inverse of `litres_per_day_to_hold`. Where nothing is produced the tank holds what the
    new water brings, changed or not.

    Examples
    --------
    >>> peak_tan_mg_n_per_l(96.0, production_mg_n_per_day=48.0)
    0.5
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        brought = np.divide(production_mg_n_per_day, litres_per_day)
    return source_tan_mg_n_per_l + np.where(np.asarray(production_mg_n_per_day) > 0.0, brought, 0.0)
