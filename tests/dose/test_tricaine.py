"""The acid of tricaine, its bicarbonate, and the water of the bath."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterplan.dose.tricaine import (
    bicarbonate_needed_mg_per_l,
    tricaine_acid_mg_caco3_per_l,
)
from waterplan.errors import ImpossibleInput

# IUPAC standard atomic weights 2021, abridged.
H, C, N, O, NA, S, CA = 1.0080, 12.011, 14.007, 15.999, 22.990, 32.06, 40.078  # noqa: E741
TRICAINE = 10 * C + 15 * H + N + 5 * O + S
BICARBONATE = NA + H + C + 3 * O
EQUIVALENT = (CA + C + 3 * O) / 2
CO2 = C + 2 * O


@settings(max_examples=50)
@given(st.floats(0.0, 500.0), st.floats(0.0, 400.0), st.floats(0.0, 400.0))
def test_the_bicarbonate_balances(tricaine: float, before: float, wanted: float) -> None:
    needed = bicarbonate_needed_mg_per_l(
        tricaine, alkalinity_mg_caco3_per_l=before, end_alkalinity_mg_caco3_per_l=wanted
    )
    left = before - tricaine / TRICAINE * EQUIVALENT + needed / BICARBONATE * EQUIVALENT
    assert needed >= 0.0
    assert left == pytest.approx(wanted, abs=0.02) or (needed == 0.0 and left >= wanted - 0.02)


def test_negative_tricaine_is_impossible() -> None:
    with pytest.raises(ImpossibleInput):
        tricaine_acid_mg_caco3_per_l(-1.0)
