"""Strengths of every unit, the two meanings of 1 to n, and the age of a stock."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterplan.dose.stock import OneTo, StrengthUnit, dilution_fraction, past_keeping, strength_mg_per_ml
from waterplan.errors import ImpossibleInput


@pytest.mark.parametrize("unit", [StrengthUnit.PERCENT_WW, StrengthUnit.PPM_BY_MASS])
def test_by_mass_needs_a_density(unit: StrengthUnit) -> None:
    with pytest.raises(ImpossibleInput, match="density"):
        strength_mg_per_ml(1.0, unit=unit)


@pytest.mark.parametrize(
    ("strength", "unit", "density"),
    [(100.1, "% w/v", None), (1001.0, "mg/mL", None), (101.0, "% w/w", 1.2), (1.1e6, "ppm by mass", 1.0)],
)
def test_stronger_than_pure_is_impossible(strength: float, unit: str, density: float | None) -> None:
    with pytest.raises(ImpossibleInput, match="pure"):
        strength_mg_per_ml(strength, unit=StrengthUnit(unit), density_kg_per_l=density)


@settings(max_examples=50)
@given(st.floats(1e-3, 100.0))
def test_units_agree(percent: float) -> None:
    strength = strength_mg_per_ml(percent, unit=StrengthUnit.PERCENT_WV)
    assert strength_mg_per_ml(percent * 10.0, unit=StrengthUnit.G_PER_L) == pytest.approx(strength)
    assert strength_mg_per_ml(percent * 1e4, unit=StrengthUnit.MG_PER_L) == pytest.approx(strength)
    assert strength_mg_per_ml(percent * 10.0, unit=StrengthUnit.MG_PER_ML) == pytest.approx(strength)
    in_water = strength_mg_per_ml(percent, unit=StrengthUnit.PERCENT_WW, density_kg_per_l=1.0)
    assert in_water == pytest.approx(strength)


def test_arrays() -> None:
    both = strength_mg_per_ml(np.array([1.0, 2.0]), unit=StrengthUnit.PERCENT_WV)
    assert np.asarray(both) == pytest.approx([10.0, 20.0])


def test_one_to_ten_in_its_two_meanings() -> None:
    assert dilution_fraction(10.0, meaning=OneTo.IN) == pytest.approx(0.1)
    assert dilution_fraction(10.0, meaning=OneTo.PLUS) == pytest.approx(1.0 / 11.0)
    # The ambiguous wound swab, "1:10 of 1 %", is a tenfold question of basis on top: 0.1 % of what?
    assert dilution_fraction(10.0, meaning=OneTo.IN) * 1.0 == pytest.approx(0.1)
    with pytest.raises(ImpossibleInput):
        dilution_fraction(0.5, meaning=OneTo.IN)


def test_stock_past_its_age() -> None:
    assert past_keeping("tricaine stock", age_d=29.0) is None
    old = past_keeping("tricaine stock", age_d=31.0)
    assert old is not None
    assert old["then"] == "refuse"
    tired = past_keeping("hypochlorite household", age_d=200.0)
    assert tired is not None
    assert tired["then"] == "caution"
    with pytest.raises(LookupError):
        past_keeping("elixir", age_d=1.0)
    with pytest.raises(ImpossibleInput):
        past_keeping("tricaine stock", age_d=-1.0)
