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
from waterplan.case.volume.shaping import Progress
from waterplan.case.waters import Body
from waterplan.published import FloatArray
from waterplan.spread import Measured
from waterplan.stay.figures import Equation, Figures
from waterplan.stay.inputs import Inputs
from waterplan.stay.record import ActEnd, Origin, VolumeFound, Way
from waterplan.stay.state import Known
from waterplan.stay.volume.one_way import FoundWay, is_guess, is_unsaid, rows_of
from waterplan.stay.volume.ways import Together, measured_ways, tracer_salt_g, weighed, without_error_left_out
from waterplan.vessel import shapes
from waterplan.vessel.volume import relative_sd

_MARKED = "marked tub"
_L_PER_M3, _L_PER_CM_M2 = 1000.0, 10.0
_CELLS = 900  # of a drawing: about thirty by thirty
_AREA_OF: Mapping[Shape, Equation] = MappingProxyType(
    {
        Shape.RECTANGLE: shapes.rectangle_area_m2,
        Shape.OVAL: shapes.ellipse_area_m2,
        Shape.ROUND: shapes.circle_area_m2,
    }
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
    case: Case,
    inputs: Inputs,
    figures: Figures,
    *,
    water: str,
    vessel: Vessel | None,
    progress: Progress | None = None,
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
    given, path = _given(case, vessel), f"{water}/volume"
    ways = measured_ways([one for _, one in given], inputs, figures, path=path, progress=progress)
    by_section = _by_its_section(body, walls, inputs, figures, water=water, after=len(given))
    whole = without_error_left_out([*(way for way in ways if way.record.part is None), *by_section])
    every = [*whole, *(way for way in ways if way.record.part is not None)]
    together = weighed(whole, inputs, path=path)
    surface, salt = _surface(whole, body, inputs, water), _salt(ways, given)
    if together is None:
        return _assumed(inputs, figures, water=water, ways=every, surface_m2=surface, salt=salt)
    counted = [way for way in whole if way.counts]
    firm = any(way.firm for way in counted) and together.agree is not False
    return _found(
        inputs,
        figures,
        water=water,
        litres=_known(together.litres, counted, body),
        ways=every,
        body=body,
        surface_m2=surface,
        guessed=not firm,
        together=together,
        salt=salt,
    )


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
    if reading is None:
        return _assumed(inputs, figures, water=water, ways=[], surface_m2=None, salt=None)
    body = Body(volume=reading)
    way = _stated(reading, inputs, figures, water=water, number=1, to_a_mark=made_up and is_unsaid(reading))
    assert way.litres is not None  # it was stated
    litres = _known(way.litres, [way], body)
    return _found(inputs, figures, water=water, litres=litres, ways=[way], body=body, guessed=not way.firm)


def _section(case: Case, vessel: Vessel | None) -> tuple[Body, str | None]:
    """What the section of a water says of its size; of the pond, how its sides go down."""
    if vessel is not None:
        return vessel, None
    if case.home_pond is None:
        return Body(), "unknown"
    return case.home_pond, str(case.home_pond.walls or "unknown")


def _given(case: Case, vessel: Vessel | None) -> list[tuple[int, Measurement]]:
    """The measurements of a water with their ordinals in the case."""
    path = HOME_POND if vessel is None else vessel.path
    return [(number, one) for number, one in enumerate(case.volumes, 1) if one.of == path]


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
    area = _area_m2(body, inputs, water)
    litres = np.asarray(shapes.prism_volume_l(area, depth_m=inputs.of_reading(f"{water}/depth", body.depth)))
    sizes = {key: reading for key, reading in _sizes(body).items() if reading is not None}
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


def _sizes(body: Body) -> dict[str, Reading | None]:
    if body.shape is Shape.ROUND:
        return {"diameter": body.diameter, "depth": body.depth}
    return {"length": body.length, "width": body.width, "depth": body.depth}


def _area_m2(body: Body, inputs: Inputs, water: str) -> FloatArray:
    """The surface of a water whose shape was given, with its sizes."""
    drawn = {
        key: inputs.of_reading(f"{water}/{key}", reading)
        for key, reading in _sizes(body).items()
        if reading is not None and key != "depth"
    }
    if body.shape is Shape.ROUND:
        return np.asarray(shapes.circle_area_m2(drawn["diameter"]))
    area = shapes.ellipse_area_m2 if body.shape is Shape.OVAL else shapes.rectangle_area_m2
    return np.asarray(area(drawn["length"], width_m=drawn["width"]))


def _surface(ways: Sequence[FoundWay], body: Body, inputs: Inputs, water: str) -> FloatArray | None:
    """The area of the surface: from the first measurement that gives it, else from the sizes of the section."""
    measured = next((way.area_m2 for way in ways if way.counts and way.area_m2 is not None), None)
    return _area_m2(body, inputs, water) if measured is None and body.has_surface else measured


# -- what is handed on --------------------------------------------------------------------------------------------------


def _known(draws: FloatArray, counted: Sequence[FoundWay], body: Body) -> Known:
    alone = counted[0] if len(counted) == 1 else None
    stated = alone is not None and alone.record.by == "stated" and body.volume is not None
    return Known(
        draws=draws,
        origin=Origin.MEASURED,
        measured_with=alone.measured_with if alone is not None else "several ways",
        taken=body.volume.taken if stated and body.volume is not None else None,
        text=body.volume.text if stated and body.volume is not None else None,
        rows=tuple(dict.fromkeys(row for way in counted for row in way.rows)),
    )


def _salt(ways: Sequence[FoundWay], given: Sequence[tuple[int, Measurement]]) -> Known | None:
    grams = tracer_salt_g(ways)
    if grams is None:
        return None
    tests = [(number, one.readings["salt"]) for number, one in given if "salt" in one.readings]
    return Known(
        draws=grams,
        origin=Origin.MEASURED,
        measured_with=tests[0][1].how,
        came_from=f"volumes/{tests[0][0]}",
        rows=rows_of(reading for _, reading in tests),
    )


def _assumed(
    inputs: Inputs,
    figures: Figures,
    *,
    water: str,
    ways: Sequence[FoundWay],
    surface_m2: FloatArray | None,
    salt: Known | None,
) -> Found:
    """A volume that nothing gives: anywhere in the range of its kind."""
    path = f"{water}/volume"
    row = tables.row("defensible_ranges", kind=water.partition("-")[0], quantity="volume")
    litres = Known.not_measured(inputs.over_range(path, row), path, row, "defensible range")
    return _found(
        inputs,
        figures,
        water=water,
        litres=litres,
        ways=ways,
        body=Body(),
        surface_m2=surface_m2,
        guessed=True,
        salt=salt,
    )


def _found(
    inputs: Inputs,
    figures: Figures,
    *,
    water: str,
    litres: Known,
    ways: Sequence[FoundWay],
    body: Body,
    guessed: bool,
    surface_m2: FloatArray | None = None,
    together: Together | None = None,
    salt: Known | None = None,
) -> Found:
    path, most = f"{water}/volume", f"{water}/volume/most"
    equations = tuple(dict.fromkeys(one for way in ways if way.counts for one in way.equations))
    for figure, end in ((path, ActEnd.LOW), (most, ActEnd.HIGH)):
        figures.put(figure, litres.draws, unit="L", act_end=end, rows=litres.rows, equations=equations)
    depth = None if surface_m2 is None else litres.draws / _L_PER_M3 / surface_m2
    if surface_m2 is None and body.depth is not None:
        depth = inputs.of_reading(f"{water}/depth", body.depth)
        surface_m2 = litres.draws / _L_PER_M3 / depth
    if surface_m2 is not None:
        figures.put(f"{water}/surface", surface_m2, unit="m2")
        figures.put(f"{water}/centimetre", _L_PER_CM_M2 * surface_m2, unit="L")
    return Found(
        litres=litres,
        surface_m2=surface_m2,
        depth_m=depth,
        wall_m2=None if surface_m2 is None or depth is None else _wall_m2(surface_m2, depth, body, inputs, water),
        guessed=guessed,
        record=VolumeFound(
            water=water,
            figure=path,
            ways=tuple(way.record for way in ways),
            agree=together.agree if together is not None else None,
            odd=together.odd if together is not None else None,
            use_for={**dict.fromkeys(_LOW_END, path), "antidote": most},
            **_drawing(ways),
        ),
        salt_added_g=salt,
    )


def _wall_m2(surface_m2: FloatArray, depth_m: FloatArray, body: Body, inputs: Inputs, water: str) -> FloatArray:
    """Walls and floor under water: of a box its own, of any other shape those of a round one of its surface."""
    around = 2.0 * np.sqrt(np.pi * surface_m2)
    if body.shape is Shape.RECTANGLE and body.length is not None and body.width is not None:
        sides = [
            inputs.of_reading(f"{water}/{key}", one) for key, one in _sizes(body).items() if one and key != "depth"
        ]
        around = 2.0 * np.sum(sides, axis=0)
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
