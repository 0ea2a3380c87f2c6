"""From what a case gives of a measured volume to the survey, the test or the shape that it describes.

All that is wrong is told by the key of the case and the row, before anything is planned.
"""

import math
import re
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from waterplan import tables
from waterplan.case.values import Reading
from waterplan.case.volume import measurement
from waterplan.case.volume.measurement import By, Measurement, Reads
from waterplan.case.volume.rows import Table, number_of, numbers_in
from waterplan.case.volume.sizes import SIZE_KEYS, ShapeGiven
from waterplan.errors import CaseError, ImpossibleInput, Mistake, Refused
from waterplan.spread import COVERAGE, Draws, Kind, Measured
from waterplan.units import Family, to_core
from waterplan.vessel import contours, fill, sections
from waterplan.vessel.calibration import BucketTest
from waterplan.vessel.forms import Plan, measured_volume
from waterplan.vessel.limits import Row, WrongRows
from waterplan.vessel.liner import Shelf, measured_liner_volume
from waterplan.vessel.outline import Outline
from waterplan.vessel.survey import Survey, sounded_volume
from waterplan.vessel.systematic import Edge, Shore
from waterplan.vessel.tracer import Sample, Signal, TopUp, TracerTest, tracer_volume
from waterplan.vessel.volume import Volume

# Told the share that is done, from 0 to 1.
Progress = Callable[[float], None]

_SIGNAL = {
    Reads.MS: (Signal.CONDUCTIVITY, 1.0),
    Reads.US: (Signal.CONDUCTIVITY, 1e-3),
    Reads.CHLORIDE: (Signal.CHLORIDE, 1.0),
    Reads.SALINITY: (Signal.SALINITY, 1.0),
}
# Which key of the case a table of the core stands under, and a size of the core, where they are called otherwise.
_TABLES = {"bucket test": "bucket_salt", "bucket and watch": "seconds", "water meter": "meter_after"}
_SIZES = {"brim": "rim", "freeboard": "below_rim", "salt_purity": "purity", "fill": "fill_time"}
_FEW_DRAWS = Draws(count=8)


@dataclass(frozen=True, slots=True, kw_only=True)
class Described:
    """What a measurement describes: how to make its volume, and the shore and the survey for a drawing.

    `surface` is the area of the water where the volume does not give it itself.
    """

    make: Callable[..., Volume]
    surface: Measured | None = None
    outline: Outline | None = None
    survey: Survey | None = None

    def volume(self, draws: Draws, name: str, *, progress: Progress | None = None) -> Volume:
        """The volume, with draws under a name of its own; a survey by soundings tells how far it has come."""
        told = {} if self.survey is None else {"progress": progress}
        found = self.make(draws=draws, name=name, **told)
        return found if self.surface is None else replace(found, area_m2=draws.of(f"{name} surface", self.surface))


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
        key = re.sub(r"_(m|m2|l|g|kg|min)$", "", error.argument)
        key = _SIZES.get(key, key)
        place = f"{where}.{key if given.has(key) else 'by'}"
        mistake = Mistake(where=place, read=f"{error.value}", would_do=f"it must be {error.limits}")
        raise CaseError(where, [mistake]) from None


def _placed(mistake: Mistake, file: str, where: str) -> Mistake:
    key, row = _TABLES.get(file, file), mistake.where
    if file == "tracer":
        key, _, row = mistake.where.partition(", ")
    read = f"{row}: {mistake.read}" if row and row != "rows" else mistake.read
    return Mistake(where=f"{where}.{key}", read=read, would_do=mistake.would_do)


def _scaled(rows: Table, *factors: float) -> list[Row]:
    """The cells as numbers in metres; what is no number stays as it is, for the core to name its row."""

    def scaled(place: int, cell: str) -> float | str:
        number = number_of(cell)
        return cell if number is None else number * factors[min(place, len(factors) - 1)]

    return [[scaled(place, cell) for place, cell in enumerate(row)] for row in rows]


