"""Drugs by body weight."""

import pytest
from hypothesis import strategies as st

from waterplan.dose.drugs import withdrawal_days
from waterplan.dose.injection import injection_ml
from waterplan.errors import ImpossibleInput

DIVISION = st.sampled_from([0.005, 0.01, 0.02, 0.1])


@pytest.mark.parametrize("weight_kg", [-1.0, float("nan"), 2000.0])
def test_impossible_weights(weight_kg: float) -> None:
    with pytest.raises(ImpossibleInput):
        injection_ml(weight_kg, dose_mg_per_kg=1.0, stock_mg_per_ml=5.0)


def test_withdrawal_never_ends_in_ice() -> None:
    assert withdrawal_days(0.0) == float("inf")
