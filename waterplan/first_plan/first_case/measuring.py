"""From what a case gives of a measured volume to the survey, the test or the shape that it describes.

All that is wrong is told by the key of the case and the row, before anything is planned.
"""

import math
import re
from collections.abc import Callable, Mapping
from contextlib import suppress

import numpy as np

from waterplan import tables
from waterplan.errors import CaseError, ImpossibleInput, Mistake, Refused
from waterplan.first_plan.first_case.model import Measurement
from waterplan.first_plan.first_case.schema import By, Reads
from waterplan.first_plan.first_case.shaping import Area, Described, points_error_m, shaped
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

Rows = tuple[tuple[str, ...], ...]
MOST_ROWS = 20_000

_SIGNAL = {
    Reads.MS: (Signal.CONDUCTIVITY, 1.0),
    Reads.US: (Signal.CONDUCTIVITY, 1e-3),
    Reads.CHLORIDE: (Signal.CHLORIDE, 1.0),
    Reads.SALINITY: (Signal.SALINITY, 1.0),
}
# A figure that stands by itself, as in "left 0.4" and not as in "area m2".
_A_NUMBER = re.compile(r"(?<![A-Za-z])\d")
# Which key of the case a mistake of the core's rows belongs to.
_KEY = {key: key for key in ("outline", "soundings", "grid", "lines", "contours", "shelves")}
_KEY |= {"bucket test": "bucket_salt", "bucket and watch": "seconds", "water meter": "meter_after"}
_FEW_DRAWS = Draws(count=8)


def split_rows(text: str) -> Rows:
    """The cells of each line: parted by tabs or semicolons where there are any, else by commas, else by spaces.

    Empty lines and a heading (a first line of words) are left out.
    """
    found = []
    for line in text.splitlines():
        if line.strip():
            parting = next((mark for mark in ("[;\t]", ",") if re.search(mark, line)), r"\s+")
            found.append(tuple(part.strip() for part in re.split(parting, line.strip(" \r"))))
    if found and not any(_A_NUMBER.search(cell) for cell in found[0]) and any(map(str.isalpha, "".join(found[0]))):
        del found[0]
    return tuple(found)


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
    known = {key for group in (given.readings, given.rows, given.words, given.numbers) for key in group}
    shorter = re.sub(r"_(m|m2|l|g|kg|min)$", "", argument)
    other = {"brim": "rim", "freeboard": "below_rim", "salt_purity": "purity", "fill": "fill_time", "salt": "salt"}
    key = other.get(shorter, shorter)
    return key if key in known else "by"


def _number(cell: str) -> float | None:
    try:
        number = float(cell)
    except ValueError:
        return None
    return number if math.isfinite(number) else None


def _scaled(rows: Rows, *factors: float) -> list[list[object]]:
    """The cells as numbers in metres; what is no number stays as it is, for the core to name its row."""
    table: list[list[object]] = []
    for row in rows:
        cells: list[object] = []
        for place, cell in enumerate(row):
            number = _number(cell)
            cells.append(cell if number is None else number * factors[min(place, len(factors) - 1)])
        table.append(cells)
    return table


def _metres(given: Measurement) -> float:
    return to_core(1.0, given.words["unit"], Family.LENGTH)


def _measured(given: Measurement, key: str) -> Measured:
    return given.readings[key].measured


def _outline(given: Measurement) -> tuple[Outline, list[float]]:
    """The shore, and the depth at each of its points: 0 where none is written."""
    rows = _scaled(given.rows["outline"], _metres(given))
    wrong = [
        Mistake(where=f"row {number}", read=" ".join(written), would_do="write x and y, and a depth at a wall's foot")
        for number, (row, written) in enumerate(zip(rows, given.rows["outline"], strict=True), 1)
        if len(row) not in {2, 3} or not all(isinstance(cell, float) for cell in row) or any(d < 0 for d in row[2:])  # type: ignore[operator]
    ]
    if wrong:
        raise CaseError("outline", wrong)
    if len(rows) > 3 and rows[0][:2] == rows[-1][:2]:
        rows = rows[:-1]
    depths = [float(row[2]) if len(row) == 3 else 0.0 for row in rows]  # type: ignore[arg-type]
    outline = Outline.traced(
        [row[:2] for row in rows],
        curved=given.words.get("shore") == "curved",
        point_error_m=points_error_m(),
    )
    return outline, depths


def _outlined_area(outline: Outline) -> Measured:
    return Measured.within_factor(outline.area_m2, outline.area_error_m2 / outline.area_m2)


def _drawn(measured: Measured) -> Area:
    return lambda draws, name: draws.of(f"{name} surface", measured)


def _surface(given: Measurement) -> Area | None:
    """The area of the water's surface as it was given by itself."""
    return _drawn(_measured(given, "surface")) if "surface" in given.readings else None


def _sounded(given: Measurement) -> Described:
    outline, at_shore = _outline(given)
    deepest = given.readings.get("deepest")
    survey = Survey.taken(
        outline,
        _scaled(given.rows["soundings"], _metres(given)),
        shore_depth_m=at_shore,
        deepest_m=deepest.measured.best if deepest else None,
    )
    return Described(area=_drawn(_outlined_area(outline)), outline=outline, survey=survey)


def _shore(given: Measurement) -> tuple[Shore, Outline | None, Area | None]:
    outline = _outline(given)[0] if "outline" in given.rows else None
    area = _outlined_area(outline) if outline else None
    if "surface" in given.readings:
        area = _measured(given, "surface")
    edge = Edge(given.words["edge"])
    if edge is Edge.RUNS_OUT:
        return Shore(edge=edge), outline, _drawn(area) if area else None
    shore = Shore(edge=edge, area_m2=area, wall_depth_m=_measured(given, "wall_depth").best)
    return shore, outline, _drawn(area) if area else None


