"""Dissolved oxygen: what water can hold, and a reading in mg/L, in % of saturation and in mmHg."""

import math

import numpy as np

from waterplan.published import FloatArray, Numbers, impossible, published
from waterplan.water.blocks import blockwise, in_blocks
from waterplan.water.elementwise import Polynomial, exp

# Benson & Krause, fresh water under 1 atm of moist air [ln mg/L], in 1/T [1/K] (APHA 4500-O G prints A0 to A4).
_LN_FRESH = (-139.34411, 1.575701e5, -6.642308e7, 1.243800e10, -8.621949e11)
# Salinity factor: exp[-S (B0 + B1/T + B2/T2)].
_SALT = (0.017674, -10.754, 2140.7)
# Water vapour u: ln u [atm] in 1/T.
_LN_VAPOUR = (11.8571, -3840.70, -216961.0)
# Second-order term theta [1/atm]. These three take degrees CELSIUS; the same curve in kelvin is 0.009672,
# -4.942e-5, 6.436e-8. Public code exists that feeds kelvin to the first set.
_THETA = (0.000975, -1.426e-5, 6.436e-8)
_ATM_KPA = 101.325
_KPA_PER_MMHG = 0.133322
# Oxygen in dry air by volume; also the ratio of what air and what pure oxygen can put into water.
O2_IN_DRY_AIR = 0.20946
_CEILING_PERCENT = 100.0 / O2_IN_DRY_AIR

_ln_fresh, _salt, _ln_vapour, _theta = (Polynomial(*row) for row in (_LN_FRESH, _SALT, _LN_VAPOUR, _THETA))

# For arrays the same equation with its two quadratics as perfect squares, each of which spares passes over memory:
# with x = c/T, c2 = -U2, ln u [kPa] = h - (x + g)2; and theta = theta_2 [(t + m)2 + n], of which theta_2 cancels.
_C = math.sqrt(-_LN_VAPOUR[2])
_G = -_LN_VAPOUR[1] / (2.0 * _C)
_H = _LN_VAPOUR[0] + math.log(_ATM_KPA) + _G**2
_M = _THETA[1] / (2.0 * _THETA[2])
_N = _THETA[0] / _THETA[2] - _M**2
# The 101.325 that comes of pressures in kPa is taken out of A0.
_ln_fresh_in_x = Polynomial(_LN_FRESH[0] - math.log(_ATM_KPA), *(a / _C**k for k, a in enumerate(_LN_FRESH) if k))
_salt_in_x = Polynomial(*(b / _C**k for k, b in enumerate(_SALT)))
_kelvin, _c, _g, _h, _m, _n, _atm, _one_of_theta, _atm_of_theta = (  # numpy takes a 0-d array faster than a float
    np.array(value) for value in (273.15, _C, _G, _H, _M, _N, _ATM_KPA, 1.0 / _THETA[2], _ATM_KPA / _THETA[2])
)

_FITTED = {
    "water_temp_c": (0.0, 40.0),
    "salinity_g_per_kg": (0.0, 40.0),
    "air_pressure_kpa": (0.5 * _ATM_KPA, 1.1 * _ATM_KPA),
}
# At 60 °C vapour pressure reaches the lowest air pressure the glossary lets through; any warmer and the water may boil.
_POSSIBLE = {"water_temp_c": (-5.0, 60.0)}


def _vapour_kpa(water_temp_c: Numbers) -> Numbers:
    return _ATM_KPA * exp(_ln_vapour(1.0 / (water_temp_c + 273.15)))


def _saturation(
    water_temp_c: Numbers, salinity_g_per_kg: Numbers = 0.0, air_pressure_kpa: Numbers = _ATM_KPA
) -> Numbers:
    inverse = 1.0 / (water_temp_c + 273.15)
    vapour = exp(_ln_vapour(inverse))
    theta = _theta(water_temp_c)
    pressure = air_pressure_kpa * (1.0 / _ATM_KPA)
    at_one_atm = exp(_ln_fresh(inverse) - salinity_g_per_kg * _salt(inverse))
    return at_one_atm * ((pressure - vapour) * (1.0 - theta * pressure) / ((1.0 - vapour) * (1.0 - theta)))


def _saturation_into(
    result: FloatArray,
    scratch: list[FloatArray],
    water_temp_c: Numbers,
    salinity_g_per_kg: Numbers = 0.0,
    air_pressure_kpa: Numbers = _ATM_KPA,
) -> None:
    """`_saturation` for blocks: every pass over memory counts, so that all is done in place, in four arrays."""
    if isinstance(water_temp_c, float) or isinstance(salinity_g_per_kg, float) or isinstance(air_pressure_kpa, float):
        result[...] = _saturation(water_temp_c, salinity_g_per_kg, air_pressure_kpa)
        return
    x, numerator, square, other = scratch
    np.add(water_temp_c, _kelvin, out=x)
    np.divide(_c, x, out=x)
    _ln_fresh_in_x.into(numerator, x)
    _salt_in_x.into(other, x)
    other *= salinity_g_per_kg
    numerator -= other
    np.exp(numerator, out=numerator)
    x += _g
    x *= x
    vapour = np.subtract(_h, x, out=x)
    np.exp(vapour, out=vapour)
    np.subtract(vapour, air_pressure_kpa, out=other)
    numerator *= other
    np.add(water_temp_c, _m, out=square)
    square *= square
    square += _n
    np.multiply(square, air_pressure_kpa, out=other)
    other -= _atm_of_theta
    numerator *= other
    vapour -= _atm
    square -= _one_of_theta
    vapour *= square
    np.divide(numerator, vapour, out=result)


