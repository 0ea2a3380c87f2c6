"""From what a case gives of a measured volume to the survey, the test or the shape that it describes.

All that is wrong is told by the key of the case and the row, before anything is planned.
"""

import math
import re
from collections.abc import Callable, Mapping
from contextlib import suppress
from typing import Any

import numpy as np

from waterplan import tables
from waterplan.case.volume.fillings import DrawDown, Meter, Reads, TimedFill, Tracer
from waterplan.case.volume.measurement import By, Measurement
from waterplan.case.volume.rows import Table
from waterplan.case.volume.shaping import Area, Described, points_error_m, shaped
from waterplan.case.volume.sizes import ShapeGiven
from waterplan.case.volume.surveys import Contours, Grid, Lines, Sectioned, Soundings
from waterplan.errors import CaseError, ImpossibleInput, Mistake, Refused
from waterplan.published import FloatArray
from waterplan.spread import COVERAGE, Draws, Measured
from waterplan.units import Family, to_core
from waterplan.vessel import contours, fill, sections
from waterplan.vessel.calibration import BucketTest
from waterplan.vessel.outline import Outline
from waterplan.vessel.survey import Survey
from waterplan.vessel.systematic import Edge, Shore
from waterplan.vessel.tracer import Sample, Signal, TopUp, TracerTest, tracer_volume
from waterplan.vessel.volume import Volume

_SIGNAL = {
    Reads.MS: (Signal.CONDUCTIVITY, 1.0),
    Reads.US: (Signal.CONDUCTIVITY, 1e-3),
    Reads.CHLORIDE: (Signal.CHLORIDE, 1.0),
    Reads.SALINITY: (Signal.SALINITY, 1.0),
}
# Which key of the case a mistake of the core's rows belongs to.
_KEY = {key: key for key in ("outline", "soundings", "grid", "lines", "contours", "shelves")}
_KEY |= {"bucket test": "bucket_salt", "bucket and watch": "seconds", "water meter": "meter_after"}
_FEW_DRAWS = Draws(count=8)


def described(given: Measurement, where: str) -> Described:
    """The survey, test or shape of a measurement; CaseError with the key and row of all that is wrong.

    Parameters
    ----------
    given : Measurement
        What the case gives.
    where : str
        The name of its table, as mistakes call it.
    """
    try:
        found = _DESCRIBE[given.by](given)
        if given.by is not By.SOUNDINGS:  # its floor costs time, and its rows have been looked at already
            with suppress(Refused):  # the plan says so beside the other ways
                found.volume(_FEW_DRAWS, "tried")
        return found
    except CaseError as error:
        raise CaseError(where, [_placed(one, error.file, where) for one in error.mistakes]) from None
    except ImpossibleInput as error:
        key = _key_of(error.argument, given)
        mistake = Mistake(where=f"{where}.{key}", read=f"{error.value}", would_do=f"it must be {error.limits}")
        raise CaseError(where, [mistake]) from None


def _placed(mistake: Mistake, file: str, where: str) -> Mistake:
    key, row = _KEY.get(file, "of"), mistake.where
    if file == "tracer":
        key, _, row = mistake.where.partition(", ")
    read = f"{row}: {mistake.read}" if row and row != "rows" else mistake.read
    return Mistake(where=f"{where}.{key}", read=read, would_do=mistake.would_do)


def _key_of(argument: str, given: Measurement) -> str:
    shorter = re.sub(r"_(m|m2|l|g|kg|min)$", "", argument)
    other = {"brim": "rim", "freeboard": "below_rim", "salt_purity": "purity", "fill": "fill_time", "salt": "salt"}
    key = other.get(shorter, shorter)
    return key if given.has(key) else "by"


def _number(cell: str) -> float | None:
    try:
        number = float(cell)
    except ValueError:
        return None
    return number if math.isfinite(number) else None


def _scaled(rows: Table, *factors: float) -> list[list[object]]:
    """The cells as numbers in metres; what is no number stays as it is, for the core to name its row."""
    table: list[list[object]] = []
    for row in rows:
        cells: list[object] = []
        for place, cell in enumerate(row):
            number = _number(cell)
            cells.append(cell if number is None else number * factors[min(place, len(factors) - 1)])
        table.append(cells)
    return table


def _metres(unit: str | None) -> float:
    return to_core(1.0, unit or "m", Family.LENGTH)


