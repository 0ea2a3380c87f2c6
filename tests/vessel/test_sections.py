"""Grids and lines: exact averages over the random start, closed forms, and what is wrong with a row."""

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator

from waterplan.errors import CaseError, ImpossibleInput
from waterplan.spread import Draws, Measured, band
from waterplan.vessel.agreement import relative_error
from waterplan.vessel.sections import _smooth_area, grid_volume, transect_volume
from waterplan.vessel.systematic import Edge, Shore, _share, hidden_between, systematic_variance
from waterplan.vessel.volume import effective_freedom

DRAWS = Draws(count=400)
RUNS_OUT = Shore(edge=Edge.RUNS_OUT)


def predicted_and_true(function: object, length: float, edge: Edge) -> tuple[float, float]:
    """Mean of the predicted variance, and the variance, of a systematic sum over all starts."""
    totals, predicted = [], []
    for start in (np.arange(400) + 0.5) / 400.0:
        values = np.asarray(function(np.arange(start, length, 1.0)))  # type: ignore[operator]
        totals.append(values.sum())
        predicted.append(systematic_variance(values, spacing_m=1.0, edge=edge))
    return float(np.mean(predicted)), float(np.var(totals))


@pytest.mark.parametrize("length", [4.25, 5.5, 7.7])
def test_the_variance_of_a_block(length: float) -> None:
    # A block of height 1 holds its whole part, or one more with the chance of its fraction f: the variance is f (1 - f).
    # Averaged over f that is a sixth, which is 1/12 of 3 n - 4 (n - 1) + (n - 2) = 2.
    predicted, true = predicted_and_true(np.ones_like, length, Edge.WALL)
    fraction = length % 1.0
    assert true == pytest.approx(fraction * (1.0 - fraction), abs=1e-3)
    assert predicted == pytest.approx(1.0 / 6.0)


@pytest.mark.longer
@pytest.mark.parametrize(("most", "times"), [(4.0, 1.5), (0.6, 4.0)], ids=["triangle", "trough"])
def test_the_variance_of_a_shape_that_runs_out(most: float, times: float) -> None:
    """A triangle, and a trough that is full 0.6 of a spacing from its ends: between lines that is nearly a jump.

    Averaged over lengths: single lengths fall above and below. So few values know badly how steeply they run out: the
    error that is predicted is never too small, and at most twice what happens. By a slope's 1/240 that of the trough would be
    half of it.
    """
    both = [
        predicted_and_true(lambda x, size=size: np.minimum(np.minimum(x, size - x), most), size, Edge.RUNS_OUT)
        for size in np.arange(5.0, 7.0, 0.05)
    ]
    predicted, true = np.mean(both, axis=0)
    assert true <= predicted <= times * true


def test_rows_tell_how_steeply_they_run_out() -> None:
    """Half ellipses end steeply (q = 1/2): by hand gamma(3) zeta(3) pi / (2 ln 2) / (2 pi)^3 = 2 x 1.2021 x 2.2662 / 248.05 =

    0.02196 of 3 C0 - 4 C1 + C2, over five times the 1/240 of a slope. Many rows of other lengths and starts are told
    together, and what is predicted is what happens, within the quarter by which single lengths differ.
    """
    rng = np.random.default_rng(5)
    predicted, misses = [], []
    for _ in range(300):
        rows = []
        for length, start in zip(rng.uniform(5.0, 9.0, 12), rng.random(12), strict=True):
            places = np.arange(start, length, 1.0)
            values = np.sqrt(np.maximum(1.0 - (2.0 * places / length - 1.0) ** 2, 0.0))
            misses.append(values.sum() - np.pi / 4.0 * length)
            rows.append(np.pad(values, (0, 10 - len(values))))
        predicted.append(systematic_variance(np.array(rows), spacing_m=1.0, edge=Edge.RUNS_OUT) / 12.0)
    assert np.mean(predicted) == pytest.approx(np.mean(np.square(misses)), rel=0.25)


