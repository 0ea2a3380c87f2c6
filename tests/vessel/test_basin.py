"""Filling: litres at a depth, and the surface there."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterplan.errors import ImpossibleInput
from waterplan.vessel.basin import Basin
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
@given(first=st.floats(0.0, 1.0), second=st.floats(0.0, 1.0))
@settings(max_examples=15, deadline=None)
def test_deeper_water_is_more_water(name: str, first: float, second: float) -> None:
    basin = BASINS[name]
    less, more = (float(basin.volume_l(share * float(basin.brim_m))) for share in sorted((first, second)))
    assert -1e-9 <= less <= more + 1e-6


def test_the_surface_is_that_of_the_last_centimetre() -> None:
    tub = box(20.0, 1.0)
    assert tub.surface_m2(0.8) == pytest.approx(20.0)
    assert tub.surface_m2(0.004) == pytest.approx(8.0)
    cone = example(Plan.CIRCLE, Profile.CONE)
    # At the rim it has the area of its circle, and half a centimetre further down a little less.
    assert cone.surface_m2(1.1) == pytest.approx(math.pi * 0.49 * (1.095 / 1.1) ** 2, rel=1e-4)


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: box(2.0, 1.0).volume_l(1.1), "depth_m"),
        (lambda: box(2.0, 1.0).volume_l(-0.1), "depth_m"),
        (lambda: box(2.0, 1.0).volume_l(math.nan), "depth_m"),
        (lambda: box(2.0, 0.0), "brim_m"),
        (lambda: sizes_wanted(Plan.CIRCLE, Profile.SLOPING_FLOOR), "profile"),
    ],
)
def test_what_cannot_be_is_named(call: object, named: str) -> None:
    with pytest.raises(ImpossibleInput) as caught:
        call()  # type: ignore[operator]
    assert caught.value.argument == named
