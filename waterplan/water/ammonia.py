"""Ammonia: the un-ionised share that harms fish, and what total ammonia gives it."""

from enum import StrEnum

import numpy as np

from waterplan import tables
from waterplan.published import FloatArray, Numbers, published
from waterplan.water.blocks import blockwise
from waterplan.water.elementwise import choose, exp, sqrt

__all__ = [
    "SaltEffect",
    "nh3_mg_n_per_l",
    "pka",
    "tan_giving_nh3_mg_n_per_l",
    "unionised_fraction",
]

# Emerson et al. 1975: pKa = 0.09018 + 2729.92/T. A copy with 2727.92 is about, and wrong.
_PKA_0, _PKA_1 = 0.09018, 2729.92
# Ionic strength of sea water [mol/kg] from salinity: I = 19.9273 S / (1000 - 1.005109 S).
_I_0, _I_1 = 19.9273, 1.005109
# Hampson 1977: pKa = 9.245 + 0.116 I + 0.0324 (298 - T) + 0.0415 P/T, P in atm.
_H_0, _H_I, _H_T, _H_P = 9.245, 0.116, 0.0324, 0.0415
# Khoo, Culberson & Bates 1977, as fresh-water pKa + (0.1552 - 0.0003142 t) I.
_K_0, _K_1 = 0.1552, -0.0003142
# Yao & Millero 1995, ln K on the seawater pH scale.
_Y = (-0.25444, -6285.33, 0.0001635, 0.46532, -123.7184, -0.01992, 3.17556)
_LN_10 = 2.302585092994046
# Up to this salinity the planner takes fresh water's pKa: see unionised_fraction.
_FRESH_UP_TO_G_PER_KG = 10.0

_kelvin, _slope, _ln_10, _at_no_slope = (  # numpy takes a 0-d array faster than a float
    np.array(value) for value in (273.15, _LN_10 * _PKA_1, _LN_10, 10.0**-_PKA_0)
)

_FITTED = {"water_temp_c": (0.0, 50.0), "salinity_g_per_kg": (0.0, 40.0)}


class SaltEffect(StrEnum):
    """What salt does to the pKa of ammonia; the sources differ with the pH scale they are written for."""

    BY_SALINITY = "Emerson to 10 g/kg, Hampson above"
    EMERSON = "Emerson et al. 1975"
    HAMPSON = "Hampson 1977"
    KHOO = "Khoo, Culberson & Bates 1977"
    YAO_MILLERO = "Yao & Millero 1995"


def _hampson(kelvin: Numbers, salinity: Numbers) -> Numbers:
    ionic_strength = _I_0 * salinity / (1000.0 - _I_1 * salinity)
    return _H_0 + _H_I * ionic_strength + _H_T * (298.0 - kelvin) + _H_P / kelvin


def _pka(water_temp_c: Numbers, salinity: Numbers, effect: SaltEffect) -> Numbers:
    kelvin = water_temp_c + 273.15
    fresh = _PKA_1 / kelvin
    fresh += _PKA_0
    if effect is SaltEffect.EMERSON:
        return fresh
    if effect is SaltEffect.BY_SALINITY:
        salt = salinity > _FRESH_UP_TO_G_PER_KG
        if not (salt if isinstance(salt, bool) else salt.any()):
            return fresh
        tables.row("water_methods", quantity="ammonia salt effect", method=SaltEffect.HAMPSON)
        return choose(salt, _hampson(kelvin, salinity), fresh)
    tables.row("water_methods", quantity="ammonia salt effect", method=effect)
    if effect is SaltEffect.HAMPSON:
        return _hampson(kelvin, salinity)
    if effect is SaltEffect.KHOO:
        ionic_strength = _I_0 * salinity / (1000.0 - _I_1 * salinity)
        return fresh + (_K_0 + _K_1 * water_temp_c) * ionic_strength
    y0, y1, y2, y3, y4, y5, y6 = _Y
    root = sqrt(salinity)
    ln_k = y0 + y1 / kelvin + y2 * kelvin + (y3 + y4 / kelvin) * root + (y5 + y6 / kelvin) * salinity
    return ln_k / -_LN_10


