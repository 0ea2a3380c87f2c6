"""What a band hangs on: functions whose indices are known, and what must hold of any."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import sobol_indices, uniform

from waterplan.plan.hangs_on import Bins
from waterplan.spread import Draws, Measured

DRAWS = Draws(count=4096)
UNIFORM = Measured.between(0.0, 1.0)
STANDARD = Measured.plus_minus(0.0, 1.959964)


def columns(measured, *names, draws=DRAWS):
    return {name: draws.of(name, measured) for name in names}


def shares(figure, inputs):
    return Bins(inputs).shares(figure)


def ishigami(x1, x2, x3):
    return np.sin(x1) + 7.0 * np.sin(x2) ** 2 + 0.1 * x3**4 * np.sin(x1)


def angles(draws=DRAWS):
    return columns(Measured.between(-math.pi, math.pi), "one", "two", "three", draws=draws)


def test_ishigamis_indices():
    x = angles()
    # Ishigami & Homma (1990): V = a2/8 + b pi4/5 + b2 pi8/18 + 1/2; V1 = (1 + b pi4/5)2/2; V2 = a2/8; V3 = 0.
    one, two = (1.0 + 0.1 * math.pi**4 / 5.0) ** 2 / 2.0, 49.0 / 8.0
    in_all = two + 0.1 * math.pi**4 / 5.0 + 0.01 * math.pi**8 / 18.0 + 0.5
    found = Bins(x).explained(ishigami(*x.values()))
    assert found["one"] == pytest.approx(one / in_all, abs=0.015)
    assert found["two"] == pytest.approx(two / in_all, abs=0.015)
    assert found["three"] == pytest.approx(0.0, abs=0.01)


def test_the_indices_of_ishigamis_rank_are_those_of_another_estimator():
    flat = uniform(-math.pi, 2.0 * math.pi)
    sample = np.sort(ishigami(*flat.rvs(size=(3, 400_000), random_state=5)))

    def rank(x):
        return np.searchsorted(sample, ishigami(*x)) / sample.size

    theirs = sobol_indices(func=rank, n=2**15, dists=[flat] * 3, rng=np.random.default_rng(6)).first_order
    x = angles()
    assert list(shares(ishigami(*x.values()), x).values()) == pytest.approx(theirs, abs=0.015)


@pytest.mark.parametrize("weights", [(1.0, 1.0), (3.0, 1.0), (1.0, 0.0), (2.0, -1.0)])
def test_a_sum_of_normal_inputs(weights):
    x = columns(STANDARD, "a", "b")
    figure = weights[0] * x["a"] + weights[1] * x["b"]
    share = np.array(weights) ** 2 / np.sum(np.square(weights))
    # Two sums that share one input are normal with its share as their correlation: Pearson's 6/pi asin(r/2) for ranks,
    # Sheppard's 2/pi asin(r) for their signs.
    assert list(shares(figure, x).values()) == pytest.approx(6.0 / math.pi * np.arcsin(share / 2.0), abs=0.015)
    assert list(Bins(x).explained(1.0 * (figure > 0.0)).values()) == pytest.approx(
        2.0 / math.pi * np.arcsin(share), abs=0.02
    )
    assert list(Bins(x).explained(figure).values()) == pytest.approx(share, abs=0.015)


def test_a_product_of_two():
    x = columns(UNIFORM, "a", "b")
    # For two uniforms the rank of ab is ab - ab ln(ab), its mean given a is 3a/4 - a ln(a)/2, and of that the variance
    # is 17/432, over the 1/12 of a rank.
    assert list(shares(x["a"] * x["b"], x).values()) == pytest.approx([17 / 36, 17 / 36], abs=0.015)


def test_what_two_inputs_do_only_together_belongs_to_neither():
    x = columns(STANDARD, "a", "b")
    assert max(Bins(x).explained(1.0 * (x["a"] * x["b"] > 0.0)).values()) < 0.01


@pytest.mark.parametrize("count", [64, 512, 4096])
def test_an_input_that_does_nothing_gets_about_nought_whatever_the_draws(count):
    draws = Draws(count=count)
    idle = columns(UNIFORM, *(f"idle {number}" for number in range(200)), draws=draws)
    figure = draws.of("figure", STANDARD)
    raw = 1.0 / count**0.5  # what as many bins explain by chance, without the correction
    found = np.array(list(shares(figure, idle).values()))
    assert found.mean() < 0.3 * raw
    assert np.median(found) < 0.1 * raw


def test_a_time_that_never_comes_ranks_highest_and_equal_times_share_their_rank():
    x = columns(UNIFORM, "a", "b")
    hours = np.where(x["a"] > 0.6, np.inf, np.floor(5.0 * x["a"]) + 0.01 * x["b"])
    finite = np.where(np.isinf(hours), 1e9, hours)
    assert shares(hours, x) == shares(finite, x) == shares(np.exp(np.minimum(finite, 10.0)), x)
    assert shares(hours, x)["a"] > 0.9
    assert shares(np.full(DRAWS.count + 1, np.inf), x) == {"a": 0.0, "b": 0.0}


def test_an_input_of_two_readings_that_contradict_each_other_has_two_bins():
    other = DRAWS.of("other", UNIFORM)
    either = np.where(DRAWS.of("either", UNIFORM) < 0.5, 7.0, 8.0)
    bins = Bins({"either": either, "other": other})
    assert bins.explained(either + 0.0 * other) == pytest.approx({"either": 1.0, "other": 0.0}, abs=0.01)
    assert bins.explained(either + other)["either"] == pytest.approx(3.0 / 4.0, abs=0.02)  # 1/4 over 1/4 + 1/12


def test_the_best_value_is_left_out():
    x = columns(UNIFORM, "a", "b")
    far = {name: np.concatenate([[1e9], column[1:]]) for name, column in x.items()}
    figure = x["a"] + x["b"]
    assert shares(np.concatenate([[-np.inf], figure[1:]]), far) == shares(figure, x)


@given(st.floats(0.1, 5.0), st.integers(0, 50))
def test_shares_stay_within_bounds_and_know_no_unit(weight, seed):
    draws = Draws(count=128, seed=seed)
    x = columns(STANDARD, "a", "b", "exact", draws=draws) | {"exact": np.full(129, 3.0)}
    figure = weight * x["a"] + x["b"] ** 2
    found = shares(figure, x)
    assert all(0.0 <= share <= 1.0 for share in found.values())
    assert found["exact"] == 0.0
    scaled = {name: 1000.0 * column - 7.0 for name, column in x.items()}
    assert shares(figure * 3.0 + 32.0, scaled) == pytest.approx(found, abs=1e-12)


def test_a_figure_keeps_those_worth_naming_with_the_largest_first():
    x = columns(STANDARD, "little", "most", "some", "none")
    figure = 2.0 * x["most"] + x["some"] + 0.1 * x["little"]
    kept = Bins(x).hangs_on(figure)
    assert [one.input for one in kept] == ["most", "some"]
    assert kept[0].share == pytest.approx(6.0 / math.pi * math.asin(4.0 / 5.01 / 2.0), abs=0.015)


def test_equal_shares_stand_by_their_names_whichever_was_drawn_first():
    column = DRAWS.of("one", UNIFORM)
    assert [one.input for one in Bins({"b": column, "c": column, "a": column}).hangs_on(column)] == ["a", "b", "c"]


def test_where_nothing_has_an_error_nothing_hangs_on_anything():
    assert shares(np.arange(10.0), {}) == {}


@pytest.mark.parametrize("count", [1, 2, 7])
def test_few_draws_tell_nothing(count):
    draws = Draws(count=count)
    x = columns(UNIFORM, "a", draws=draws)
    assert shares(x["a"], x) == {"a": 0.0}
    assert Bins(x).hangs_on(1.0 * (x["a"] > 0.5)) == ()
