"""Volume from areas at several depths: a smooth curve of area."""

from collections.abc import Sequence

import numpy as np

from waterplan import tables
from waterplan.published import FloatArray, published
from waterplan.spread import Draws, Measured
from waterplan.vessel.limits import Row, WrongRows, is_amount, numbers_of
from waterplan.vessel.shapes import LITRES_PER_M3
from waterplan.vessel.systematic import hidden_between
from waterplan.vessel.volume import Volume

# Two areas that grow by no more than this many errors of both are one area, read twice.
_ALIKE = 1.959964


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
    from scipy.interpolate import PchipInterpolator

    return LITRES_PER_M3 * float(PchipInterpolator(depth_m, area_m2).integrate(depth_m[0], depth_m[-1]))


def _area_error() -> float:
    return tables.row("vessel_survey", rule="area of a contour").value


def _read(rows: Sequence[Row], deepest_m: float | None, upright_m: float) -> FloatArray:
    read: list[tuple[float, ...]] = []
    wrong = WrongRows("contours")
    area_error = _area_error()
    for number, row in enumerate(rows, start=1):
        found = numbers_of(row, 2)
        if found is None:
            wrong.add(number, str(row), "give depth in metres and area in square metres as numbers")
            continue
        depth, area = found
        if not all(map(is_amount, found)):
            wrong.add(number, str(row), "give a depth and an area of 0 or more")
        elif not read and (depth != 0 or area == 0):
            wrong.add(number, str(row), "begin with the water's surface: depth 0 and its area")
        elif read and depth <= read[-1][0]:
            wrong.add(number, f"{depth:g} m", "give the depths from the surface down, each only once")
        elif read and area > read[-1][1] * (1.0 + _ALIKE * np.sqrt(2.0) * area_error):
            wrong.add(number, f"{area:g} m2", f"larger than the {read[-1][1]:g} m2 above it: correct one of the two")
        elif depth <= upright_m and read and area < read[0][1] * (1.0 - _ALIKE * np.sqrt(2.0) * area_error):
            would_do = f"smaller than the surface, where the sides are upright to {upright_m:g} m: correct one of them"
            wrong.add(number, f"{area:g} m2", would_do)
        elif deepest_m is not None and depth > deepest_m:
            wrong.add(number, f"{depth:g} m", f"deeper than the deepest point, stated as {deepest_m:g} m")
        else:
            read.append(found)
    if not wrong.mistakes and len(read) < 3:
        would_do = "give at least three: the surface, one between, and the floor or the deepest point with area 0"
        wrong.add("rows", f"{len(read)} levels", would_do)
    below = sum(depth > upright_m for depth, _ in read)
    if not wrong.mistakes and upright_m > 0 and (below == 1 or read[-1][0] < upright_m):
        would_do = (
            f"give at least two below the upright sides, which end at {upright_m:g} m, or a flat floor at that depth"
        )
        wrong.add("rows", f"{below} levels", would_do)
    wrong.tell()
    return np.asarray(read, dtype=np.float64)


def contour_volume(
    rows: Sequence[Row], *, draws: Draws, name: str, deepest_m: float | None = None, upright_m: float = 0.0
) -> Volume:
    """Volume of water from areas at several depths.

    Parameters
    ----------
    rows : sequence of row
        Depth and area, from the water's surface (depth 0) down to the flat floor with its area, or to the deepest point
        with area 0 [m], [m2].
    draws : Draws
        The hypercube.
    name : str
        The vessel, which names its columns of draws.
    deepest_m : float, optional
        The greatest depth, where it was measured by itself [m].
    upright_m : float
        To which depth the sides are upright all round [m].

    Returns
    -------
    Volume
        Litres and surface, with the errors of the areas and of what the area does between the levels.

    Raises
    ------
    CaseError
        Rows that are no numbers, depths that do not grow, areas that do, or too few: with their rows.

    Notes
    -----
    `smooth_volume_l`. Areas that grow downwards within their errors are one area and their mean is taken. The error
    between levels is that of a ledge somewhere in each slice (`hidden_between`), added in squares. As far as the sides
    are upright all areas are that of the surface, read once or more, and nothing hides between them; the curve begins
    at their foot.

    Examples
    --------
    >>> round(contour_volume([(0.0, 24.0), (0.5, 15.0), (1.0, 8.0)], draws=Draws(), name="pond").litres[0])
    15333
    """
    from scipy.optimize import isotonic_regression

    depth, area = _read(rows, deepest_m, upright_m).T
    upright = int((depth <= upright_m).sum()) or 1  # the surface, and what was read of it again further down
    times = np.concatenate([[upright], np.ones(len(depth) - upright)])
    depth = np.concatenate([[upright_m], depth[upright:]])
    area = np.concatenate([[area[:upright].mean()], area[upright:]])
    area = np.asarray(isotonic_regression(area, weights=times, increasing=False).x)
    step = np.diff(depth)
    below_l = smooth_volume_l(area, depth_m=depth) if len(step) else 0.0
    hidden = hidden_between(area, places=depth) if len(step) else step
    best = LITRES_PER_M3 * float(area[0]) * upright_m + below_l
    between_l = LITRES_PER_M3 * float(np.sqrt((hidden**2).sum()))
    stands_for = np.concatenate([step, [0.0]]) / 2.0 + np.concatenate([[2.0 * upright_m], step]) / 2.0
    area_error = _area_error() / np.sqrt(times)
    areas_l = LITRES_PER_M3 * float(np.sqrt(((area_error * area * stands_for) ** 2).sum()))
    spread = Measured.within_factor(best, float(np.hypot(between_l, areas_l)) / best)
    surface = Measured.within_factor(float(area[0]), float(area_error[0]))
    return Volume(
        litres=draws.of(f"{name} contours", spread),
        area_m2=draws.of(f"{name} surface", surface),
        equations=(smooth_volume_l,),
        rows=("vessel_survey/area of a contour",),
    )
