"""How much water there is in each body, from the case: litres and surface as draws, and every way it was measured."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np

from waterplan import tables
from waterplan.case.choices import Shape, Walls
from waterplan.case.model import Case, Vessel
from waterplan.case.names import HOME_POND
from waterplan.case.values import Reading
from waterplan.case.volume.measurement import Measurement
from waterplan.case.volume.measuring import Progress
from waterplan.case.waters import Body
from waterplan.published import FloatArray
from waterplan.spread import Measured
from waterplan.stay.figures import Equation, Figures
from waterplan.stay.inputs import Inputs
from waterplan.stay.record import ActEnd, Origin, VolumeFound, Way
from waterplan.stay.state import Known
from waterplan.stay.volume.ways import FoundWay, is_guess, is_unsaid, measured_ways, rows_of, weighed, with_an_error
from waterplan.vessel import shapes
from waterplan.vessel.volume import relative_sd

_MARKED = "marked tub"
_L_PER_M3, _L_PER_CM_M2 = 1000.0, 10.0
_CELLS = 900  # of a drawing: about thirty by thirty
_AREA_OF: Mapping[Shape, Equation] = MappingProxyType(
    {Shape.RECTANGLE: shapes.rectangle_area_m2, Shape.OVAL: shapes.ellipse_area_m2, Shape.ROUND: shapes.circle_area_m2}
)
_LOW_END = ("narrow dose", "oxygen", "ammonia", "enough")


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """How much water there is in one body.

    `litres` are measured or assumed; `surface_m2`, `depth_m` (the mean depth) and `wall_m2` (walls and floor under
    water) are there where sizes give them; `guessed` where the litres rest on somebody's word, an estimate, a figure
    with neither method nor error, or ways that disagree; `salt_added_g` is the sodium chloride of tracer tests.
    """

    litres: Known
    surface_m2: FloatArray | None = None
    depth_m: FloatArray | None = None
    wall_m2: FloatArray | None = None
    guessed: bool
    record: VolumeFound
    salt_added_g: Known | None = None


def find_volume(
    case: Case, inputs: Inputs, figures: Figures, *, water: str, vessel: Vessel | None, progress: Progress | None = None
) -> Found:
    """How much water there is in a vessel of the case, or in the home pond.

    Parameters
    ----------
    case : Case
        What was written.
    inputs : Inputs
        The draws; each input gets a column under the path of the water.
    figures : Figures
        Where the litres, those of each way, and the surface go.
    water : str
        The path of the water: `home-pond`, `hospital-1`.
    vessel : Vessel or None
        The vessel; None for the home pond.
    progress : callable, optional
        Told the share of a long survey that is done.

    Returns
    -------
    Found
        Litres, surface, depth and walls as draws, shape (draws + 1,), and the record of all ways.

    Notes
    -----
    Ways are weighed by their errors; where they disagree each draw takes one. Without any, the range of its kind.
    """
    body, walls = _section(case, vessel)
    of = HOME_POND if vessel is None else vessel.path
    given = {number: one for number, one in enumerate(case.volumes, 1) if one.of == of}
    ways = measured_ways(list(given.values()), inputs, figures, path=f"{water}/volume", progress=progress)
    by_section = _by_its_section(body, walls, inputs, figures, water=water, after=len(given))
    whole = with_an_error([*(way for way in ways if way.record.part is None), *by_section])
    parts = [way for way in ways if way.record.part is not None]
    return _found(inputs, figures, water=water, body=body, ways=whole, parts=parts, salt=_salt(ways, given))


def volume_as_stated(
    inputs: Inputs, figures: Figures, *, water: str, reading: Reading | None, made_up: bool = False
) -> Found:
    """How much water there is in something of which only the litres are written: a bag, or a bucket for one dose.

    Parameters
    ----------
    inputs : Inputs
        The draws.
    figures : Figures
        Where the litres go.
    water : str
        The path of the water: `bag-1`.
    reading : Reading or None
        The litres as they were written; None where nobody said.
    made_up : bool
        Whether it is filled to a mark for the purpose, so that it has the mark's error where none is stated.

    Returns
    -------
    Found
        Litres as draws, shape (draws + 1,); of the defensible range of its kind where nothing was written.
    """
    ways = []
    if reading is not None:
        to_a_mark = made_up and is_unsaid(reading)
        ways.append(_stated(reading, inputs, figures, water=water, number=1, to_a_mark=to_a_mark))
    return _found(inputs, figures, water=water, body=Body(volume=reading), ways=ways)


def _section(case: Case, vessel: Vessel | None) -> tuple[Body, str | None]:
    """What the section of a water says of its size; of the pond, how its sides go down."""
    if vessel is not None:
        return vessel, None
    if case.home_pond is None:
        return Body(), "unknown"
    return case.home_pond, str(case.home_pond.walls or "unknown")


# -- what the section of a water says -----------------------------------------------------------------------------------


def _by_its_section(
    body: Body, walls: str | None, inputs: Inputs, figures: Figures, *, water: str, after: int
) -> list[FoundWay]:
    """The litres as they are stated; its sizes where there are none, and beside litres that are only a guess."""
    found = []
    if body.volume is not None:
        found.append(_stated(body.volume, inputs, figures, water=water, number=after + 1))
        if found[0].firm:
            return found
    if body.has_surface and body.depth is not None:
        found.append(_sized(body, walls, inputs, figures, water=water, number=after + len(found) + 1))
    return found


def _stated(
    reading: Reading, inputs: Inputs, figures: Figures, *, water: str, number: int, to_a_mark: bool = False
) -> FoundWay:
    figure, rows = f"{water}/volume/{number}", rows_of([reading])
    if to_a_mark:
        rows = (f"vessel_methods/{_MARKED}",)
        litres = inputs.of(f"{water}/volume", Measured.within_factor(reading.measured.best, relative_sd(_MARKED)))
    else:
        litres = inputs.of_reading(f"{water}/volume", reading)
    inputs.rows |= dict.fromkeys(rows)
    figures.put(figure, litres, unit="L", act_end=ActEnd.LOW, rows=rows)
    return FoundWay(
        record=Way(by="stated", figure=figure, readings={"volume": reading.text}),
        litres=litres,
        firm=to_a_mark or not is_guess(reading),
        measured_with=_MARKED if to_a_mark else reading.how,
        rows=rows,
    )


def _sized(body: Body, walls: str | None, inputs: Inputs, figures: Figures, *, water: str, number: int) -> FoundWay:
    """Litres from the shape and the sizes; of a pond that share of the box that its sides leave."""
    assert body.shape is not None  # it has a surface
    assert body.depth is not None  # whoever asks has looked
    area, sizes = _area_m2(body, inputs, water), _sizes(body)
    litres = np.asarray(shapes.prism_volume_l(area, depth_m=inputs.of_reading(f"{water}/depth", body.depth)))
    rows = rows_of(sizes.values())
    if walls is not None:
        share = tables.row("pond_walls", walls=walls)
        drawn = inputs.of_row(f"{water}/walls", share)
        litres = litres * (np.minimum(drawn, share.high) if walls == Walls.VERTICAL else drawn)
        rows = (*rows, share.id)
    figure, equations = f"{water}/volume/{number}", (_AREA_OF[body.shape], shapes.prism_volume_l)
    figures.put(figure, litres, unit="L", act_end=ActEnd.LOW, rows=rows, equations=equations)
    return FoundWay(
        record=Way(by=body.shape.value, figure=figure, readings={key: one.text for key, one in sizes.items()}),
        litres=litres,
        area_m2=area,
        firm=walls != "unknown" and not any(is_guess(reading) for reading in sizes.values()),
        measured_with=body.depth.how,
        rows=rows,
        equations=equations,
    )


def _sizes(body: Body) -> dict[str, Reading]:
    """What was written of the length and width, or of the diameter, and of the depth."""
    keys = ("diameter", "depth") if body.shape is Shape.ROUND else ("length", "width", "depth")
    return {key: reading for key in keys if (reading := getattr(body, key)) is not None}


def _sides(body: Body, inputs: Inputs, water: str) -> list[FloatArray]:
    return [inputs.of_reading(f"{water}/{key}", one) for key, one in _sizes(body).items() if key != "depth"]


def _area_m2(body: Body, inputs: Inputs, water: str) -> FloatArray:
    """The surface of a water whose shape was given, with its sizes."""
    first, *second = _sides(body, inputs, water)
    if body.shape is Shape.ROUND:
        return np.asarray(shapes.circle_area_m2(first))
    area = shapes.ellipse_area_m2 if body.shape is Shape.OVAL else shapes.rectangle_area_m2
    return np.asarray(area(first, width_m=second[0]))


# -- what is handed on --------------------------------------------------------------------------------------------------


def _known(litres: FloatArray, counted: Sequence[FoundWay], body: Body) -> Known:
    alone = counted[0] if len(counted) == 1 else None
    stated = body.volume if alone is not None and alone.record.by == "stated" else None
    return Known(
        draws=litres,
        origin=Origin.MEASURED,
        measured_with="several ways" if alone is None else alone.measured_with,
        taken=stated.taken if stated else None,
        text=stated.text if stated else None,
        rows=tuple(dict.fromkeys(row for way in counted for row in way.rows)),
    )


def _salt(ways: Sequence[FoundWay], given: Mapping[int, Measurement]) -> Known | None:
    """Sodium chloride that tracer tests put into a water, mixed or not; None where there was no test.

    Tests of one and the same weight, letter by letter, are one salt that was read with two meters.
    """
    salts = {way.record.readings["salt"]: way.salt_g for way in ways if way.salt_g is not None}
    if not salts:
        return None
    tests = {number: one.readings["salt"] for number, one in given.items() if "salt" in one.readings}
    number, first = next(iter(tests.items()))
    return Known(
        draws=np.asarray(np.sum(list(salts.values()), axis=0)),
        origin=Origin.MEASURED,
        measured_with=first.how,
        came_from=f"volumes/{number}",
        rows=rows_of(tests.values()),
    )


def _found(
    inputs: Inputs,
    figures: Figures,
    *,
    water: str,
    body: Body,
    ways: Sequence[FoundWay],
    parts: Sequence[FoundWay] = (),
    salt: Known | None = None,
) -> Found:
    """What the ways say together; where none counts, anywhere in the range of its kind."""
    path, most = f"{water}/volume", f"{water}/volume/most"
    together, counted = weighed(ways, inputs, path=path), [way for way in ways if way.counts]
    surface_m2 = next((way.area_m2 for way in counted if way.area_m2 is not None), None)
    if surface_m2 is None and body.has_surface:
        surface_m2 = _area_m2(body, inputs, water)
    if together is None:
        row = tables.row("defensible_ranges", kind=water.partition("-")[0], quantity="volume")
        litres = Known.not_measured(inputs.over_range(path, row), path, row, "defensible range")
        body = Body()
    else:
        litres = _known(together.litres, counted, body)
    every = [*ways, *parts]
    equations = tuple(dict.fromkeys(one for way in every if way.counts for one in way.equations))
    for figure, end in ((path, ActEnd.LOW), (most, ActEnd.HIGH)):
        figures.put(figure, litres.draws, unit="L", act_end=end, rows=litres.rows, equations=equations)
    surface_m2, depth = _surface_and_depth(litres.draws, surface_m2, body, inputs, water)
    if surface_m2 is not None:
        figures.put(f"{water}/surface", surface_m2, unit="m2")
        figures.put(f"{water}/centimetre", _L_PER_CM_M2 * surface_m2, unit="L")
    return Found(
        litres=litres,
        surface_m2=surface_m2,
        depth_m=depth,
        wall_m2=None if surface_m2 is None or depth is None else _wall_m2(surface_m2, depth, body, inputs, water),
        guessed=together is None or together.agree is False or not any(way.firm for way in counted),
        record=VolumeFound(
            water=water,
            figure=path,
            ways=tuple(way.record for way in every),
            agree=together.agree if together is not None else None,
            odd=together.odd if together is not None else None,
            use_for={**dict.fromkeys(_LOW_END, path), "antidote": most},
            **_drawing(every),
        ),
        salt_added_g=salt,
    )


def _surface_and_depth(
    litres: FloatArray, surface_m2: FloatArray | None, body: Body, inputs: Inputs, water: str
) -> tuple[FloatArray | None, FloatArray | None]:
    """The surface [m²] and the mean depth [m], one from the other by the litres; None for both where neither is known."""
    if surface_m2 is not None:
        return surface_m2, litres / _L_PER_M3 / surface_m2
    if body.depth is None:
        return None, None
    depth_m = inputs.of_reading(f"{water}/depth", body.depth)
    return litres / _L_PER_M3 / depth_m, depth_m


def _wall_m2(surface_m2: FloatArray, depth_m: FloatArray, body: Body, inputs: Inputs, water: str) -> FloatArray:
    """Walls and floor under water: of a box its own, of any other shape those of a round one of its surface."""
    around = 2.0 * np.sqrt(np.pi * surface_m2)
    if body.shape is Shape.RECTANGLE and body.has_surface:
        around = 2.0 * np.sum(_sides(body, inputs, water), axis=0)
    return np.asarray(surface_m2 + around * depth_m)


def _drawing(ways: Sequence[FoundWay]) -> dict[str, Any]:
    """The shore, the soundings and the floor of the first way that has a shore, to the millimetre."""
    drawn = next((way.described for way in ways if way.described is not None and way.described.outline), None)
    if drawn is None or drawn.outline is None:
        return {}
    ring, survey = drawn.outline.ring, drawn.survey
    if survey is None:
        return {"outline_m": _to_mm(ring)}
    low, high = ring.min(axis=0), ring.max(axis=0)
    side = float(np.sqrt(np.prod(high - low) / _CELLS))
    x, y = np.meshgrid(*(np.arange(a + side / 2.0, b, side) for a, b in zip(low, high, strict=True)))
    places = np.column_stack([x.ravel(), y.ravel()])
    inside = places[drawn.outline.contains(places)]
    floor = np.column_stack([inside, survey.depth_at(inside)])
    return {
        "outline_m": _to_mm(ring),
        "soundings_m": _to_mm(survey.soundings),
        "floor_m": _to_mm(floor),
        "cell_m": side,
    }


def _to_mm(rows: FloatArray) -> tuple[tuple[float, ...], ...]:
    return tuple(tuple(round(float(cell), 3) for cell in row) for row in rows)
