"""The line through a bucket test: certified values, an independent library, and what is wrong with a row."""

import numpy as np
import pytest
from scipy.stats import linregress

from tests.vessel.vessel_values import number_or_numbers, rows
from waterplan.errors import CaseError, ImpossibleInput
from waterplan.spread import Draws, Measured
from waterplan.vessel.calibration import BucketTest, fitted_line


@pytest.mark.parametrize("row", rows("vessel_line"), ids=lambda row: f"{row['source']} {row['figure']}")
def test_certified_line(row: dict[str, str]) -> None:
    line = fitted_line(number_or_numbers(row["x"]), y=number_or_numbers(row["y"]))  # type: ignore[arg-type]
    assert getattr(line, row["figure"]) == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_the_line_is_that_of_an_independent_library() -> None:
    rng = np.random.default_rng(4)
    x = rng.uniform(0.0, 5.0, 7)
    y = 0.4 + 0.2 * x + rng.normal(0.0, 0.01, 7)
    line, other = fitted_line(x, y=y), linregress(x, y)
    assert (line.slope, line.slope_error) == pytest.approx((other.slope, other.stderr))


def test_the_drawn_slope_covers_the_true_one() -> None:
    """With four readings the error has two degrees of freedom: nine bands in ten hold the true slope all the same."""
    rng = np.random.default_rng(11)
    draws, held = Draws(count=200), 0
    added = np.array([0.0, 2.0, 4.0, 6.0])
    for trial in range(300):
        read = 0.42 + 0.2 * added + rng.normal(0.0, 0.004, 4)
        test = BucketTest.of(np.column_stack([added, read]), bucket_l=Measured.exact(10.0))
        low, high = np.percentile(test.drawn(draws, f"trial {trial}")[1:], [5.0, 95.0])
        held += low <= 2.0 <= high
    assert 0.85 <= held / 300 <= 0.95


@pytest.mark.parametrize(
    ("table", "where", "words"),
    [
        ([(0.0, 0.42), (2.0, 0.82)], "rows", "three pairs"),
        ([(0.0, 0.42), (2.0, 0.40), (4.0, 1.2)], "row 2", "cannot fall"),
        ([(0.0, 0.42), (2.0, 0.82), (2.0, 1.2)], "row 3", "count the salt up"),
        ([(0.0, 0.42), (2.0, "0.82 mS"), (4.0, 1.2)], "row 2", "two numbers"),
    ],
)
def test_a_wrong_bucket_test_is_refused_with_its_row(
    table: list[tuple[object, object]], where: str, words: str
) -> None:
    with pytest.raises(CaseError) as caught:
        BucketTest.of(table, bucket_l=Measured.exact(10.0))  # type: ignore[arg-type]
    assert caught.value.mistakes[0].where == where
    assert words in str(caught.value)


def test_points_at_one_place_make_no_line() -> None:
    with pytest.raises(ImpossibleInput, match="different values"):
        fitted_line([1.0, 1.0, 1.0], y=[1.0, 2.0, 3.0])