def _fraction(ph: Numbers, water_temp_c: Numbers, salinity: Numbers, effect: SaltEffect) -> Numbers:
    exponent = _pka(water_temp_c, salinity, effect) - ph
    exponent *= _LN_10
    ratio = exp(exponent)
    ratio += 1.0
    return 1.0 / ratio


def _fraction_into(
    result: FloatArray,
    scratch: list[FloatArray],
    ph: Numbers,
    water_temp_c: Numbers,
    salinity_g_per_kg: Numbers = 0.0,
    salt_effect: SaltEffect = SaltEffect.BY_SALINITY,
) -> None:
    """`_fraction` for blocks, in place: 1/(1 + 10^pKa_0 e^u) is 10^-pKa_0/(10^-pKa_0 + e^u), a pass less."""
    fresh = salt_effect == SaltEffect.EMERSON or (
        salt_effect == SaltEffect.BY_SALINITY
        and isinstance(salinity_g_per_kg, float)
        and salinity_g_per_kg <= _FRESH_UP_TO_G_PER_KG
    )
    if not fresh or isinstance(ph, float) or isinstance(water_temp_c, float):
        result[...] = _fraction(ph, water_temp_c, salinity_g_per_kg, SaltEffect(salt_effect))
        return
    ratio, other = scratch[:2]
    np.add(water_temp_c, _kelvin, out=ratio)
    np.divide(_slope, ratio, out=ratio)
    np.multiply(ph, _ln_10, out=other)
    ratio -= other
    np.exp(ratio, out=ratio)
    ratio += _at_no_slope
    np.divide(_at_no_slope, ratio, out=result)


@published(source="emerson_1975", locator="pKa = 0.09018 + 2729.92/T", fitted=_FITTED)
@blockwise()
def pka(
    water_temp_c: Numbers,
    *,
    salinity_g_per_kg: Numbers = 0.0,
    salt_effect: SaltEffect = SaltEffect.BY_SALINITY,
) -> Numbers:
    """The pH at which half of the ammonia is un-ionised.

    Parameters
    ----------
    water_temp_c : float or array
        Water temperature [°C].
    salinity_g_per_kg : float or array
        Salinity [g/kg].
    salt_effect : SaltEffect
        What salt does to it.

    Returns
    -------
    float or array
        pKa of the ammonium ion.

    Raises
    ------
    ImpossibleInput
        An argument is not finite or not possible.

    Notes
    -----
    Emerson et al. (1975), 0-50 °C; the alternatives for salt water are in the table `water_methods`. Checked against
    the PHREEQC constant and, on the total and seawater scales, against PyCO2SYS.

    Examples
    --------
    >>> round(pka(25.0), 4)
    9.2464
    """
    return _pka(water_temp_c, salinity_g_per_kg, SaltEffect(salt_effect))


@published(
    source="emerson_1975",
    locator="pKa = 0.09018 + 2729.92/T; share = 1/(1 + 10^(pKa - pH))",
    fitted=_FITTED,
)
@blockwise(into=_fraction_into)
def unionised_fraction(
    ph: Numbers,
    *,
    water_temp_c: Numbers,
    salinity_g_per_kg: Numbers = 0.0,
    salt_effect: SaltEffect = SaltEffect.BY_SALINITY,
) -> Numbers:
    """Share of the total ammonia that is un-ionised (NH3).

    Parameters
    ----------
    ph : float or array
        pH, as an electrode set with ordinary buffers reads it.
    water_temp_c : float or array
        Water temperature [°C].
    salinity_g_per_kg : float or array
        Salinity [g/kg].
    salt_effect : SaltEffect
        What salt does to the pKa.

    Returns
    -------
    float or array
        NH3 / (NH3 + NH4), between 0 and 1.

    Raises
    ------
    ImpossibleInput
        The pH is outside 0-14, or another argument is not possible.

    Notes
    -----
    f = 1 / (1 + 10^(pKa - pH)), Emerson et al. (1975), 0-50 °C, fresh water.

    The pH scale: on the scale of ordinary (NBS) buffers salt lowers the share, by about 5 % of itself at 10 g/kg in
    the Hampson form and by 20 % at sea; on the total and seawater scales of oceanographers it raises it by about 5 %
    at 5 g/kg. A pond meter reads the first scale. Up to 10 g/kg the planner takes plain Emerson, which on that scale
    errs on the safe side; above, the Hampson form with 0.116, known here from memory. Take 10 % of the share as the
    error of either in salt water.

    Checked against the printed tables of Emerson (through two textbooks) and the sea-water table of Bower & Bidwell.
    The 32 °C column of one textbook table is 4 % high and was left out.

    Examples
    --------
    >>> round(unionised_fraction(8.0, water_temp_c=24.0), 4)
    0.0502
    """
    return _fraction(ph, water_temp_c, salinity_g_per_kg, SaltEffect(salt_effect))


