"""Equations as they are printed, in numpy and in libraries that the package does not use. Nothing here imports the package."""

import math

import gsw
import numpy as np
import PyCO2SYS
from iapws import IAPWS97

KELVIN = 273.15
# IUPAC standard atomic weights 2021, g/mol.
N, NH3, NO2, CL2, CACO3_EQ, NAHCO3, CO2, CL, NACL = 14.007, 17.031, 46.005, 70.90, 50.043, 84.006, 44.009, 35.45, 58.44
THIOSULPHATE_5 = 248.17  # sodium thiosulphate pentahydrate
TRICAINE = 261.29
O2 = 31.998
L_PER_US_GAL, KG_PER_LB, M_PER_FT, M_PER_IN = 3.785411784, 0.45359237, 0.3048, 0.0254


def air_pressure_atm(altitude_m: float) -> float:
    """Standard atmosphere (ISO 2533): (1 - 0.0065 h / 288.15)^5.255877, in atmospheres."""
    return float((1.0 - 0.0065 * altitude_m / 288.15) ** 5.255877)


def vapour_pressure_atm(temp_c: float) -> float:
    """Saturated vapour of pure water by the industrial formulation of IAPWS 1997."""
    return float(IAPWS97(T=temp_c + KELVIN, x=0).P * 1e6 / 101325.0)


def saturation_mg_per_l(temp_c: float, *, altitude_m: float, salinity: float) -> float:
    """Oxygen by Garcia & Gordon (TEOS-10 library), in litres by its density, under the standard atmosphere by partial pressure.

    The library has umol/kg at 1 atm of moist air; the partial pressure of dry air goes with (P - u) / (1 - u).
    """
    density = gsw.rho(salinity, temp_c, 0.0) / 1000.0
    at_sea = gsw.O2sol_SP_pt(salinity, temp_c) * O2 * density / 1000.0
    vapour = vapour_pressure_atm(temp_c)
    return float(at_sea * (air_pressure_atm(altitude_m) - vapour) / (1.0 - vapour))


def nh3_share(temp_c: float, ph: float) -> float:
    """Emerson, Russo, Lund & Thurston 1975: pKa = 0.09018 + 2729.92 / T."""
    return float(1.0 / (1.0 + 10.0 ** (0.09018 + 2729.92 / (temp_c + KELVIN) - ph)))


def _fresh(temp_c: float, **given: float) -> dict[str, float]:
    """PyCO2SYS with the constants of fresh water (Millero 1979), nothing but carbonate and water itself."""
    made = PyCO2SYS.sys(**given, temperature=temp_c, salinity=0.0, opt_k_carbonic=8, opt_pH_scale=4)
    return {name: float(made[name]) for name in ("pH", "aqueous_CO2", "dic", "alkalinity")}


def _umol_eq(alkalinity_mg: float) -> float:
    return alkalinity_mg / CACO3_EQ * 1000.0


def co2_mg_per_l(alkalinity_mg: float, ph: float, temp_c: float) -> float:
    """Free carbon dioxide of an alkalinity and a pH."""
    made = _fresh(temp_c, par1=_umol_eq(alkalinity_mg), par2=ph, par1_type=1, par2_type=3)
    return made["aqueous_CO2"] * CO2 / 1000.0


def after_acid(
    alkalinity_mg: float, ph: float, temp_c: float, *, tricaine_mg: float, bicarbonate_mg: float
) -> tuple[float, float, float]:
    """Alkalinity [mg/L as CaCO3], pH and carbon dioxide [mg/L] with an acid and bicarbonate stirred in, nothing aired.

    Each mole of tricaine takes an equivalent of alkalinity; each of bicarbonate brings one, and a mole of carbon.
    """
    carbon = _fresh(temp_c, par1=_umol_eq(alkalinity_mg), par2=ph, par1_type=1, par2_type=3)["dic"]
    alkalinity = _umol_eq(alkalinity_mg) + (bicarbonate_mg / NAHCO3 - tricaine_mg / TRICAINE) * 1000.0
    carbon += bicarbonate_mg / NAHCO3 * 1000.0
    made = _fresh(temp_c, par1=alkalinity, par2=carbon, par1_type=1, par2_type=2)
    return alkalinity * CACO3_EQ / 1000.0, made["pH"], made["aqueous_CO2"] * CO2 / 1000.0


