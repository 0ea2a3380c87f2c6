"""How much water there is: each way it was measured, the ways together, and which end to use for what."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from waterplan.errors import CaseError, ImpossibleInput, Refused, Unanswerable
from waterplan.findings import Caution, Moment, amount
from waterplan.first_plan.answers import Answer
from waterplan.first_plan.first_case.measuring import described
from waterplan.first_plan.first_case.model import Body, Measurement, Vessel
from waterplan.first_plan.first_case.shaping import Described, Progress
from waterplan.published import FloatArray, Numbers, relay, remark, watch
from waterplan.spread import Draws, band
from waterplan.vessel import corrections
from waterplan.vessel.agreement import combined
from waterplan.vessel.corrections import Correction, corrected
from waterplan.vessel.volume import Method, Reading, Use, Volume

if TYPE_CHECKING:
    from waterplan.first_plan.desk import Desk

POND = "home pond"
_CHANGE_PERCENT = 10.0
_LITRES_PER_CM_M2 = 10.0  # a centimetre over a square metre
# What is taken off or put on, and not what the volume is found from.
_BESIDE = frozenset({"gravel_area", "gravel_depth", "rock", "fish", "filter_bodies", "pipe_length", "pipe_bore"})
_IN_PARTS = "in parts"
_NO_ERROR = 1e-9  # a proportion: what rounding alone leaves
_DISAGREE = "The methods do not agree"
# What the sentences of the vessel room say in litres and grams, for a reader who may want other units.
_AT_25 = "at 25 °C"
_SAID = re.compile(r"(?<![\w.,])(\d[\d,]*(?:\.\d+)?) (L|g)(?![\w/])")


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way in which a water was measured: its volume, or why there is none."""

    label: str
    volume: Volume | None = None
    refused: str = ""
    given: Measurement | None = None
    described: Described | None = None
    parts: tuple["Water", ...] = ()

    @property
    def is_measured(self) -> bool:
        """Whether it gave a volume and nothing that decides it was estimated by eye."""
        if self.parts and self.volume is not None:
            return all(any(way.is_measured for way in part.ways) for part in self.parts)
        if self.volume is None or self.given is None:
            return False
        main = (reading for key, reading in self.given.readings.items() if key not in _BESIDE)
        return all(reading.how != "estimate" for reading in main)


@dataclass(frozen=True, slots=True, kw_only=True)
class Water:
    """A body of water that was measured: every way, what they say together, and why one was left out."""

    of: str
    ways: tuple[Way, ...]
    together: Volume | None
    left_out: tuple[str, ...] = ()

    def taken(self) -> FloatArray:
        """The litres to work with, told with their sources and with what was left out."""
        if self.together is None:
            raise Refused(" ".join(way.refused for way in self.ways).removesuffix("."))
        relay(self.together.trail)
        for text in self.warnings:
            remark(marked(text))
        return np.asarray(self.together.litres)

    @property
    def warnings(self) -> tuple[str, ...]:
        """What must stand beside every number that rests on this volume."""
        odd = tuple(f"Volume of the {self.of}: {text}" for text in self._disagreement)
        return (*odd, *self.left_out)

    @property
    def agrees(self) -> bool:
        """Whether there is a volume, and no way of measuring speaks against another."""
        return self.together is not None and not self._disagreement

    @property
    def _disagreement(self) -> tuple[str, ...]:
        cautions = self.together.cautions if self.together is not None else ()
        return tuple(text for text in cautions if text.startswith(_DISAGREE))


def measured_water(
    of: str,
    given: Sequence[Measurement],
    *,
    draws: Draws,
    before: Callable[[], Volume] | None = None,
    progress: Progress | None = None,
) -> Water:
    """A water from all the ways in which it was measured, and from what was said of it before.

    Parameters
    ----------
    of : str
        Its name.
    given : sequence of Measurement
        The ways of the case.
    draws : Draws
        The hypercube.
    before : callable, optional
        Makes the volume from its stated litres or its size, where the case gives those.
    progress : callable, optional
        Told the share of a long survey that is done.
    """
    ways = _ways(of, [one for one in given if "part" not in one.words], draws, progress)
    parts = [one for one in given if "part" in one.words]
    if parts:
        ways.append(_in_parts(of, parts, draws, progress))
    if before is not None:
        stated = before()
        ways.append(Way(label=stated.method.value, volume=stated))
    return _weighed(of, ways, draws)


