"""Several volumes of one pond: the weighted mean, the test, the odd one out."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chi2

from waterplan.errors import ImpossibleInput
from waterplan.spread import Draws, Measured, band
from waterplan.vessel.agreement import agreement, combined, relative_error

DRAWS = Draws(count=4096)


def volume(litres: float, relative_sd: float, name: str) -> np.ndarray:
    return DRAWS.of(name, Measured.within_factor(litres, relative_sd))


def test_the_chance_by_hand() -> None:
    # 10 ± 1 and 13 ± 2: weights 1 and 1/4, mean 13.25 / 1.25 = 10.6; chi-squared 0.36 + 1.44.
    found = agreement([10.0, 13.0], errors=[1.0, 2.0])
    assert found.chance == pytest.approx(chi2.sf(1.8, 1))
    assert found.agrees
    assert found.odd is None


@given(st.lists(st.tuples(st.floats(1.0, 20.0), st.floats(0.1, 3.0)), min_size=2, max_size=6))
def test_the_chance_is_that_of_an_independent_library(results: list[tuple[float, float]]) -> None:
    values, errors = np.asarray(results).T
    mean = np.average(values, weights=errors**-2)
    expected = chi2.sf((((values - mean) / errors) ** 2).sum(), len(values) - 1)
    assert agreement(values, errors=errors).chance == pytest.approx(expected, abs=1e-12)


def test_the_odd_one_out_is_the_one_without_which_the_others_agree() -> None:
    for odd in range(4):
        values = np.array([10.1, 9.9, 10.0, 10.05])
        values[odd] += 4.0
        assert agreement(values, errors=np.full(4, 0.5)).odd == odd


def test_methods_that_agree_are_surer_together() -> None:
    litres, found = combined([volume(10000.0, 0.05, "grid"), volume(10500.0, 0.04, "salt")], draws=DRAWS, name="pond")
    weights = np.array([1.0 / 0.05**2, 1.0 / 0.04**2])
    expected = np.exp(weights @ np.log([10000.0, 10500.0]) / weights.sum())
    assert litres[0] == pytest.approx(expected, rel=1e-3)
    assert relative_error(litres) == pytest.approx(weights.sum() ** -0.5, rel=0.03)
    assert found.agrees


def test_methods_that_disagree_are_spanned_and_the_odd_one_is_named() -> None:
    pond = [volume(16000.0, 0.05, "owner"), volume(10000.0, 0.05, "grid"), volume(10400.0, 0.04, "salt")]
    litres, found = combined(pond, draws=DRAWS, name="pond")
    assert found.odd == 0
    low, best, high = band(litres)
    assert low < 10000.0
    assert high > 15500.0
    assert best == pytest.approx(10400.0)


def test_of_two_that_disagree_neither_is_named() -> None:
    litres, found = combined([volume(10000.0, 0.05, "grid"), volume(15000.0, 0.04, "salt")], draws=DRAWS, name="pond")
    assert not found.agrees
    assert found.odd is None
    low, _, high = band(litres)
    assert low < 10000.0
    assert high > 15000.0


def test_the_test_is_wrong_once_in_twenty_when_all_is_right() -> None:
    rng = np.random.default_rng(8)
    wrong = sum(not agreement(rng.normal(10.0, 0.5, 3), errors=np.full(3, 0.5)).agrees for _ in range(2000))
    assert 0.035 <= wrong / 2000 <= 0.065


@pytest.mark.parametrize(
    "pond", [[volume(1000.0, 0.05, "grid")], [volume(1000.0, 0.05, "grid"), np.full(4097, 1000.0)]]
)
def test_what_cannot_be_combined_is_refused(pond: list[np.ndarray]) -> None:
    with pytest.raises(ImpossibleInput):
        combined(pond, draws=DRAWS, name="pond")


def test_an_error_of_nothing_is_refused() -> None:
    with pytest.raises(ImpossibleInput, match="errors"):
        agreement([1.0, 2.0], errors=[0.0, 1.0])