def _outline(given: Soundings | Sectioned | ShapeGiven) -> tuple[Outline, list[float]]:
    """The shore, and the depth at each of its points: 0 where none is written."""
    rows = _scaled(given.outline, _metres(given.unit))
    wrong = [
        Mistake(where=f"row {number}", read=" ".join(written), would_do="write x and y, and a depth at a wall's foot")
        for number, (row, written) in enumerate(zip(rows, given.outline, strict=True), 1)
        if len(row) not in {2, 3} or not all(isinstance(cell, float) for cell in row) or any(d < 0 for d in row[2:])  # type: ignore[operator]
    ]
    if wrong:
        raise CaseError("outline", wrong)
    if len(rows) > 3 and rows[0][:2] == rows[-1][:2]:
        rows = rows[:-1]
    depths = [float(row[2]) if len(row) == 3 else 0.0 for row in rows]  # type: ignore[arg-type]
    outline = Outline.traced(
        [row[:2] for row in rows],
        curved=given.shore == "curved",
        point_error_m=points_error_m(),
    )
    return outline, depths


def _outlined_area(outline: Outline) -> Measured:
    return Measured.within_factor(outline.area_m2, outline.area_error_m2 / outline.area_m2)


def _drawn(measured: Measured) -> Area:
    return lambda draws, name: draws.of(f"{name} surface", measured)


def _surface(given: Measurement) -> Area | None:
    """The area of the water's surface as it was given by itself."""
    surface = given.readings.get("surface")
    return _drawn(surface.measured) if surface else None


def _sounded(given: Soundings) -> Described:
    outline, at_shore = _outline(given)
    survey = Survey.taken(
        outline,
        _scaled(given.soundings, _metres(given.unit)),
        shore_depth_m=at_shore,
        deepest_m=given.deepest.measured.best if given.deepest else None,
    )
    return Described(area=_drawn(_outlined_area(outline)), outline=outline, survey=survey)


def _shore(given: Sectioned) -> tuple[Shore, Outline | None, Area | None]:
    outline = _outline(given)[0] if given.outline else None
    area = _outlined_area(outline) if outline else None
    if given.surface is not None:
        area = given.surface.measured
    if given.edge is Edge.RUNS_OUT or given.wall_depth is None:
        return Shore(edge=given.edge), outline, _drawn(area) if area else None
    shore = Shore(edge=given.edge, area_m2=area, wall_depth_m=given.wall_depth.measured.best)
    return shore, outline, _drawn(area) if area else None


def _gridded(given: Grid) -> Described:
    shore, outline, area = _shore(given)
    spacing = given.spacing.measured.best
    between = given.row_spacing.measured.best if given.row_spacing else spacing
    rows = [[None if cell in {"-", ""} else cell for cell in row] for row in _scaled(given.grid, _metres(given.unit))]

    def make(draws: Draws, name: str) -> Volume:
        return sections.grid_volume(
            rows,  # type: ignore[arg-type]
            spacing_m=spacing,
            row_spacing_m=between,
            shore=shore,
            draws=draws,
            name=name,
        )

    return Described(make=make, area=area, outline=outline)


def _lined(given: Lines) -> Described:
    shore, outline, area = _shore(given)
    lines: dict[object, list[list[object]]] = {}
    wrong = []
    for number, row in enumerate(_scaled(given.lines, 1.0, _metres(given.unit)), 1):
        if len(row) != 3:
            read = " ".join(given.lines[number - 1])
            wrong.append(
                Mistake(where=f"row {number}", read=read, would_do="write the line's number, distance and depth")
            )
            continue
        lines.setdefault(row[0], []).append(row[1:])
    if not wrong and len(lines) < 2:
        wrong.append(Mistake(where="rows", read=f"{len(lines)} line", would_do="give at least two lines"))
    if wrong:
        raise CaseError("lines", wrong)
    spacing = given.spacing.measured.best
    found = list(lines.values())

    def make(draws: Draws, name: str) -> Volume:
        return sections.transect_volume(found, spacing_m=spacing, shore=shore, draws=draws, name=name)  # type: ignore[arg-type]

    return Described(make=make, area=area, outline=outline)


def _contoured(given: Contours) -> Described:
    metres = _metres(given.unit)
    rows = _scaled(given.contours, metres, metres**2)

    def make(draws: Draws, name: str) -> Volume:
        limit = given.deepest.measured.best if given.deepest else None
        return contours.contour_volume(rows, draws=draws, name=name, deepest_m=limit)  # type: ignore[arg-type]

    def area(draws: Draws, name: str) -> FloatArray:
        error = tables.row("vessel_survey", rule="area of a contour").value
        return draws.of(f"{name} surface", Measured.within_factor(float(rows[0][1]), error))  # type: ignore[arg-type]

    return Described(make=make, area=area)