def _gridded(given: Measurement) -> Described:
    shore, outline, area = _shore(given)
    spacing = _measured(given, "spacing").best
    across = given.readings.get("row_spacing")
    rows = [
        [None if cell in {"-", ""} else cell for cell in row] for row in _scaled(given.rows["grid"], _metres(given))
    ]

    def make(draws: Draws, name: str) -> Volume:
        between = across.measured.best if across else spacing
        return sections.grid_volume(
            rows,  # type: ignore[arg-type]
            spacing_m=spacing,
            row_spacing_m=between,
            shore=shore,
            draws=draws,
            name=name,
        )

    return Described(make=make, area=area, outline=outline)


def _lined(given: Measurement) -> Described:
    shore, outline, area = _shore(given)
    lines: dict[object, list[list[object]]] = {}
    wrong = []
    for number, row in enumerate(_scaled(given.rows["lines"], 1.0, _metres(given)), 1):
        if len(row) != 3:
            read = " ".join(given.rows["lines"][number - 1])
            wrong.append(
                Mistake(where=f"row {number}", read=read, would_do="write the line's number, distance and depth")
            )
            continue
        lines.setdefault(row[0], []).append(row[1:])
    if not wrong and len(lines) < 2:
        wrong.append(Mistake(where="rows", read=f"{len(lines)} line", would_do="give at least two lines"))
    if wrong:
        raise CaseError("lines", wrong)
    spacing = _measured(given, "spacing").best
    found = list(lines.values())

    def make(draws: Draws, name: str) -> Volume:
        return sections.transect_volume(found, spacing_m=spacing, shore=shore, draws=draws, name=name)  # type: ignore[arg-type]

    return Described(make=make, area=area, outline=outline)


def _contoured(given: Measurement) -> Described:
    metres = _metres(given)
    rows = _scaled(given.rows["contours"], metres, metres**2)
    deepest = given.readings.get("deepest")

    def make(draws: Draws, name: str) -> Volume:
        limit = deepest.measured.best if deepest else None
        return contours.contour_volume(rows, draws=draws, name=name, deepest_m=limit)  # type: ignore[arg-type]

    def area(draws: Draws, name: str) -> FloatArray:
        error = tables.row("vessel_survey", rule="area of a contour").value
        return draws.of(f"{name} surface", Measured.within_factor(float(rows[0][1]), error))  # type: ignore[arg-type]

    return Described(make=make, area=area)


def _samples(given: Measurement, key: str, factor: float) -> tuple[Sample, ...]:
    """Readings at places, before the salt without and after it with the hours; a row that is not so is told."""
    after = key == "after"
    found, wrong = [], []
    for number, row in enumerate(given.rows[key], 1):
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


def _traced(given: Measurement) -> Described:
    signal, factor = _SIGNAL[Reads(given.words["reads"])]
    bucket = None
    if "bucket_salt" in given.rows:
        rows = _scaled(given.rows["bucket_salt"], 1.0, factor)
        bucket = BucketTest.of(rows, bucket_l=_measured(given, "bucket"))  # type: ignore[arg-type]
    top_up = None
    if "top_up" in given.readings:
        top_up = TopUp(added_l=_measured(given, "top_up"), value=given.numbers["top_up_reads"] * factor)
    test = TracerTest(
        signal=signal,
        salt_g=_times(_measured(given, "salt"), 1000.0),
        salt_purity=_times(_measured(given, "purity"), 0.01) if "purity" in given.readings else Measured.exact(1.0),
        before=_samples(given, "before", factor),
        after=_samples(given, "after", factor),
        reading_error=given.numbers["reads_to"] * factor / COVERAGE,
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


def _timed(given: Measurement) -> Described:
    bucket_l = _measured(given, "bucket").best
    seconds = [" ".join(row) for row in given.rows["seconds"]]
    wrong = [
        Mistake(where=f"row {number}", read=cell, would_do="write the seconds as a number, one filling to a line")
        for number, cell in enumerate(seconds, 1)
        if _number(cell) is None
    ]
    if wrong:
        raise CaseError("bucket and watch", wrong)
    catches = [fill.Catch(litres=bucket_l, seconds=float(cell)) for cell in seconds]
    fill_min = _measured(given, "fill_time")

    def make(draws: Draws, name: str) -> Volume:
        return fill.timed_fill(catches, fill_min=fill_min, draws=draws, name=name)

    return Described(make=make, area=_surface(given))


def _metered(given: Measurement) -> Described:
    before, after = (_measured(given, key).best for key in ("meter_before", "meter_after"))

    def make(draws: Draws, name: str) -> Volume:
        return fill.metered_fill(before, meter_after_l=after, draws=draws, name=name)

    return Described(make=make, area=_surface(given))


def _drawn_down(given: Measurement) -> Described:
    drawn, fall, mean = (_measured(given, key) for key in ("drawn", "fall", "mean_depth"))

    def make(draws: Draws, name: str) -> Volume:
        return fill.draw_down(drawn, level_fall_m=fall, mean_depth_m=mean, draws=draws, name=name)

    def area(draws: Draws, name: str) -> FloatArray:
        litres = draws.of(f"{name} drawn_l", drawn)
        return np.asarray(fill.area_from_level_m2(litres, level_fall_m=draws.of(f"{name} level_fall_m", fall)))

    return Described(make=make, area=area)


def _shaped(given: Measurement) -> Described:
    if "outline" not in given.rows:
        return shaped(given, None, None)
    outline = _outline(given)[0]
    return shaped(given, outline, _outlined_area(outline))


_DESCRIBE: Mapping[By, Callable[[Measurement], Described]] = {
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
