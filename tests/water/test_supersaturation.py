import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.water.printed import check, params
from waterplan.water.supersaturation import (
    delta_p_limit_mmhg,
)


@pytest.mark.parametrize(
    "row", [row for row in params("water_gas") if row.values[0]["function"].startswith("supersaturation.")]
)
def test_printed_values(row):
    check(row)


def test_in_shallow_water_the_limit_rises_by_the_weight_of_the_water():
    # a metre of fresh water is 73.42 mmHg at 20 degrees (Tanaka 2001); the coefficient is rounded from cooler water
    rise = delta_p_limit_mmhg(0.4, po2_mmhg=157.0) - delta_p_limit_mmhg(0.0, po2_mmhg=157.0)
    assert rise == pytest.approx(0.4 * 73.42, rel=0.01)


@given(st.floats(0, 5), st.floats(50, 400))
def test_the_limit_is_never_above_that_of_deep_water_and_rises_with_depth(depth, po2):
    here = delta_p_limit_mmhg(depth, po2_mmhg=po2)
    assert 0.0 < here <= 76.0
    assert delta_p_limit_mmhg(depth + 0.1, po2_mmhg=po2) >= here
