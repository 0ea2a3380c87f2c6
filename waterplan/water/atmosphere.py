"""Air pressure where the water is, and the water vapour in air."""

from waterplan.published import Numbers, published
from waterplan.water.elementwise import exp, log

# ISO 2533, troposphere: sea-level pressure p_b [kPa], temperature T_b [K], lapse rate beta [K/m], exponent g/(beta R).
_P_B, _T_B, _BETA, _EXPONENT = 101.325, 288.15, 0.0065, 5.255877
# Hyland & Wexler over liquid water as ASHRAE prints them: C8 to C13, pressure in Pa, temperature in K.
_C8, _C9, _C10, _C11, _C12, _C13 = -5800.2206, 1.3914993, -0.048640239, 4.1764768e-5, -1.4452093e-8, 6.5459673


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


def _saturated_kpa(temp_c: Numbers) -> Numbers:
    kelvin = temp_c + 273.15
    logarithm = _C8 / kelvin + _C9 + kelvin * (_C10 + kelvin * (_C11 + kelvin * _C12)) + _C13 * log(kelvin)
    return 1e-3 * exp(logarithm)


@published(
    source="ashrae_2017",
    locator="chapter 1, equation 6 (Hyland & Wexler 1983)",
    status="as quoted",
    fitted={"water_temp_c": (0.0, 100.0)},
)
def water_vapour_pressure_kpa(water_temp_c: Numbers) -> Numbers:
    """Pressure of water vapour in air that is saturated over water.

    Parameters
    ----------
    water_temp_c : float or array
        Water temperature [°C].

    Returns
    -------
    float or array
        Saturated vapour pressure [kPa].

    Raises
    ------
    ImpossibleInput
        The temperature is not finite, or is not that of liquid water.

    Notes
    -----
    Hyland & Wexler (1983) over liquid water, 0-200 °C, as ASHRAE gives it. The oxygen equations keep the vapour
    pressure they were fitted with, which is 0.03 to 0.1 % lower. Checked against ASHRAE (2017) table 3 and IAPWS-IF97.

    Examples
    --------
    >>> round(water_vapour_pressure_kpa(25.0), 3)
    3.169
    """
    return _saturated_kpa(water_temp_c)
