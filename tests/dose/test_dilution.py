"""Dilution forwards and backwards."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterplan.dose.dilution import drops, level_mg_per_l, stock_ml, substance_g, tablets
from waterplan.errors import ImpossibleInput

VOLUME = st.floats(0.1, 1e6)
LEVEL = st.floats(0.0, 1e4)
SHARE = st.floats(0.01, 1.0)


@settings(max_examples=60)
@given(VOLUME, LEVEL, LEVEL, SHARE)
def test_dose_then_level_returns_what_was_wanted(volume_l: float, wanted: float, present: float, share: float) -> None:
    grams = substance_g(volume_l, wanted_mg_per_l=wanted, present_mg_per_l=present, active_fraction=share)
    assert grams >= 0.0
    level = level_mg_per_l(volume_l, amount_g=grams, present_mg_per_l=present, active_fraction=share)
    assert level == pytest.approx(max(wanted, present), rel=1e-9, abs=1e-9)


@settings(max_examples=60)
@given(VOLUME, LEVEL, st.floats(0.1, 900.0))
def test_doubling_the_volume_doubles_grams_and_millilitres(volume_l: float, wanted: float, strength: float) -> None:
    assert substance_g(2.0 * volume_l, wanted_mg_per_l=wanted) == pytest.approx(
        2.0 * substance_g(volume_l, wanted_mg_per_l=wanted)
    )
    if wanted <= strength * 1000.0:
        drawn = stock_ml(volume_l, wanted_mg_per_l=wanted, stock_mg_per_ml=strength)
        assert stock_ml(2.0 * volume_l, wanted_mg_per_l=wanted, stock_mg_per_ml=strength) == pytest.approx(2.0 * drawn)
        # The same substance, weighed or drawn.
        assert drawn * strength / 1000.0 == pytest.approx(substance_g(volume_l, wanted_mg_per_l=wanted))


def test_draws_of_the_volume_give_a_band_of_the_level() -> None:
    levels = np.asarray(level_mg_per_l(np.array([900.0, 1000.0, 1200.0]), amount_g=1.8))
    # Hand arithmetic: 1800 mg over each volume.
    assert levels == pytest.approx([2.0, 1.8, 1.5])


def test_more_than_the_stock_holds_is_impossible() -> None:
    with pytest.raises(ImpossibleInput, match="strength of the stock"):
        stock_ml(1.0, wanted_mg_per_l=5001.0, stock_mg_per_ml=5.0)


@pytest.mark.parametrize("volume_l", [0.0, -1.0, float("nan"), float("inf")])
def test_impossible_volumes(volume_l: float) -> None:
    with pytest.raises(ImpossibleInput):
        level_mg_per_l(volume_l, amount_g=1.0)


def test_tablets_and_drops() -> None:
    # 200 L x 2 mg is four tablets of 100 mg; 10 L x 2 mg is 1 mL of 20 mg/mL, 20 drops of 0.05 mL.
    assert tablets(200.0, wanted_mg_per_l=2.0, tablet_mg=100.0) == pytest.approx(4.0)
    assert drops(10.0, wanted_mg_per_l=2.0, stock_mg_per_ml=20.0, drop_ml=0.05) == pytest.approx(20.0)
    with pytest.raises(ImpossibleInput):
        drops(10.0, wanted_mg_per_l=2.0, stock_mg_per_ml=20.0, drop_ml=0.0)
