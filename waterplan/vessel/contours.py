"""Volume from areas at several depths: end areas, the conic and the prismoid rule, and a smooth curve of area."""

from collections.abc import Sequence

import numpy as np
from scipy.integrate import simpson
from scipy.interpolate import PchipInterpolator

from waterplan import tables
from waterplan.errors import CaseError, ImpossibleInput, Mistake
from waterplan.published import FloatArray, published
from waterplan.spread import Draws, Measured
from waterplan.vessel.shapes import LITRES_PER_M3
from waterplan.vessel.volume import Method, Reading, Volume

# A jump of area somewhere between two levels misses by (1 / sqrt(12)) of it times the step, and shows as two bends.
_OF_A_BEND = 0.25


@published(source="taube_2000", locator="12.1 Method No. 1", status="published")
def conic_volume_l(area_m2: FloatArray, *, depth_m: FloatArray) -> float:
    """Volume between levels, each slice taken as the frustum of a cone.

    Parameters
    ----------
    area_m2, depth_m : array
        Areas at depths from the surface down [m2], [m].

    Returns
    -------
    float
        Volume of water [L].

    Raises
    ------
    ImpossibleInput
        An area or a depth is negative or not finite.

    Notes
    -----
    H / 3 (A1 + A2 + sqrt(A1 A2)) for each slice. Exact for cones and pyramids; reads low in round bowls.

    Examples
    --------
    >>> round(conic_volume_l([24.0, 15.0, 8.0], depth_m=[0.0, 0.5, 1.0]), 1)
    15321.4
    """
    upper, lower = area_m2[:-1], area_m2[1:]
    slices = (upper + lower + np.sqrt(upper * lower)) / 3.0 * np.diff(depth_m)
    return LITRES_PER_M3 * float(slices.sum())


@published(source="bronshtein_2015", locator="3.3 Stereometry: prismatoid", status="derived")
def prismoid_contours_l(area_m2: FloatArray, *, depth_m: FloatArray) -> float:
    """Volume between levels, every two slices taken together as a prismoid.

    Parameters
    ----------
    area_m2, depth_m : array
        Areas at depths from the surface down, three or more [m2], [m].

    Returns
    -------
    float
        Volume of water [L].

    Raises
    ------
    ImpossibleInput
        An area or a depth is negative or not finite, or there are fewer than three.

    Notes
    -----
    Simpson's rule, in its form for unequal steps. Exact where the area is a parabola of the depth: cones, pyramids,
    wedges, ellipsoids, and whatever lies between two polygons.

    Examples
    --------
    >>> round(prismoid_contours_l([24.0, 15.0, 8.0], depth_m=[0.0, 0.5, 1.0]), 1)
    15333.3
    """
    if len(area_m2) < 3:
        raise ImpossibleInput("area_m2", f"{len(area_m2)} areas", "3 or more")
    return LITRES_PER_M3 * float(simpson(area_m2, x=depth_m))


@published(source="waterplan", locator="a monotone cubic through the areas", status="derived")
def smooth_volume_l(area_m2: FloatArray, *, depth_m: FloatArray) -> float:
    """Volume under a smooth curve of area that never turns between levels.

    Parameters
    ----------
    area_m2, depth_m : array
        Areas at depths from the surface down, two or more [m2], [m].

    Returns
    -------
    float
        Volume of water [L].

    Raises
    ------
    ImpossibleInput
        An area or a depth is negative or not finite.

    Notes
    -----
    Piecewise cubic Hermite interpolation that keeps the areas in order (scipy), integrated. In simulated bowls, liner
    ponds and sloped floors it misses by less than the end-area and conic rules, which miss to opposite sides.

    Examples
    --------
    >>> round(smooth_volume_l([24.0, 15.0, 8.0], depth_m=[0.0, 0.5, 1.0]))
    15333
    """
    return LITRES_PER_M3 * float(PchipInterpolator(depth_m, area_m2).integrate(depth_m[0], depth_m[-1]))


