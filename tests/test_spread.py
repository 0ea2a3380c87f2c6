"""Measured values, their draws, and the way back to low, best and high."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from waterplan.errors import ImpossibleInput
from waterplan.spread import DEFAULT_DRAWS, Band, Draws, Kind, Measured, band, chance

P = np.array([1e-6, 0.001, 0.05, 0.25, 0.5, 0.75, 0.95, 0.999, 1 - 1e-6])

# -- one value and its error --------------------------------------------------------------------------------------


def test_exact_values_do_not_move() -> None:
    assert Measured.exact(3.0).at(P).tolist() == [3.0] * P.size


def test_a_stated_plus_minus_is_a_95_percent_interval() -> None:
    measured = Measured.plus_minus(10.0, 0.5)
    quantiles = measured.at(P)
    assert quantiles == pytest.approx(stats.norm(10.0, 0.5 / stats.norm.ppf(0.975)).ppf(P))
    assert measured.at(np.array([0.025, 0.975])) == pytest.approx([9.5, 10.5], abs=1e-6)


def test_a_normal_error_is_cut_at_what_is_possible() -> None:
    measured = Measured.plus_minus(0.1, 0.3, floor=0.0, ceiling=0.5)
    sd = 0.3 / stats.norm.ppf(0.975)
    cut = stats.truncnorm((0.0 - 0.1) / sd, (0.5 - 0.1) / sd, loc=0.1, scale=sd)
    assert measured.at(P) == pytest.approx(cut.ppf(P), abs=1e-7)


def test_a_proportional_error_has_its_relative_standard_deviation() -> None:
    for relative in (0.02, 0.25, 0.8):
        measured = Measured.within_factor(5.0, relative)
        law = stats.lognorm(s=measured.spread, scale=5.0)
        assert measured.at(P) == pytest.approx(law.ppf(P))
        assert law.std() / law.mean() == pytest.approx(relative)
        assert law.median() == pytest.approx(5.0)


@given(low=st.floats(0.01, 10.0), to_best=st.floats(1.0, 5.0), to_high=st.floats(1.0, 5.0))
def test_a_printed_range_is_hit_at_its_5th_and_95th_percentile(low: float, to_best: float, to_high: float) -> None:
    best, high = low * to_best, low * to_best * to_high
    measured = Measured.from_range(low, best, high)
    assert measured.at(np.array([0.05, 0.5, 0.95])) == pytest.approx([low, best, high], rel=1e-5)
    assert np.all(measured.at(P) > 0.0)
    assert np.all(np.diff(measured.at(P)) >= 0.0)


def test_a_value_known_only_to_lie_between_two_is_uniform() -> None:
    measured = Measured.between(0.0, 0.25, censored=True)
    assert measured.at(P) == pytest.approx(stats.uniform(0.0, 0.25).ppf(P))
    assert measured.best == 0.125
    assert measured.censored
    assert Measured.between(0.0, 1.0, best=0.9).best == 0.9


measured_values = st.one_of(
    st.builds(Measured.exact, st.floats(-100.0, 100.0)),
    st.builds(
        Measured.plus_minus, st.floats(0.0, 10.0), st.floats(0.0, 50.0), floor=st.just(0.0), ceiling=st.just(10.0)
    ),
    st.builds(Measured.within_factor, st.floats(0.001, 1000.0), st.floats(0.0, 2.0)),
    st.floats(0.0, 5.0).flatmap(lambda low: st.builds(Measured.between, st.just(low), st.floats(low, low + 5.0))),
)


@given(measured_values)
def test_quantiles_rise_are_finite_and_keep_within_what_is_possible(measured: Measured) -> None:
    quantiles = measured.at(P)
    assert np.all(np.isfinite(quantiles))
    assert np.all(np.diff(quantiles) >= -1e-9)
    assert np.all((quantiles >= measured.floor) & (quantiles <= measured.ceiling))


def test_no_error_at_all_is_exact() -> None:
    assert Measured.plus_minus(4.0, 0.0).kind is Kind.EXACT
    assert Measured.within_factor(4.0, 0.0).kind is Kind.EXACT


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ({"best": math.nan}, "best = nan"),
        ({"best": math.inf}, "best = inf"),
        ({"best": 1.0, "spread": -0.1}, "spread = -0.1"),
        ({"best": 1.0, "spread": math.nan}, "spread = nan"),
        ({"best": 1.0, "spread_above": -0.1, "kind": Kind.LOGNORMAL}, "spread_above = -0.1"),
        ({"best": 1.0, "kind": Kind.NORMAL}, "above 0 for a normal error"),
        ({"best": 1.0, "floor": 2.0}, "between its floor 2"),
        ({"best": 0.0, "kind": Kind.LOGNORMAL}, "above 0"),
        ({"best": 1.0, "kind": Kind.UNIFORM, "floor": 0.0}, "finite for a uniform error"),
    ],
)
def test_a_value_that_cannot_be_is_refused_when_it_is_made(arguments: dict[str, float], said: str) -> None:
    with pytest.raises(ImpossibleInput, match=said):
        Measured(**arguments)  # type: ignore[arg-type]


@pytest.mark.parametrize("figures", [(0.0, 1.0, 2.0), (2.0, 1.0, 3.0), (1.0, 3.0, 2.0), (math.nan, 1.0, 2.0)])
def test_a_range_out_of_order_is_refused(figures: tuple[float, float, float]) -> None:
    with pytest.raises(ImpossibleInput):
        Measured.from_range(*figures)


@pytest.mark.parametrize("relative", [-0.1, math.nan, math.inf])
def test_a_proportional_error_cannot_be_negative_or_endless(relative: float) -> None:
    with pytest.raises(ImpossibleInput):
        Measured.within_factor(1.0, relative)


def test_a_negative_plus_minus_is_refused() -> None:
    with pytest.raises(ImpossibleInput):
        Measured.plus_minus(1.0, -0.1)


# -- the draws ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["patient.weight", "weather", "", "Wasser, grün"])
@pytest.mark.parametrize("count", [1, 7, 4096])
def test_one_draw_in_each_stratum(name: str, count: int) -> None:
    drawn = Draws(count=count).probabilities(name)
    assert drawn.shape == (count,)
    assert sorted(np.floor(drawn * count).astype(int)) == list(range(count))
    assert np.all((drawn > 0.0) & (drawn < 1.0))


def test_a_column_depends_on_seed_count_and_name_only() -> None:
    one, other = Draws(), Draws()
    other.probabilities("something drawn before")
    assert np.array_equal(one.probabilities("patient.weight"), other.probabilities("patient.weight"))
    assert not np.array_equal(one.probabilities("patient.weight"), one.probabilities("patient.length"))
    assert not np.array_equal(one.probabilities("x"), Draws(seed=1).probabilities("x"))


def test_columns_are_not_correlated() -> None:
    draws = Draws()
    columns = np.array([draws.probabilities(f"column {number}") for number in range(12)])
    between = np.corrcoef(columns) - np.eye(12)
    # Five standard errors of a correlation of so many pairs.
    assert np.abs(between).max() < 5.0 / math.sqrt(DEFAULT_DRAWS)


def test_the_best_value_comes_first_and_the_draws_follow_the_law() -> None:
    values = Draws().of("x", Measured.plus_minus(10.0, 0.5))
    assert values.shape == (DEFAULT_DRAWS + 1,)
    assert values[0] == 10.0
    drawn = values[1:]
    # Stratified: a quantile lies within a stratum of the law's, where a free draw's error would be seven times as wide.
    law = stats.norm(10.0, 0.5 / stats.norm.ppf(0.975))
    at = np.array([0.05, 0.5, 0.95])
    assert np.all(np.abs(np.quantile(drawn, at) - law.ppf(at)) < 1.0 / (DEFAULT_DRAWS * law.pdf(law.ppf(at))))
    assert drawn.mean() == pytest.approx(10.0, abs=1e-3)
    assert stats.kstest(drawn, law.cdf).statistic < 2.0 / DEFAULT_DRAWS


@pytest.mark.parametrize(("count", "seed"), [(0, 1), (-5, 1), (1_000_001, 1), (10, -1)])
def test_impossible_draws(count: int, seed: int) -> None:
    with pytest.raises(ImpossibleInput):
        Draws(count=count, seed=seed)


# -- the way back -------------------------------------------------------------------------------------------------


def test_band_is_the_5th_percentile_the_best_and_the_95th() -> None:
    values = np.concatenate([[50.0], np.arange(1.0, 101.0)])
    assert band(values) == Band(6.0, 50.0, 95.0)
    assert band(values).low == np.quantile(values[1:], 0.05, method="nearest")


def test_band_of_many_draws_agrees_with_an_interpolated_quantile() -> None:
    values = Draws().of("x", Measured.from_range(1.0, 2.0, 5.0))
    assert band(values) == pytest.approx((1.0, 2.0, 5.0), rel=2e-3)
    assert band(values).high == pytest.approx(np.quantile(values[1:], 0.95), rel=1e-3)


def test_something_known_without_error_is_its_own_band() -> None:
    assert band(3.5) == Band(3.5, 3.5, 3.5)
    assert band(np.array([3.5])) == Band(3.5, 3.5, 3.5)


def test_never_is_an_answer_and_no_nan() -> None:
    never = np.full(101, np.inf)
    assert band(never) == Band(np.inf, np.inf, np.inf)
    mixed = np.concatenate([[4.0], np.arange(1.0, 81.0), np.full(20, np.inf)])
    assert band(mixed).low == 6.0
    assert band(mixed).high == np.inf
    assert not np.isnan(band(mixed)).any()


def test_chance_is_the_share_of_the_draws_without_the_best() -> None:
    assert chance(np.array([False, True, True, True, False])) == 0.75
    assert chance(np.array([True])) == 1.0
    assert chance(True) == 1.0
    assert chance(False) == 0.0
