"""Solids filled to a depth, against closed forms and against their areas integrated numerically."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from tests.vessel.vessel_values import printed
from waterplan.errors import ImpossibleInput
from waterplan.vessel import solids


@pytest.mark.parametrize(("function", "first", "others", "row"), printed("vessel_solids"))
def test_printed_volume(function: str, first: float, others: dict[str, float], row: dict[str, str]) -> None:
    found = getattr(solids, function)(first, **others)
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def rounded_area(z: float) -> float:
    inset = 0.4 * (1.2 - z)
    return (6.0 - 2 * inset) * (4.0 - 2 * inset) - (4 - math.pi) * max(0.3 - inset, 0.0) ** 2


# Each with the area of the surface at a height above the deepest point, written down independently.
AREAS: dict[str, tuple[Callable[[float], float], Callable[[float], float]]] = {
    "lying cylinder": (
        lambda z: solids.lying_cylinder_volume_l(z, diameter_m=1.2, length_m=3.0),
        lambda z: 3.0 * 2.0 * math.sqrt(max(z * (1.2 - z), 0.0)),
    ),
    "cone": (lambda z: solids.cone_volume_l(z, area_m2=5.0, brim_m=1.2), lambda z: 5.0 * (z / 1.2) ** 2),
    "soft bowl": (lambda z: solids.paraboloid_volume_l(z, area_m2=5.0, brim_m=1.2), lambda z: 5.0 * z / 1.2),
    "round bowl": (
        lambda z: solids.half_ellipsoid_volume_l(z, area_m2=5.0, brim_m=1.2),
        lambda z: 5.0 * (1.0 - (1.0 - z / 1.2) ** 2),
    ),
    "frustum": (
        lambda z: solids.frustum_volume_l(z, area_m2=9.0, floor_area_m2=4.0, brim_m=1.2),
        lambda z: (2.0 + z / 1.2) ** 2,
    ),
    "wedge": (
        lambda z: solids.sloping_floor_volume_l(z, length_m=3.0, width_m=2.0, floor_fall_m=0.7),
        lambda z: 6.0 * min(z / 0.7, 1.0),
    ),
    "rounded and leaning": (
        lambda z: solids.battered_volume_l(
            z, length_m=6.0, width_m=4.0, brim_m=1.2, wall_slope=0.4, corner_radius_m=0.3
        ),
        rounded_area,
    ),
}


@pytest.mark.parametrize("name", AREAS)
@pytest.mark.parametrize("depth", [0.0, 0.05, 0.4, 0.75, 1.0, 1.2])
def test_the_volume_is_the_integral_of_the_area(name: str, depth: float) -> None:
    volume, area = AREAS[name]
    corners = [0.45, 0.7] if depth > 0.7 else None
    expected = 1000.0 * quad(area, 0.0, depth, points=corners, limit=200)[0]
    assert volume(depth) == pytest.approx(expected, rel=1e-7, abs=1e-9)


@given(
    top=st.floats(0.5, 50.0),
    floor=st.floats(0.0, 50.0),
    brim=st.floats(0.2, 3.0),
    share=st.floats(0.0, 1.0),
)
@settings(max_examples=60, deadline=None)
def test_the_prismoid_is_exact_for_frusta(top: float, floor: float, brim: float, share: float) -> None:
    middle = ((math.sqrt(top) + math.sqrt(floor)) / 2.0) ** 2
    as_prismoid = solids.prismoid_volume_l(
        share * brim, area_m2=top, middle_area_m2=middle, floor_area_m2=floor, brim_m=brim
    )
    as_frustum = solids.frustum_volume_l(share * brim, area_m2=top, floor_area_m2=floor, brim_m=brim)
    assert as_prismoid == pytest.approx(as_frustum, rel=1e-9, abs=1e-9)


def test_the_prismoid_is_exact_for_a_sphere() -> None:
    # Surface and floor are points, the middle is the great circle.
    found = solids.prismoid_volume_l(2.0, area_m2=0.0, middle_area_m2=math.pi, floor_area_m2=0.0, brim_m=2.0)
    assert found == pytest.approx(4000.0 * math.pi / 3.0)


def test_leaning_walls_with_sharp_corners_are_a_prismoid() -> None:
    leaning = solids.battered_volume_l(0.8, length_m=5.0, width_m=3.0, brim_m=1.0, wall_slope=0.5)
    prismoid = solids.prismoid_volume_l(
        0.8, area_m2=15.0, middle_area_m2=4.5 * 2.5, floor_area_m2=4.0 * 2.0, brim_m=1.0
    )
    assert leaning == pytest.approx(prismoid)


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: solids.cone_volume_l(1.3, area_m2=5.0, brim_m=1.2), "depth_m"),
        (lambda: solids.cone_volume_l(0.0, area_m2=5.0, brim_m=0.0), "brim_m"),
        (lambda: solids.lying_cylinder_volume_l(1.3, diameter_m=1.2, length_m=3.0), "depth_m"),
        (lambda: solids.cone_volume_l(np.array([0.5, -0.1]), area_m2=5.0, brim_m=1.2), "depth_m"),
        (
            lambda: solids.battered_volume_l(1.0, length_m=6.0, width_m=1.9, brim_m=1.0, wall_slope=1.0),
            "twice wall_slope times brim_m",
        ),
        (
            lambda: solids.prismoid_volume_l(1.0, area_m2=4.0, middle_area_m2=0.1, floor_area_m2=0.0, brim_m=1.0),
            "middle_area_m2",
        ),
    ],
)
def test_an_impossible_solid_is_named(call: Callable[[], object], named: str) -> None:
    with pytest.raises(ImpossibleInput) as caught:
        call()
    assert caught.value.argument == named
