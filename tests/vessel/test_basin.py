"""Filling and emptying: the inverse, conservation, and what is built of parts."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterplan.errors import ImpossibleInput
from waterplan.vessel.basin import Basin, Part, together
from waterplan.vessel.forms import Plan, Profile, basin_of, sizes_wanted
from waterplan.vessel.liner import Shelf, liner_pond
from waterplan.vessel.shapes import prism_volume_l

SIZES = {
    "length_m": 4.0,
    "width_m": 2.5,
    "diameter_m": 1.4,
    "side_m": 1.1,
    "sides": 8.0,
    "base_m": 3.0,
    "height_m": 2.0,
    "notch_length_m": 1.5,
    "notch_width_m": 1.0,
    "first_lobe_width_m": 1.8,
    "second_lobe_width_m": 2.2,
    "corner_radius_m": 0.4,
    "area_m2": 7.0,
    "floor_area_m2": 0.9,
    "middle_area_m2": 1.4,
    "floor_fall_m": 0.5,
    "wall_slope": 0.3,
    "brim_m": 1.1,
}
RECTANGULAR = {Profile.SLOPING_FLOOR, Profile.LEANING_WALLS, Profile.LYING_CYLINDER}
PAIRS = [
    (plan, profile)
    for plan in Plan
    for profile in Profile
    if not (profile in RECTANGULAR and plan is not Plan.RECTANGLE)
]
PAIRS.append((Plan.ROUNDED_RECTANGLE, Profile.LEANING_WALLS))


def example(plan: Plan, profile: Profile) -> Basin:
    return basin_of(plan, profile, sizes={name: SIZES[name] for name in sizes_wanted(plan, profile)})


BASINS = {f"{plan}, {profile}": example(plan, profile) for plan, profile in PAIRS}
BASINS["liner pond with everything"] = liner_pond(
    length_m=6.0,
    width_m=4.0,
    brim_m=1.5,
    wall_slope=0.2,
    corner_radius_m=0.5,
    shelves=[Shelf(depth_m=0.3, width_m=0.3), Shelf(depth_m=0.7, width_m=0.4, length_m=1.5)],
    floor_fall_m=0.4,
)


def box(area: float, brim: float) -> Basin:
    return Basin(filling=lambda depth_m: prism_volume_l(area, depth_m=depth_m), brim_m=brim)


@pytest.mark.parametrize("name", BASINS)
@given(share=st.floats(0.0, 1.0))
@settings(max_examples=15, deadline=None)
def test_the_depth_of_a_volume_gives_the_volume_back(name: str, share: float) -> None:
    basin = BASINS[name]
    litres = share * float(basin.full_l())
    assert basin.volume_l(basin.depth_m(litres)) == pytest.approx(litres, rel=1e-9, abs=1e-6)


@pytest.mark.parametrize("name", BASINS)
@given(first=st.floats(0.0, 1.0), second=st.floats(0.0, 1.0))
@settings(max_examples=15, deadline=None)
def test_a_fill_split_in_two_adds_up(name: str, first: float, second: float) -> None:
    """Pour some, then the rest: the level is that of all poured at once, and no litre is lost between two depths."""
    basin, full = BASINS[name], float(BASINS[name].full_l())
    poured = first * full
    rest = second * (full - poured)
    halfway = basin.depth_m(poured)
    at_end = basin.depth_m(min(basin.volume_l(halfway) + rest, full))
    assert basin.volume_l(at_end) - basin.volume_l(halfway) == pytest.approx(rest, abs=1e-6 * full)
    assert at_end >= halfway - 1e-7  # at the top of a lying cylinder a litre is no height at all


def test_litres_per_centimetre_and_a_water_change() -> None:
    tub = box(20.0, 1.0)
    assert tub.litres_per_cm(0.8) == pytest.approx(200.0)
    assert tub.litres_per_cm(0.004) == pytest.approx(80.0)
    assert tub.level_fall_m(0.8, change_fraction=0.25) == pytest.approx(0.2)
    cone = example(Plan.CIRCLE, Profile.CONE)
    left = cone.volume_l(1.0 - cone.level_fall_m(1.0, change_fraction=0.3))
    assert left == pytest.approx(0.7 * cone.volume_l(1.0))


def test_draws_pass_through_the_inverse() -> None:
    brim = np.array([1.0, 1.1, 1.2])
    area = np.array([2.0, 2.1, 1.9])
    tub = Basin(filling=lambda depth_m: prism_volume_l(area, depth_m=depth_m), brim_m=brim)
    assert np.asarray(tub.depth_m(1000.0)) == pytest.approx(1.0 / area)


def test_parts_side_by_side_on_top_and_taken_away() -> None:
    deep, shallow = box(2.0, 1.0), box(5.0, 0.4)
    pond = together(Part(basin=deep), Part(basin=shallow, floor_m=0.6), Part(basin=box(0.5, 0.3), takes_place=True))
    assert pond.brim_m == pytest.approx(1.0)
    assert pond.full_l() == pytest.approx(2000.0 + 2000.0 - 150.0)
    assert pond.volume_l(0.2) == pytest.approx(300.0)
    assert pond.volume_l(0.8) == pytest.approx(1600.0 + 1000.0 - 150.0)


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: box(2.0, 1.0).volume_l(1.1), "depth_m"),
        (lambda: box(2.0, 1.0).volume_l(-0.1), "depth_m"),
        (lambda: box(2.0, 1.0).volume_l(math.nan), "depth_m"),
        (lambda: box(2.0, 1.0).depth_m(2001.0), "volume_l"),
        (lambda: box(2.0, 0.0), "brim_m"),
        (lambda: together(Part(basin=box(1.0, 1.0), takes_place=True)), "parts"),
        (lambda: together(Part(basin=box(1.0, 1.0)), Part(basin=box(2.0, 0.5), takes_place=True)), "parts"),
        (lambda: box(2.0, 1.0).level_fall_m(0.5, change_fraction=1.5), "change_fraction"),
        (lambda: basin_of(Plan.CIRCLE, Profile.CONE, sizes={"diameter_m": 1.0}), "sizes"),
        (lambda: sizes_wanted(Plan.CIRCLE, Profile.SLOPING_FLOOR), "profile"),
    ],
)
def test_what_cannot_be_is_named(call: object, named: str) -> None:
    with pytest.raises(ImpossibleInput) as caught:
        call()  # type: ignore[operator]
    assert caught.value.argument == named