@pytest.mark.parametrize(("smoothness", "share"), [(0.0, 1.0 / 12.0), (0.5, 0.02196), (1.0, 1.0 / 240.0)])
def test_the_share_of_the_covariogram(smoothness: float, share: float) -> None:
    assert _share(smoothness) == pytest.approx(share, rel=1e-3)


@pytest.mark.parametrize(
    ("values", "expected"), [([1.0] * 5, 2.0 / 12.0), ([1.0, 2.0, 1.0], 13.0 / 90.0)], ids=["block", "peak"]
)
def test_over_ledges_jump_and_slope_are_told_apart(values: list[float], expected: float) -> None:
    """By hand. Block: 15 - 16 + 3 = 2, by twos 15 - 12 + 1 = 4, all jump. Peak: C = 6, 4, 1, 0, so 18 - 16 + 1 = 3, by twos

    18 - 4 = 14 or 14/3 times as much: (8 - 14/3) / 6 = 5/9 of it jump, and 3 (5/9 / 12 + 4/9 / 240) = 13/90. A floor that
    is known to run out evenly has less, and never that of a wall.
    """
    assert systematic_variance(values, spacing_m=1.0, edge=Edge.LEDGES) == pytest.approx(expected)
    assert systematic_variance(values, spacing_m=1.0, edge=Edge.RUNS_OUT) < 0.5 * expected


def test_ends_of_opposite_sign_miss_together() -> None:
    """A wedge from -1 to 1 over five spacings, five values from a random start u: they are evenly spaced by 2/5, so that

    their sum is 2 u - 1 for a start of u spacings: a variance of 4/12 = 1/3. Of its two ends alone, each a jump of 1, it
    would be (1 + 1) / 12 = 1/6.
    """
    starts = (np.arange(400) + 0.5) / 400.0
    wedges = [2.0 * (np.arange(5) + start) / 5.0 - 1.0 for start in starts]
    assert np.var([wedge.sum() for wedge in wedges]) == pytest.approx(1.0 / 3.0, rel=0.01)
    predicted = np.mean([systematic_variance(wedge, spacing_m=1.0, edge=Edge.WALL) for wedge in wedges])
    assert 0.25 < predicted < 0.45
    block = systematic_variance(np.ones(5), spacing_m=1.0, edge=Edge.WALL)
    assert block == pytest.approx(1.0 / 6.0)


def test_few_lines_know_their_own_error_badly() -> None:
    """By hand: the same variance, but t with 2 degrees of freedom has its 95th percentile at 2.920, with 8 at 1.860.

    Four lines and ten, each over the same bowl of parabolas, in which no ledge can hide: the step between lines alone is left.
    """
    halves = []
    for count in (4, 10):
        shape = np.minimum(np.arange(1, count + 1), np.arange(count, 0, -1))
        lines = [
            [(0.0, 0.0), (1.0, 0.3 * depth), (2.0, 0.4 * depth), (3.0, 0.3 * depth), (4.0, 0.0)] for depth in shape
        ]
        found = transect_volume(lines, spacing_m=1.0, shore=RUNS_OUT, draws=Draws(count=4000), name="pond")
        areas = np.array([0.4 * depth * 4.0 * 2.0 / 3.0 for depth in shape])  # a parabola fills two thirds of its box
        assert found.litres[0] == pytest.approx(1000.0 * areas.sum())
        sd = np.sqrt(systematic_variance(areas, spacing_m=1.0, edge=Edge.RUNS_OUT)) / areas.sum()
        common = 0.01 * float(4.0 * count) / areas.sum()
        low, _, high = band(found.litres)
        alone = np.sqrt((np.log(high / low) / 2.0) ** 2 - (1.645 * common) ** 2)
        halves.append(alone / sd)
    assert halves[0] == pytest.approx(2.920, rel=0.06)
    assert halves[1] == pytest.approx(1.860, rel=0.06)


