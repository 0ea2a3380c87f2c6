"""Volume from soundings in a grid or along parallel lines."""

from collections.abc import Sequence

import numpy as np
from scipy.integrate import trapezoid

from waterplan import tables
from waterplan.errors import CaseError, ImpossibleInput, Mistake
from waterplan.published import FloatArray
from waterplan.spread import Draws, Measured
from waterplan.vessel.shapes import LITRES_PER_M3
from waterplan.vessel.systematic import Shore, systematic_variance
from waterplan.vessel.volume import Method, Reading, Volume


def _litres(
    excess_m3: float,
    *,
    sd_m3: float,
    wet_m2: float,
    shore: Shore,
    common_error_m: float | None,
    draws: Draws,
    name: str,
) -> FloatArray:
    """Litres from the integral of the depth in excess of the wall's, and the area that the wall's depth stands on."""
    if common_error_m is None:
        common_error_m = tables.row("vessel_survey", rule="depths in common").value
    area = draws.of(f"{name} area", shore.area_m2) if shore.area_m2 is not None else np.full(draws.count + 1, wet_m2)
    best = excess_m3 + shore.wall_depth_m * float(area[0])
    if best <= 0:
        raise ImpossibleInput("soundings", f"{best:g} m3", "a volume above 0")
    sampling = draws.of(f"{name} sampling", Measured.within_factor(1.0, sd_m3 / best))
    common = draws.of(f"{name} depths", Measured.within_factor(1.0, common_error_m * float(area[0]) / best))
    cubic = best * sampling * common + shore.wall_depth_m * (area - area[0])
    return np.asarray(LITRES_PER_M3 * cubic, dtype=np.float64)


def _read_grid(rows: Sequence[Sequence[float | None]]) -> FloatArray:
    mistakes = []
    longest = max((len(row) for row in rows), default=0)
    table = np.full((len(rows), longest), np.nan)
    for line, row in enumerate(rows):
        for place, value in enumerate(row):
            try:
                depth = np.nan if value is None else float(value)
            except (TypeError, ValueError):
                depth = -1.0
            if np.isinf(depth) or depth < 0:
                where = f"row {line + 1}, place {place + 1}"
                mistakes.append(
                    Mistake(
                        where=where, read=str(value), would_do="give a depth in metres, 0 or more, or leave it empty"
                    )
                )
            table[line, place] = depth
    count, fewest = int(np.isfinite(table).sum()), int(tables.row("vessel_survey", rule="fewest soundings").value)
    if not mistakes and count < fewest:
        mistakes.append(Mistake(where="rows", read=f"{count} soundings", would_do=f"give at least {fewest}"))
    if mistakes:
        raise CaseError("grid", mistakes)
    return table