def _weighed(of: str, ways: Sequence[Way], draws: Draws) -> Water:
    """All the ways together by their errors, without those that gave no volume or say that they have no error."""
    counted = {way.label: way.volume for way in ways if way.volume is not None}
    left_out = [f"The volume of the {of} {way.label} is left out. {way.refused}" for way in ways if way.volume is None]
    sure = [label for label, volume in counted.items() if volume.relative_sd < _NO_ERROR]
    if len(counted) > len(sure):
        for label in sure:
            del counted[label]
            left_out.append(
                f"The volume of the {of} {label} says that it has no error: it is not weighed with the others."
            )
    together = next(iter(counted.values()), None)
    if len(counted) > 1:
        together = combined(counted, draws=draws, name=of)
    return Water(of=of, ways=tuple(ways), together=together, left_out=tuple(left_out) if together is not None else ())


def before_it_was_measured(name: str, body: Body, litres: Callable[[], FloatArray]) -> Volume:
    """What the case said of a water before it was measured, as a volume of the same kind."""
    with watch() as trail:
        drawn = litres()
    if body.volume is not None:
        reading = Reading("stated", body.volume.text)
        return Volume(
            litres=drawn, method=Method.STATED, words=f"Stated for the {name}.", readings=(reading,), trail=trail
        )
    sizes = [(key, getattr(body, key)) for key in ("length", "width", "diameter", "depth")]
    readings = tuple(Reading(key, reading.text) for key, reading in sizes if reading is not None)
    return Volume(
        litres=drawn, method=Method.SHAPE, words=f"{_first(str(body.shape))}, measured.", readings=readings, trail=trail
    )


def marked(text: str) -> str:
    """A sentence of the vessel room with its litres, grams and degrees marked for the reader's units."""
    text = text.replace(_AT_25, f"at {amount(25.0, unit='°C')}")
    return _SAID.sub(lambda found: amount(float(found[1].replace(",", "")), unit=found[2]), text)


def _labels(given: Sequence[Measurement]) -> list[str]:
    seen: dict[str, int] = {}
    labels = []
    for one in given:
        seen[one.by] = seen.get(one.by, 0) + 1
        labels.append(f"by {one.by}" if seen[one.by] == 1 else f"by {one.by} ({seen[one.by]})")
    return labels


def _ways(of: str, given: Sequence[Measurement], draws: Draws, progress: Progress | None) -> list[Way]:
    return [_way(of, one, label, draws, progress) for one, label in zip(given, _labels(given), strict=True)]


def _way(of: str, given: Measurement, label: str, draws: Draws, progress: Progress | None) -> Way:
    name = f"{of} {label}"
    try:
        found = described(given, given.of)
        volume = _corrected(given, found, found.volume(draws, name, progress=progress), draws, name)
    except (Refused, ImpossibleInput) as error:
        return Way(label=label, given=given, refused=_sentence(str(error)))
    except CaseError as error:  # the reader has told of it; a plan made past the reader says it again
        return Way(label=label, given=given, refused="; ".join(_sentence(str(one)) for one in error.mistakes))
    return Way(label=label, volume=volume, given=given, described=found)


