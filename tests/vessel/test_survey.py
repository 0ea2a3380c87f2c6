"""Soundings inside a shore: exact floors, and what is wrong with a sounding."""

import time

import numpy as np
import pytest

from waterplan.errors import CaseError, ImpossibleInput
from waterplan.spread import Draws
from waterplan.vessel.outline import Outline
from waterplan.vessel.survey import Survey, _solved, _whitening, mean_depth_m, sounded_volume

SHORE = Outline.traced([(0, 0), (6, 0), (6, 4), (0, 4)])
GRID = np.stack(np.meshgrid(np.arange(0.5, 6.0), np.arange(0.5, 4.0)), axis=-1).reshape(-1, 2)
DRAWS = Draws(count=400)


def sounded(depth: np.ndarray, **given: object) -> Survey:
    return Survey.taken(SHORE, np.column_stack([GRID, depth]), **given)  # type: ignore[arg-type]


def test_a_flat_floor_is_exact() -> None:
    survey = sounded(np.full(24, 1.2), shore_depth_m=1.2)
    mean, error = mean_depth_m(survey)
    assert mean == pytest.approx(1.2, abs=1e-6)
    assert survey.depth_at(GRID + 0.1) == pytest.approx(1.2, abs=1e-9)
    assert error < 0.01


def test_a_sloping_floor_is_exact() -> None:
    survey = sounded(0.5 + 0.2 * GRID[:, 0], shore_depth_m=[0.5, 1.7, 1.7, 0.5])
    assert mean_depth_m(survey)[0] == pytest.approx(1.1, abs=0.005)
    assert survey.depth_at(GRID) == pytest.approx(0.5 + 0.2 * GRID[:, 0], abs=1e-9)


def test_straight_lines_read_low_in_a_bowl_and_the_smooth_floor_does_not() -> None:
    u, v = (GRID[:, 0] - 3.0) / 3.0, (GRID[:, 1] - 2.0) / 2.0
    survey = sounded(1.5 * (1.0 - u**2) * (1.0 - v**2))
    true = 1.5 * 4.0 / 9.0
    places, share = SHORE.nodes(2000)
    assert share @ survey.depth_at(places) < 0.95 * true
    assert mean_depth_m(survey)[0] == pytest.approx(true, rel=0.02)


def test_the_answer_does_not_hang_on_where_the_tape_begins() -> None:
    u = (GRID[:, 0] - 3.0) / 3.0
    depth = 1.5 * (1.0 - u**2)
    away = np.array([512000.0, 5200000.0])
    moved = Survey.taken(Outline.traced(SHORE.points + away), np.column_stack([GRID + away, depth]))
    assert mean_depth_m(moved)[0] == pytest.approx(mean_depth_m(sounded(depth))[0], rel=1e-6)


@pytest.mark.longer
def test_many_soundings_are_averaged_in_cells() -> None:
    rng = np.random.default_rng(3)
    places = rng.uniform([0.0, 0.0], [6.0, 4.0], (2000, 2))
    u, v = (places[:, 0] - 3.0) / 3.0, (places[:, 1] - 2.0) / 2.0
    depth = np.maximum(1.5 * (1.0 - u**2) * (1.0 - v**2) + rng.normal(0.0, 0.02, 2000), 0.0)
    mean, error = mean_depth_m(Survey.taken(SHORE, np.column_stack([places, depth])))
    assert mean == pytest.approx(1.5 * 4.0 / 9.0, rel=0.01)
    assert error / mean < 0.01


def test_the_same_draws_give_the_same_volume() -> None:
    survey = sounded(np.full(24, 1.2), shore_depth_m=1.2)
    first, second = (sounded_volume(survey, draws=DRAWS, name="pond") for _ in range(2))
    assert np.array_equal(first.litres, second.litres)
    assert mean_depth_m in first.equations
    assert "vessel_survey/depths in common" in first.rows
    assert first.area_m2 is not None
    assert first.area_m2[0] == pytest.approx(24.0)


def test_a_bar_can_show_how_far_the_sum_is() -> None:
    shares: list[float] = []
    mean_depth_m(sounded(np.full(24, 1.2), shore_depth_m=1.2), progress=shares.append)
    assert shares == sorted(shares)
    assert shares[0] == 0.0
    assert 0.9 < shares[-1] < 1.0


GOOD = [(float(x), float(y), 1.0) for x, y in GRID[:8]]