def grid_volume(
    rows: Sequence[Sequence[float | None]],
    *,
    spacing_m: float,
    row_spacing_m: float,
    shore: Shore,
    draws: Draws,
    name: str,
    common_error_m: float | None = None,
) -> Volume:
    """Volume of water from soundings on a rectangular grid laid over the pond at random.

    Parameters
    ----------
    rows : sequence of sequence of float or None
        Depths row by row [m]; None where the place lies on land. Every place of the grid that is wet must be there.
    spacing_m, row_spacing_m : float
        Distance between places in a row, and between rows [m].
    shore : Shore
        What the water does at the shore.
    draws : Draws
        The hypercube.
    name : str
        The vessel, which names its columns of draws.
    common_error_m : float, optional
        One standard deviation of what all depths have in common [m]; from `vessel_survey` where it is not given.

    Returns
    -------
    Volume
        Litres, with the errors of the sampling, of the area where there is a wall, and of the depths in common.

    Raises
    ------
    CaseError
        A depth is no number or negative, or there are too few: with their rows.
    ImpossibleInput
        A spacing is not above 0, or the volume is not.

    Notes
    -----
    Area of a cell times the sum of the depths. Where there is a wall, the depth at its foot times the traced area, and
    the cells for what is deeper or shallower: the number of places that fall in the pond then matters less. Depths are
    summed along rows, then rows, each with `systematic_variance`, the two ways round and averaged.

    Examples
    --------
    >>> from waterplan.vessel.systematic import Edge
    >>> grid = [[0.5, 0.8, 0.5], [0.8, 1.2, 0.8], [0.5, 0.8, 0.5]]
    >>> found = grid_volume(
    ...     grid, spacing_m=1.0, row_spacing_m=1.0, shore=Shore(edge=Edge.RUNS_OUT), draws=Draws(), name="pond"
    ... )
    >>> round(found.band.best)
    6400
    """
    for argument, value in (("spacing_m", spacing_m), ("row_spacing_m", row_spacing_m)):
        if not (np.isfinite(value) and value > 0):
            raise ImpossibleInput(argument, value, "above 0", unit="m")
    table = _read_grid(rows)
    wet = np.isfinite(table)
    excess = np.where(wet, table - shore.wall_depth_m, 0.0)
    cell = spacing_m * row_spacing_m
    variance = 0.0
    for values, along, across in ((excess, spacing_m, row_spacing_m), (excess.T, row_spacing_m, spacing_m)):
        within = systematic_variance(values, spacing_m=along, edge=shore.edge)
        sums = along * values.sum(axis=1)
        between = systematic_variance(sums, spacing_m=across, edge=shore.edge, local_variance=within)
        variance += (between + across**2 * within) / 2.0
    litres = _litres(
        cell * float(excess.sum()),
        sd_m3=float(np.sqrt(variance)),
        wet_m2=cell * float(wet.sum()),
        shore=shore,
        common_error_m=common_error_m,
        draws=draws,
        name=name,
    )
    advised = int(tables.row("vessel_survey", rule="advised soundings").value)
    count = int(wet.sum())
    cautions = (
        (f"{count} soundings: {advised} or more are advised where anything is dosed.",) if count < advised else ()
    )
    return Volume(
        litres=litres,
        method=Method.GRID,
        words=f"Sum of {count} depths times the {cell:g} m2 that each stands for; {shore.edge}.",
        readings=(
            Reading("soundings", str(count)),
            Reading("spacing", f"{spacing_m:g} m by {row_spacing_m:g} m"),
            Reading("deepest sounding", f"{np.nanmax(table):.2f} m"),
        ),
        cautions=cautions,
        equations=(systematic_variance,),
        rows=("vessel_survey/depths in common",),
    )


def _read_line(number: int, line: Sequence[Sequence[float]], mistakes: list[Mistake]) -> FloatArray:
    read: list[tuple[float, float]] = []
    for place, row in enumerate(line, start=1):
        where = f"line {number}, row {place}"
        try:
            along, depth = (float(value) for value in row)
        except (TypeError, ValueError):
            along, depth = np.nan, np.nan
        if not (np.isfinite(along) and np.isfinite(depth)) or depth < 0:
            mistakes.append(
                Mistake(where=where, read=str(row), would_do="give a distance and a depth of 0 or more, in metres")
            )
        elif read and along <= read[-1][0]:
            mistakes.append(
                Mistake(
                    where=where, read=f"{along:g} m", would_do="give the distances from one shore on, each only once"
                )
            )
        else:
            read.append((along, depth))
    if len(read) < 3:
        mistakes.append(
            Mistake(
                where=f"line {number}",
                read=f"{len(read)} soundings",
                would_do="give at least three: one shore, the water between, the other shore",
            )
        )
    return np.asarray(read, dtype=np.float64).reshape(-1, 2)


def _section(line: FloatArray, wall_depth_m: float) -> tuple[float, float]:
    """Area of one section in excess of the wall's depth, and the correction for the floor's curve."""
    along, depth = line[:, 0], line[:, 1] - wall_depth_m
    every_other = np.union1d(np.arange(0, len(along), 2), [len(along) - 1])
    fine = float(trapezoid(depth, along))
    coarse = float(trapezoid(depth[every_other], along[every_other]))
    return fine, _STEP * (fine - coarse)


