import gsw
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.water.printed import check, params
from waterplan.errors import ImpossibleInput
from waterplan.water import oxygen
from waterplan.water.atmosphere import air_pressure_kpa
from waterplan.water.oxygen import (
    saturation_mg_per_l,
)

temps, salts, pressures = st.floats(0, 40), st.floats(0, 40), st.floats(55, 110)


@pytest.mark.parametrize("row", params("water_oxygen"))
def test_printed_values(row):
    check(row)


def test_agrees_with_the_oceanographers_fit():
    # gsw holds Garcia & Gordon's refit of the same measurements; 31.9988 g/mol; 0.15 % that the fits differ
    t, s = (grid.ravel() for grid in np.meshgrid(np.linspace(0, 35, 15), np.linspace(0, 40, 9)))
    density = gsw.density.rho_t_exact(gsw.SA_from_SP(s, 0, 0, 50), t, 0)
    theirs = gsw.O2sol_SP_pt(s, t) * 31.9988e-6 * density
    assert np.allclose(saturation_mg_per_l(t, salinity_g_per_kg=s), theirs, rtol=1.5e-3, atol=0)


def test_the_terms_are_those_that_are_printed():
    # USGS Techniques and Methods 9-A6.2: theta takes degrees Celsius, and u is in atmospheres
    assert oxygen._theta(20.0) == pytest.approx(7.155e-4, abs=5e-8)
    assert 760.0 * np.exp(oxygen._ln_vapour(1.0 / 293.15)) == pytest.approx(17.536, abs=0.005)


@given(temps, salts, pressures)
def test_the_path_for_blocks_is_the_same_equation(t, s, p):
    one = saturation_mg_per_l(t, salinity_g_per_kg=s, air_pressure_kpa=p)
    blocks = saturation_mg_per_l(np.full(2, t), salinity_g_per_kg=np.full(2, s), air_pressure_kpa=np.full(2, p))
    assert blocks == pytest.approx(one, rel=1e-12)


@given(temps, salts, st.floats(0, 4000))
def test_warmth_salt_and_altitude_each_leave_less_oxygen(t, s, altitude_m):
    def saturation(t, s, altitude_m):
        return saturation_mg_per_l(t, salinity_g_per_kg=s, air_pressure_kpa=air_pressure_kpa(altitude_m))

    here = saturation(t, s, altitude_m)
    assert saturation(t + 1.0, s, altitude_m) < here
    assert saturation(t, s + 1.0, altitude_m) < here
    assert saturation(t, s, altitude_m + 100.0) < here


def test_boiling_water_is_impossible():
    with pytest.raises(ImpossibleInput, match="water_temp_c = 75"):
        saturation_mg_per_l(75.0, air_pressure_kpa=30.0)
