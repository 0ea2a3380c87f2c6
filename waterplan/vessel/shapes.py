"""Areas of plan shapes, and the prism that stands on one."""

import math

import numpy as np

from waterplan.errors import ImpossibleInput
from waterplan.published import Numbers, published
from waterplan.vessel.limits import require_not_above

LITRES_PER_M3 = 1000.0


@published(source="bronshtein_2015", locator="3.1 Planimetry", status="derived")
def rectangle_area_m2(length_m: Numbers, *, width_m: Numbers) -> Numbers:
    """Area of a rectangle.

    Parameters
    ----------
    length_m, width_m : float or array
        Length and width [m].

    Returns
    -------
    float or array
        Area of the water's surface [m2].

    Raises
    ------
    ImpossibleInput
        A length is negative or not finite.

    Notes
    -----
    Length times width; exact. Checked against the polygon of its four corners.

    Examples
    --------
    >>> rectangle_area_m2(6.0, width_m=4.0)
    24.0
    """
    return length_m * width_m


@published(source="bronshtein_2015", locator="3.1 Planimetry", status="derived")
def circle_area_m2(diameter_m: Numbers) -> Numbers:
    """Area of a circle.

    Parameters
    ----------
    diameter_m : float or array
        Diameter [m].

    Returns
    -------
    float or array
        Area of the water's surface [m2].

    Raises
    ------
    ImpossibleInput
        The diameter is negative or not finite.

    Notes
    -----
    pi D^2 / 4; exact. Checked against a polygon of many corners.

    Examples
    --------
    >>> round(circle_area_m2(2.0), 4)
    3.1416
    """
    return math.pi / 4.0 * diameter_m**2


@published(source="bronshtein_2015", locator="3.5 Analytical geometry: the ellipse", status="derived")
def ellipse_area_m2(length_m: Numbers, *, width_m: Numbers) -> Numbers:
    """Area of an ellipse from its two full axes.

    Parameters
    ----------
    length_m, width_m : float or array
        Longest and shortest axis [m].

    Returns
    -------
    float or array
        Area of the water's surface [m2].

    Raises
    ------
    ImpossibleInput
        An axis is negative or not finite.

    Notes
    -----
    pi L W / 4; exact. Checked against a polygon of many corners.

    Examples
    --------
    >>> round(ellipse_area_m2(4.0, width_m=2.0), 4)
    6.2832
    """
    return math.pi / 4.0 * length_m * width_m


@published(source="bronshtein_2015", locator="3.1 Planimetry", status="derived")
def triangle_area_m2(base_m: Numbers, *, height_m: Numbers) -> Numbers:
    """Area of a triangle from a side and the distance of the far corner from it.

    Parameters
    ----------
    base_m, height_m : float or array
        One side, and the height above it [m].

    Returns
    -------
    float or array
        Area of the water's surface [m2].

    Raises
    ------
    ImpossibleInput
        A length is negative or not finite.

    Notes
    -----
    Half of base times height; exact.

    Examples
    --------
    >>> triangle_area_m2(5.0, height_m=4.0)
    10.0
    """
    return 0.5 * base_m * height_m


@published(source="bronshtein_2015", locator="3.1 Planimetry", status="derived")
def regular_polygon_area_m2(side_m: Numbers, *, sides: int) -> Numbers:
    """Area of a polygon with equal sides and equal corners, such as an octagonal tank.

    Parameters
    ----------
    side_m : float or array
        One side [m]. Of a hexagon it is 0.577, of an octagon 0.414 of the width across the flats.
    sides : int
        How many sides, 3 or more.

    Returns
    -------
    float or array
        Area of the water's surface [m2].

    Raises
    ------
    ImpossibleInput
        The side is negative or not finite, or there are fewer than three sides.

    Notes
    -----
    n s^2 / (4 tan(pi / n)); exact.

    Examples
    --------
    >>> round(regular_polygon_area_m2(1.0, sides=8), 4)
    4.8284
    """
    if sides < 3:
        raise ImpossibleInput("sides", sides, "3 or more")
    return sides * side_m**2 / (4.0 * math.tan(math.pi / sides))