def transect_volume(
    lines: Sequence[Sequence[Sequence[float]]],
    *,
    spacing_m: float,
    shore: Shore,
    draws: Draws,
    name: str,
    common_error_m: float | None = None,
) -> Volume:
    """Volume of water from soundings along parallel lines from shore to shore.

    Parameters
    ----------
    lines : sequence of sequence of (distance, depth)
        One line after the other; each from one shore to the other, both shores included with the depth there, 0 where
        the floor runs out and the depth at the wall's foot where there is a wall [m].
    spacing_m : float
        Distance between neighbouring lines, the first at a random distance from the end of the pond [m].
    shore : Shore
        What the water does at the shore.
    draws : Draws
        The hypercube.
    name : str
        The vessel, which names its columns of draws.
    common_error_m : float, optional
        One standard deviation of what all depths have in common [m]; from `vessel_survey` where it is not given.

    Returns
    -------
    Volume
        Litres, with the errors between lines, along lines, of the area where there is a wall, and of the depths in
        common.

    Raises
    ------
    CaseError
        A row that is not two numbers, distances that do not grow, or too few soundings: with line and row.
    ImpossibleInput
        The spacing is not above 0, there are fewer than two lines, or the volume is not above 0.

    Notes
    -----
    The spacing times the sum of the areas of the sections (Cavalieri). A section is taken by trapezoids, and brought on
    by 0.4 of what leaving out every other sounding changes (Richardson: a third is Simpson's rule, 0.55 suits a floor
    that meets the shore steeply); that step is also the error along the lines. Between lines: `systematic_variance`.
    Where there is a wall, only the depth in excess of the wall's is summed, and the wall's depth stands on the traced
    area.

    Examples
    --------
    >>> from waterplan.vessel.systematic import Edge
    >>> line = [(0, 0), (1, 0.75), (2, 1), (3, 0.75), (4, 0)]
    >>> found = transect_volume(
    ...     [line, line], spacing_m=2.0, shore=Shore(edge=Edge.RUNS_OUT), draws=Draws(), name="pond"
    ... )
    >>> round(found.band.best)
    10800
    """
    if not (np.isfinite(spacing_m) and spacing_m > 0):
        raise ImpossibleInput("spacing_m", spacing_m, "above 0", unit="m")
    if len(lines) < 2:
        raise ImpossibleInput("lines", len(lines), "2 or more")
    mistakes: list[Mistake] = []
    read = [_read_line(number, line, mistakes) for number, line in enumerate(lines, start=1)]
    if mistakes:
        raise CaseError("lines", mistakes)
    areas, steps = np.asarray([_section(line, shore.wall_depth_m) for line in read]).T
    along2 = float((steps**2).sum()) + _TOGETHER * float(steps.sum()) ** 2
    between = systematic_variance(
        areas + steps, spacing_m=spacing_m, edge=shore.edge, local_variance=float((steps**2).sum())
    )
    litres = _litres(
        spacing_m * float((areas + steps).sum()),
        sd_m3=float(np.sqrt(between + spacing_m**2 * along2)),
        wet_m2=spacing_m * float(sum(line[-1, 0] - line[0, 0] for line in read)),
        shore=shore,
        common_error_m=common_error_m,
        draws=draws,
        name=name,
    )
    count = sum(len(line) for line in read)
    return Volume(
        litres=litres,
        method=Method.TRANSECTS,
        words=f"Areas of {len(read)} sections times the {spacing_m:g} m between them; {shore.edge}.",
        readings=(
            Reading("lines", str(len(read))),
            Reading("soundings, shores included", str(count)),
            Reading("spacing", f"{spacing_m:g} m"),
            Reading("deepest sounding", f"{max(line[:, 1].max() for line in read):.2f} m"),
        ),
        equations=(systematic_variance,),
        rows=("vessel_survey/depths in common",),
    )


# A third would be exact for a smooth floor (Simpson), 0.55 where it meets the shore steeply as in a round bowl.
_STEP = 0.4
# The share of the steps along the lines that all sections have in common: a bowl is missed the same way in each.
_TOGETHER = 0.4
