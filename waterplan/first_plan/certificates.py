"""What a volume certificate and the drawing of a pond are made from: plain numbers of the plan's own draws."""

from dataclasses import dataclass

import numpy as np

from waterplan.errors import Unanswerable
from waterplan.first_plan.desk import Desk
from waterplan.first_plan.first_case.model import Vessel
from waterplan.first_plan.first_case.shaping import Described
from waterplan.first_plan.volumes import POND, Way, marked, together_text, use_lines
from waterplan.published import FloatArray, Trail, watch
from waterplan.spread import Band, band
from waterplan.vessel.outline import Outline
from waterplan.vessel.volume import Reading

_CELLS = 1600
_LITRES_PER_CM_M2 = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Sketch:
    """A pond from above [m]: its shore in order, its soundings (x, y, depth), and its floor (x, y, depth) in cells."""

    shore: tuple[tuple[float, float], ...]
    soundings: tuple[tuple[float, float, float], ...] = ()
    floor: tuple[tuple[float, float, float], ...] = ()
    cell_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One way of measuring as a certificate tells it; without a band it is refused, and `words` says why."""

    label: str
    words: str
    band: Band | None = None
    readings: tuple[tuple[str, str], ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Certificate:
    """How much water there is in one body of water, and how that is known; texts may hold marked amounts."""

    of: str
    band: Band | None
    words: str
    sections: tuple[Section, ...]
    uses: tuple[tuple[str, float, str], ...] = ()
    per_cm_l: float | None = None
    warnings: tuple[str, ...] = ()
    sketch: Sketch | None = None
    status: str = ""
    sources: tuple[str, ...] = ()


def certificates(desk: Desk) -> tuple[Certificate, ...]:
    """A certificate for every water that the case gives measurements of."""
    bodies: tuple[Vessel | None, ...] = (None, *desk.case.vessels)
    return tuple(found for body in bodies if (found := _certificate(desk, body)) is not None)


def _certificate(desk: Desk, vessel: Vessel | None) -> Certificate | None:
    water = desk.measured_water(vessel)
    if water is None:
        return None
    of = vessel.name if vessel else POND
    sections = tuple(_section(way) for way in water.ways)
    sketch = next((found for way in water.ways if way.described and (found := sketch_of(way.described))), None)
    if water.together is None:
        words = "No volume: every way of measuring it was refused."
        return Certificate(of=of, band=None, words=words, sections=sections, sketch=sketch)
    with watch() as trail:
        litres = water.taken()
        try:
            per_cm = float(_LITRES_PER_CM_M2 * desk.surface_m2(vessel)[0])
        except Unanswerable:
            per_cm = None
    return Certificate(
        of=of,
        band=band(litres),
        words=together_text(water).strip(),
        sections=sections,
        uses=use_lines(litres),
        per_cm_l=per_cm,
        warnings=tuple(marked(text) for text in water.warnings),
        sketch=sketch,
        status=trail.status.value,
        sources=_sources(trail),
    )


def _sources(trail: Trail) -> tuple[str, ...]:
    return tuple(dict.fromkeys(citation.source for citation in trail.citations))


def _section(way: Way) -> Section:
    if way.volume is None:
        return Section(label=way.label, words=way.refused)
    return Section(
        label=way.label,
        words=marked(way.volume.words),
        band=band(way.volume.litres),
        readings=tuple(_reading(reading) for reading in way.volume.readings),
        cautions=tuple(marked(text) for text in way.volume.cautions),
    )


def _reading(reading: Reading) -> tuple[str, str]:
    """A reading in words: the unit that its name ends in stands behind the figure."""
    for ending, unit in (("_m2", " m2"), ("_m", " m")):
        if reading.what.endswith(ending):
            return reading.what.removesuffix(ending).replace("_", " "), f"{reading.read}{unit}"
    return reading.what.replace("_", " "), reading.read


def sketch_of(described: Described) -> Sketch | None:
    """The drawing of what was traced and sounded; None where no shore was traced."""
    if described.outline is None:
        return None
    survey = described.survey
    if survey is None:
        return outline_sketch(described.outline)
    places, cell = _cells(described.outline)
    depth = survey.depth_at(places)
    return Sketch(
        shore=_pairs(described.outline.ring),
        soundings=_triples(survey.soundings),
        floor=_triples(np.column_stack([places, depth])),
        cell_m=cell,
    )


def outline_sketch(outline: Outline, soundings: FloatArray | None = None) -> Sketch:
    """The drawing of a shore, with the soundings as far as they can be read."""
    return Sketch(shore=_pairs(outline.ring), soundings=() if soundings is None else _triples(soundings))


def _cells(outline: Outline) -> tuple[FloatArray, float]:
    """Centres of square cells that cover the inside of a shore, and their side."""
    low, high = outline.ring.min(axis=0), outline.ring.max(axis=0)
    side = float(np.sqrt(np.prod(high - low) / _CELLS))
    x, y = np.meshgrid(*(np.arange(a + side / 2.0, b, side) for a, b in zip(low, high, strict=True)))
    places = np.column_stack([x.ravel(), y.ravel()])
    return places[outline.contains(places)], side


def _pairs(points: FloatArray) -> tuple[tuple[float, float], ...]:
    return tuple((float(x), float(y)) for x, y in points)


def _triples(points: FloatArray) -> tuple[tuple[float, float, float], ...]:
    return tuple((float(x), float(y), float(z)) for x, y, z in points)
