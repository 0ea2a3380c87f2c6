"""Nitrogen, argon and carbon dioxide in water, and total gas pressure from a meter."""

from waterplan.published import Numbers, published
from waterplan.water.atmosphere import water_vapour_pressure_kpa
from waterplan.water.blocks import blockwise
from waterplan.water.elementwise import Polynomial, exp, log
from waterplan.water.oxygen import partial_pressure_mmhg

# Hamme & Emerson 2004, table 4 [ln umol/kg], moist air at 1 atm, in Ts = ln[(298.15 - t)/(273.15 + t)].
_n2, _n2_salt = Polynomial(6.42931, 2.92704, 4.32531, 4.69149), Polynomial(-7.44129e-3, -8.02566e-3, -1.46775e-2)
# Weiss 1974, table 1 [ln mol/(L atm)], in T/100, without salt.
_CO2_A = (-58.0931, 90.5069, 22.2940)
_CO2_G_PER_MOL = 44.0095
_KPA_PER_MMHG, _ATM_KPA = 0.133322, 101.325
# Nitrogen and argon in dry air by volume (Colt 1984): 0.78084 and 0.00934.
_N2_AND_AR_IN_DRY_AIR = 0.7902
_NOT_BOILING = {"water_temp_c": (-5.0, 60.0)}


@published(
    source="hamme_emerson_2004",
    locator="equation 1 and table 4",
    fitted={"water_temp_c": (0.0, 30.0), "salinity_g_per_kg": (0.0, 36.0)},
    possible=_NOT_BOILING,
)
@blockwise()
def nitrogen_umol_per_kg(water_temp_c: Numbers, *, salinity_g_per_kg: Numbers = 0.0) -> Numbers:
    """Dissolved nitrogen of water in equilibrium with moist air at 1 atm.

    Parameters
    ----------
    water_temp_c : float or array
        Water temperature [°C].
    salinity_g_per_kg : float or array
        Salinity [g/kg].

    Returns
    -------
    float or array
        Dissolved nitrogen, N2 [umol/kg].

    Raises
    ------
    ImpossibleInput
        An argument is not finite or not possible.

    Notes
    -----
    Hamme & Emerson (2004), 0-30 °C, 0-36 g/kg. Checked against the paper's check value and the Henry
    constants of IAPWS G7-04.

    Examples
    --------
    >>> round(nitrogen_umol_per_kg(10.0, salinity_g_per_kg=35.0), 1)
    500.9
    """
    scaled = log((298.15 - water_temp_c) / (273.15 + water_temp_c))
    return exp(_n2(scaled) + salinity_g_per_kg * _n2_salt(scaled))


@published(source="weiss_1974", locator="equation 12 and table 1, mol/(L atm)", fitted={"water_temp_c": (-1.0, 45.0)})
def co2_solubility_mol_per_l_atm(water_temp_c: Numbers) -> Numbers:
    """Solubility of carbon dioxide.

    Parameters
    ----------
    water_temp_c : float or array
        Water temperature [°C].

    Returns
    -------
    float or array
        Henry's constant K0 [mol/(L atm)].

    Raises
    ------
    ImpossibleInput
        An argument is not finite or not possible.

    Notes
    -----
    Weiss (1974), -1 to 45 °C, fresh water. Checked against his constants by mass of solution.

    Examples
    --------
    >>> round(co2_solubility_mol_per_l_atm(25.0), 5)
    0.03397
    """
    hundreds = (water_temp_c + 273.15) / 100.0
    a1, a2, a3 = _CO2_A
    return exp(a1 + a2 / hundreds + a3 * log(hundreds))


@published(
    source="weiss_1974",
    locator="equation 12, times the share of carbon dioxide in moist air",
    fitted={"water_temp_c": (-1.0, 45.0)},
    possible=_NOT_BOILING,
)
def co2_at_air_equilibrium_mg_per_l(
    water_temp_c: Numbers, *, co2_in_air_ppm: Numbers = 420.0, air_pressure_kpa: Numbers = 101.325
) -> Numbers:
    """Dissolved carbon dioxide of water in equilibrium with air.

    Parameters
    ----------
    water_temp_c : float or array
        Water temperature [°C].
    co2_in_air_ppm : float or array
        Carbon dioxide in dry air: 420 outdoors in the 2020s, 1,000 and more in a closed room [ppm].
    air_pressure_kpa : float or array
        Air pressure where the water is [kPa].

    Returns
    -------
    float or array
        Dissolved carbon dioxide [mg/L].

    Raises
    ------
    ImpossibleInput
        An argument is not finite or not possible.

    Notes
    -----
    K0 times the share in dry air times the dry pressure, 44.0095 g/mol. It is what aeration drives towards.

    Examples
    --------
    >>> round(co2_at_air_equilibrium_mg_per_l(20.0), 2)
    0.71
    """
    dry_atm = (air_pressure_kpa - water_vapour_pressure_kpa(water_temp_c)) / _ATM_KPA
    partial_atm = co2_in_air_ppm * 1e-6 * dry_atm
    return co2_solubility_mol_per_l_atm(water_temp_c) * partial_atm * (1000.0 * _CO2_G_PER_MOL)


