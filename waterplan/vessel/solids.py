"""Water in solids that are filled to a depth: closed forms, from the deepest point up."""

import math

import numpy as np

from waterplan.errors import ImpossibleInput
from waterplan.published import Numbers, published
from waterplan.vessel.limits import require_not_above
from waterplan.vessel.shapes import LITRES_PER_M3


def _share_of_height(depth_m: Numbers, brim_m: Numbers) -> Numbers:
    require_not_above("depth_m", depth_m, "brim_m", brim_m)
    if not np.all(np.asarray(brim_m) > 0):
        raise ImpossibleInput("brim_m", brim_m, "above 0")
    return depth_m / brim_m


@published(source="bronshtein_2015", locator="3.3 Stereometry", status="derived")
def lying_cylinder_volume_l(depth_m: Numbers, *, diameter_m: Numbers, length_m: Numbers) -> Numbers:
    """Water in a cylinder that lies on its side.

    Parameters
    ----------
    depth_m : float or array
        Depth of water at its deepest [m].
    diameter_m, length_m : float or array
        Inner diameter and length of the cylinder [m].

    Returns
    -------
    float or array
        Volume of water [L].

    Raises
    ------
    ImpossibleInput
        A size is negative or not finite, or the water is deeper than the cylinder is wide.

    Notes
    -----
    L (R^2 acos(1 - h / R) - (R - h) sqrt(2 R h - h^2)); exact for flat ends.

    Examples
    --------
    >>> round(lying_cylinder_volume_l(0.5, diameter_m=1.0, length_m=2.0), 3)
    785.398
    """
    require_not_above("depth_m", depth_m, "diameter_m", diameter_m)
    if not np.all(np.asarray(diameter_m) > 0):
        raise ImpossibleInput("diameter_m", diameter_m, "above 0")
    radius = diameter_m / 2.0
    height = np.minimum(depth_m, diameter_m)
    # 2 asin(sqrt(h / D)) is acos(1 - h / R) without its loss of digits in shallow water.
    segment = 2.0 * radius**2 * np.arcsin(np.sqrt(height / diameter_m))
    segment = segment - (radius - height) * np.sqrt(height * (diameter_m - height))
    return LITRES_PER_M3 * length_m * segment


@published(source="bronshtein_2015", locator="3.3 Stereometry", status="derived")
def cone_volume_l(depth_m: Numbers, *, area_m2: Numbers, brim_m: Numbers) -> Numbers:
    """Water in a cone or pyramid that stands on its point.

    Parameters
    ----------
    depth_m : float or array
        Depth of water at the point [m].
    area_m2 : float or array
        Area at the rim [m2].
    brim_m : float or array
        Height of the rim above the point [m].

    Returns
    -------
    float or array
        Volume of water [L].

    Raises
    ------
    ImpossibleInput
        A size is negative or not finite, or the water stands above the rim.

    Notes
    -----
    A third of area times height when full, as the cube of the depth below that; exact for any plan.

    Examples
    --------
    >>> cone_volume_l(1.0, area_m2=6.0, brim_m=1.0)
    2000.0
    """
    share = _share_of_height(depth_m, brim_m)
    return LITRES_PER_M3 / 3.0 * area_m2 * brim_m * share**3


@published(source="bronshtein_2015", locator="3.3 Stereometry", status="derived")
def paraboloid_volume_l(depth_m: Numbers, *, area_m2: Numbers, brim_m: Numbers) -> Numbers:
    """Water in a soft bowl, an elliptic paraboloid.

    Parameters
    ----------
    depth_m : float or array
        Depth of water at the middle [m].
    area_m2 : float or array
        Area at the rim [m2].
    brim_m : float or array
        Height of the rim above the middle [m].

    Returns
    -------
    float or array
        Volume of water [L].

    Raises
    ------
    ImpossibleInput
        A size is negative or not finite, or the water stands above the rim.

    Notes
    -----
    Half of area times height when full, as the square of the depth below that; exact.

    Examples
    --------
    >>> paraboloid_volume_l(1.0, area_m2=6.0, brim_m=1.0)
    3000.0
    """
    share = _share_of_height(depth_m, brim_m)
    return LITRES_PER_M3 / 2.0 * area_m2 * brim_m * share**2


