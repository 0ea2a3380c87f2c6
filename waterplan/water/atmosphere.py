"""Air pressure and water vapour."""

from waterplan.published import Numbers, published

# ISO 2533, troposphere: sea-level pressure p_b [kPa], temperature T_b [K], lapse rate beta [K/m], exponent g/(beta R).
_P_B, _T_B, _BETA, _EXPONENT = 101.325, 288.15, 0.0065, 5.255877


@published(source="iso_2533", locator="clause 2, troposphere", fitted={"altitude_m": (-500.0, 5000.0)})
def air_pressure_kpa(altitude_m: Numbers) -> Numbers:
    """Air pressure of the standard atmosphere at an altitude.

    Parameters
    ----------
    altitude_m : float or array
        Altitude above sea level [m].

    Returns
    -------
    float or array
        Air pressure where the water is [kPa].

    Raises
    ------
    ImpossibleInput
        The altitude is not finite or outside the troposphere.

    Notes
    -----
    ISO 2533:1975, troposphere; weather moves the real pressure by 3 % either way. Checked against the ISO 2533 and
    ASHRAE (2017, chapter 1) tables.

    Examples
    --------
    >>> round(air_pressure_kpa(1000.0), 3)
    89.875
    """
    return _P_B * (1.0 - _BETA * altitude_m / _T_B) ** _EXPONENT