@published(source="standard_methods_2810", locator="total dissolved gas, definitions")
def total_gas_pressure_percent(delta_p_mmhg: Numbers, *, air_pressure_kpa: Numbers = 101.325) -> Numbers:
    """Total gas pressure as a share of the air pressure.

    Parameters
    ----------
    delta_p_mmhg : float or array
        Total gas pressure above the air pressure, as a saturometer reads it [mmHg].
    air_pressure_kpa : float or array
        Air pressure where the water is [kPa].

    Returns
    -------
    float or array
        Total gas pressure [% of the air pressure].

    Raises
    ------
    ImpossibleInput
        An argument is not finite or not possible.

    Notes
    -----
    100 (BP + delta P) / BP; TGP = pO2 + p(N2, Ar) + pCO2 + pH2O.

    Examples
    --------
    >>> round(total_gas_pressure_percent(60.0, air_pressure_kpa=100.258), 1)
    108.0
    """
    return 100.0 + delta_p_mmhg * (100.0 * _KPA_PER_MMHG) / air_pressure_kpa


@published(source="standard_methods_2810", locator="total dissolved gas, definitions")
def delta_p_of_percent_mmhg(total_gas_percent: Numbers, *, air_pressure_kpa: Numbers = 101.325) -> Numbers:
    """Total gas pressure above the air pressure, from its share of the air pressure.

    Parameters
    ----------
    total_gas_percent : float or array
        Total gas pressure [% of the air pressure].
    air_pressure_kpa : float or array
        Air pressure where the water is [kPa].

    Returns
    -------
    float or array
        Total gas pressure above the air pressure [mmHg].

    Raises
    ------
    ImpossibleInput
        An argument is not finite or not possible.

    Notes
    -----
    Undoes `total_gas_pressure_percent`; checked by that round trip.

    Examples
    --------
    >>> round(delta_p_of_percent_mmhg(110.0), 1)
    76.0
    """
    return (total_gas_percent - 100.0) * air_pressure_kpa / (100.0 * _KPA_PER_MMHG)


@published(
    source="colt_1984",
    locator="nitrogen and argon by difference; 0.7902 of dry air",
    status="from memory",
    fitted={"water_temp_c": (0.0, 40.0)},
    possible=_NOT_BOILING,
)
def nitrogen_percent(
    delta_p_mmhg: Numbers,
    *,
    do_mg_per_l: Numbers,
    water_temp_c: Numbers,
    salinity_g_per_kg: Numbers = 0.0,
    air_pressure_kpa: Numbers = 101.325,
) -> Numbers:
    """Nitrogen with argon as a share of saturation with air, from a saturometer and an oxygen meter.

    Parameters
    ----------
    delta_p_mmhg : float or array
        Total gas pressure above the air pressure, as a saturometer reads it [mmHg].
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
        Nitrogen with argon [% of saturation with air]. Below 0 the two meters contradict each other.

    Raises
    ------
    ImpossibleInput
        An argument is not finite or not possible, or there is more oxygen than pure oxygen can put into the water.

    Notes
    -----
    p(N2, Ar) = BP + delta P - pO2 - pH2O, over 0.7902 (BP - pH2O). Carbon dioxide is left out: 20 mg/L of it is
    9 mmHg, and reads here as nitrogen.

    Examples
    --------
    >>> nitrogen = nitrogen_percent(60.0, do_mg_per_l=12.0, water_temp_c=15.0, air_pressure_kpa=100.258)
    >>> round(nitrogen, 1)
    104.9
    """
    oxygen_kpa = _KPA_PER_MMHG * partial_pressure_mmhg(
        do_mg_per_l, water_temp_c=water_temp_c, salinity_g_per_kg=salinity_g_per_kg, air_pressure_kpa=air_pressure_kpa
    )
    dry_kpa = air_pressure_kpa - water_vapour_pressure_kpa(water_temp_c)
    rest_kpa = dry_kpa + _KPA_PER_MMHG * delta_p_mmhg - oxygen_kpa
    return 100.0 * rest_kpa / (_N2_AND_AR_IN_DRY_AIR * dry_kpa)
