"""From a plan, a profile and measured sizes to a volume with its error."""

from collections.abc import Callable, Mapping
from enum import StrEnum
from functools import partial

from waterplan.errors import ImpossibleInput
from waterplan.published import Numbers
from waterplan.spread import Draws, Measured
from waterplan.vessel import shapes, solids
from waterplan.vessel.basin import Basin
from waterplan.vessel.volume import Method, Reading, Volume, relative_sd


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


class Form(StrEnum):
    """How far the thing measured is from the shape it is taken for; the words are rows of `vessel_methods`."""

    RIGID = "rigid tub from its size"
    LINER = "liner pond from its size"
    INFORMAL = "informal pond without slopes"


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
_FROM_AREA: Mapping[Profile, tuple[Callable[..., Numbers], tuple[str, ...]]] = {
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
    rounded = plan is Plan.ROUNDED_RECTANGLE and profile is Profile.LEANING_WALLS
    if profile in _FROM_SIZE and plan is not Plan.RECTANGLE and not rounded:
        raise ImpossibleInput(
            "profile", profile.value, f"one that goes with a plan other than a rectangle, here {plan}"
        )
    if profile is Profile.LYING_CYLINDER:
        return _FROM_SIZE[profile][1]
    if profile in _FROM_SIZE:
        names = (*_FROM_SIZE[profile][1], *(("corner_radius_m",) if rounded else ()))
        return names if "brim_m" in names else (*names, "brim_m")
    below = ("brim_m",) if profile is Profile.VERTICAL else _FROM_AREA[profile][1]
    return (*_AREA[plan][1], *below)


def equations_of(plan: Plan, profile: Profile) -> tuple[Callable[..., Numbers], ...]:
    """The published equations behind a plan and a profile, for a list of what a volume rests on."""
    if profile in _FROM_SIZE:
        return (_FROM_SIZE[profile][0],)
    solid = shapes.prism_volume_l if profile is Profile.VERTICAL else _FROM_AREA[profile][0]
    return tuple(one for one in (_AREA[plan][0], solid) if hasattr(one, "equation"))


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
        A size is missing, is not asked for, or cannot be.

    Examples
    --------
    >>> basin_of(Plan.RECTANGLE, Profile.VERTICAL, sizes={"length_m": 2.0, "width_m": 1.0, "brim_m": 0.5}).full_l()
    1000.0
    """
    wanted = sizes_wanted(plan, profile)
    if set(wanted) != set(sizes):
        raise ImpossibleInput("sizes", ", ".join(sizes) or "none", ", ".join(wanted))
    if profile in _FROM_SIZE:
        own = {name: sizes[name] for name in wanted if name != "brim_m" or profile is Profile.LEANING_WALLS}
        filling: Callable[..., Numbers] = partial(_FROM_SIZE[profile][0], **own)
        brim = sizes["diameter_m"] if profile is Profile.LYING_CYLINDER else sizes["brim_m"]
        return Basin(filling=filling, brim_m=brim)
    area_of, names = _AREA[plan]
    first, *others = names
    given = {name: int(sizes[name]) if name == "sides" else sizes[name] for name in others}
    area = area_of(sizes[first], **given)
    if profile is Profile.VERTICAL:
        return Basin(filling=lambda depth_m: shapes.prism_volume_l(area, depth_m=depth_m), brim_m=sizes["brim_m"])
    solid, below = _FROM_AREA[profile]
    return Basin(filling=partial(solid, area_m2=area, **{name: sizes[name] for name in below}), brim_m=sizes["brim_m"])


def water_in(basin: Basin, *, freeboard_m: Measured, form: Form, draws: Draws, name: str) -> Numbers:
    """Litres in a basin of drawn sizes, with the error of the shape it is taken for.

    Parameters
    ----------
    basin : Basin
        A basin whose sizes are draws or exact.
    freeboard_m : Measured
        How far the water stands below the rim [m]; give it a floor of 0.
    form : Form
        How far the vessel is from that shape.
    draws : Draws
        The hypercube.
    name : str
        The vessel, which names its columns of draws.

    Returns
    -------
    array
        Litres, as draws [L].

    Raises
    ------
    ImpossibleInput
        The water stands below the floor or above the rim in some draw.

    Examples
    --------
    >>> basin = basin_of(Plan.RECTANGLE, Profile.VERTICAL, sizes={"length_m": 2.0, "width_m": 1.0, "brim_m": 0.5})
    >>> litres = water_in(basin, freeboard_m=Measured.exact(0.1), form=Form.RIGID, draws=Draws(count=10), name="tub")
    >>> round(float(litres[0]))
    800
    """
    depth = basin.brim_m - draws.of(f"{name} freeboard_m", freeboard_m)
    return basin.volume_l(depth) * draws.of(f"{name} form", Measured.within_factor(1.0, relative_sd(form)))


def cautions_of(form: Form) -> tuple[str, ...]:
    """What is to be said of a volume from a form."""
    if form is Form.INFORMAL:
        return ("Without the slopes and shelves this reads 20 to 60 % high in an informal pond.",)
    return ()


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
        Litres, with the errors of the sizes and of the shape.

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
    >>> round(tub.band.best)
    800
    """
    drawn: dict[str, Numbers] = {key: draws.of(f"{name} {key}", size) for key, size in sizes.items()}
    if "sides" in sizes:
        drawn["sides"] = sizes["sides"].best
    basin = basin_of(plan, profile, sizes=drawn)
    litres = water_in(basin, freeboard_m=freeboard_m, form=form, draws=draws, name=name)
    if plan is Plan.KIDNEY:
        litres = litres * draws.of(f"{name} kidney", Measured.within_factor(1.0, relative_sd("kidney rule")))
    cautions = list(cautions_of(form))
    if plan is Plan.KIDNEY:
        cautions.append("The kidney rule is good to 10 %; tracing the outline is better.")
    return Volume(
        litres=litres,
        method=Method.SHAPE,
        words=f"Sizes measured and taken as {plan}, {profile}; {form}.",
        readings=(
            *(Reading(key, f"{size.best:g}") for key, size in sizes.items()),
            Reading("freeboard_m", f"{freeboard_m.best:g}"),
        ),
        cautions=tuple(cautions),
        equations=equations_of(plan, profile),
        rows=(f"vessel_methods/{form}", *(("vessel_methods/kidney rule",) if plan is Plan.KIDNEY else ())),
    )
