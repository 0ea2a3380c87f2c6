"""From a plan, a profile and measured sizes to a volume with its error."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from enum import StrEnum
from functools import partial

from waterplan.errors import ImpossibleInput
from waterplan.published import Numbers
from waterplan.spread import Draws, Measured
from waterplan.vessel import shapes, solids
from waterplan.vessel.basin import Basin, Form, water_in
from waterplan.vessel.volume import Volume, relative_sd


class Plan(StrEnum):
    """The outline of the water's surface when the vessel is full."""

    RECTANGLE = "rectangle"
    ROUNDED_RECTANGLE = "rectangle with rounded corners"
    CIRCLE = "circle"
    ELLIPSE = "ellipse"
    POLYGON = "regular polygon"
    STADIUM = "stadium"
    L_SHAPE = "L"
    KIDNEY = "kidney"
    TRIANGLE = "triangle"
    FREE = "free outline"


class Profile(StrEnum):
    """How the vessel narrows from its rim to its deepest point."""

    VERTICAL = "vertical walls, flat floor"
    SLOPING_FLOOR = "vertical walls, falling floor"
    LEANING_WALLS = "leaning walls, flat floor"
    FRUSTUM = "narrowing evenly to a floor of the same shape"
    PRISMOID = "area known half way down"
    CONE = "cone or pyramid"
    SOFT_BOWL = "soft bowl"
    ROUND_BOWL = "round bowl"
    LYING_CYLINDER = "cylinder on its side"


_AREA: Mapping[Plan, tuple[Callable[..., Numbers], tuple[str, ...]]] = {
    Plan.RECTANGLE: (shapes.rectangle_area_m2, ("length_m", "width_m")),
    Plan.ROUNDED_RECTANGLE: (shapes.rounded_rectangle_area_m2, ("length_m", "width_m", "corner_radius_m")),
    Plan.CIRCLE: (shapes.circle_area_m2, ("diameter_m",)),
    Plan.ELLIPSE: (shapes.ellipse_area_m2, ("length_m", "width_m")),
    Plan.POLYGON: (shapes.regular_polygon_area_m2, ("side_m", "sides")),
    Plan.STADIUM: (shapes.stadium_area_m2, ("length_m", "width_m")),
    Plan.L_SHAPE: (shapes.l_shape_area_m2, ("length_m", "width_m", "notch_length_m", "notch_width_m")),
    Plan.KIDNEY: (shapes.kidney_area_m2, ("length_m", "first_lobe_width_m", "second_lobe_width_m")),
    Plan.TRIANGLE: (shapes.triangle_area_m2, ("base_m", "height_m")),
    Plan.FREE: (lambda area_m2: area_m2, ("area_m2",)),
}
# What fills over that area, and what fills by sizes of its own; of each the sizes that its equation takes.
_FROM_AREA: Mapping[Profile, tuple[Callable[..., Numbers], tuple[str, ...]]] = {
    Profile.VERTICAL: (shapes.prism_volume_l, ()),
    Profile.FRUSTUM: (solids.frustum_volume_l, ("floor_area_m2", "brim_m")),
    Profile.PRISMOID: (solids.prismoid_volume_l, ("middle_area_m2", "floor_area_m2", "brim_m")),
    Profile.CONE: (solids.cone_volume_l, ("brim_m",)),
    Profile.SOFT_BOWL: (solids.paraboloid_volume_l, ("brim_m",)),
    Profile.ROUND_BOWL: (solids.half_ellipsoid_volume_l, ("brim_m",)),
}
_FROM_SIZE: Mapping[Profile, tuple[Callable[..., Numbers], tuple[str, ...]]] = {
    Profile.SLOPING_FLOOR: (solids.sloping_floor_volume_l, ("length_m", "width_m", "floor_fall_m")),
    Profile.LEANING_WALLS: (solids.battered_volume_l, ("length_m", "width_m", "brim_m", "wall_slope")),
    Profile.LYING_CYLINDER: (solids.lying_cylinder_volume_l, ("diameter_m", "length_m")),
}


