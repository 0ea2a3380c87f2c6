"""What stands in the water, what hangs on to it, and where the level is: corrections to a volume."""

import math

from waterplan.published import Numbers, published
from waterplan.vessel.shapes import LITRES_PER_M3


@published(source="waterplan", locator="solids of a bed", status="derived")
def gravel_takes_l(area_m2: Numbers, *, bed_thickness_m: Numbers, porosity: Numbers) -> Numbers:
    """Water that a bed of gravel takes the place of.

    Parameters
    ----------
    area_m2 : float or array
        Area of the bed [m2].
    bed_thickness_m : float or array
        Thickness of the bed [m].
    porosity : float or array
        Water in the bed as a share of it [fraction].

    Returns
    -------
    float or array
        Volume of water [L].

    Raises
    ------
    ImpossibleInput
        A number is negative or not finite.

    Notes
    -----
    Bed times 1 - porosity; `vessel_corrections` has the porosity of gravel.

    Examples
    --------
    >>> round(gravel_takes_l(10.0, bed_thickness_m=0.1, porosity=0.4))
    600
    """
    return LITRES_PER_M3 * area_m2 * bed_thickness_m * (1.0 - porosity)


@published(source="waterplan", locator="weight over density", status="derived")
def rock_takes_l(rock_kg: Numbers, *, rock_density_kg_per_l: Numbers) -> Numbers:
    """Water that rock takes the place of.

    Parameters
    ----------
    rock_kg : float or array
        Weight of the rock under water level [kg].
    rock_density_kg_per_l : float or array
        Its density [kg/L].

    Returns
    -------
    float or array
        Volume of water [L].

    Raises
    ------
    ImpossibleInput
        A number is negative or not finite, or the density is below that of water.

    Notes
    -----
    `vessel_corrections` has the density of common rock.

    Examples
    --------
    >>> rock_takes_l(260.0, rock_density_kg_per_l=2.6)
    100.0
    """
    return rock_kg / rock_density_kg_per_l


@published(source="practice", locator="a litre to the kilogram", status="common practice")
def fish_take_l(biomass_kg: Numbers) -> Numbers:
    """Water that fish take the place of.

    Parameters
    ----------
    biomass_kg : float or array
        Weight of all the fish in the water [kg].

    Returns
    -------
    float or array
        Volume of water [L].

    Raises
    ------
    ImpossibleInput
        The weight is negative or not finite.

    Notes
    -----
    A fish that floats is as dense as the water.

    Examples
    --------
    >>> fish_take_l(12.0)
    12.0
    """
    return biomass_kg * 1.0


@published(source="bronshtein_2015", locator="3.3 Stereometry: cylinder", status="derived")
def pipe_holds_l(pipe_length_m: Numbers, *, pipe_bore_mm: Numbers) -> Numbers:
    """Water in pipes.

    Parameters
    ----------
    pipe_length_m : float or array
        Length [m].
    pipe_bore_mm : float or array
        Inner diameter [mm]; a pipe sold by its outer diameter holds less.

    Returns
    -------
    float or array
        Volume of water [L].

    Raises
    ------
    ImpossibleInput
        A number is negative or not finite.

    Notes
    -----
    pi D^2 / 4 times the length; exact.

    Examples
    --------
    >>> round(pipe_holds_l(1.0, pipe_bore_mm=50.0), 2)
    1.96
    """
    return LITRES_PER_M3 * math.pi / 4.0 * (pipe_bore_mm / 1000.0) ** 2 * pipe_length_m


@published(source="waterplan", locator="area times height", status="derived")
def level_takes_l(area_m2: Numbers, *, level_fall_m: Numbers) -> Numbers:
    """Water that is missing when the level has fallen.

    Parameters
    ----------
    area_m2 : float or array
        Area of the water's surface [m2].
    level_fall_m : float or array
        Fall of the level [m].

    Returns
    -------
    float or array
        Volume of water [L].

    Raises
    ------
    ImpossibleInput
        A number is negative or not finite.

    Notes
    -----
    Exact for vertical walls; for others the area half way down the fall is the right one.

    Examples
    --------
    >>> level_takes_l(20.0, level_fall_m=0.01)
    200.0
    """
    return LITRES_PER_M3 * area_m2 * level_fall_m