@pytest.mark.parametrize(
    ("rows", "given", "where", "words"),
    [
        ([*GOOD, (7.0, 2.0, 1.0)], {}, "row 9", "outside the shore"),
        ([*GOOD, (3.0, 2.0, 1.9)], {"deepest_m": 1.5}, "row 9", "deeper than the deepest point, stated as 1.5 m"),
        ([*GOOD, (0.5, 0.5, 1.4)], {}, "row 9", "row 1 gives 1 m"),
        ([*GOOD, (3.0, 2.0, -0.2)], {}, "row 9", "downwards"),
        ([*GOOD, (3.0, 2.0, "80 cm")], {}, "row 9", "metres"),
        ([*GOOD, (3.0, 2.0)], {}, "row 9", "x, y and depth"),
        ([*GOOD, (3.0, 2.0, float("nan"))], {}, "row 9", "not measured"),
        (GOOD[:3], {}, "rows", "at least 6"),
        ([*GOOD[:4], *GOOD[:4]], {}, "rows", "at least 6"),
    ],
)
def test_a_wrong_sounding_is_refused_with_its_row(
    rows: list[object], given: dict[str, float], where: str, words: str
) -> None:
    with pytest.raises(CaseError) as caught:
        Survey.taken(SHORE, rows, **given)  # type: ignore[arg-type]
    assert [mistake.where for mistake in caught.value.mistakes] == [where]
    assert words in str(caught.value)


def test_all_mistakes_are_told_together() -> None:
    with pytest.raises(CaseError) as caught:
        Survey.taken(SHORE, [*GOOD, (7.0, 2.0, 1.0), (3.0, 2.0, -1.0)])
    assert {mistake.where for mistake in caught.value.mistakes} == {"row 9", "row 10"}


def test_a_sounding_at_the_foot_of_the_wall_is_inside() -> None:
    rows = [*GOOD, (6.02, 2.0, 1.0)]
    assert len(Survey.taken(SHORE, rows, shore_depth_m=1.0).soundings) == 9


def test_one_place_read_again_is_averaged_and_two_depths_at_one_place_are_refused() -> None:
    shore = Outline.traced([(0, 0), (6, 0), (6, 4), (0, 4)])
    rows = [(1, 1, 1.0), (3, 1, 1.0), (5, 1, 1.0), (1, 3, 1.0), (3, 3, 1.0), (5, 3, 1.0)]
    again = Survey.taken(shore, [*rows, (5, 3, 1.04)], shore_depth_m=1.0)  # 0.04 m apart, three errors are 0.045 m
    assert again.soundings[-1].tolist() == [5.0, 3.0, pytest.approx(1.02)]
    assert len(again.soundings) == 6
    with pytest.raises(CaseError, match=r"row 7: read 1\.05 m; row 6 gives 1 m at the same place"):
        Survey.taken(shore, [*rows, (5, 3, 1.05)], shore_depth_m=1.0)


@pytest.mark.parametrize("size", [1, 63, 64, 65, 200])
def test_what_takes_the_covariance_away_is_its_inverse(size: int) -> None:
    places = np.random.default_rng(size).uniform(size=(size, 2))
    apart = np.linalg.norm(places[:, None] - places, axis=2)
    matrix = np.exp(-apart) + 0.01 * np.eye(size)
    whitening, vector = _whitening(matrix), places[:, 0]
    assert not np.triu(whitening, 1).any()
    assert whitening @ matrix @ whitening.T == pytest.approx(np.eye(size), abs=1e-10)
    assert _solved(whitening, vector) == pytest.approx(np.linalg.solve(matrix, vector), abs=1e-9)


def test_places_that_cannot_be_told_apart_are_refused() -> None:
    with pytest.raises(ImpossibleInput, match="different enough"):
        _whitening(np.ones((80, 80)))


@pytest.mark.slow
def test_a_survey_keeps_to_its_own_thread() -> None:
    """Threads that wait for one another made the same sum take up to a thousand times as long on a busy machine."""
    places = np.random.default_rng(5).uniform([0.2, 0.2], [5.8, 3.8], (250, 2))
    survey = Survey.taken(SHORE, np.column_stack([places, np.ones(250)]), shore_depth_m=1.0)
    everywhere, here = time.process_time(), time.thread_time()
    mean_depth_m(survey)
    assert time.process_time() - everywhere < 1.3 * (time.thread_time() - here)
