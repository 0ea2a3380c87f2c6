"""How pH is closed: from inorganic carbon and alkalinity, both of which mixing and time conserve.

Carbon dioxide, bicarbonate, carbonate, water and ammonia are at equilibrium; total inorganic carbon and alkalinity
(ammonia counted) are the states that are carried, and pH and carbon dioxide follow from them.
"""

from typing import NamedTuple

import numpy as np

from waterplan.published import FloatArray, Numbers, published
from waterplan.tank.water_body import Water

MG_CO2_PER_MMOL = 44.009
_MEQ_PER_MG_CACO3 = 1.0 / 50.043
_MG_N_PER_MMOL = 14.007
# Newton's method doubles its digits with each step: one that moves less than this leaves an error of about 1e-8.
_PH_TOLERANCE, _MOST_STEPS, _LONGEST_STEP = 1e-4, 60, 1.0
_LN10 = float(np.log(10.0))


class Constants(NamedTuple):
    """Equilibrium constants at a temperature: first and second of carbonic acid, of water, of ammonium [mol/L]."""

    first: Numbers
    second: Numbers
    water: Numbers
    ammonium: Numbers


@published(
    source="plummer_busenberg_1982",
    locator="log K1, log K2; Kw of Harned & Hamer 1933; ammonium of Emerson et al. 1975",
    fitted={"water_temp_c": (0.0, 50.0)},
)
def constants(water_temp_c: Numbers) -> Constants:
    """Equilibrium constants of carbonic acid, water and ammonium in fresh water.

    Parameters
    ----------
    water_temp_c : float or array
        Water temperature [°C].

    Returns
    -------
    Constants
        K1, K2, Kw and Ka of ammonium [mol/L, mol²/L² for water].

    Raises
    ------
    ImpossibleInput
        The temperature is not finite or not possible.

    Notes
    -----
    Plummer & Busenberg (1982), 0-90 °C; log Kw = 6.0875 - 0.01706 T - 4471/T (Harned & Hamer 1933, from memory) is
    -13.995 at 25 °C. No correction for ionic strength: at 100 mg/L alkalinity carbon dioxide comes out 4 to 8 % high.

    Examples
    --------
    >>> round(-float(np.log10(constants(25.0).first)), 3)
    6.352
    """
    kelvin = np.asarray(water_temp_c) + 273.15
    log_kelvin, inverse = np.log(kelvin) / _LN10, 1.0 / kelvin
    log_k1 = -356.3094 - 0.06091964 * kelvin + inverse * (21834.37 - 1684915.0 * inverse) + 126.8339 * log_kelvin
    log_k2 = -107.8871 - 0.03252849 * kelvin + inverse * (5151.79 - 563713.9 * inverse) + 38.92561 * log_kelvin
    log_kw = 6.0875 - 0.01706 * kelvin - 4471.0 * inverse
    log_ka = -0.09018 - 2729.92 * inverse
    return Constants(*(np.exp(_LN10 * log) for log in (log_k1, log_k2, log_kw, log_ka)))


@published(source="weiss_1974", locator="ln K0, mol/(L atm), fresh water", fitted={"water_temp_c": (-1.0, 45.0)})
def co2_solubility_mmol_per_l_kpa(water_temp_c: Numbers) -> Numbers:
    """Carbon dioxide that fresh water holds per pressure of it.

    Parameters
    ----------
    water_temp_c : float or array
        Water temperature [°C].

    Returns
    -------
    float or array
        Solubility [mmol/L/kPa].

    Raises
    ------
    ImpossibleInput
        The temperature is not finite or not possible.

    Notes
    -----
    Weiss (1974) at salinity 0: 0.0391 mol/L/atm at 20 °C.

    Examples
    --------
    >>> round(co2_solubility_mmol_per_l_kpa(20.0) * 101.325, 1)
    39.1
    """
    hundredth = (np.asarray(water_temp_c) + 273.15) / 100.0
    return np.exp(-58.0931 + 90.5069 / hundredth + 22.2940 * np.log(hundredth)) * 1000.0 / 101.325