@published(source="bronshtein_2015", locator="3.3 Stereometry", status="derived")
def half_ellipsoid_volume_l(depth_m: Numbers, *, area_m2: Numbers, brim_m: Numbers) -> Numbers:
    """Water in a round bowl, the lower half of an ellipsoid.

    Parameters
    ----------
    depth_m : float or array
        Depth of water at the middle [m].
    area_m2 : float or array
        Area at the rim [m2].
    brim_m : float or array
        Height of the rim above the middle [m].

    Returns
    -------
    float or array
        Volume of water [L].

    Raises
    ------
    ImpossibleInput
        A size is negative or not finite, or the water stands above the rim.

    Notes
    -----
    Two thirds of area times height when full; the segment below that. Exact.

    Examples
    --------
    >>> round(half_ellipsoid_volume_l(1.0, area_m2=6.0, brim_m=1.0), 6)
    4000.0
    """
    share = _share_of_height(depth_m, brim_m)
    return LITRES_PER_M3 * area_m2 * brim_m * (share**2 - share**3 / 3.0)


@published(source="bronshtein_2015", locator="3.3 Stereometry", status="derived")
def frustum_volume_l(depth_m: Numbers, *, area_m2: Numbers, floor_area_m2: Numbers, brim_m: Numbers) -> Numbers:
    """Water in a cone or pyramid cut off at the bottom, rim and floor of one shape.

    Parameters
    ----------
    depth_m : float or array
        Depth of water [m].
    area_m2, floor_area_m2 : float or array
        Areas at the rim and of the floor [m2].
    brim_m : float or array
        Height of the rim above the floor [m].

    Returns
    -------
    float or array
        Volume of water [L].

    Raises
    ------
    ImpossibleInput
        A size is negative or not finite, or the water stands above the rim.

    Notes
    -----
    h / 3 (A1 + A2 + sqrt(A1 A2)) with the area at the water's surface, whose root grows evenly with height; exact.

    Examples
    --------
    >>> frustum_volume_l(1.0, area_m2=4.0, floor_area_m2=1.0, brim_m=1.0)
    2333.333333333333
    """
    share = _share_of_height(depth_m, brim_m)
    floor = np.sqrt(floor_area_m2)
    surface = floor + (np.sqrt(area_m2) - floor) * share
    return LITRES_PER_M3 / 3.0 * depth_m * (floor**2 + floor * surface + surface**2)


@published(source="bronshtein_2015", locator="3.3 Stereometry", status="derived")
def prismoid_volume_l(
    depth_m: Numbers, *, area_m2: Numbers, middle_area_m2: Numbers, floor_area_m2: Numbers, brim_m: Numbers
) -> Numbers:
    """Water in a basin whose area is known at the rim, half way down, and at the floor.

    Parameters
    ----------
    depth_m : float or array
        Depth of water [m].
    area_m2, middle_area_m2, floor_area_m2 : float or array
        Areas at the rim, half way down, and of the floor [m2].
    brim_m : float or array
        Height of the rim above the floor [m].

    Returns
    -------
    float or array
        Volume of water [L].

    Raises
    ------
    ImpossibleInput
        A size is negative or not finite, the water stands above the rim, or the three areas would need a negative
        area between them.

    Notes
    -----
    h / 6 (A1 + 4 Am + A2) when full; below that the parabola through the three areas. Exact for cones, pyramids,
    wedges, paraboloids, ellipsoids, and whatever lies between two polygons in parallel planes.

    Examples
    --------
    >>> round(prismoid_volume_l(1.0, area_m2=24.0, middle_area_m2=15.0, floor_area_m2=8.0, brim_m=1.0), 3)
    15333.333
    """
    share = _share_of_height(depth_m, brim_m)
    rise = 4.0 * middle_area_m2 - 3.0 * floor_area_m2 - area_m2
    bend = 2.0 * (area_m2 + floor_area_m2) - 4.0 * middle_area_m2
    with np.errstate(divide="ignore", invalid="ignore"):
        lowest_at = np.where(np.asarray(bend) > 0, -rise / (2.0 * np.asarray(bend)), 0.0)
    lowest_at = np.clip(lowest_at, 0.0, 1.0)
    lowest = floor_area_m2 + lowest_at * (rise + lowest_at * bend)
    if np.any(lowest < -1e-9 * np.maximum(area_m2, floor_area_m2)):
        raise ImpossibleInput("middle_area_m2", middle_area_m2, "large enough that no area between is negative")
    return LITRES_PER_M3 * depth_m * (floor_area_m2 + share * (rise / 2.0 + share * bend / 3.0))


