import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.water.printed import check, params
from waterplan.water.ammonia_criteria import acute_criterion_mg_n_per_l, chronic_criterion_mg_n_per_l


@pytest.mark.parametrize("row", [row for row in params("water_ammonia") if "criterion" in row.values[0]["function"]])
def test_printed_values(row):
    check(row)


@given(st.floats(6.5, 9.0), st.floats(0, 30))
def test_chronic_is_never_above_acute_and_trout_never_make_it_laxer(ph, temp):
    with_trout = acute_criterion_mg_n_per_l(ph, water_temp_c=temp)
    assert chronic_criterion_mg_n_per_l(ph, water_temp_c=temp) <= with_trout
    assert with_trout <= acute_criterion_mg_n_per_l(ph, water_temp_c=temp, salmonids=False)


def test_criteria_fall_with_ph_and_do_not_rise_with_warmth():
    ph, temp = np.linspace(6.5, 9.0, 26), np.linspace(0.0, 30.0, 31)[:, None]
    for criterion in (acute_criterion_mg_n_per_l, chronic_criterion_mg_n_per_l):
        grid = criterion(ph, water_temp_c=temp)
        assert grid.shape == (31, 26)
        assert np.all(np.diff(grid, axis=1) < 0)
        assert np.all(np.diff(grid, axis=0) <= 1e-12)
