"""The acid of tricaine and its bicarbonate."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterplan.dose.tricaine import (
    bicarbonate_alkalinity_mg_caco3_per_l,
    bicarbonate_needed_mg_per_l,
    buffer_ratio,
    tricaine_acid_mg_caco3_per_l,
)
from waterplan.errors import ImpossibleInput

# IUPAC standard atomic weights 2021, abridged.
H, C, N, O, NA, S, CA = 1.0080, 12.011, 14.007, 15.999, 22.990, 32.06, 40.078  # noqa: E741
TRICAINE = 10 * C + 15 * H + N + 5 * O + S
BICARBONATE = NA + H + C + 3 * O
EQUIVALENT = (CA + C + 3 * O) / 2


def test_molar_masses() -> None:
    # The label of tricaine prints 261.3.
    assert pytest.approx(261.3, abs=0.05) == TRICAINE
    assert tricaine_acid_mg_caco3_per_l(TRICAINE) == pytest.approx(EQUIVALENT, rel=1e-4)
    assert bicarbonate_alkalinity_mg_caco3_per_l(BICARBONATE) == pytest.approx(EQUIVALENT, rel=1e-4)
    # One bicarbonate for each acid: 0.32 g a gram.
    assert buffer_ratio("just the acid").value == pytest.approx(BICARBONATE / TRICAINE, rel=1e-3)


def test_one_to_one_is_about_three_times_the_acid_and_adds_sixty() -> None:
    brought = bicarbonate_alkalinity_mg_caco3_per_l(100.0 * buffer_ratio("one to one").value)
    assert brought == pytest.approx(59.6, abs=0.05)
    assert brought / tricaine_acid_mg_caco3_per_l(100.0) == pytest.approx(3.1, abs=0.05)


@settings(max_examples=50)
@given(st.floats(0.0, 500.0), st.floats(0.0, 400.0), st.floats(0.0, 400.0))
def test_the_bicarbonate_balances(tricaine: float, before: float, wanted: float) -> None:
    needed = bicarbonate_needed_mg_per_l(
        tricaine, alkalinity_mg_caco3_per_l=before, end_alkalinity_mg_caco3_per_l=wanted
    )
    left = before - tricaine_acid_mg_caco3_per_l(tricaine) + bicarbonate_alkalinity_mg_caco3_per_l(needed)
    assert needed >= 0.0
    assert left == pytest.approx(wanted, abs=1e-6) or (needed == 0.0 and left >= wanted)


def test_negative_tricaine_is_impossible() -> None:
    with pytest.raises(ImpossibleInput):
        tricaine_acid_mg_caco3_per_l(-1.0)