def _corrected(given: Measurement, found: Described, volume: Volume, draws: Draws, name: str) -> Volume:
    readings = {key: reading.measured for key, reading in given.readings.items()}

    def of(key: str) -> FloatArray:
        return draws.of(f"{name} {key}", readings[key])

    made = []
    with watch() as trail:
        if "gravel_area" in readings:
            porosity = corrections.usual("gravel porosity", draws=draws, name=name)
            takes = corrections.gravel_takes_l(of("gravel_area"), bed_thickness_m=of("gravel_depth"), porosity=porosity)
            made.append(Correction(what="gravel", litres=-takes))
        if "rock" in readings:
            density = corrections.usual("rock density", draws=draws, name=name)
            made.append(
                Correction(what="rock", litres=-corrections.rock_takes_l(of("rock"), rock_density_kg_per_l=density))
            )
        if "fish" in readings:
            made.append(Correction(what="fish", litres=-corrections.fish_take_l(of("fish"))))
        if given.words.get("folds") == "yes":
            made.append(corrections.folds_correction(volume, draws=draws, name=name))
        if "filter_bodies" in readings:
            made.append(Correction(what="filters", litres=of("filter_bodies")))
        if "pipe_length" in readings:
            holds = corrections.pipe_holds_l(of("pipe_length"), pipe_bore_mm=of("pipe_bore") * 1000.0)
            made.append(Correction(what="pipes", litres=holds))
        if "level_fall" in readings and found.area is not None:
            takes = corrections.level_takes_l(found.area(draws, name), level_fall_m=of("level_fall"))
            made.append(Correction(what="level lower than when measured", litres=-takes))
    if not made:
        return volume
    after = corrected(volume, made)
    with watch() as whole:
        relay(after.trail)
        relay(trail)
    return Volume(
        litres=after.litres,
        method=after.method,
        words=after.words,
        readings=after.readings,
        cautions=after.cautions,
        trail=whole,
    )


def _in_parts(of: str, given: Sequence[Measurement], draws: Draws, progress: Progress | None) -> Way:
    """A water measured in parts: the sum of those that are water, less those that take its place."""
    groups: dict[str, list[Measurement]] = {}
    for one in given:
        groups.setdefault(one.words["part"], []).append(one)
    parts = {
        part: _weighed(f"{of}, {part}", _ways(f"{of}, {part}", group, draws, progress), draws)
        for part, group in groups.items()
    }
    found = {part: water.together for part, water in parts.items() if water.together is not None}
    lacking = [
        f"Its part “{part}”: {' '.join(way.refused for way in water.ways)}"
        for part, water in parts.items()
        if part not in found
    ]
    if lacking:
        return Way(label=_IN_PARTS, refused=" ".join(lacking), parts=tuple(parts.values()))
    takes = {part for part, group in groups.items() if any(one.words.get("takes_place") == "yes" for one in group)}
    with watch() as trail:
        drawn = {part: water.taken() for part, water in parts.items()}
        litres = sum(
            (-drawn[part] if part in takes else drawn[part] for part in parts), start=np.zeros(draws.count + 1)
        )
    try:
        together = Volume(
            litres=litres,
            method=Method.PARTS,
            words="Added up: "
            + "; ".join(f"{part} {'less ' if part in takes else ''}{drawn[part][0]:,.0f} L" for part in parts)
            + ".",
            readings=tuple(
                Reading(f"{part}, {reading.what}", reading.read)
                for part, volume in found.items()
                for reading in volume.readings
            ),
            cautions=tuple(f"Part “{part}”: {text}" for part, volume in found.items() for text in volume.cautions),
            trail=trail,
        )
    except ImpossibleInput:
        words = "What takes the place of water may be more than the water: measure its parts again."
        return Way(label=_IN_PARTS, refused=words, parts=tuple(parts.values()))
    described = None if takes else Described(area=partial(_area_of_parts, tuple(parts.values())))
    return Way(label=_IN_PARTS, volume=together, described=described, parts=tuple(parts.values()))


def _area_of_parts(parts: Sequence[Water], draws: Draws, _: str) -> FloatArray:
    areas = [surface_of(part, draws) for part in parts]
    if any(area is None for area in areas):
        raise Unanswerable("the size of the water's surface")
    return np.asarray(np.sum(np.asarray(areas), axis=0))


