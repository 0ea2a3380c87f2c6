"""Volume from soundings in a grid or along parallel lines."""

from collections.abc import Sequence

import numpy as np

from waterplan import tables
from waterplan.errors import ImpossibleInput
from waterplan.published import FloatArray
from waterplan.spread import Draws, Measured
from waterplan.vessel.limits import Row, WrongRows, is_amount, numbers_of, require_above_0
from waterplan.vessel.shapes import LITRES_PER_M3
from waterplan.vessel.systematic import Shore, hidden_between, systematic_variance
from waterplan.vessel.volume import Volume, effective_freedom, student

_DRY = frozenset({"-", ""})


def _volume(
    excess_m3: float, *, errors: Sequence[tuple[float, float]], wet_m2: float, shore: Shore, draws: Draws, name: str
) -> Volume:
    """From the integral of the depth in excess of the wall's, and the area that the wall's depth stands on.

    `errors` are the variances of that integral [m6], each with its degrees of freedom.
    """
    common_error_m = tables.row("vessel_survey", rule="depths in common").value
    area = draws.of(f"{name} area", shore.area_m2) if shore.area_m2 is not None else np.full(draws.count + 1, wet_m2)
    best = excess_m3 + shore.wall_depth_m * float(area[0])
    if best <= 0:
        raise ImpossibleInput("soundings", f"{best:g} m3", "a volume above 0")
    variances, freedoms = np.asarray(errors).T
    freedom = effective_freedom(variances, freedoms=np.maximum(freedoms, _LEAST_FREEDOM))
    sampling = np.exp(student(draws, f"{name} sampling", sd=float(np.sqrt(variances.sum())) / best, freedom=freedom))
    common = draws.of(f"{name} depths", Measured.within_factor(1.0, common_error_m * float(area[0]) / best))
    cubic = best * sampling * common + shore.wall_depth_m * (area - area[0])
    rows = ("vessel_survey/depths in common",)
    return Volume(litres=LITRES_PER_M3 * cubic, equations=(systematic_variance,), rows=rows)


def _read_grid(rows: Sequence[Row]) -> FloatArray:
    wrong = WrongRows("grid")
    table = np.full((len(rows), max(map(len, rows), default=0)), np.nan)
    for line, row in enumerate(rows):
        for place, cell in enumerate(row):
            if cell in _DRY:
                continue
            depth = numbers_of([cell], 1)
            if depth is None or np.isinf(depth[0]) or depth[0] < 0:
                would_do = "give a depth in metres, 0 or more, or leave it empty"
                wrong.add(f"row {line + 1}, place {place + 1}", str(cell), would_do)
            else:
                table[line, place] = depth[0]
    count, fewest = int(np.isfinite(table).sum()), int(tables.row("vessel_survey", rule="fewest soundings").value)
    if not wrong.mistakes and count < fewest:
        wrong.add("rows", f"{count} soundings", f"give at least {fewest}")
    wrong.tell()
    return table


def grid_volume(
    rows: Sequence[Row], *, spacing_m: float, row_spacing_m: float, shore: Shore, draws: Draws, name: str
) -> Volume:
    """Volume of water from soundings on a rectangular grid laid over the pond at random.

    Parameters
    ----------
    rows : sequence of row
        Depths row by row [m]; "-" or nothing where the place lies on land. Every place of the grid that is wet must be there.
    spacing_m, row_spacing_m : float
        Distance between places in a row, and between rows [m].
    shore : Shore
        What the water does at the shore.
    draws : Draws
        The hypercube.
    name : str
        The vessel, which names its columns of draws.

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
    summed along rows, then rows, each with `systematic_variance`, the two ways round and averaged. So few rows know
    their own error badly: Student's t, with two degrees of freedom fewer than rows for what lies between them, and one
    fewer for each row than places for what lies along them (`effective_freedom`).

    Examples
    --------
    >>> from waterplan.vessel.systematic import Edge
    >>> grid = [[0.5, 0.8, 0.5], [0.8, 1.2, 0.8], [0.5, 0.8, 0.5]]
    >>> found = grid_volume(
    ...     grid, spacing_m=1.0, row_spacing_m=1.0, shore=Shore(edge=Edge.RUNS_OUT), draws=Draws(), name="pond"
    ... )
    >>> round(found.litres[0])
    6400
    """
    require_above_0("spacing_m", spacing_m, unit="m")
    require_above_0("row_spacing_m", row_spacing_m, unit="m")
    table = _read_grid(rows)
    wet = np.isfinite(table)
    excess = np.where(wet, table - shore.wall_depth_m, 0.0)
    cell = spacing_m * row_spacing_m
    errors: list[tuple[float, float]] = []
    for values, there, along, across in (
        (excess, wet, spacing_m, row_spacing_m),
        (excess.T, wet.T, row_spacing_m, spacing_m),
    ):
        rows_wet = float(there.any(axis=1).sum())
        within = systematic_variance(values, spacing_m=along, edge=shore.edge)
        between = systematic_variance(along * values.sum(axis=1), spacing_m=across, edge=shore.edge)
        errors += [(between / 2.0, rows_wet - 2.0), (across**2 * within / 2.0, float(wet.sum()) - rows_wet)]
    return _volume(
        cell * float(excess.sum()),
        errors=errors,
        wet_m2=cell * float(wet.sum()),
        shore=shore,
        draws=draws,
        name=name,
    )


