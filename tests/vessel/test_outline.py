"""Traced shores: real outlines, closed forms, and what is wrong with a trace."""

import math

import numpy as np
import pytest

from tests.vessel.vessel_values import rows
from waterplan.errors import CaseError
from waterplan.vessel.outline import Outline, polygon_area_m2

OUTLINES = {row["pond"]: row for row in rows("vessel_outlines")}
TURN = np.linspace(0.0, 2.0 * math.pi, 16, endpoint=False)


def points(row: dict[str, str]) -> list[tuple[float, float]]:
    return list(zip((float(x) for x in row["x_m"].split("|")), (float(y) for y in row["y_m"].split("|")), strict=True))


@pytest.mark.parametrize("pond", OUTLINES)
def test_area_of_a_real_outline(pond: str) -> None:
    row = OUTLINES[pond]
    found = Outline.traced(points(row)).area_m2
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))
    # The table of the same ponds prints hundreds of square metres; the outlines have 6 to 9 corners.
    assert found == pytest.approx(float(row["printed_area_m2"]), rel=0.03)


def test_a_trace_far_from_its_origin_keeps_its_area() -> None:
    square = np.array([[0.0, 0.0], [6.0, 0.0], [6.0, 4.0], [0.0, 4.0]]) + np.array([512000.0, 5200000.0])
    assert polygon_area_m2(square[:, 0], y_m=square[:, 1]) == pytest.approx(24.0, rel=1e-12)


def test_a_curved_shore_through_sixteen_points_is_an_ellipse() -> None:
    ellipse = np.column_stack([3.0 * np.cos(TURN), 2.0 * np.sin(TURN)])
    straight, curved = Outline.traced(ellipse), Outline.traced(ellipse, curved=True)
    # Sixteen chords lose 1 - sin(2 pi / 16) / (2 pi / 16) of the area.
    assert straight.area_m2 / (6.0 * math.pi) == pytest.approx(math.sin(math.pi / 8) / (math.pi / 8))
    assert curved.area_m2 == pytest.approx(6.0 * math.pi, rel=1e-3)


def test_the_error_of_the_area_is_that_of_many_traces() -> None:
    rng = np.random.default_rng(7)
    true = np.array([[0.0, 0.0], [6.0, 0.0], [7.0, 3.0], [3.0, 5.0], [0.0, 4.0]])
    areas = [
        polygon_area_m2(moved[:, 0], y_m=moved[:, 1])
        for moved in (true + rng.normal(0.0, 0.03, true.shape) for _ in range(4000))
    ]
    stated = Outline.traced(true).area_error_m2
    assert stated == pytest.approx(np.std(areas), rel=0.04)


def test_what_lies_inside_a_kidney() -> None:
    horseshoe = Outline.traced([(0, 0), (6, 0), (6, 4), (4, 4), (4, 2), (2, 2), (2, 4), (0, 4)])
    places = np.array([[1.0, 3.0], [3.0, 3.0], [5.0, 3.0], [3.0, 1.0], [7.0, 1.0], [-1.0, 0.5]])
    assert horseshoe.contains(places).tolist() == [True, False, True, True, False, False]
    assert horseshoe.distance_m(places)[:2] == pytest.approx([1.0, 1.0])


def test_the_places_that_stand_for_the_area_integrate_over_it() -> None:
    ellipse = np.column_stack([3.0 * np.cos(TURN), 2.0 * np.sin(TURN)])
    places, share = Outline.traced(ellipse, curved=True).nodes(1200)
    bowl = 1.0 - (places[:, 0] / 3.0) ** 2 - (places[:, 1] / 2.0) ** 2
    assert share.sum() == pytest.approx(1.0)
    assert share @ bowl == pytest.approx(0.5, rel=2e-3)


@pytest.mark.parametrize(
    ("trace", "where", "words"),
    [
        ([(0, 0), (1, 1)], "rows", "three"),
        ([(0, 0), (4, 4), (4, 0), (0, 4)], "rows 1 and 3", "crosses itself"),
        ([(0, 0), (4, 0), (4, 4), (2, -1), (0, 4)], "rows 1 and 3", "crosses itself"),
        ([(0, 0), (4, 0), (4, 0), (0, 4)], "row 3", "repeated"),
        ([(0, 0), (1, 1), (2, 2)], "rows", "line"),
    ],
)
def test_a_wrong_trace_is_refused_with_its_row(trace: list[tuple[object, object]], where: str, words: str) -> None:
    with pytest.raises(CaseError) as caught:
        Outline.traced(trace)
    assert where in [mistake.where for mistake in caught.value.mistakes]
    assert words in str(caught.value)


def test_a_shore_closed_by_its_first_point_is_the_same() -> None:
    assert Outline.traced([(0, 0), (6, 0), (6, 4), (0, 4), (0, 0)]).area_m2 == 24.0
