"""Povidone-iodine."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterplan.dose.iodine import (
    available_iodine_mg_per_ml,
    iodine_stock_ml,
    iodine_use,
)
from waterplan.errors import ImpossibleInput


def test_the_pharmacopoeia_strength_contains_the_nominal_one() -> None:
    # British Pharmacopoeia 2013, Povidone-Iodine Solution: 0.85 to 1.20 % w/v available iodine.
    assert 8.5 < available_iodine_mg_per_ml(10.0) < 12.0


def test_more_iodine_than_the_stock_holds_is_impossible() -> None:
    with pytest.raises(ImpossibleInput, match="strength of the stock"):
        iodine_stock_ml(1.0, iodine_mg_available_per_l=10_001.0, pvp_iodine_percent=10.0)
    with pytest.raises(ImpossibleInput):
        available_iodine_mg_per_ml(0.0)


@settings(max_examples=50)
@given(st.floats(0.1, 1e3), st.floats(1.0, 1000.0), st.floats(1.0, 20.0))
def test_stock_diluted_gives_the_strength(volume_l: float, strength: float, percent: float) -> None:
    stock_ml = iodine_stock_ml(volume_l, iodine_mg_available_per_l=strength, pvp_iodine_percent=percent)
    assert 0.0 < stock_ml <= volume_l * 1000.0
    # Back the other way: grams of povidone-iodine in the stock, a tenth of it iodine.
    assert stock_ml / 100.0 * percent * 0.1 * 1000.0 / volume_l == pytest.approx(strength)


def test_arrays_broadcast() -> None:
    stock_ml = iodine_stock_ml(np.array([1.0, 2.0]), iodine_mg_available_per_l=100.0, pvp_iodine_percent=10.0)
    assert np.asarray(stock_ml) == pytest.approx([10.0, 20.0])


@pytest.mark.parametrize("use", ["instruments", "nets", "eggs", "wound", "hands"])
def test_uses_are_complete(use: str) -> None:
    row = iodine_use(use)
    assert row.unit == "mg/L"
    assert 100.0 <= row.low <= row.value <= row.high <= 10_000.0
    assert float(row["contact_min"]) > 0.0
    assert row["contact_words"]
    assert row["notes"]


def test_egg_strength_is_the_codes() -> None:
    # WOAH Aquatic Animal Health Code 2010, article 4.4.2: 100 ppm available iodine.
    assert iodine_use("eggs").value == 100.0
