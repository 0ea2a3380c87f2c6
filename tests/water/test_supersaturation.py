import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.water.printed import check, params
from waterplan.water.gas import nitrogen_percent
from waterplan.water.oxygen import do_at_percent_mg_per_l
from waterplan.water.supersaturation import (
    compensation_depth_m,
    delta_p_limit_mmhg,
    delta_p_of_gases_mmhg,
    total_gas_percent_after_warming,
)


@pytest.mark.parametrize(
    "row", [row for row in params("water_gas") if row.values[0]["function"].startswith("supersaturation.")]
)
def test_printed_values(row):
    check(row)


@given(st.floats(0, 35), st.floats(70, 105), st.floats(60, 250))
def test_meters_read_the_gases_back(temp, pressure, oxygen_percent):
    delta_p = delta_p_of_gases_mmhg(oxygen_percent, water_temp_c=temp, air_pressure_kpa=pressure)
    do = do_at_percent_mg_per_l(oxygen_percent, water_temp_c=temp, air_pressure_kpa=pressure)
    found = nitrogen_percent(delta_p, do_mg_per_l=do, water_temp_c=temp, air_pressure_kpa=pressure)
    assert found == pytest.approx(100.0, abs=0.2)


@given(st.floats(0, 30), st.floats(70, 105))
def test_water_that_is_not_warmed_stays_as_it_is(temp, pressure):
    found = total_gas_percent_after_warming(temp, warmed_temp_c=temp, air_pressure_kpa=pressure)
    assert found == pytest.approx(100.0, abs=1e-9)


def test_warming_raises_and_cooling_lowers_total_gas():
    temps = np.arange(1.0, 30.0)
    up = total_gas_percent_after_warming(temps, warmed_temp_c=temps + 1.0)
    # "about 2 % a degree"
    assert np.all((up > 101.3) & (up < 102.7))
    assert np.all(total_gas_percent_after_warming(temps, warmed_temp_c=temps - 1.0) < 100.0)


def test_depth_makes_up_for_supersaturation_only():
    assert compensation_depth_m(-50.0) == 0.0
    assert compensation_depth_m(np.array([73.42, 146.84])) == pytest.approx([1.0, 2.0], rel=1e-3)


def test_in_shallow_water_the_limit_rises_by_the_weight_of_the_water():
    # a metre of fresh water is 73.42 mmHg at 20 degrees (Tanaka 2001); the coefficient is rounded from cooler water
    rise = delta_p_limit_mmhg(0.4, po2_mmhg=157.0) - delta_p_limit_mmhg(0.0, po2_mmhg=157.0)
    assert rise == pytest.approx(0.4 * 73.42, rel=0.01)


@given(st.floats(0, 5), st.floats(50, 400))
def test_the_limit_is_never_above_that_of_deep_water_and_rises_with_depth(depth, po2):
    here = delta_p_limit_mmhg(depth, po2_mmhg=po2)
    assert 0.0 < here <= 76.0
    assert delta_p_limit_mmhg(depth + 0.1, po2_mmhg=po2) >= here