@published(
    source="emerson_1975",
    locator="pKa = 0.09018 + 2729.92/T; share = 1/(1 + 10^(pKa - pH))",
    fitted=_FITTED,
)
@blockwise()
def nh3_mg_n_per_l(
    tan_mg_n_per_l: Numbers,
    *,
    ph: Numbers,
    water_temp_c: Numbers,
    salinity_g_per_kg: Numbers = 0.0,
    salt_effect: SaltEffect = SaltEffect.BY_SALINITY,
) -> Numbers:
    """Un-ionised ammonia, as nitrogen, of a total ammonia.

    Parameters
    ----------
    tan_mg_n_per_l : float or array
        Total ammonia [mg/L as N].
    ph : float or array
        pH.
    water_temp_c : float or array
        Water temperature [°C].
    salinity_g_per_kg : float or array
        Salinity [g/kg].
    salt_effect : SaltEffect
        What salt does to the pKa.

    Returns
    -------
    float or array
        Un-ionised ammonia [mg/L as N].

    Raises
    ------
    ImpossibleInput
        An argument is not finite or not possible.

    Notes
    -----
    The total times `unionised_fraction`. Checked against the worked example of UF/IFAS FA16.

    Examples
    --------
    >>> round(nh3_mg_n_per_l(1.0, ph=8.0, water_temp_c=24.0), 4)
    0.0502
    """
    return tan_mg_n_per_l * _fraction(ph, water_temp_c, salinity_g_per_kg, SaltEffect(salt_effect))


@published(
    source="emerson_1975",
    locator="pKa = 0.09018 + 2729.92/T; share = 1/(1 + 10^(pKa - pH))",
    fitted=_FITTED,
)
@blockwise()
def tan_giving_nh3_mg_n_per_l(
    nh3_mg_n_per_l: Numbers,
    *,
    ph: Numbers,
    water_temp_c: Numbers,
    salinity_g_per_kg: Numbers = 0.0,
    salt_effect: SaltEffect = SaltEffect.BY_SALINITY,
) -> Numbers:
    """Total ammonia that gives a chosen un-ionised ammonia.

    Parameters
    ----------
    nh3_mg_n_per_l : float or array
        Un-ionised ammonia [mg/L as N].
    ph : float or array
        pH.
    water_temp_c : float or array
        Water temperature [°C].
    salinity_g_per_kg : float or array
        Salinity [g/kg].
    salt_effect : SaltEffect
        What salt does to the pKa.

    Returns
    -------
    float or array
        Total ammonia [mg/L as N].

    Raises
    ------
    ImpossibleInput
        An argument is not finite or not possible.

    Notes
    -----
    Undoes `nh3_mg_n_per_l`; checked by that round trip.

    Examples
    --------
    >>> round(tan_giving_nh3_mg_n_per_l(0.0502, ph=8.0, water_temp_c=24.0), 2)
    1.0
    """
    return nh3_mg_n_per_l / _fraction(ph, water_temp_c, salinity_g_per_kg, SaltEffect(salt_effect))