def _samples(given: Tracer, key: str, factor: float) -> tuple[Sample, ...]:
    """Readings at places, before the salt without and after it with the hours; a row that is not so is told."""
    after = key == "after"
    found, wrong = [], []
    for number, row in enumerate(given.rows.get(key, ()), 1):
        figures = [_number(cell) for cell in row[-2 if after else -1 :]]
        if None in figures or len(figures) < 1 + after or len(row) < 1 + after:
            would_do = (
                "write the place, the hours since the salt and the reading"
                if after
                else "write the place and the reading"
            )
            wrong.append(Mistake(where=f"{key}, row {number}", read=" ".join(row), would_do=would_do))
            continue
        hours = float(figures[0] or 0.0) if after else 0.0
        station = " ".join(row[: -2 if after else -1]) or "pond"
        if _ends_in_a_number(station) and row[-1].isdigit():  # "inlet 0,412", parted at its comma
            would_do = "write a decimal point, and call the place by a word"
            wrong.append(Mistake(where=f"{key}, row {number}", read=" ".join(row), would_do=would_do))
            continue
        found.append(Sample(station=station, value=float(figures[-1] or 0.0) * factor, hours=hours))
    if wrong:
        raise CaseError("tracer", wrong)
    return tuple(found)


def _ends_in_a_number(station: str) -> bool:
    return re.search(r"(^|\s)\d+$", station) is not None


def _traced(given: Tracer) -> Described:
    signal, factor = _SIGNAL[given.reads]
    bucket = None
    if given.bucket_salt and given.bucket is not None:
        rows = _scaled(given.bucket_salt, 1.0, factor)
        bucket = BucketTest.of(rows, bucket_l=given.bucket.measured)  # type: ignore[arg-type]
    top_up = None
    if given.top_up is not None and given.top_up_reads is not None:
        top_up = TopUp(added_l=given.top_up.measured, value=given.top_up_reads * factor)
    test = TracerTest(
        signal=signal,
        salt_g=_times(given.salt.measured, 1000.0),
        salt_purity=_times(given.purity.measured, 0.01) if given.purity else Measured.exact(1.0),
        before=_samples(given, "before", factor),
        after=_samples(given, "after", factor),
        reading_error=given.reads_to * factor / COVERAGE,
        bucket=bucket,
        top_up=top_up,
    )
    return Described(make=lambda draws, name: tracer_volume(test, draws=draws, name=name), area=_surface(given))


def _times(measured: Measured, factor: float) -> Measured:
    """A measured value in another unit; a proportion stays what it was."""
    if measured.kind == "lognormal":
        return Measured(
            best=measured.best * factor, kind=measured.kind, spread=measured.spread, spread_above=measured.spread_above
        )
    return Measured(
        best=measured.best * factor,
        kind=measured.kind,
        spread=measured.spread * factor,
        floor=measured.floor * factor,
        ceiling=measured.ceiling * factor,
    )


def _timed(given: TimedFill) -> Described:
    bucket_l = given.bucket.measured.best
    seconds = [" ".join(row) for row in given.seconds]
    wrong = [
        Mistake(where=f"row {number}", read=cell, would_do="write the seconds as a number, one filling to a line")
        for number, cell in enumerate(seconds, 1)
        if _number(cell) is None
    ]
    if wrong:
        raise CaseError("bucket and watch", wrong)
    catches = [fill.Catch(litres=bucket_l, seconds=float(cell)) for cell in seconds]
    fill_min = given.fill_time.measured

    def make(draws: Draws, name: str) -> Volume:
        return fill.timed_fill(catches, fill_min=fill_min, draws=draws, name=name)

    return Described(make=make, area=_surface(given))


def _metered(given: Meter) -> Described:
    before, after = given.meter_before.measured.best, given.meter_after.measured.best

    def make(draws: Draws, name: str) -> Volume:
        return fill.metered_fill(before, meter_after_l=after, draws=draws, name=name)

    return Described(make=make, area=_surface(given))


def _drawn_down(given: DrawDown) -> Described:
    drawn, fall, mean = given.drawn.measured, given.fall.measured, given.mean_depth.measured

    def make(draws: Draws, name: str) -> Volume:
        return fill.draw_down(drawn, level_fall_m=fall, mean_depth_m=mean, draws=draws, name=name)

    def area(draws: Draws, name: str) -> FloatArray:
        litres = draws.of(f"{name} drawn_l", drawn)
        return np.asarray(fill.area_from_level_m2(litres, level_fall_m=draws.of(f"{name} level_fall_m", fall)))

    return Described(make=make, area=area)


def _shaped(given: ShapeGiven) -> Described:
    if not given.outline:
        return shaped(given, None, None)
    outline = _outline(given)[0]
    return shaped(given, outline, _outlined_area(outline))


_DESCRIBE: Mapping[By, Callable[[Any], Described]] = {
    By.SHAPE: _shaped,
    By.SOUNDINGS: _sounded,
    By.GRID: _gridded,
    By.LINES: _lined,
    By.CONTOURS: _contoured,
    By.TRACER: _traced,
    By.TIMED: _timed,
    By.METER: _metered,
    By.DRAWN: _drawn_down,
}
