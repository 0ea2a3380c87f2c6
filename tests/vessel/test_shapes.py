"""Areas of plan shapes, against printed areas and against the polygon with the same corners."""

import math

import numpy as np
import pytest

from tests.vessel.vessel_values import printed
from waterplan.errors import ImpossibleInput
from waterplan.vessel import outline, shapes


@pytest.mark.parametrize(("function", "first", "others", "row"), printed("vessel_areas"))
def test_printed_area(function: str, first: float, others: dict[str, float], row: dict[str, str]) -> None:
    room = shapes if hasattr(shapes, function) else outline
    assert getattr(room, function)(first, **others) == pytest.approx(
        float(row["expected"]), abs=float(row["tolerance"])
    )


def shoelace(corners: list[tuple[float, float]]) -> float:
    total = sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(corners, corners[1:] + corners[:1], strict=True))
    return abs(total) / 2.0


def around(count: int) -> list[float]:
    return [2.0 * math.pi * number / count for number in range(count)]


def test_an_ellipse_is_the_limit_of_its_polygons() -> None:
    corners = [(3.0 * math.cos(angle), 2.0 * math.sin(angle)) for angle in around(20000)]
    assert shapes.ellipse_area_m2(6.0, width_m=4.0) == pytest.approx(shoelace(corners), rel=1e-6)


def test_a_regular_polygon_has_the_area_of_its_corners() -> None:
    for sides in (3, 5, 6, 8, 12):
        radius = 1.5 / 2.0 / math.sin(math.pi / sides)
        corners = [(radius * math.cos(angle), radius * math.sin(angle)) for angle in around(sides)]
        assert shapes.regular_polygon_area_m2(1.5, sides=sides) == pytest.approx(shoelace(corners))


def test_an_l_has_the_area_of_its_corners() -> None:
    corners = [(0.0, 0.0), (5.0, 0.0), (5.0, 3.0), (3.0, 3.0), (3.0, 4.0), (0.0, 4.0)]
    found = shapes.l_shape_area_m2(5.0, width_m=4.0, notch_length_m=2.0, notch_width_m=1.0)
    assert found == pytest.approx(shoelace(corners))


def test_a_stadium_is_a_rectangle_rounded_to_the_full() -> None:
    rounded = shapes.rounded_rectangle_area_m2(7.0, width_m=3.0, corner_radius_m=1.5)
    assert shapes.stadium_area_m2(7.0, width_m=3.0) == pytest.approx(rounded)
    assert shapes.rounded_rectangle_area_m2(7.0, width_m=3.0, corner_radius_m=0.0) == 21.0


def test_the_kidney_rule_is_the_stadium_of_twice_its_width() -> None:
    kidney = shapes.kidney_area_m2(2.1, first_lobe_width_m=1.0, second_lobe_width_m=1.0)
    assert kidney == pytest.approx(shapes.stadium_area_m2(2.1, width_m=1.0), rel=0.005)


def test_arrays_broadcast_and_scalars_stay_scalars() -> None:
    assert isinstance(shapes.circle_area_m2(2), float)
    found = shapes.rectangle_area_m2(np.array([1.0, 2.0]), width_m=np.array([[1.0], [3.0]]))
    assert np.asarray(found).tolist() == [[1.0, 2.0], [3.0, 6.0]]


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: shapes.rectangle_area_m2(-1.0, width_m=2.0), "length_m"),
        (lambda: shapes.circle_area_m2(math.nan), "diameter_m"),
        (lambda: shapes.stadium_area_m2(2.0, width_m=3.0), "width_m"),
        (lambda: shapes.l_shape_area_m2(5.0, width_m=4.0, notch_length_m=6.0, notch_width_m=1.0), "notch_length_m"),
        (lambda: shapes.rounded_rectangle_area_m2(5.0, width_m=4.0, corner_radius_m=2.1), "corner_radius_m"),
        (lambda: shapes.regular_polygon_area_m2(1.0, sides=2), "sides"),
        (lambda: shapes.prism_volume_l(np.array([1.0, math.inf]), depth_m=1.0), "area_m2"),
    ],
)
def test_an_impossible_size_is_named(call: object, named: str) -> None:
    with pytest.raises(ImpossibleInput) as caught:
        call()  # type: ignore[operator]
    assert caught.value.argument == named
