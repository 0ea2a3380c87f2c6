"""Areas of plan shapes, and the prism that stands on one."""

import math

from waterplan.published import Numbers, published

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
