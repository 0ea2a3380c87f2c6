"""A dose into a volume with an error."""

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from waterplan.dose.banded import DoseVolume, Purpose, banded_dose
from waterplan.errors import ImpossibleInput, Refused

POND = DoseVolume(low_l=900.0, best_l=1000.0, high_l=1200.0, guessed=False)
GUESS = DoseVolume(low_l=900.0, best_l=1000.0, high_l=1200.0, guessed=True)
LEVEL = st.floats(0.1, 1000.0)
SHARE = st.floats(0.0, 1.0)


@st.composite
def volumes(draw: st.DrawFn) -> DoseVolume:
    low = draw(st.floats(1.0, 1e5))
    best = low * draw(st.floats(1.0, 2.0))
    return DoseVolume(low_l=low, best_l=best, high_l=best * draw(st.floats(1.0, 2.0)), guessed=False)


@settings(max_examples=100)
@given(volumes(), LEVEL, SHARE, SHARE)
def test_no_volume_of_the_band_passes_the_ceiling(volume: DoseVolume, ceiling: float, share: float, at: float) -> None:
    wanted = ceiling * share
    dose = banded_dose(volume, wanted_mg_per_l=wanted, purpose=Purpose.HARMS_IN_EXCESS, ceiling_mg_per_l=ceiling)
    inside_l = volume.low_l + at * (volume.high_l - volume.low_l)
    assert dose.amount_g * 1000.0 / inside_l <= ceiling * (1.0 + 1e-9)


@settings(max_examples=100)
@given(volumes(), LEVEL, SHARE, SHARE)
def test_no_volume_of_the_band_leaves_an_antidote_under_its_floor(
    volume: DoseVolume, wanted: float, share: float, at: float
) -> None:
    floor = wanted * share
    dose = banded_dose(volume, wanted_mg_per_l=wanted, purpose=Purpose.ANTIDOTE, floor_mg_per_l=floor)
    inside_l = volume.low_l + at * (volume.high_l - volume.low_l)
    assert dose.amount_g * 1000.0 / inside_l >= floor * (1.0 - 1e-9)
    assert not dose.too_weak


@settings(max_examples=50)
@given(volumes(), LEVEL, LEVEL)
def test_what_is_in_the_water_counts(volume: DoseVolume, wanted: float, present: float) -> None:
    dose = banded_dose(volume, wanted_mg_per_l=wanted, present_mg_per_l=present, purpose=Purpose.HARMS_IN_EXCESS)
    assert dose.level.low <= dose.level.best <= dose.level.high
    assert dose.level.high == pytest.approx(max(wanted, present))
    assume(wanted > present)
    assert dose.amount_g == pytest.approx((wanted - present) * volume.low_l / 1000.0)


def test_the_volume_that_was_used_is_named() -> None:
    # Hand arithmetic: 2 mg/L x 900 L; 1800 mg over 1200, 1000 and 900 L.
    dose = banded_dose(POND, wanted_mg_per_l=2.0, purpose=Purpose.HARMS_IN_EXCESS)
    assert dose.amount_g == pytest.approx(1.8)
    assert dose.level == pytest.approx((1.5, 1.8, 2.0))
    assert dose.words == (
        "worked out for 900 L, the low end of the volume; the level is then 1.5 to 2 mg/L, 1.8 at best"
    )


def test_too_weak_at_the_high_end_is_said() -> None:
    dose = banded_dose(POND, wanted_mg_per_l=2.0, purpose=Purpose.HARMS_IN_EXCESS, floor_mg_per_l=1.8)
    assert dose.too_weak


def test_a_narrow_margin_is_refused_on_a_guess_only() -> None:
    banded_dose(POND, wanted_mg_per_l=2.0, purpose=Purpose.HARMS_IN_EXCESS, ceiling_mg_per_l=3.0)
    with pytest.raises(Refused, match="measure the volume"):
        banded_dose(GUESS, wanted_mg_per_l=2.0, purpose=Purpose.HARMS_IN_EXCESS, ceiling_mg_per_l=3.0)
    wide = banded_dose(GUESS, wanted_mg_per_l=2.0, purpose=Purpose.HARMS_IN_EXCESS, ceiling_mg_per_l=6.0)
    assert wide.margin == pytest.approx(3.0)


def test_above_the_ceiling_is_refused_with_both_figures() -> None:
    with pytest.raises(Refused, match=r"7 mg/L is wanted and 6 mg/L"):
        banded_dose(POND, wanted_mg_per_l=7.0, purpose=Purpose.HARMS_IN_EXCESS, ceiling_mg_per_l=6.0)


def test_an_antidote_that_would_harm_at_the_low_end_is_refused() -> None:
    # 2 mg/L for 1200 L is 2.67 mg/L in 900 L.
    with pytest.raises(Refused, match=r"900 L.*2\.667 mg/L"):
        banded_dose(POND, wanted_mg_per_l=2.0, purpose=Purpose.ANTIDOTE, ceiling_mg_per_l=2.5)


def test_impossible_volumes_and_levels() -> None:
    for low, best, high in ((0.0, 1.0, 2.0), (2.0, 1.0, 3.0), (1.0, 2.0, float("inf")), (1.0, float("nan"), 2.0)):
        with pytest.raises(ImpossibleInput):
            DoseVolume(low_l=low, best_l=best, high_l=high, guessed=False)
    with pytest.raises(ImpossibleInput, match="floor"):
        banded_dose(POND, wanted_mg_per_l=1.0, purpose=Purpose.ANTIDOTE, floor_mg_per_l=2.0)
    with pytest.raises(ImpossibleInput):
        banded_dose(POND, wanted_mg_per_l=-1.0, purpose=Purpose.ANTIDOTE)