@published(source="bronshtein_2015", locator="3.3 Stereometry", status="derived")
def sloping_floor_volume_l(depth_m: Numbers, *, length_m: Numbers, width_m: Numbers, floor_fall_m: Numbers) -> Numbers:
    """Water between vertical walls over a floor that falls evenly along the length.

    Parameters
    ----------
    depth_m : float or array
        Depth of water at the deep end [m].
    length_m, width_m : float or array
        Length, along which the floor falls, and width [m].
    floor_fall_m : float or array
        How much deeper the deep end is than the shallow end [m].

    Returns
    -------
    float or array
        Volume of water [L].

    Raises
    ------
    ImpossibleInput
        A size is negative or not finite.

    Notes
    -----
    Area times the mean of the two depths; a wedge where the water does not reach the shallow end. Exact.

    Examples
    --------
    >>> sloping_floor_volume_l(1.5, length_m=6.0, width_m=4.0, floor_fall_m=1.0)
    24000.0
    """
    wet = np.minimum(depth_m, floor_fall_m)
    with np.errstate(divide="ignore", invalid="ignore"):
        wedge = np.where(np.asarray(floor_fall_m) > 0, wet**2 / (2.0 * np.asarray(floor_fall_m)), 0.0)
    return LITRES_PER_M3 * length_m * width_m * (wedge + (depth_m - wet))


@published(
    source="waterplan",
    locator="areas of rounded rectangles, integrated over the height",
    status="derived",
)
def battered_volume_l(
    depth_m: Numbers,
    *,
    length_m: Numbers,
    width_m: Numbers,
    brim_m: Numbers,
    wall_slope: Numbers,
    corner_radius_m: Numbers = 0.0,
) -> Numbers:
    """Water in a rectangular basin whose four walls lean inwards to a flat floor.

    Parameters
    ----------
    depth_m : float or array
        Depth of water [m].
    length_m, width_m : float or array
        Length and width at the rim [m].
    brim_m : float or array
        Height of the rim above the floor [m].
    wall_slope : float or array
        How far a wall leans in for each metre of depth: 0 is vertical, 1 is 45 degrees [-].
    corner_radius_m : float or array
        Radius of the corners at the rim [m]; lower down they are sharper by as much as the walls have come in.

    Returns
    -------
    float or array
        Volume of water [L].

    Raises
    ------
    ImpossibleInput
        A size is negative or not finite, the water stands above the rim, the walls meet above the floor, or two
        corners are rounder than a side is long.

    Notes
    -----
    The area (L - 2 s)(W - 2 s) - (4 - pi) max(r - s, 0)^2, walls come in by s, is integrated from the floor to the
    surface in closed form. Checked against numerical integration and against the prismoid for sharp corners.

    Examples
    --------
    >>> battered_volume_l(1.5, length_m=6.0, width_m=4.0, brim_m=1.5, wall_slope=0.5)
    25875.0
    """
    require_not_above("depth_m", depth_m, "brim_m", brim_m)
    shorter = np.minimum(length_m, width_m)
    require_not_above("corner_radius_m", corner_radius_m, "half the width", shorter / 2.0)
    in_at_floor = wall_slope * brim_m
    require_not_above("twice wall_slope times brim_m", 2.0 * in_at_floor, "width_m", shorter)
    in_at_surface = wall_slope * (brim_m - depth_m)
    middle = (in_at_floor + in_at_surface) / 2.0

    def sharp(inset: Numbers) -> Numbers:
        return (length_m - 2.0 * inset) * (width_m - 2.0 * inset)

    whole = depth_m / 6.0 * (sharp(in_at_floor) + 4.0 * sharp(middle) + sharp(in_at_surface))
    round_above = np.maximum(corner_radius_m - in_at_surface, 0.0)
    round_below = np.maximum(corner_radius_m - in_at_floor, 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        rounded_height = np.where(in_at_floor <= corner_radius_m, depth_m, round_above / np.asarray(wall_slope))
    corners = (4.0 - math.pi) / 3.0 * rounded_height * (round_above**2 + round_above * round_below + round_below**2)
    volume: Numbers = LITRES_PER_M3 * (whole - corners)
    return volume