def _metres(unit: str | None) -> float:
    return to_core(1.0, unit or "m", Family.LENGTH)


def _outline(given: measurement.Soundings | measurement.Sectioned | ShapeGiven) -> tuple[Outline, list[float]]:
    """The shore, and the depth at each of its points: 0 where none is written."""
    metres, points, depths, wrong = _metres(given.unit), [], [], WrongRows("outline")
    for number, row in enumerate(given.outline, 1):
        found = numbers_in(row)
        if found is None or len(row) not in {2, 3} or any(depth < 0 for depth in found[2:]):
            wrong.add(number, " ".join(row), "write x and y, and a depth at a wall's foot")
            continue
        x, y, depth = (*found, 0.0)[:3]
        points.append((x * metres, y * metres))
        depths.append(depth * metres)
    wrong.tell()
    outline = Outline.traced(points, curved=given.shore == "curved")
    return outline, depths[: len(outline.points)]


def _sounded(given: measurement.Soundings) -> Described:
    outline, at_shore = _outline(given)
    survey = Survey.taken(
        outline,
        _scaled(given.soundings, _metres(given.unit)),
        shore_depth_m=at_shore,
        deepest_m=given.deepest.measured.best if given.deepest else None,
    )
    return Described(make=partial(sounded_volume, survey), outline=outline, survey=survey)


def _sectioned(given: measurement.Sectioned, make: Callable[..., Volume]) -> Described:
    """What lines and grids have in common: the spacing, the shore and the area."""
    outline = _outline(given)[0] if given.outline else None
    area = given.surface.measured if given.surface else outline.area if outline else None
    if given.edge is Edge.WALL and given.wall_depth is not None:
        shore = Shore(edge=given.edge, area_m2=area, wall_depth_m=given.wall_depth.measured.best)
    else:
        shore = Shore(edge=given.edge)
    make = partial(make, spacing_m=given.spacing.measured.best, shore=shore)
    return Described(make=make, surface=area, outline=outline)


def _gridded(given: measurement.Grid) -> Described:
    between = (given.row_spacing or given.spacing).measured.best
    rows = _scaled(given.grid, _metres(given.unit))
    return _sectioned(given, partial(sections.grid_volume, rows, row_spacing_m=between))


def _lined(given: measurement.Lines) -> Described:
    sectioned = _sectioned(given, sections.transect_volume)
    lines: dict[object, list[Row]] = {}
    wrong = WrongRows("lines")
    for number, row in enumerate(_scaled(given.lines, 1.0, _metres(given.unit)), 1):
        if len(row) == 3:
            lines.setdefault(row[0], []).append(row[1:])
        else:
            wrong.add(number, " ".join(given.lines[number - 1]), "write the line's number, distance and depth")
    if not wrong.mistakes and len(lines) < 2:
        wrong.add("rows", f"{len(lines)} line", "give at least two lines")
    wrong.tell()
    return replace(sectioned, make=partial(sectioned.make, list(lines.values())))


def _contoured(given: measurement.Contours) -> Described:
    metres = _metres(given.unit)
    rows, deepest = _scaled(given.contours, metres, metres**2), given.deepest.measured.best if given.deepest else None
    upright = given.upright_to.measured.best if given.upright_to else 0.0
    return Described(make=partial(contours.contour_volume, rows, deepest_m=deepest, upright_m=upright))


def _samples(given: measurement.Tracer, key: str, factor: float) -> tuple[Sample, ...]:
    after = key == "after"
    width = 2 if after else 1
    samples, wrong = [], WrongRows("tracer")
    for number, row in enumerate(given.rows.get(key, ()), 1):
        place, found = " ".join(row[:-width]) or "pond", numbers_in(row[-width:])
        where, read = f"{key}, row {number}", " ".join(row)
        if found is None or len(found) < width:
            wrong.add(where, read, f"write the place{', the hours since the salt' if after else ''} and the reading")
        elif re.search(r"(^|\s)\d+$", place) and row[-1].isdigit():  # "inlet 0,412", parted at its comma
            wrong.add(where, read, "write a decimal point, and call the place by a word")
        else:
            samples.append(Sample(station=place, value=found[-1] * factor, hours=found[0] if after else 0.0))
    wrong.tell()
    return tuple(samples)


