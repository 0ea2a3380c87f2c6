"""Other published fits to the solubility of oxygen, to compare the default with."""

from enum import StrEnum

from waterplan.published import Numbers, published
from waterplan.water.density import water_density_kg_per_m3
from waterplan.water.elementwise import Polynomial, exp, log
from waterplan.water.oxygen import saturation_mg_per_l

# Weiss 1970, equation 4, moist air at 1 atm [mL (STP)/L]: A1 to A4 and B1 to B3.
_WEISS_A = (-173.4292, 249.6339, 143.3483, -21.8492)
_WEISS_B = (-0.033096, 0.014259, -0.0017000)
# Weiss 1970, Bunsen coefficient of oxygen [L (STP)/(L atm)].
_BUNSEN_A = (-58.3877, 85.8079, 23.8439)
_BUNSEN_B = (-0.034892, 0.015568, -0.0019387)
# Garcia & Gordon 1992, the columns fitted to the data of Benson & Krause. B2 of the mL/L column is e-2; e-3 is a
# misprint that is still about.
_GG_UMOL_A = (5.80871, 3.20291, 4.17887, 5.10006, -9.86643e-2, 3.80369)
_GG_UMOL_B = (-7.01577e-3, -7.70028e-3, -1.13864e-2, -9.51519e-3)
_GG_UMOL_C = -2.75915e-7
_GG_ML_A = (2.00907, 3.22014, 4.05010, 4.94457, -0.256847, 3.88767)
_GG_ML_B = (-6.24523e-3, -7.37614e-3, -1.03410e-2, -8.17083e-3)
_GG_ML_C = -4.88682e-7
_MG_PER_ML = 1.429
_MG_PER_UMOL = 31.9988e-3

_weiss_b, _bunsen_b = Polynomial(*_WEISS_B), Polynomial(*_BUNSEN_B)
_gg_umol_a, _gg_umol_b = Polynomial(*_GG_UMOL_A), Polynomial(*_GG_UMOL_B)
_gg_ml_a, _gg_ml_b = Polynomial(*_GG_ML_A), Polynomial(*_GG_ML_B)
_FITTED = {"water_temp_c": (0.0, 40.0), "salinity_g_per_kg": (0.0, 42.0)}


class OxygenMethod(StrEnum):
    """A published fit to the solubility of oxygen."""

    BENSON_KRAUSE = "Benson & Krause 1984"
    WEISS = "Weiss 1970"
    GARCIA_GORDON = "Garcia & Gordon 1992"


@published(
    source="weiss_1970",
    locator="equation 4 and table 1",
    fitted={"water_temp_c": (-2.0, 40.0), "salinity_g_per_kg": (0.0, 40.0)},
    possible={"water_temp_c": (-5.0, 60.0)},
)
def weiss_ml_per_l(water_temp_c: Numbers, *, salinity_g_per_kg: Numbers = 0.0) -> Numbers:
    """Dissolved oxygen of water in equilibrium with moist air at 1 atm, after Weiss.

    Parameters
    ----------
    water_temp_c : float or array
        Water temperature [°C].
    salinity_g_per_kg : float or array
        Salinity [g/kg].

    Returns
    -------
    float or array
        Dissolved oxygen, as the volume of the dry gas at 0 °C and 1 atm [mL/L].

    Raises
    ------
    ImpossibleInput
        An argument is not finite or not possible.

    Notes
    -----
    Weiss (1970), fitted to older measurements: about 0.2 % below Benson & Krause.

    Examples
    --------
    >>> round(weiss_ml_per_l(20.0), 2)
    6.35
    """
    hundreds = (water_temp_c + 273.15) / 100.0
    a1, a2, a3, a4 = _WEISS_A
    fresh = a1 + a2 / hundreds + a3 * log(hundreds) + a4 * hundreds
    return exp(fresh + salinity_g_per_kg * _weiss_b(hundreds))


@published(
    source="garcia_gordon_1992",
    locator="equation 8 and table 1, Benson & Krause column in umol/kg; erratum 1993",
    fitted=_FITTED,
    possible={"water_temp_c": (-5.0, 60.0)},
)
def garcia_gordon_umol_per_kg(water_temp_c: Numbers, *, salinity_g_per_kg: Numbers = 0.0) -> Numbers:
    """Dissolved oxygen of water in equilibrium with moist air at 1 atm, after Garcia & Gordon.

    Parameters
    ----------
    water_temp_c : float or array
        Water temperature [°C].
    salinity_g_per_kg : float or array
        Salinity [g/kg].

    Returns
    -------
    float or array
        Dissolved oxygen [umol/kg].

    Raises
    ------
    ImpossibleInput
        An argument is not finite or not possible.

    Notes
    -----
    Garcia & Gordon (1992), refitted to the measurements of Benson & Krause. Checked against the paper's own check
    value and against gsw.

    Examples
    --------
    >>> round(garcia_gordon_umol_per_kg(10.0, salinity_g_per_kg=35.0), 2)
    274.61
    """
    scaled = log((298.15 - water_temp_c) / (273.15 + water_temp_c))
    salt = salinity_g_per_kg * (_gg_umol_b(scaled) + salinity_g_per_kg * _GG_UMOL_C)
    return exp(_gg_umol_a(scaled) + salt)


