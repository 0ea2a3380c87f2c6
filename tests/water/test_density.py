import gsw
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from iapws import IAPWS95

from tests.water.printed import check, params
from waterplan import tables
from waterplan.errors import ImpossibleInput
from waterplan.water.density import (
    DensityMethod,
    salinity_of_specific_gravity_g_per_kg,
    specific_gravity,
    water_density_kg_per_m3,
)


@pytest.mark.parametrize(
    "row", [row for row in params("water_salt") if row.values[0]["function"].startswith("density")]
)
def test_printed_values(row):
    check(row)


@pytest.mark.parametrize("temp", [1.0, 4.0, 10.0, 20.0, 30.0, 40.0])
def test_pure_water_is_that_of_iapws_95(temp):
    # Tanaka states 0.001 kg/m3 for its air-free water
    assert water_density_kg_per_m3(temp) == pytest.approx(IAPWS95(T=temp + 273.15, P=0.101325).rho, abs=0.002)


def test_salt_water_is_that_of_gsw():
    # EOS-80 and TEOS-10 differ by 0.02 kg/m3 at sea
    t, s = (grid.ravel() for grid in np.meshgrid(np.linspace(0, 35, 8), np.linspace(1, 40, 8)))
    theirs = gsw.density.rho_t_exact(s * 35.16504 / 35.0, t, 0)
    assert np.allclose(water_density_kg_per_m3(t, salinity_g_per_kg=s), theirs, rtol=0, atol=0.03)


@pytest.mark.parametrize("method", DensityMethod)
def test_the_fits_for_pure_water_agree_within_0_005(method):
    temps = np.linspace(0.0, 40.0, 41)
    found = water_density_kg_per_m3(temps, method=method)
    assert np.allclose(found, water_density_kg_per_m3(temps), rtol=0, atol=0.006)
    row = tables.row("water_methods", quantity="pure water density", method=method)
    assert row.is_default is (method is DensityMethod.TANAKA)


@pytest.mark.parametrize(("salinity", "temp"), [(35.0, 25.0), (35.0, 20.0), (5.0, 20.0), (10.0, 20.0)])
def test_specific_gravity_is_that_of_gsw(salinity, temp):
    theirs = gsw.density.rho_t_exact(salinity * 35.16504 / 35.0, temp, 0) / gsw.density.rho_t_exact(0.0, temp, 0)
    found = specific_gravity(salinity, water_temp_c=temp, reference_temp_c=temp)
    assert found == pytest.approx(theirs, abs=3e-5)


@given(st.floats(0.01, 59), st.floats(0, 35), st.sampled_from([15.6, 20.0, 25.0]))
def test_specific_gravity_round_trips(salinity, temp, reference):
    water = {"water_temp_c": temp, "reference_temp_c": reference}
    found = salinity_of_specific_gravity_g_per_kg(specific_gravity(salinity, **water), **water)
    assert found == pytest.approx(salinity, abs=1e-6)


def test_water_lighter_than_pure_water_is_impossible():
    with pytest.raises(ImpossibleInput, match=r"specific_gravity = 0\.995"):
        salinity_of_specific_gravity_g_per_kg(0.995)
    with pytest.raises(ImpossibleInput, match="specific_gravity"):
        salinity_of_specific_gravity_g_per_kg(np.array([1.01, 1.09]))
