"""Areas at depths: a real lake, closed forms, the bias of end areas, and what is wrong with a row."""

import math

import numpy as np
import pytest

from tests.vessel.vessel_values import printed
from waterplan.errors import CaseError
from waterplan.spread import Draws
from waterplan.vessel import contours
from waterplan.vessel.contours import contour_volume

DRAWS = Draws(count=400)


@pytest.mark.parametrize(("function", "first", "others", "row"), printed("vessel_contours"))
def test_printed_volume(function: str, first: list[float], others: dict[str, list[float]], row: dict[str, str]) -> None:
    found = getattr(contours, function)(first, **others)
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize(
    ("name", "area", "volume"),
    [
        ("cone", lambda t: (1.0 - t) ** 2, 1.0 / 3.0),
        ("soft bowl", lambda t: 1.0 - t, 1.0 / 2.0),
        ("round bowl", lambda t: 1.0 - t**2, 2.0 / 3.0),
        ("frustum", lambda t: (1.0 - 0.4 * t) ** 2, (1.0 - 0.6**3) / 1.2),
    ],
)
def test_the_prismoid_is_exact_where_the_area_is_a_parabola(name: str, area: object, volume: float) -> None:
    for depth in (np.linspace(0.0, 1.0, 5), np.array([0.0, 0.2, 0.5, 0.6, 1.0])):
        found = contours.prismoid_contours_l(area(depth), depth_m=depth)  # type: ignore[operator]
        assert found == pytest.approx(1000.0 * volume, rel=1e-9)


def test_the_conic_rule_is_exact_for_cones_in_any_number_of_slices() -> None:
    for count in (2, 3, 7):
        depth = np.linspace(0.0, 1.0, count)
        assert contours.conic_volume_l((1.0 - depth) ** 2, depth_m=depth) == pytest.approx(1000.0 / 3.0)


def test_the_band_widens_where_a_shelf_hides_between_levels() -> None:
    smooth = contour_volume([(0.0, 20.0), (0.5, 16.0), (1.0, 12.0), (1.5, 8.0)], draws=DRAWS, name="pond")
    shelf = contour_volume([(0.0, 20.0), (0.5, 19.0), (1.0, 9.0), (1.5, 8.0)], draws=DRAWS, name="pond")
    assert shelf.relative_sd > 2.0 * smooth.relative_sd
    assert shelf.band.low < 1000.0 * 0.5 * (20.0 + 10.0 + 9.0) < shelf.band.high


def test_an_exact_area_leaves_only_the_curve() -> None:
    found = contour_volume([(0.0, 20.0), (0.5, 15.0), (1.0, 10.0)], draws=DRAWS, name="pond", area_error=0.0)
    assert found.band == pytest.approx((15000.0, 15000.0, 15000.0))


@pytest.mark.parametrize(
    ("rows", "where", "words"),
    [
        ([(0.2, 20.0), (0.5, 15.0), (1.0, 8.0)], "row 1", "surface"),
        ([(0.0, 20.0), (0.5, 22.0), (1.0, 8.0)], "row 2", "larger than the 20 m2 above it"),
        ([(0.0, 20.0), (0.5, 15.0), (0.5, 8.0)], "row 3", "only once"),
        ([(0.0, 20.0), (0.5, "15 m2"), (1.0, 8.0)], "row 2", "numbers"),
        ([(0.0, 20.0), (0.5, 15.0), (1.2, 8.0)], "row 3", "stated as 1.1 m"),
        ([(0.0, 20.0), (0.5, math.nan), (1.0, 8.0)], "row 2", "0 or more"),
        ([(0.0, 20.0), (0.5, 15.0)], "rows", "at least three"),
    ],
)
def test_a_wrong_level_is_refused_with_its_row(rows: list[tuple[object, object]], where: str, words: str) -> None:
    with pytest.raises(CaseError) as caught:
        contour_volume(rows, draws=DRAWS, name="pond", deepest_m=1.1)  # type: ignore[arg-type]
    assert caught.value.mistakes[0].where == where
    assert words in str(caught.value)
