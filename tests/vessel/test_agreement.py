"""Several volumes of one pond: the weighted mean, the test, the odd one out."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chi2

from waterplan.errors import ImpossibleInput
from waterplan.spread import Draws, Measured
from waterplan.vessel.agreement import agreement, combined
from waterplan.vessel.volume import Method, Volume

DRAWS = Draws()


def volume(litres: float, relative_sd: float, name: str) -> Volume:
    return Volume(litres=DRAWS.of(name, Measured.within_factor(litres, relative_sd)), method=Method.STATED, words=name)


def test_the_weighted_mean_by_hand() -> None:
    # 10 ± 1 and 13 ± 2: weights 1 and 1/4, mean 13.25 / 1.25 = 10.6, error sqrt(0.8); chi-squared 0.36 + 1.44.
    found = agreement([10.0, 13.0], errors=[1.0, 2.0])
    assert (found.mean, found.error, found.chi_squared) == pytest.approx((10.6, 0.8**0.5, 1.8))
    assert found.agrees
    assert found.odd is None


@given(st.lists(st.tuples(st.floats(1.0, 20.0), st.floats(0.1, 3.0)), min_size=2, max_size=6))
def test_the_chance_is_that_of_an_independent_library(results: list[tuple[float, float]]) -> None:
    values, errors = np.asarray(results).T
    found = agreement(values, errors=errors)
    assert found.chance == pytest.approx(chi2.sf(found.chi_squared, found.freedom), abs=1e-12)
    assert values.min() - 1e-9 <= found.mean <= values.max() + 1e-9
    assert found.error <= errors.min() + 1e-9


def test_the_odd_one_out_is_the_one_without_which_the_others_agree() -> None:
    for odd in range(4):
        values = np.array([10.1, 9.9, 10.0, 10.05])
        values[odd] += 4.0
        assert agreement(values, errors=np.full(4, 0.5)).odd == odd


def test_methods_that_agree_are_surer_together() -> None:
    pond = {"grid": volume(10000.0, 0.05, "grid"), "salt": volume(10500.0, 0.04, "salt")}
    found = combined(pond, draws=DRAWS, name="pond")
    weights = np.array([1.0 / 0.05**2, 1.0 / 0.04**2])
    expected = np.exp(weights @ np.log([10000.0, 10500.0]) / weights.sum())
    assert found.band.best == pytest.approx(expected, rel=1e-3)
    assert found.relative_sd == pytest.approx(weights.sum() ** -0.5, rel=0.03)
    assert not found.cautions


def test_methods_that_disagree_are_spanned_and_the_odd_one_is_named() -> None:
    pond = {
        "owner's sums": volume(16000.0, 0.05, "owner"),
        "grid": volume(10000.0, 0.05, "grid"),
        "salt": volume(10400.0, 0.04, "salt"),
    }
    found = combined(pond, draws=DRAWS, name="pond")
    assert "odd one out is owner's sums" in found.cautions[0]
    assert found.band.low < 10000.0
    assert found.band.high > 15500.0
    assert found.band.best == pytest.approx(10400.0)


def test_of_two_that_disagree_neither_is_named() -> None:
    pond = {"grid": volume(10000.0, 0.05, "grid"), "salt": volume(15000.0, 0.04, "salt")}
    found = combined(pond, draws=DRAWS, name="pond")
    assert "cannot be told which is wrong" in found.cautions[0]
    assert found.band.low < 10000.0
    assert found.band.high > 15000.0


def test_the_test_is_wrong_once_in_twenty_when_all_is_right() -> None:
    rng = np.random.default_rng(8)
    wrong = sum(not agreement(rng.normal(10.0, 0.5, 3), errors=np.full(3, 0.5)).agrees for _ in range(2000))
    assert 0.035 <= wrong / 2000 <= 0.065


def test_sources_and_cautions_of_the_parts_are_kept() -> None:
    litres, common = volume(10000.0, 0.05, "a").litres, ("vessel_survey/depths in common",)
    told = Volume(litres=litres, method=Method.GRID, words="", cautions=("few soundings",), rows=common)
    found = combined({"a": told, "b": volume(10100.0, 0.05, "b")}, draws=DRAWS, name="pond")
    assert found.cautions == ("few soundings",)
    assert found.equations == (agreement,)
    assert found.rows == common


@pytest.mark.parametrize(
    "pond",
    [
        {"grid": volume(1000.0, 0.05, "grid")},
        {"grid": volume(1000.0, 0.05, "grid"), "tub": Volume(litres=1000.0, method=Method.STATED, words="")},
    ],
)
def test_what_cannot_be_combined_is_refused(pond: dict[str, Volume]) -> None:
    with pytest.raises(ImpossibleInput):
        combined(pond, draws=DRAWS, name="pond")


def test_an_error_of_nothing_is_refused() -> None:
    with pytest.raises(ImpossibleInput, match="errors"):
        agreement([1.0, 2.0], errors=[0.0, 1.0])