def _in_blocks(water_temp_c: Numbers, salinity: Numbers, pressure: Numbers) -> Numbers:
    if isinstance(water_temp_c, float) and isinstance(salinity, float) and isinstance(pressure, float):
        return _saturation(water_temp_c, salinity, pressure)
    return in_blocks(_saturation, water_temp_c=water_temp_c, salinity_g_per_kg=salinity, air_pressure_kpa=pressure)


def _refuse_above_pure_oxygen(argument: str, value: Numbers, percent: Numbers) -> None:
    most = percent if isinstance(percent, float) else percent.max(initial=0.0)
    if most <= _CEILING_PERCENT * (1.0 + 1e-9):  # a value at the ceiling itself may come out a rounding above it
        return
    limits = (
        f"no more than {_CEILING_PERCENT:.4g} % of saturation with air, which is what pure oxygen can put into water"
    )
    raise impossible(argument, value, percent > _CEILING_PERCENT, f"{limits} ({most:.4g} % asked for at the most)")


@published(
    source="benson_krause_1984",
    locator="as adopted in APHA 4500-O G and USGS TM 9-A6.2",
    fitted=_FITTED,
    possible=_POSSIBLE,
)
@blockwise(into=_saturation_into)
def saturation_mg_per_l(
    water_temp_c: Numbers, *, salinity_g_per_kg: Numbers = 0.0, air_pressure_kpa: Numbers = 101.325
) -> Numbers:
    """Dissolved oxygen of water in equilibrium with moist air.

    Parameters
    ----------
    water_temp_c : float or array
        Water temperature [°C].
    salinity_g_per_kg : float or array
        Salinity [g/kg].
    air_pressure_kpa : float or array
        Air pressure where the water is, not reduced to sea level [kPa].

    Returns
    -------
    float or array
        Dissolved oxygen at saturation [mg/L].

    Raises
    ------
    ImpossibleInput
        An argument is not finite or not possible; the water would boil (from 60 °C).

    Notes
    -----
    Benson & Krause (1980, 1984) as APHA 4500-O G and the US Geological Survey adopted it: 0-40 °C, 0-40 g/kg,
    0.5-1.1 atm. The older tables that still circulate (9.17 mg/L at 20 °C) are of before 1985. The vapour pressure is
    that over fresh water: salt changes the result by less than 0.05 % near 1 atm. Checked against the APHA table,
    against EN 25814, and against the fit of Garcia & Gordon (1992).

    Examples
    --------
    >>> round(saturation_mg_per_l(20.0), 3)
    9.092
    """
    return _saturation(water_temp_c, salinity_g_per_kg, air_pressure_kpa)


def _mmhg_at_saturation(water_temp_c: Numbers, air_pressure_kpa: Numbers) -> Numbers:
    return (air_pressure_kpa - _vapour_kpa(water_temp_c)) * (O2_IN_DRY_AIR / _KPA_PER_MMHG)


@published(
    source="benson_krause_1984",
    locator="as saturation_mg_per_l; oxygen in dry air 0.20946 (Glueckauf 1951)",
    fitted=_FITTED,
    possible=_POSSIBLE,
)
def partial_pressure_mmhg(
    do_mg_per_l: Numbers,
    *,
    water_temp_c: Numbers,
    salinity_g_per_kg: Numbers = 0.0,
    air_pressure_kpa: Numbers = 101.325,
) -> Numbers:
    """Partial pressure of dissolved oxygen.

    Parameters
    ----------
    do_mg_per_l : float or array
        Dissolved oxygen [mg/L].
    water_temp_c : float or array
        Water temperature [°C].
    salinity_g_per_kg : float or array
        Salinity [g/kg].
    air_pressure_kpa : float or array
        Air pressure where the water is [kPa].

    Returns
    -------
    float or array
        Partial pressure of oxygen [mmHg].

    Raises
    ------
    ImpossibleInput
        An argument is not possible, or the water would hold more than it can from pure oxygen.

    Notes
    -----
    (DO / saturation) 0.20946 (air pressure - water vapour). Checked against the Bunsen coefficients of Weiss (1970),
    within the 0.5 % that the two sources differ.

    Examples
    --------
    >>> round(partial_pressure_mmhg(9.092, water_temp_c=20.0), 1)
    155.5
    """
    share = do_mg_per_l / _in_blocks(water_temp_c, salinity_g_per_kg, air_pressure_kpa)
    _refuse_above_pure_oxygen("do_mg_per_l", do_mg_per_l, 100.0 * share)
    return share * _mmhg_at_saturation(water_temp_c, air_pressure_kpa)
