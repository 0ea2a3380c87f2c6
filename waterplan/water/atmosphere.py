"""Air pressure where the water is, and the water vapour in air."""

from typing import cast

from waterplan.published import Numbers, published
from waterplan.water.blocks import blockwise
from waterplan.water.elementwise import exp, log, pow10

# ISO 2533, troposphere: sea-level pressure p_b [kPa], temperature T_b [K], lapse rate beta [K/m], exponent g/(beta R).
_P_B, _T_B, _BETA, _EXPONENT = 101.325, 288.15, 0.0065, 5.255877
# WMO-No. 8: the constant K_p [K/m] of the reduction to sea level by the temperature at the station.
_K_P = 0.0148275
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


@published(
    source="wmo_8",
    locator="part I, chapter 3, reduction of pressure to mean sea level; the standard atmosphere without a temperature",
    status="as quoted",
    fitted={"altitude_m": (-500.0, 5000.0), "air_temp_c": (-40.0, 45.0)},
)
def station_pressure_kpa(
    sea_level_pressure_kpa: Numbers, *, altitude_m: Numbers, air_temp_c: Numbers | None = None
) -> Numbers:
    """Air pressure where the water is, from a weather report that is reduced to sea level.

    Parameters
    ----------
    sea_level_pressure_kpa : float or array
        Air pressure as a weather report gives it, reduced to sea level [kPa].
    altitude_m : float or array
        Altitude of the water above sea level [m].
    air_temp_c : float or array, optional
        Air temperature at the water [°C]. Without it the standard atmosphere is taken for the column of air below.

    Returns
    -------
    float or array
        Air pressure where the water is [kPa].

    Raises
    ------
    ImpossibleInput
        An argument is not finite or not possible.

    Notes
    -----
    Without a temperature it undoes an altimeter setting (QNH), which is defined on the ISO 2533 atmosphere; with one
    it undoes the reduction of WMO-No. 8 for dry air, log10(p0/p) = 0.0148275 h / (T + 0.0065 h / 2). At 1,000 m the
    two differ by 1 % between -10 and 30 °C. Checked by the closed form: 101.325 kPa gives the standard atmosphere.

    Examples
    --------
    >>> round(station_pressure_kpa(101.325, altitude_m=1000.0), 3)
    89.875
    """
    if air_temp_c is None:
        root = 1.0 / _EXPONENT
        at_station = sea_level_pressure_kpa**root - _P_B**root * _BETA * altitude_m / _T_B
        return cast(Numbers, at_station**_EXPONENT)
    column_k = air_temp_c + 273.15 + 0.5 * _BETA * altitude_m
    return sea_level_pressure_kpa * pow10(-_K_P * altitude_m / column_k)


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


@published(
    source="ashrae_2017",
    locator="chapter 1, equation 6, times the relative humidity",
    status="as quoted",
    fitted={"air_temp_c": (0.0, 60.0)},
)
def air_vapour_pressure_kpa(air_temp_c: Numbers, *, relative_humidity_percent: Numbers) -> Numbers:
    """Pressure of the water vapour that is in humid air.

    Parameters
    ----------
    air_temp_c : float or array
        Air temperature [°C].
    relative_humidity_percent : float or array
        Relative humidity, over liquid water [%].

    Returns
    -------
    float or array
        Vapour pressure in the air [kPa].

    Raises
    ------
    ImpossibleInput
        The humidity is outside 0-100 %, or the temperature is not possible.

    Notes
    -----
    Relative humidity times the saturated pressure at the temperature of the air. Below 0 °C the saturated pressure is
    that over supercooled water, by which meteorologists state humidity.

    Examples
    --------
    >>> round(air_vapour_pressure_kpa(20.0, relative_humidity_percent=60.0), 3)
    1.403
    """
    return relative_humidity_percent / 100.0 * _saturated_kpa(air_temp_c)


@published(
    source="ashrae_2017",
    locator="chapter 1, equation 6, solved for the temperature",
    status="as quoted",
    fitted={"air_temp_c": (0.0, 60.0)},
    possible={"relative_humidity_percent": (1.0, 100.0)},
)
@blockwise()
def dew_point_c(air_temp_c: Numbers, *, relative_humidity_percent: Numbers) -> Numbers:
    """Temperature at which humid air begins to wet what it touches.

    Parameters
    ----------
    air_temp_c : float or array
        Air temperature [°C].
    relative_humidity_percent : float or array
        Relative humidity, over liquid water [%].

    Returns
    -------
    float or array
        Dew point [°C].

    Raises
    ------
    ImpossibleInput
        The humidity is outside 1-100 %, or the temperature is not possible.

    Notes
    -----
    Newton's method on the logarithm of the saturated pressure. Checked through IAPWS-IF97: water at the dew point has
    the vapour pressure of the air.

    Examples
    --------
    >>> round(dew_point_c(25.0, relative_humidity_percent=100.0), 6)
    25.0
    """
    wanted = log(relative_humidity_percent / 100.0 * _saturated_kpa(air_temp_c))
    dew = air_temp_c + 0.0
    for _ in range(6):
        kelvin = dew + 273.15
        slope = -_C8 / kelvin**2 + _C10 + kelvin * (2.0 * _C11 + kelvin * 3.0 * _C12) + _C13 / kelvin
        dew = dew - (log(_saturated_kpa(dew)) - wanted) / slope
    return dew
