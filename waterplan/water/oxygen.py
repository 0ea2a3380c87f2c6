"""Dissolved oxygen: what water can hold, and a reading in mg/L, in % of saturation and in mmHg."""

from waterplan.published import Numbers, published
from waterplan.water.elementwise import exp, in_blocks

# Benson & Krause for fresh water under 1 atm of moist air [mg/L], in 1/T: A0 to A4 (APHA 4500-O G).
_A0, _A1, _A2, _A3, _A4 = -139.34411, 1.575701e5, -6.642308e7, 1.243800e10, -8.621949e11
# The salinity factor, exp[-S (B0 + B1/T + B2/T2)].
_B0, _B1, _B2 = 0.017674, -10.754, 2140.7
# Water vapour u [atm], and the second-order term theta, whose printed coefficients take degrees CELSIUS.
_U0, _U1, _U2 = 11.8571, -3840.70, -216961.0
_THETA0, _THETA1, _THETA2 = 0.000975, -1.426e-5, 6.436e-8
_ATM_KPA = 101.325
_MMHG_KPA = 0.133322
_O2_OF_DRY_AIR = 0.20946

_FITTED = {"water_temp_c": (0.0, 40.0), "salinity_g_per_kg": (0.0, 40.0), "air_pressure_kpa": (50.7, 111.4)}
# At 60 °C the vapour pressure reaches the lowest air pressure the glossary lets through: above it water may boil.
_POSSIBLE = {"water_temp_c": (-5.0, 60.0)}


def _vapour_atm(water_temp_c: Numbers) -> Numbers:
    inverse = 1.0 / (water_temp_c + 273.15)
    return exp(_U0 + inverse * (_U1 + inverse * _U2))


def _saturation(water_temp_c: Numbers, salinity: Numbers, pressure_kpa: Numbers) -> Numbers:
    inverse = 1.0 / (water_temp_c + 273.15)
    fresh = _A0 + inverse * (_A1 + inverse * (_A2 + inverse * (_A3 + inverse * _A4)))
    salt = salinity * (_B0 + inverse * (_B1 + inverse * _B2))
    vapour = exp(_U0 + inverse * (_U1 + inverse * _U2))
    theta = _THETA0 + water_temp_c * (_THETA1 + water_temp_c * _THETA2)
    pressure = pressure_kpa * (1.0 / _ATM_KPA)
    return exp(fresh - salt) * ((pressure - vapour) * (1.0 - theta * pressure) / ((1.0 - vapour) * (1.0 - theta)))


@published(
    source="benson_krause_1984", locator="as in APHA 4500-O G and USGS TM 9-A6.2", fitted=_FITTED, possible=_POSSIBLE
)
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

    Examples
    --------
    >>> round(saturation_mg_per_l(20.0), 2)
    9.09
    """
    return in_blocks(_saturation, water_temp_c, salinity_g_per_kg, air_pressure_kpa)


@published(source="benson_krause_1984", locator="ratio to saturation", fitted=_FITTED, possible=_POSSIBLE)
def percent_saturation(
    do_mg_per_l: Numbers,
    *,
    water_temp_c: Numbers,
    salinity_g_per_kg: Numbers = 0.0,
    air_pressure_kpa: Numbers = 101.325,
) -> Numbers:
    """Dissolved oxygen as a share of saturation with air."""
    return 100.0 * do_mg_per_l / in_blocks(_saturation, water_temp_c, salinity_g_per_kg, air_pressure_kpa)


@published(source="benson_krause_1984", locator="ratio to saturation", fitted=_FITTED, possible=_POSSIBLE)
def do_mg_per_l(
    percent_sat: Numbers,
    *,
    water_temp_c: Numbers,
    salinity_g_per_kg: Numbers = 0.0,
    air_pressure_kpa: Numbers = 101.325,
) -> Numbers:
    """Dissolved oxygen from a share of saturation with air."""
    return percent_sat / 100.0 * in_blocks(_saturation, water_temp_c, salinity_g_per_kg, air_pressure_kpa)


@published(source="benson_krause_1984", locator="ratio to saturation", fitted=_FITTED, possible=_POSSIBLE)
def partial_pressure_mmhg(
    do_mg_per_l: Numbers,
    *,
    water_temp_c: Numbers,
    salinity_g_per_kg: Numbers = 0.0,
    air_pressure_kpa: Numbers = 101.325,
) -> Numbers:
    """Partial pressure of dissolved oxygen."""
    of_saturation = do_mg_per_l / in_blocks(_saturation, water_temp_c, salinity_g_per_kg, air_pressure_kpa)
    dry_mmhg = (air_pressure_kpa - _ATM_KPA * _vapour_atm(water_temp_c)) / _MMHG_KPA
    return of_saturation * _O2_OF_DRY_AIR * dry_mmhg


@published(source="benson_krause_1984", locator="saturation / 0.20946", fitted=_FITTED, possible=_POSSIBLE)
def pure_oxygen_ceiling_mg_per_l(
    water_temp_c: Numbers, *, salinity_g_per_kg: Numbers = 0.0, air_pressure_kpa: Numbers = 101.325
) -> Numbers:
    """Dissolved oxygen of water in equilibrium with moist pure oxygen."""
    return in_blocks(_saturation, water_temp_c, salinity_g_per_kg, air_pressure_kpa) / _O2_OF_DRY_AIR