def carbon_mmol_per_l(water: Water) -> Numbers:
    """Total inorganic carbon of a water from its pH and alkalinity [mmol/L]."""
    k1, k2, kw, ka = constants(water.water_temp_c)
    hydrogen = np.exp(-_LN10 * np.asarray(water.ph))
    ammonia = water.tan_with_chloramine_mg_n_per_l / _MG_N_PER_MMOL * ka / (ka + hydrogen)
    alkalinity = water.alkalinity_mg_caco3_per_l * _MEQ_PER_MG_CACO3
    carbonate_alkalinity = alkalinity - ammonia - 1000.0 * (kw / hydrogen - hydrogen)
    share = (k1 * hydrogen + 2.0 * k1 * k2) / (hydrogen**2 + k1 * hydrogen + k1 * k2)
    return np.maximum(carbonate_alkalinity, 0.0) / share


class Carbonate(NamedTuple):
    """Where the charges balance: pH, carbon dioxide [mmol/L], and the share of added carbon that stays dioxide [-]."""

    ph: FloatArray
    dioxide: FloatArray
    slope: FloatArray


def balanced(
    carbon_mmol_per_l: FloatArray,
    *,
    alkalinity_meq_per_l: FloatArray,
    tan_mmol_per_l: FloatArray,
    at: Constants,
    near_ph: FloatArray,
    most_steps: int = _MOST_STEPS,
) -> Carbonate:
    """The pH at which the charges balance; Newton's method from a pH nearby, on a curve that only rises."""
    ph = near_ph
    for _ in range(most_steps):
        hydrogen = np.exp(-_LN10 * ph)
        a, b, c, acid, hydroxide, base, others = _species(hydrogen, carbon_mmol_per_l, tan_mmol_per_l, at)
        # d(alkalinity)/d(pH)/ln 10: each pair of acid and base buffers with the product of its shares.
        buffer = (a * (b + 4.0 * c) + b * c) / np.maximum(carbon_mmol_per_l, 1e-12) + others
        missing = alkalinity_meq_per_l - (b + 2.0 * c + hydroxide - acid + base)
        step = np.clip(missing / (_LN10 * buffer), -_LONGEST_STEP, _LONGEST_STEP)
        ph = ph + step
        if np.max(np.abs(step)) < _PH_TOLERANCE:
            break
    a, b, c, _, _, _, others = _species(np.exp(-_LN10 * ph), carbon_mmol_per_l, tan_mmol_per_l, at)
    # Alkalinity held still: x = d ln H, y = d ln CO2, b (y - x) + 2c (y - 2x) = others x.
    moved = (b + 2.0 * c) / (b + 4.0 * c + others)
    return Carbonate(ph, a, a / (a + b * (1.0 - moved) + c * (1.0 - 2.0 * moved)))


def ph_at_dioxide(
    dioxide_mmol_per_l: FloatArray, *, alkalinity_meq_per_l: FloatArray, tan_mmol_per_l: FloatArray, at: Constants
) -> FloatArray:
    """The pH of a water whose carbon dioxide is held by something outside it, as by the air."""
    ph = np.full(np.broadcast(dioxide_mmol_per_l, alkalinity_meq_per_l).shape, 8.0)
    for _ in range(_MOST_STEPS):
        hydrogen = np.exp(-_LN10 * ph)
        bicarbonate = dioxide_mmol_per_l * at.first / hydrogen
        carbonate = bicarbonate * at.second / hydrogen
        share = at.ammonium / (at.ammonium + hydrogen)
        acid, hydroxide, base = 1000.0 * hydrogen, 1000.0 * at.water / hydrogen, tan_mmol_per_l * share
        missing = alkalinity_meq_per_l - (bicarbonate + 2.0 * carbonate + hydroxide - acid + base)
        slope = bicarbonate + 4.0 * carbonate + hydroxide + acid + base * (1.0 - share)
        step = np.clip(missing / (_LN10 * slope), -_LONGEST_STEP, _LONGEST_STEP)
        ph = ph + step
        if np.max(np.abs(step)) < _PH_TOLERANCE:
            break
    return ph


def _species(hydrogen: FloatArray, carbon: FloatArray, tan: FloatArray, at: Constants) -> tuple[FloatArray, ...]:
    """CO2, HCO3-, CO3--, H+, OH-, NH3, and what the last three add to the buffer [mmol/L]."""
    inverse = 1.0 / hydrogen
    first, second = at.first * inverse, at.second * inverse
    dioxide = carbon / (1.0 + first * (1.0 + second))
    bicarbonate = dioxide * first
    share = at.ammonium / (at.ammonium + hydrogen)
    acid, hydroxide, base = 1000.0 * hydrogen, 1000.0 * at.water * inverse, tan * share
    return dioxide, bicarbonate, bicarbonate * second, acid, hydroxide, base, acid + hydroxide + base * (1.0 - share)