@published(
    source="garcia_gordon_1992",
    locator="equation 8 and table 1, Benson & Krause column in mL/L; erratum 1993",
    status="as quoted",
    fitted=_FITTED,
    possible={"water_temp_c": (-5.0, 60.0)},
)
def garcia_gordon_ml_per_l(water_temp_c: Numbers, *, salinity_g_per_kg: Numbers = 0.0) -> Numbers:
    """Dissolved oxygen of water in equilibrium with moist air at 1 atm, by volume, after Garcia & Gordon.

    Parameters
    ----------
    water_temp_c : float or array
        Water temperature [°C].
    salinity_g_per_kg : float or array
        Salinity [g/kg].

    Returns
    -------
    float or array
        Dissolved oxygen, as the volume of the dry gas at 0 °C and 1 atm [mL/L].

    Raises
    ------
    ImpossibleInput
        An argument is not finite or not possible.

    Notes
    -----
    Garcia & Gordon (1992). The coefficient B2 is -1.03410e-2; copies with e-3 are wrong by several per cent at sea.

    Examples
    --------
    >>> round(garcia_gordon_ml_per_l(10.0, salinity_g_per_kg=35.0), 3)
    6.315
    """
    scaled = log((298.15 - water_temp_c) / (273.15 + water_temp_c))
    salt = salinity_g_per_kg * (_gg_ml_b(scaled) + salinity_g_per_kg * _GG_ML_C)
    return exp(_gg_ml_a(scaled) + salt)


def saturation_by_mg_per_l(
    water_temp_c: Numbers,
    *,
    method: OxygenMethod,
    salinity_g_per_kg: Numbers = 0.0,
    air_pressure_kpa: Numbers = 101.325,
) -> Numbers:
    """Dissolved oxygen of water in equilibrium with moist air, by a fit that is named.

    Parameters
    ----------
    water_temp_c : float or array
        Water temperature [°C].
    method : OxygenMethod
        The fit to use.
    salinity_g_per_kg : float or array
        Salinity [g/kg].
    air_pressure_kpa : float or array
        Air pressure where the water is [kPa].

    Returns
    -------
    float or array
        Dissolved oxygen at saturation [mg/L].

    Raises
    ------
    ImpossibleInput
        An argument is not finite or not possible.

    Notes
    -----
    The fits that give a volume or an amount at 1 atm are brought to mg/L (1.429 mg/mL; 31.9988 g/mol and the density
    of the water) and to the air pressure by the pressure factor of Benson & Krause.

    Examples
    --------
    >>> round(saturation_by_mg_per_l(20.0, method=OxygenMethod.WEISS), 2)
    9.08
    """
    by_default = saturation_mg_per_l(
        water_temp_c, salinity_g_per_kg=salinity_g_per_kg, air_pressure_kpa=air_pressure_kpa
    )
    if OxygenMethod(method) is OxygenMethod.BENSON_KRAUSE:
        return by_default
    if method is OxygenMethod.WEISS:
        at_one_atm = weiss_ml_per_l(water_temp_c, salinity_g_per_kg=salinity_g_per_kg) * _MG_PER_ML
    else:
        kg_per_l = 1e-3 * water_density_kg_per_m3(water_temp_c, salinity_g_per_kg=salinity_g_per_kg)
        amount = garcia_gordon_umol_per_kg(water_temp_c, salinity_g_per_kg=salinity_g_per_kg)
        at_one_atm = amount * _MG_PER_UMOL * kg_per_l
    return at_one_atm * by_default / saturation_mg_per_l(water_temp_c, salinity_g_per_kg=salinity_g_per_kg)


@published(
    source="weiss_1970",
    locator="Bunsen coefficients of oxygen",
    fitted={"water_temp_c": (-2.0, 40.0), "salinity_g_per_kg": (0.0, 40.0)},
    possible={"water_temp_c": (-5.0, 60.0)},
)
def partial_pressure_by_bunsen_mmhg(
    do_mg_per_l: Numbers, *, water_temp_c: Numbers, salinity_g_per_kg: Numbers = 0.0
) -> Numbers:
    """Partial pressure of dissolved oxygen by the Bunsen coefficient of Weiss.

    Parameters
    ----------
    do_mg_per_l : float or array
        Dissolved oxygen [mg/L].
    water_temp_c : float or array
        Water temperature [°C].
    salinity_g_per_kg : float or array
        Salinity [g/kg].

    Returns
    -------
    float or array
        Partial pressure of oxygen [mmHg].

    Raises
    ------
    ImpossibleInput
        An argument is not finite or not possible.

    Notes
    -----
    DO / (1429 mg/L beta) in atm, which is DO 0.5318 / beta in mmHg; it needs no air pressure.

    Examples
    --------
    >>> round(partial_pressure_by_bunsen_mmhg(10.0, water_temp_c=20.0), 1)
    171.3
    """
    hundreds = (water_temp_c + 273.15) / 100.0
    a1, a2, a3 = _BUNSEN_A
    beta = exp(a1 + a2 / hundreds + a3 * log(hundreds) + salinity_g_per_kg * _bunsen_b(hundreds))
    return do_mg_per_l * (760.0 / (1000.0 * _MG_PER_ML)) / beta