def sizes_wanted(plan: Plan, profile: Profile) -> tuple[str, ...]:
    """The names of the sizes that a plan and a profile need, besides the depth of water.

    Parameters
    ----------
    plan : Plan
        The outline.
    profile : Profile
        The way it narrows.

    Returns
    -------
    tuple of str
        Glossary names, and `sides` for a regular polygon; the rim of a lying cylinder is its diameter.

    Raises
    ------
    ImpossibleInput
        The profile does not go with the plan.

    Examples
    --------
    >>> sizes_wanted(Plan.CIRCLE, Profile.CONE)
    ('diameter_m', 'brim_m')
    """
    if profile in _FROM_SIZE:
        rounded = plan is Plan.ROUNDED_RECTANGLE and profile is Profile.LEANING_WALLS
        if plan is not Plan.RECTANGLE and not rounded:
            limits = f"one that goes with a plan other than a rectangle, here {plan}"
            raise ImpossibleInput("profile", profile.value, limits)
        names = (*_FROM_SIZE[profile][1], *(("corner_radius_m",) if rounded else ()))
    else:
        names = (*_AREA[plan][1], *_FROM_AREA[profile][1])
    return names if "brim_m" in names or profile is Profile.LYING_CYLINDER else (*names, "brim_m")


def basin_of(plan: Plan, profile: Profile, *, sizes: Mapping[str, Numbers]) -> Basin:
    """The basin of a plan and a profile.

    Parameters
    ----------
    plan : Plan
        The outline at the rim.
    profile : Profile
        The way it narrows.
    sizes : mapping of str to float or array
        What `sizes_wanted` asks for, by glossary name.

    Returns
    -------
    Basin
        To be filled to a depth at its deepest point.

    Raises
    ------
    ImpossibleInput
        A size cannot be.

    Examples
    --------
    >>> basin_of(Plan.RECTANGLE, Profile.VERTICAL, sizes={"length_m": 2.0, "width_m": 1.0, "brim_m": 0.5}).volume_l(0.5)
    1000.0
    """
    brim = sizes["diameter_m" if profile is Profile.LYING_CYLINDER else "brim_m"]
    if profile in _FROM_SIZE:
        solid, names = _FROM_SIZE[profile]
        own = {name: sizes[name] for name in (*names, "corner_radius_m") if name in sizes}
        return Basin(filling=partial(solid, **own), brim_m=brim, equations=(solid,))
    (area_of, (first, *others)), (solid, names) = _AREA[plan], _FROM_AREA[profile]
    area = area_of(sizes[first], **{name: sizes[name] for name in others})
    filling = partial(solid, area_m2=area, **{name: sizes[name] for name in names})
    equations = tuple(one for one in (area_of, solid) if hasattr(one, "equation"))
    return Basin(filling=filling, brim_m=brim, equations=equations)


def measured_volume(
    plan: Plan,
    profile: Profile,
    *,
    sizes: Mapping[str, Measured],
    freeboard_m: Measured,
    form: Form,
    draws: Draws,
    name: str,
) -> Volume:
    """Volume of water in a vessel from its measured sizes.

    Parameters
    ----------
    plan : Plan
        The outline at the rim.
    profile : Profile
        The way it narrows.
    sizes : mapping of str to Measured
        What `sizes_wanted` asks for, each with its error.
    freeboard_m : Measured
        How far the water stands below the rim [m]; give it a floor of 0.
    form : Form
        How far the vessel is from the shape it is taken for.
    draws : Draws
        The hypercube.
    name : str
        The vessel, which names its columns of draws.

    Returns
    -------
    Volume
        Litres and surface, with the errors of the sizes and of the shape.

    Raises
    ------
    ImpossibleInput
        A size is missing or impossible, or the water stands below the floor in some draw.

    Notes
    -----
    The error of the shape is one log-normal factor from `vessel_methods`; the kidney rule adds its own.

    Examples
    --------
    >>> sizes = {key: Measured.exact(value) for key, value in {"length_m": 2.0, "width_m": 1.0, "brim_m": 0.5}.items()}
    >>> tub = measured_volume(
    ...     Plan.RECTANGLE, Profile.VERTICAL, sizes=sizes, freeboard_m=Measured.exact(0.1), form=Form.RIGID,
    ...     draws=Draws(), name="tub",
    ... )
    >>> round(tub.litres[0])
    800
    """
    drawn: dict[str, Numbers] = {key: draws.of(f"{name} {key}", size) for key, size in sizes.items()}
    if "sides" in sizes:
        drawn["sides"] = int(sizes["sides"].best)
    basin = basin_of(plan, profile, sizes=drawn)
    found = water_in(basin, freeboard_m=freeboard_m, form=form, draws=draws, name=name)
    if plan is not Plan.KIDNEY:
        return found
    rule = draws.of(f"{name} kidney", Measured.within_factor(1.0, relative_sd("kidney rule")))
    return replace(found, litres=found.litres * rule, rows=(*found.rows, "vessel_methods/kidney rule"))