def _traced(given: measurement.Tracer) -> Described:
    signal, factor = _SIGNAL[given.reads]
    bucket = top_up = None
    if given.bucket_salt and given.bucket is not None:
        bucket = BucketTest.of(_scaled(given.bucket_salt, 1.0, factor), bucket_l=given.bucket.measured)
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
    return Described(make=partial(tracer_volume, test), surface=_surface(given))


def _times(measured: Measured, factor: float) -> Measured:
    return replace(
        measured,
        best=measured.best * factor,
        spread=measured.spread if measured.kind is Kind.LOGNORMAL else measured.spread * factor,
        floor=measured.floor * factor,
        ceiling=measured.ceiling * factor,
    )


def _surface(given: measurement.Tracer | measurement.TimedFill | measurement.Meter) -> Measured | None:
    return given.surface.measured if given.surface else None


def _timed(given: measurement.TimedFill) -> Described:
    seconds, wrong = [], WrongRows("bucket and watch")
    for number, row in enumerate(given.seconds, 1):
        found = number_of(" ".join(row))
        if found is None:
            wrong.add(number, " ".join(row), "write the seconds as a number, one filling to a line")
        else:
            seconds.append(found)
    wrong.tell()
    bucket_l, fill_min = given.bucket.measured.best, given.fill_time.measured
    make = partial(fill.timed_fill, seconds, bucket_l=bucket_l, fill_min=fill_min)
    return Described(make=make, surface=_surface(given))


def _metered(given: measurement.Meter) -> Described:
    before, after = given.meter_before.measured.best, given.meter_after.measured.best
    return Described(make=partial(fill.metered_fill, before, meter_after_l=after), surface=_surface(given))


def _drawn_down(given: measurement.DrawDown) -> Described:
    fall, mean = given.fall.measured, given.mean_depth.measured
    return Described(make=partial(fill.draw_down, given.drawn.measured, level_fall_m=fall, mean_depth_m=mean))


def _shaped(given: ShapeGiven) -> Described:
    """A shape by its plan, profile and sizes; a traced outline stands for the area of a free one."""
    outline = _outline(given)[0] if given.outline else None
    found = {name: getattr(given, key) for name, key in SIZE_KEYS.items()}
    sizes = {
        name: size.measured if isinstance(size, Reading) else Measured.exact(float(size))
        for name, size in found.items()
        if size is not None
    }
    if outline is not None and given.plan is Plan.FREE:
        sizes["area_m2"] = outline.area
    freeboard = replace(given.below_rim.measured, floor=0.0, ceiling=math.inf)
    if not given.shelves:
        make = partial(measured_volume, given.plan, given.profile)
        return Described(make=partial(make, sizes=sizes, freeboard_m=freeboard, form=given.made), outline=outline)
    # Nobody says how a size in a row was found.
    half = tables.row("instruments", instrument="not stated", quantity="dimension", part="relative").value
    make = partial(measured_liner_volume, shelves=_shelves(given), shelf_sd=half / COVERAGE)
    return Described(make=partial(make, sizes=sizes, freeboard_m=freeboard, form=given.made))


def _shelves(given: ShapeGiven) -> list[Shelf]:
    shelves, wrong = [], WrongRows("shelves")
    for number, row in enumerate(given.shelves, 1):
        found = numbers_in(row) or ()
        if len(found) in {2, 3} and all(size > 0 for size in found):
            shelves.append(Shelf(*(size * _metres(given.unit) for size in found)))
        else:
            would_do = "write its depth below the rim, its width, and its length where it does not go all round"
            wrong.add(number, " ".join(row), would_do)
    wrong.tell()
    return shelves


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