@published(source="bronshtein_2015", locator="3.1 Planimetry", status="derived")
def stadium_area_m2(length_m: Numbers, *, width_m: Numbers) -> Numbers:
    """Area of a rectangle with a half circle at either end.

    Parameters
    ----------
    length_m, width_m : float or array
        Length over all, and width [m].

    Returns
    -------
    float or array
        Area of the water's surface [m2].

    Raises
    ------
    ImpossibleInput
        A length is negative or not finite, or the width is larger than the length.

    Notes
    -----
    L W - (1 - pi / 4) W^2; exact.

    Examples
    --------
    >>> round(stadium_area_m2(4.0, width_m=2.0), 4)
    7.1416
    """
    require_not_above("width_m", width_m, "length_m", length_m)
    return length_m * width_m - (1.0 - math.pi / 4.0) * width_m**2


@published(source="bronshtein_2015", locator="3.1 Planimetry", status="derived")
def l_shape_area_m2(length_m: Numbers, *, width_m: Numbers, notch_length_m: Numbers, notch_width_m: Numbers) -> Numbers:
    """Area of an L: a rectangle less the rectangle missing from one corner.

    Parameters
    ----------
    length_m, width_m : float or array
        Length and width over all [m].
    notch_length_m, notch_width_m : float or array
        Size of the missing corner, along the length and along the width [m].

    Returns
    -------
    float or array
        Area of the water's surface [m2].

    Raises
    ------
    ImpossibleInput
        A length is negative or not finite, or the missing corner is larger than the whole.

    Notes
    -----
    Difference of two rectangles; exact.

    Examples
    --------
    >>> l_shape_area_m2(5.0, width_m=4.0, notch_length_m=2.0, notch_width_m=1.0)
    18.0
    """
    require_not_above("notch_length_m", notch_length_m, "length_m", length_m)
    require_not_above("notch_width_m", notch_width_m, "width_m", width_m)
    return length_m * width_m - notch_length_m * notch_width_m


@published(source="practice", locator="0.45 (W1 + W2) L", status="common practice")
def kidney_area_m2(length_m: Numbers, *, first_lobe_width_m: Numbers, second_lobe_width_m: Numbers) -> Numbers:
    """Area of a kidney from its length and the widths of its two lobes.

    Parameters
    ----------
    length_m : float or array
        Length over all [m].
    first_lobe_width_m, second_lobe_width_m : float or array
        Greatest widths of the two lobes [m].

    Returns
    -------
    float or array
        Area of the water's surface [m2].

    Raises
    ------
    ImpossibleInput
        A length is negative or not finite.

    Notes
    -----
    A rule of thumb, good to about 10 %: it reads 3 to 10 % high where there is a true waist. Tracing the outline is
    better. With equal lobes it is the stadium of length 2.1 times the width.

    Examples
    --------
    >>> kidney_area_m2(20.0, first_lobe_width_m=10.0, second_lobe_width_m=15.0)
    225.0
    """
    return 0.45 * (first_lobe_width_m + second_lobe_width_m) * length_m


@published(source="bronshtein_2015", locator="3.1 Planimetry", status="derived")
def rounded_rectangle_area_m2(length_m: Numbers, *, width_m: Numbers, corner_radius_m: Numbers) -> Numbers:
    """Area of a rectangle with rounded corners.

    Parameters
    ----------
    length_m, width_m : float or array
        Length and width over all [m].
    corner_radius_m : float or array
        Radius of the four corners [m].

    Returns
    -------
    float or array
        Area of the water's surface [m2].

    Raises
    ------
    ImpossibleInput
        A length is negative or not finite, or two corners are rounder than a side is long.

    Notes
    -----
    L W - (4 - pi) r^2; exact. With r = W / 2 it is the stadium.

    Examples
    --------
    >>> round(rounded_rectangle_area_m2(4.0, width_m=2.0, corner_radius_m=1.0), 4)
    7.1416
    """
    require_not_above("corner_radius_m", corner_radius_m, "half the width", np.minimum(length_m, width_m) / 2.0)
    return length_m * width_m - (4.0 - math.pi) * corner_radius_m**2


@published(source="bronshtein_2015", locator="3.3 Stereometry", status="derived")
def prism_volume_l(area_m2: Numbers, *, depth_m: Numbers) -> Numbers:
    """Water over a flat floor between vertical walls.

    Parameters
    ----------
    area_m2 : float or array
        Area of the water's surface [m2].
    depth_m : float or array
        Depth of water [m].

    Returns
    -------
    float or array
        Volume of water [L].

    Raises
    ------
    ImpossibleInput
        The area or the depth is negative or not finite.

    Notes
    -----
    Area times depth, 1000 L to the cubic metre; exact.

    Examples
    --------
    >>> prism_volume_l(24.0, depth_m=1.5)
    36000.0
    """
    return LITRES_PER_M3 * area_m2 * depth_m