def _read_line(number: int, line: Sequence[Row], wrong: WrongRows) -> FloatArray:
    read: list[tuple[float, ...]] = []
    for place, row in enumerate(line, start=1):
        where, found = f"line {number}, row {place}", numbers_of(row, 2)
        if found is None or not (np.isfinite(found[0]) and is_amount(found[1])):
            wrong.add(where, str(row), "give a distance and a depth of 0 or more, in metres")
        elif read and found[0] <= read[-1][0]:
            wrong.add(where, f"{found[0]:g} m", "give the distances from one shore on, each only once")
        else:
            read.append(found)
    if len(read) < 3:
        would_do = "give at least three: one shore, the water between, the other shore"
        wrong.add(f"line {number}", f"{len(read)} soundings", would_do)
    return np.asarray(read, dtype=np.float64).reshape(-1, 2)


def _smooth_area(depth: FloatArray, along: FloatArray) -> float:
    """The area under the cubics that never turn between three or more soundings (Fritsch & Butland's slopes).

    As scipy's PchipInterpolator has it, which takes ten times as long to begin.
    """
    step = np.diff(along)
    slope = np.diff(depth) / step
    bends = np.zeros(len(along))
    one_way = slope[:-1] * slope[1:] > 0
    before, after = (np.where(one_way, part, 1.0) for part in (slope[:-1], slope[1:]))
    first, second = 2.0 * step[1:] + step[:-1], step[1:] + 2.0 * step[:-1]
    bends[1:-1] = np.where(one_way, (first + second) / (first / before + second / after), 0.0)
    for end, beside in ((0, 1), (-1, -2)):
        bend = ((2.0 * step[end] + step[beside]) * slope[end] - step[end] * slope[beside]) / (step[end] + step[beside])
        turns = slope[end] * slope[beside] < 0 and abs(bend) > 3.0 * abs(slope[end])
        bends[end] = 0.0 if bend * slope[end] <= 0 else 3.0 * slope[end] if turns else bend
    return float((step * (depth[1:] + depth[:-1]) / 2.0 - step**2 * np.diff(bends) / 12.0).sum())


def _section(line: FloatArray, wall_depth_m: float, slices: int) -> tuple[float, FloatArray]:
    """Area of one section in excess of the wall's depth, and what may hide in each of so many slices of its width."""
    along, depth = line[:, 0], line[:, 1] - wall_depth_m
    hidden = hidden_between(depth, places=along)
    which = ((np.arange(len(hidden)) + 0.5) / len(hidden) * slices).astype(int)
    return _smooth_area(depth, along), np.asarray(
        np.bincount(which, weights=hidden, minlength=slices), dtype=np.float64
    )


def transect_volume(
    lines: Sequence[Sequence[Row]], *, spacing_m: float, shore: Shore, draws: Draws, name: str
) -> Volume:
    """Volume of water from soundings along parallel lines from shore to shore.

    Parameters
    ----------
    lines : sequence of sequence of row
        Distance and depth, one line after the other; each from one shore to the other, both shores included with the
        depth there, 0 where the floor runs out and the depth at the wall's foot where there is a wall [m].
    spacing_m : float
        Distance between neighbouring lines, the first at a random distance from the end of the pond [m].
    shore : Shore
        What the water does at the shore.
    draws : Draws
        The hypercube.
    name : str
        The vessel, which names its columns of draws.

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
    The spacing times the sum of the areas of the sections (Cavalieri). A section is the area under a smooth curve that
    never turns between soundings: straight lines would read low in every bowl. Its error is that of a ledge between
    two soundings (`hidden_between`). A ledge, or a bank that is steeper than the curve, lies alike in all lines: what
    hides in the same slice of their width is added before it is squared.
    Between lines: `systematic_variance`. So few lines know their own error badly: Student's t, with two degrees of
    freedom fewer than there are lines for what lies between them (`effective_freedom`).
    Where there is a wall, only the depth in excess of the wall's is summed, and the wall's depth stands on the traced
    area.

    Examples
    --------
    >>> from waterplan.vessel.systematic import Edge
    >>> line = [(0, 0), (1, 0.75), (2, 1), (3, 0.75), (4, 0)]
    >>> found = transect_volume(
    ...     [line, line], spacing_m=2.0, shore=Shore(edge=Edge.RUNS_OUT), draws=Draws(), name="pond"
    ... )
    >>> round(found.litres[0])
    10667
    """
    require_above_0("spacing_m", spacing_m, unit="m")
    if len(lines) < 2:
        raise ImpossibleInput("lines", len(lines), "2 or more")
    wrong = WrongRows("lines")
    read = [_read_line(number, line, wrong) for number, line in enumerate(lines, start=1)]
    wrong.tell()
    slices = max(map(len, read)) - 1
    areas, hidden = zip(*(_section(line, shore.wall_depth_m, slices) for line in read), strict=True)
    along = float((np.sum(hidden, axis=0) ** 2).sum())
    between = systematic_variance(np.asarray(areas), spacing_m=spacing_m, edge=shore.edge)
    return _volume(
        spacing_m * sum(areas),
        errors=[(between, len(read) - 2.0), (spacing_m**2 * along, np.inf)],
        wet_m2=spacing_m * float(sum(line[-1, 0] - line[0, 0] for line in read)),
        shore=shore,
        draws=draws,
        name=name,
    )


# With one degree of freedom the outermost draws would be pools of any size.
_LEAST_FREEDOM = 2.0
