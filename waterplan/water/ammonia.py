"""Ammonia: the un-ionised share that harms fish, and what total ammonia gives it."""

import numpy as np

from waterplan.published import FloatArray, Numbers, published
from waterplan.water.blocks import blockwise
from waterplan.water.elementwise import exp

# Emerson et al. 1975: pKa = 0.09018 + 2729.92/T. A copy with 2727.92 is about, and wrong.
_PKA_0, _PKA_1 = 0.09018, 2729.92
_LN_10 = 2.302585092994046

_kelvin, _slope, _ln_10, _at_no_slope = (  # numpy takes a 0-d array faster than a float
    np.array(value) for value in (273.15, _LN_10 * _PKA_1, _LN_10, 10.0**-_PKA_0)
)

_FITTED = {"water_temp_c": (0.0, 50.0)}


def _fraction(ph: Numbers, water_temp_c: Numbers) -> Numbers:
    exponent = _PKA_1 / (water_temp_c + 273.15)
    exponent += _PKA_0
    exponent -= ph
    exponent *= _LN_10
    ratio = exp(exponent)
    ratio += 1.0
    return 1.0 / ratio


def _fraction_into(result: FloatArray, scratch: list[FloatArray], ph: Numbers, water_temp_c: Numbers) -> None:
    """`_fraction` for blocks, in place: 1/(1 + 10^pKa_0 e^u) is 10^-pKa_0/(10^-pKa_0 + e^u), a pass less."""
    if isinstance(ph, float) or isinstance(water_temp_c, float):
        result[...] = _fraction(ph, water_temp_c)
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
def pka(water_temp_c: Numbers) -> Numbers:
    """The pH at which half of the ammonia is un-ionised.

    Parameters
    ----------
    water_temp_c : float or array
        Water temperature [°C].

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
    Emerson et al. (1975), 0-50 °C, fresh water. Checked against the PHREEQC constant.

    Examples
    --------
    >>> round(pka(25.0), 4)
    9.2464
    """
    return _PKA_0 + _PKA_1 / (water_temp_c + 273.15)


@published(source="emerson_1975", locator="pKa = 0.09018 + 2729.92/T; share = 1/(1 + 10^(pKa - pH))", fitted=_FITTED)
@blockwise(into=_fraction_into)
def unionised_fraction(ph: Numbers, *, water_temp_c: Numbers) -> Numbers:
    """Share of the total ammonia that is un-ionised (NH3).

    Parameters
    ----------
    ph : float or array
        pH, as an electrode set with ordinary buffers reads it.
    water_temp_c : float or array
        Water temperature [°C].

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

    Salt is left out: on the scale of ordinary (NBS) buffers, which a pond meter reads, it lowers the share by about 5 %
    of itself at 10 g/kg, so that plain Emerson errs on the safe side in a salted tank.

    Checked against the printed tables of Emerson (through two textbooks).
    The 32 °C column of one textbook table is 4 % high and was left out.

    Examples
    --------
    >>> round(unionised_fraction(8.0, water_temp_c=24.0), 4)
    0.0502
    """
    return _fraction(ph, water_temp_c)


@published(source="emerson_1975", locator="pKa = 0.09018 + 2729.92/T; share = 1/(1 + 10^(pKa - pH))", fitted=_FITTED)
@blockwise()
def nh3_mg_n_per_l(tan_mg_n_per_l: Numbers, *, ph: Numbers, water_temp_c: Numbers) -> Numbers:
    """Un-ionised ammonia, as nitrogen, of a total ammonia.

    Parameters
    ----------
    tan_mg_n_per_l : float or array
        Total ammonia [mg/L as N].
    ph : float or array
        pH.
    water_temp_c : float or array
        Water temperature [°C].

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
    return tan_mg_n_per_l * _fraction(ph, water_temp_c)


@published(source="emerson_1975", locator="pKa = 0.09018 + 2729.92/T; share = 1/(1 + 10^(pKa - pH))", fitted=_FITTED)
@blockwise()
def tan_giving_nh3_mg_n_per_l(nh3_mg_n_per_l: Numbers, *, ph: Numbers, water_temp_c: Numbers) -> Numbers:
    """Total ammonia that gives a chosen un-ionised ammonia.

    Parameters
    ----------
    nh3_mg_n_per_l : float or array
        Un-ionised ammonia [mg/L as N].
    ph : float or array
        pH.
    water_temp_c : float or array
        Water temperature [°C].

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
    return nh3_mg_n_per_l / _fraction(ph, water_temp_c)
