"""Areas at depths: a real lake, closed forms, and what is wrong with a row."""

import math

import pytest

from tests.vessel.vessel_values import printed
from waterplan.errors import CaseError
from waterplan.spread import Draws, band
from waterplan.vessel import contours
from waterplan.vessel.agreement import relative_error
from waterplan.vessel.contours import contour_volume

DRAWS = Draws(count=400)


@pytest.mark.parametrize(("function", "first", "others", "row"), printed("vessel_contours"))
def test_printed_volume(function: str, first: list[float], others: dict[str, list[float]], row: dict[str, str]) -> None:
    found = getattr(contours, function)(first, **others)
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_the_band_widens_where_a_shelf_hides_between_levels() -> None:
    smooth = contour_volume([(0.0, 20.0), (0.5, 16.0), (1.0, 12.0), (1.5, 8.0)], draws=DRAWS, name="pond")
    shelf = contour_volume([(0.0, 20.0), (0.5, 19.0), (1.0, 9.0), (1.5, 8.0)], draws=DRAWS, name="pond")
    assert relative_error(shelf.litres) > 2.0 * relative_error(smooth.litres)
    low, _, high = band(shelf.litres)
    assert low < 1000.0 * 0.5 * (20.0 + 10.0 + 9.0) < high


def test_a_straight_curve_of_area_leaves_only_the_error_of_the_areas() -> None:
    found = contour_volume([(0.0, 20.0), (0.5, 15.0), (1.0, 10.0)], draws=DRAWS, name="pond")
    assert found.litres[0] == pytest.approx(15000.0)
    # Each area is good to 3 % and stands for a quarter, a half and a quarter of the depth: 5, 7.5 and 2.5 m3.
    assert relative_error(found.litres) == pytest.approx(0.03 * math.hypot(5.0, 7.5, 2.5) / 15.0, rel=0.02)
    assert found.area_m2 is not None
    assert found.area_m2[0] == 20.0


def test_areas_that_grow_within_their_errors_are_one_area() -> None:
    """By hand: 20 and 20.4 m2 of a straight wall are 20.2 m2 read twice: 20.2 m3 above the floor at 1 m, and no less."""
    found = contour_volume([(0.0, 20.0), (0.5, 20.4), (1.0, 20.2)], draws=DRAWS, name="pond")
    assert found.litres[0] == pytest.approx(20200.0)


def test_a_ledge_in_the_first_slice_by_hand() -> None:
    """20 m2, then 10, 10 and 10 m2 half a metre apart. The first slice loses 10 m2 where the one beside it loses none: a

    ledge somewhere in it misses by 10 x 0.5 / sqrt(12) = 1.443 m3; the second is suspected of half of that, as one of the
    slices beside it lost 10: 0.722 m3; together 1.614 m3. The areas' own 3 %: of 5, 5, 5 and 2.5 m3, 0.265 m3. In all 1.635.
    """
    found = contour_volume([(0.0, 20.0), (0.5, 10.0), (1.0, 10.0), (1.5, 10.0)], draws=DRAWS, name="pond")
    assert found.litres[0] * relative_error(found.litres) == pytest.approx(1635.0, rel=0.03)


def test_nothing_hides_beside_upright_sides_by_hand() -> None:
    """20 m2 upright to 0.6 m, read twice, then evenly to nothing at 1.2 m: 20 x 0.6 + 20 x 0.6 / 2 = 18 m3.

    An even fall hides no ledge. The areas' own 3 %: of 20 m2 over 0.6 m and half of 0.3 m, over the root of two for twice;
    and of 10 m2 over 0.3 m: 0.03 x (15 / sqrt 2 and 3 in squares) = 0.331 m3.
    """
    rows = [(0.0, 20.0), (0.4, 20.0), (0.9, 10.0), (1.2, 0.0)]
    found = contour_volume(rows, draws=DRAWS, name="pond", upright_m=0.6)
    assert found.litres[0] == pytest.approx(18000.0)
    assert found.litres[0] * relative_error(found.litres) == pytest.approx(331.0, rel=0.03)


def test_upright_sides_over_a_flat_floor_are_their_area_times_their_depth() -> None:
    """By hand: 20 m2 and 1 m, read three times: 20 m3 to 3 % over the root of three."""
    rows = [(0.0, 20.0), (0.5, 20.0), (1.0, 20.0)]
    found = contour_volume(rows, draws=DRAWS, name="pond", upright_m=1.0)
    assert found.litres[0] == pytest.approx(20000.0)
    assert relative_error(found.litres) == pytest.approx(0.03 / math.sqrt(3.0), rel=0.03)


@pytest.mark.parametrize(
    ("rows", "where", "words"),
    [
        ([(0.0, 20.0), (0.4, 17.0), (0.9, 10.0), (1.2, 0.0)], "row 2", "smaller than the surface, where the sides"),
        ([(0.0, 20.0), (0.4, 20.0), (1.2, 0.0)], "rows", "at least two below the upright sides"),
        ([(0.0, 20.0), (0.2, 20.0), (0.5, 20.0)], "rows", "at least two below the upright sides"),
    ],
)
def test_what_gainsays_upright_sides_is_refused(rows: list[tuple[float, float]], where: str, words: str) -> None:
    with pytest.raises(CaseError) as caught:
        contour_volume(rows, draws=DRAWS, name="pond", upright_m=0.6)
    assert caught.value.mistakes[0].where == where
    assert words in str(caught.value)


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
