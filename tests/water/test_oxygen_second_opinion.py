import gsw
import numpy as np
import pytest

from waterplan import tables
from waterplan.water.oxygen import partial_pressure_mmhg, saturation_mg_per_l
from waterplan.water.oxygen_second_opinion import (
    OxygenMethod,
    garcia_gordon_ml_per_l,
    garcia_gordon_umol_per_kg,
    partial_pressure_by_bunsen_mmhg,
    saturation_by_mg_per_l,
)

_T, _S = (grid.ravel() for grid in np.meshgrid(np.linspace(0, 35, 12), np.linspace(0, 38, 6)))


def test_garcia_and_gordon_is_that_of_gsw():
    # gsw takes the temperature on IPTS-68: t68 = 1.00024 t90
    assert np.allclose(
        garcia_gordon_umol_per_kg(1.00024 * _T, salinity_g_per_kg=_S), gsw.O2sol_SP_pt(_S, _T), rtol=1e-9
    )


@pytest.mark.parametrize(
    ("salinity", "temp", "expected"),
    # examples of the GSW Oceanographic Toolbox, function gsw_O2sol_SP_pt
    [
        (34.7118, 28.8099, 194.6825),
        (35.0256, 22.7862, 214.6559),
        (34.8472, 10.2262, 273.5653),
        (34.7324, 4.3236, 312.9599),
    ],
)
def test_examples_of_the_gsw_documentation(salinity, temp, expected):
    found = garcia_gordon_umol_per_kg(1.00024 * temp, salinity_g_per_kg=salinity)
    assert found == pytest.approx(expected, abs=5e-4)


def test_the_two_columns_of_garcia_and_gordon_agree():
    # mL/L to umol/kg by 44.6596 umol/mL; the e-3 misprint of B2 would be off by 5 % at sea
    density = gsw.density.rho_t_exact(gsw.SA_from_SP(_S, 0, 0, 50), _T, 0) / 1000.0
    by_volume = garcia_gordon_ml_per_l(_T, salinity_g_per_kg=_S) * 44.6596 / density
    assert np.allclose(by_volume, garcia_gordon_umol_per_kg(_T, salinity_g_per_kg=_S), rtol=1e-3)


@pytest.mark.parametrize("method", OxygenMethod)
def test_the_opinions_differ_by_no_more_than_their_sources_say(method):
    found = saturation_by_mg_per_l(_T, method=method, salinity_g_per_kg=_S, air_pressure_kpa=95.0)
    default = saturation_mg_per_l(_T, salinity_g_per_kg=_S, air_pressure_kpa=95.0)
    assert np.allclose(found, default, rtol=5e-3)
    row = tables.row("water_methods", quantity="oxygen saturation", method=method)
    assert row.is_default is (method is OxygenMethod.BENSON_KRAUSE)


def test_the_two_routes_to_a_partial_pressure_agree_within_half_a_percent():
    s = np.minimum(_S, 30.0)
    by_share = partial_pressure_mmhg(6.0, water_temp_c=_T, salinity_g_per_kg=s)
    by_bunsen = partial_pressure_by_bunsen_mmhg(6.0, water_temp_c=_T, salinity_g_per_kg=s)
    assert np.allclose(by_share, by_bunsen, rtol=5e-3)
