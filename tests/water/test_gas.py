import gsw
import PyCO2SYS
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.water.printed import check, params
from waterplan.errors import ImpossibleInput
from waterplan.water.gas import (
    co2_at_air_equilibrium_mg_per_l,
    co2_solubility_mol_per_l_atm,
    delta_p_of_percent_mmhg,
    nitrogen_percent,
    total_gas_pressure_percent,
)
from waterplan.water.oxygen import saturation_mg_per_l


@pytest.mark.parametrize("row", [row for row in params("water_gas") if row.values[0]["function"].startswith("gas.")])
def test_printed_values(row):
    check(row)


@pytest.mark.parametrize("temp", [5.0, 20.0, 30.0])
def test_carbon_dioxide_is_that_of_pyco2sys(temp):
    # PyCO2SYS gives Weiss (1974) for a kilogram of solution; 0.1 % that the two columns of the paper differ
    by_mass = PyCO2SYS.sys(2000.0, 8.0, 1, 3, temperature=temp, salinity=0.0)["k_CO2"]
    kg_per_l = gsw.density.rho_t_exact(0.0, temp, 0) / 1000.0
    found = co2_solubility_mol_per_l_atm(temp)
    assert found == pytest.approx(by_mass * kg_per_l, rel=1.5e-3)


def test_carbon_dioxide_of_air_follows_the_air():
    outdoors = co2_at_air_equilibrium_mg_per_l(20.0)
    assert co2_at_air_equilibrium_mg_per_l(20.0, co2_in_air_ppm=840.0) == pytest.approx(2.0 * outdoors, rel=1e-12)
    assert co2_at_air_equilibrium_mg_per_l(20.0, air_pressure_kpa=80.0) < outdoors


@given(st.floats(-300, 800), st.floats(55, 110))
def test_percent_and_pressure_round_trip(delta_p, pressure):
    percent = total_gas_pressure_percent(delta_p, air_pressure_kpa=pressure)
    assert delta_p_of_percent_mmhg(percent, air_pressure_kpa=pressure) == pytest.approx(delta_p, rel=1e-9, abs=1e-9)


@given(st.floats(0, 35), st.floats(60, 105))
def test_air_saturated_water_is_saturated_with_nitrogen(temp, pressure):
    # the 0.05 % of dry air that is neither oxygen, nitrogen nor argon reads as nitrogen
    saturated = saturation_mg_per_l(temp, air_pressure_kpa=pressure)
    found = nitrogen_percent(0.0, do_mg_per_l=saturated, water_temp_c=temp, air_pressure_kpa=pressure)
    assert found == pytest.approx(100.0, abs=0.06)


def test_more_oxygen_than_pure_oxygen_gives_is_impossible():
    with pytest.raises(ImpossibleInput, match="pure oxygen"):
        nitrogen_percent(0.0, do_mg_per_l=60.0, water_temp_c=20.0)