def test_freedoms_of_a_sum_by_hand() -> None:
    """(9 + 1)^2 / (9^2/3 + 1^2/5) = 100 / 27.2; what is known for sure adds to the sum alone: (9 + 1)^2 / (9^2/3) = 100/27."""
    assert effective_freedom([9.0, 1.0], freedoms=[3.0, 5.0]) == pytest.approx(100.0 / 27.2)
    assert effective_freedom([9.0, 1.0], freedoms=[3.0, np.inf]) == pytest.approx(100.0 / 27.0)


def test_the_area_of_a_section_is_that_of_a_general_library() -> None:
    """Rises, falls, ledges and level floors, at three places and more, evenly and unevenly spaced."""
    rng = np.random.default_rng(3)
    for count in (3, 4, 5, 9) * 50:
        along = np.cumsum(rng.uniform(0.1, 1.0, count))
        depth = rng.choice([0.0, 0.2, 0.5, 1.0, 1.7], count)
        expected = PchipInterpolator(along, depth).integrate(along[0], along[-1])
        assert _smooth_area(depth, along) == pytest.approx(float(expected), abs=1e-12)


def test_a_ledge_between_two_soundings_by_hand() -> None:
    """Depths 1, 1, 3, 3, 3 a metre apart: the second slice falls by 2 where those beside it fall by none, 2/sqrt(12) = 0.577;

    its neighbours are suspected of half of that, to the other side. The last slice is level as the one beside it.
    """
    found = hidden_between([1.0, 1.0, 3.0, 3.0, 3.0], places=[0.0, 1.0, 2.0, 3.0, 4.0])
    assert found * np.sqrt(12.0) == pytest.approx([-2.0, 2.0, -1.0, 0.0])


def test_what_hides_alike_in_all_lines_does_not_average_out() -> None:
    """Three lines over one ledge miss together: 3 x 2/sqrt(12) and not sqrt(3) times that; and of a bank as steep at each end."""
    line = [(0.0, 1.0), (1.0, 1.0), (2.0, 1.0), (3.0, 3.0), (4.0, 3.0), (5.0, 3.0)]
    shore = Shore(edge=Edge.WALL, area_m2=Measured.exact(15.0), wall_depth_m=1.0)
    found = transect_volume([line] * 3, spacing_m=1.0, shore=shore, draws=Draws(count=4000), name="pond")
    ledge = 3.0 * np.sqrt(2.0**2 + 1.0**2 + 1.0**2) / np.sqrt(12.0)
    between = systematic_variance([5.0] * 3, spacing_m=1.0, edge=Edge.WALL)
    sd = np.sqrt(ledge**2 + between) / 30.0
    common = 0.01 * 15.0 / 30.0
    freedom = effective_freedom([between, ledge**2], freedoms=[2.0, np.inf])
    assert freedom > 5.0
    assert found.litres[0] == pytest.approx(30000.0)
    assert relative_error(found.litres) == pytest.approx(
        np.hypot(sd * np.sqrt(freedom / (freedom - 2.0)), common), rel=0.05
    )


def test_a_grid_over_a_box_with_its_area() -> None:
    shore = Shore(edge=Edge.WALL, area_m2=Measured.exact(24.0), wall_depth_m=1.2)
    found = grid_volume([[1.2] * 5] * 3, spacing_m=1.0, row_spacing_m=1.0, shore=shore, draws=DRAWS, name="tub")
    # 15 places of 24 m2 fell in, and it does not matter: the wall's depth stands on the traced area. What is left is
    # the centimetre that all depths have in common.
    assert found.litres[0] == pytest.approx(28800.0)
    assert relative_error(found.litres) == pytest.approx(0.01 / 1.2, rel=0.02)