def co2_of_air_mg_per_l(ppm: float, temp_c: float, altitude_m: float) -> float:
    """Weiss 1974: K0 [mol/(L atm)] of fresh water, under moist air of a mole fraction."""
    t = (temp_c + KELVIN) / 100.0
    solubility = math.exp(-58.0931 + 90.5069 / t + 22.2940 * math.log(t))
    dry = air_pressure_atm(altitude_m) - vapour_pressure_atm(temp_c)
    return solubility * ppm * 1e-6 * dry * CO2 * 1000.0


def ph_aired(alkalinity_mg: float, co2_mg: float, temp_c: float) -> float:
    """The pH of an alkalinity that holds so much carbon dioxide."""
    given = {"par1": _umol_eq(alkalinity_mg), "par2": co2_mg / CO2 * 1000.0}
    return _fresh(temp_c, **given, par1_type=1, par2_type=8)["pH"]


def bicarbonate_g(litres: float, alkalinity_mg: float) -> float:
    """Sodium bicarbonate for so much more alkalinity: one equivalent a mole."""
    return litres * alkalinity_mg / CACO3_EQ * NAHCO3 / 1000.0


def thiosulphate_g(litres: float, chlorine_mg: float) -> float:
    """2 S2O3 to each Cl2, to tetrathionate; the table's 7.0 g/g is 2 x 248.17 / 70.90."""
    return litres * chlorine_mg * 2.0 * THIOSULPHATE_5 / CL2 / 1000.0


def uptake_mg_per_kg_h(weight_g: float, temp_c: float) -> float:
    """Yamanaka et al. 2013: 0.0674 W^-0.193 e^(0.0562 T) mg/g/h."""
    return float(1000.0 * 0.0674 * weight_g**-0.193 * np.exp(0.0562 * temp_c))


def minutes_to(
    level: float, *, start: float, litres: float, kg: float, temp_c: float, factor: float, altitude_m: float
) -> float:
    """Oxygen above a level over what the fish takes, less what a still surface brings: V dC/dt = S (C* - C) - U in closed form.

    The fish stands in a litre of the tub for each of its kilograms. The tub is 0.4 m deep; 0.2 m of water a day come to
    equilibrium with the air.
    """
    per_h = uptake_mg_per_kg_h(kg * 1000.0, temp_c) * kg * factor
    brought_l_h = 0.2 * litres / 0.4 / 24.0
    ends = saturation_mg_per_l(temp_c, altitude_m=altitude_m, salinity=0.0) - per_h / brought_l_h
    return (litres - kg) / brought_l_h * math.log((start - ends) / (level - ends)) * 60.0


def breaths_per_min(temp_c: float) -> float:
    """Hirama & Kitano 1997: 60.7 at 10 °C and 110.2 at 20, in proportion between (a Q10 of 1.82)."""
    return float(60.7 * (110.2 / 60.7) ** ((temp_c - 10.0) / 10.0))


def heat_kwh(litres: float, degrees: float, temp_c: float) -> float:
    """Mass by density, times the heat capacity: both by IAPWS 1997 at 0.1 MPa."""
    water = IAPWS97(T=temp_c + KELVIN, P=0.101325)
    return float(litres / 1000.0 * water.rho * water.cp * degrees / 3600.0)


def ice_kg(litres: float, degrees: float, to_c: float) -> float:
    """Heat of the water over what ice takes to melt (334 kJ/kg) and to come to the water's end."""
    water = IAPWS97(T=to_c + degrees / 2.0 + KELVIN, P=0.101325)
    melted = IAPWS97(T=to_c / 2.0 + KELVIN, P=0.101325)
    return float(litres / 1000.0 * water.rho * water.cp * degrees / (334.0 + melted.cp * to_c))


def tracer_l(
    salt_g: float, *, bucket: list[tuple[float, float]], bucket_l: float, before: list[float], after: list[float]
) -> float:
    """Salt over the rise that the bucket's line gives: its slope by least squares [uS/cm per g/L]."""
    grams, read = (np.array(column) for column in zip(*bucket, strict=True))
    slope = np.polyfit(grams / bucket_l, read, 1)[0]
    return float(salt_g / ((np.mean(after) - np.mean(before)) / slope))