# -- the findings ---------------------------------------------------------------------------------------------------


def volume_findings(desk: "Desk", moment: Moment, vessel: Vessel | None) -> None:
    """Each way by itself, which end to use for what, and what a centimetre and a tenth are."""
    water, of = desk.measured_water(vessel), vessel.name if vessel else POND
    if water is not None:
        for way in water.ways:
            desk.answer(moment, f"volume {way.label}: {of}", f"Water in the {of}, {way.label}", by_one_way, way)
    if water is None and vessel is not None:
        return
    if desk.is_known(vessel):
        desk.answer(moment, f"use: {of}", f"Which volume of the {of} to use", which_to_use, vessel)
        desk.answer(moment, f"level: {of}", f"Level of the {of}, and water changes", level, vessel)


def by_one_way(_: "Desk", way: Way) -> Answer:
    """Litres by one way of measuring, or why there are none."""
    if way.volume is None:
        raise Refused(way.refused.removesuffix("."))
    relay(way.volume.trail)
    low, best, high = band(way.volume.litres)
    return Answer(
        text=f"{amount(best, unit='L')} ({amount(low, high, unit='L')}). {marked(way.volume.words)}",
        unit="L",
        values=np.asarray(way.volume.litres),
        method=way.volume.method.value,
        cautions=tuple(Caution(text=marked(text)) for text in way.volume.cautions),
    )


def together_text(water: Water | None) -> str:
    """How the ways were put together, for the finding of the volume itself."""
    if water is None or water.together is None:
        return ""
    return f" {marked(_first(water.together.words))}"


def use_lines(litres: Numbers) -> tuple[tuple[str, float, str], ...]:
    """For each use, in words: the litres to work with, and which end they are and why."""
    volume = Volume(litres=litres, method=Method.TOGETHER, words="")
    found = []
    for use in Use:
        working = volume.working(use)
        why = working.words.partition("because ")[2].removesuffix(".")
        found.append((_first(use.value), working.litres, f"the {working.end} end: {why}"))
    return tuple(found)


def which_to_use(desk: "Desk", vessel: Vessel | None) -> Answer:
    """The volume to work with for each use, said in words."""
    litres = desk.litres_of(vessel)
    lines = [f"{use.partition(':')[0]}: {amount(wanted, unit='L')}, {why}." for use, wanted, why in use_lines(litres)]
    text = " ".join(lines)
    return Answer(text=text, unit="L", values=litres, method="5th and 95th percentile of the volume")


def level(desk: "Desk", vessel: Vessel | None) -> Answer:
    """Litres in a tenth of the water, and in a centimetre of its level where the surface is known."""
    litres = desk.litres_of(vessel)
    tenth = litres * (_CHANGE_PERCENT / 100.0)
    low, best, high = band(tenth)
    text = f"{_CHANGE_PERCENT:g} % of the water is {amount(best, unit='L')} ({amount(low, high, unit='L')})."
    try:
        centimetre = _LITRES_PER_CM_M2 * desk.surface_m2(vessel)
    except Unanswerable:
        text += " What a centimetre of its level holds is not known: give its surface, an outline or a shape."
        return Answer(text=text, unit="L", values=tenth, method="share of the volume")
    falls = tenth / centimetre
    text += (
        f" A centimetre of its level, at the surface, is {amount(centimetre[0], unit='L')}: letting out that tenth lowers "
        f"it by about {amount(falls[0], unit='cm')}, a little more where the sides slope."
    )
    return Answer(text=text, unit="L", values=tenth, method="share of the volume; area of the surface")


def surface_of(water: Water, draws: Draws) -> FloatArray | None:
    """The area of a measured water's surface, from the first way that gives it [m2]."""
    for way in water.ways:
        if way.volume is not None and way.described is not None and way.described.area is not None:
            return np.asarray(way.described.area(draws, f"{water.of} {way.label}"))
    return None


def _first(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def _sentence(text: str) -> str:
    return text if text.endswith(".") else f"{text}."