def test_lines_over_a_box_and_over_a_wedge() -> None:
    shore = Shore(edge=Edge.WALL, area_m2=Measured.exact(24.0), wall_depth_m=1.0)
    line = [(0.0, 1.0), (2.0, 1.0), (4.0, 1.0)]
    box = transect_volume([line] * 6, spacing_m=1.0, shore=shore, draws=DRAWS, name="tub")
    assert box.litres[0] == pytest.approx(24000.0)
    wedge = [(0.0, 0.0), (1.0, 0.5), (2.0, 1.0), (3.0, 0.5), (4.0, 0.0)]
    found = transect_volume([wedge] * 6, spacing_m=1.0, shore=RUNS_OUT, draws=DRAWS, name="ditch")
    # A smooth curve rounds the keel: by Hermite's rule 1/4 and 3/4 + (1/2)/12 on each side, 2.083 m2 where the wedge has 2.
    assert found.litres[0] == pytest.approx(12500.0)
    low, _, high = band(found.litres)
    assert low < 12000.0 < high


def test_places_on_land_may_stand_in_a_line() -> None:
    grid = [["-", 0.5, ""], [0.5, 1.0, 0.5], ["-", 0.5, "-"], ["-", 0.2, "-"]]
    found = grid_volume(grid, spacing_m=2.0, row_spacing_m=1.0, shore=RUNS_OUT, draws=DRAWS, name="pond")
    assert found.litres[0] == pytest.approx(2000.0 * 3.2)


@pytest.mark.parametrize(
    ("grid", "where"),
    [
        ([[0.5, -0.1, 0.5], [0.5] * 3], "row 1, place 2"),
        ([[0.5] * 3, [0.5, 0.5, "deep"]], "row 2, place 3"),
        ([[0.5, 0.5]], "rows"),
    ],
)
def test_a_wrong_depth_in_a_grid_is_refused_with_its_place(grid: list[list[object]], where: str) -> None:
    with pytest.raises(CaseError) as caught:
        grid_volume(grid, spacing_m=1.0, row_spacing_m=1.0, shore=RUNS_OUT, draws=DRAWS, name="pond")  # type: ignore[arg-type]
    assert [mistake.where for mistake in caught.value.mistakes] == [where]


@pytest.mark.parametrize(
    ("line", "where"),
    [
        ([(0.0, 0.0), (2.0, 1.0), (1.0, 1.0), (4.0, 0.0)], "line 2, row 3"),
        ([(0.0, 0.0), (2.0, -1.0), (3.0, 1.0), (4.0, 0.0)], "line 2, row 2"),
        ([(0.0, 0.0), (2.0, "1 m"), (3.0, 1.0), (4.0, 0.0)], "line 2, row 2"),
        ([(0.0, 0.0), (4.0, 0.0)], "line 2"),
    ],
)
def test_a_wrong_line_is_refused_with_its_row(line: list[tuple[object, object]], where: str) -> None:
    good = [(0.0, 0.0), (2.0, 1.0), (4.0, 0.0)]
    with pytest.raises(CaseError) as caught:
        transect_volume([good, line], spacing_m=1.0, shore=RUNS_OUT, draws=DRAWS, name="pond")  # type: ignore[list-item]
    assert [mistake.where for mistake in caught.value.mistakes] == [where]


@pytest.mark.parametrize(
    "call",
    [
        lambda: Shore(edge=Edge.WALL),
        lambda: Shore(edge=Edge.WALL, area_m2=Measured.exact(24.0)),
        lambda: transect_volume([[(0, 0), (1, 1), (2, 0)]], spacing_m=1.0, shore=RUNS_OUT, draws=DRAWS, name="pond"),
        lambda: grid_volume(
            [[0.5] * 3] * 3, spacing_m=0.0, row_spacing_m=1.0, shore=RUNS_OUT, draws=DRAWS, name="pond"
        ),
    ],
)
def test_what_cannot_be_is_refused(call: object) -> None:
    with pytest.raises(ImpossibleInput):
        call()  # type: ignore[operator]
