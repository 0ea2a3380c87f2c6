import numpy as np
import PyCO2SYS
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.water.printed import check, params
from waterplan.errors import ImpossibleInput
from waterplan.water import carbonate_system
from waterplan.water.carbonate import (
    bicarbonate_for_alkalinity_mg_per_l,
    co2_mg_per_l,
    ph_in_air,
)
from waterplan.water.gas import co2_at_air_equilibrium_mg_per_l, co2_solubility_mol_per_l_atm


@pytest.mark.parametrize("row", params("water_carbonate"))
def test_printed_values(row):
    check(row)


def test_constants_are_those_of_plummer_and_busenberg():
    # Plummer & Busenberg (1982), abstract: pK1 6.352 and pK2 10.329 at 25 degrees; PHREEQC: pKw 14.0
    k1, k2, kw = carbonate_system.equilibrium_constants(25.0)
    assert -np.log10([k1, k2, kw]) == pytest.approx([6.352, 10.329, 14.0], abs=1e-3)


def test_the_solubility_of_weiss_is_that_of_plummer_and_busenberg():
    # pKH 1.468 at 25 degrees (mol/kg): two sources, 0.2 %
    assert -np.log10(co2_solubility_mol_per_l_atm(25.0) / 0.99705) == pytest.approx(1.468, abs=1.5e-3)


@pytest.mark.parametrize("temp", [5.0, 15.0, 25.0])
@pytest.mark.parametrize("ph", [6.0, 7.0, 8.0, 9.0])
def test_carbon_dioxide_is_that_of_pyco2sys_in_fresh_water(temp, ph):
    # opt_k_carbonic 8: Millero (1979), pure water. The two sets of constants differ by 1 to 2 %.
    alkalinity = 100.0
    theirs = PyCO2SYS.sys(
        alkalinity / 50.04345 * 1e3, ph, 1, 3, temperature=temp, salinity=0.0, opt_k_carbonic=8, opt_pH_scale=3
    )["CO2"]
    found = co2_mg_per_l(ph, alkalinity_mg_caco3_per_l=alkalinity, water_temp_c=temp)
    assert found == pytest.approx(theirs * 44.0095e-3, rel=0.025)


@given(st.floats(1, 500), st.floats(0, 35))
def test_water_at_its_ph_in_air_holds_the_carbon_dioxide_of_air(alkalinity, temp):
    ph = ph_in_air(alkalinity, water_temp_c=temp)
    found = co2_mg_per_l(ph, alkalinity_mg_caco3_per_l=alkalinity, water_temp_c=temp)
    assert found == pytest.approx(co2_at_air_equilibrium_mg_per_l(temp), rel=1e-6)


def test_a_ph_too_high_for_the_alkalinity_is_impossible():
    with pytest.raises(ImpossibleInput, match="hydroxide"):
        co2_mg_per_l(11.0, alkalinity_mg_caco3_per_l=10.0, water_temp_c=20.0)
    with pytest.raises(ImpossibleInput, match=r"1 of 2 values, the first at \[1\]"):
        co2_mg_per_l(np.array([7.0, 11.0]), alkalinity_mg_caco3_per_l=10.0, water_temp_c=20.0)


def test_enough_alkalinity_needs_no_bicarbonate():
    assert bicarbonate_for_alkalinity_mg_per_l(80.0, alkalinity_mg_caco3_per_l=120.0) == 0.0