def _read(rows: Sequence[Sequence[float]], deepest_m: float | None) -> FloatArray:
    read: list[tuple[float, float]] = []
    mistakes: list[Mistake] = []

    def wrong(number: int, row: object, would_do: str) -> None:
        mistakes.append(Mistake(where=f"row {number}", read=str(row), would_do=would_do))

    for number, row in enumerate(rows, start=1):
        try:
            depth, area = (float(value) for value in row)
        except (TypeError, ValueError):
            wrong(number, row, "give depth in metres and area in square metres as numbers")
            continue
        if not (np.isfinite(depth) and np.isfinite(area)) or depth < 0 or area < 0:
            wrong(number, row, "give a depth and an area of 0 or more")
        elif not read and (depth != 0 or area == 0):
            wrong(number, row, "begin with the water's surface: depth 0 and its area")
        elif read and depth <= read[-1][0]:
            wrong(number, f"{depth:g} m", "give the depths from the surface down, each only once")
        elif read and area > read[-1][1]:
            wrong(number, f"{area:g} m2", f"larger than the {read[-1][1]:g} m2 above it: correct one of the two")
        elif deepest_m is not None and depth > deepest_m:
            wrong(number, f"{depth:g} m", f"deeper than the deepest point, stated as {deepest_m:g} m")
        else:
            read.append((depth, area))
    if not mistakes and len(read) < 3:
        mistakes.append(
            Mistake(
                where="rows",
                read=f"{len(read)} levels",
                would_do="give at least three: the surface, one between, and the floor or the deepest point with area 0",
            )
        )
    if mistakes:
        raise CaseError("contours", mistakes)
    return np.asarray(read, dtype=np.float64)


def contour_volume(
    rows: Sequence[Sequence[float]],
    *,
    draws: Draws,
    name: str,
    area_error: float | None = None,
    deepest_m: float | None = None,
) -> Volume:
    """Volume of water from areas at several depths.

    Parameters
    ----------
    rows : sequence of (depth, area)
        From the water's surface (depth 0) down to the flat floor with its area, or to the deepest point with area 0
        [m], [m2].
    draws : Draws
        The hypercube.
    name : str
        The vessel, which names its columns of draws.
    area_error : float, optional
        One standard deviation of each area by itself, as a fraction; from `vessel_survey` where it is not given.
    deepest_m : float, optional
        The greatest depth, where it was measured by itself [m].

    Returns
    -------
    Volume
        Litres, with the errors of the areas and of what the area does between the levels.

    Raises
    ------
    CaseError
        Rows that are no numbers, depths that do not grow, areas that do, or too few: with their rows.

    Notes
    -----
    `smooth_volume_l`. The error between levels is a quarter of the bends of the curve of area (its second differences)
    times the step, added in squares: a shelf somewhere in a slice shows as two bends. The conic and the prismoid rule
    are told beside it.

    Examples
    --------
    >>> round(contour_volume([(0.0, 24.0), (0.5, 15.0), (1.0, 8.0)], draws=Draws(), name="pond").band.best)
    15333
    """
    depth, area = _read(rows, deepest_m).T
    if area_error is None:
        area_error = tables.row("vessel_survey", rule="area of a contour").value
    best = smooth_volume_l(area, depth_m=depth)
    conic = conic_volume_l(area, depth_m=depth)
    prismoid = prismoid_contours_l(area, depth_m=depth)
    step = np.diff(depth)
    bend = np.diff(np.diff(area) / step) * ((step[1:] + step[:-1]) / 2.0) ** 2
    between_l = LITRES_PER_M3 * _OF_A_BEND * float(np.sqrt((bend**2).sum()))
    stands_for = np.concatenate([step, [0.0]]) / 2.0 + np.concatenate([[0.0], step]) / 2.0
    areas_l = LITRES_PER_M3 * area_error * float(np.sqrt(((area * stands_for) ** 2).sum()))
    spread = Measured.within_factor(best, float(np.hypot(between_l, areas_l)) / best)
    litres = draws.of(f"{name} contours", spread)
    return Volume(
        litres=litres,
        method=Method.CONTOURS,
        words=(
            f"Smooth curve through {len(area)} areas; by the conic rule {conic:,.0f} L, "
            f"by the prismoid rule {prismoid:,.0f} L."
        ),
        readings=tuple(Reading(f"area at {d:g} m", f"{a:g} m2") for d, a in zip(depth, area, strict=True)),
        equations=(smooth_volume_l,),
        rows=("vessel_survey/area of a contour",),
    )
