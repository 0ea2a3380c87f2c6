"""All the ways in which a water was measured: its parts added up, and what they say together."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from waterplan.case.volume.measurement import By, Measurement
from waterplan.case.volume.shaping import Progress
from waterplan.published import FloatArray
from waterplan.stay.figures import Figures
from waterplan.stay.inputs import Inputs
from waterplan.stay.record import ActEnd, Way, Why
from waterplan.stay.volume.one_way import FoundWay, found_way, readings_of, says
from waterplan.vessel.agreement import agreement, combined
from waterplan.vessel.volume import Method, Volume

# The rows that are the survey itself: the same ones again are no second survey.
_SURVEYED = MappingProxyType(
    {By.SOUNDINGS: "soundings", By.GRID: "grid", By.LINES: "lines", By.CONTOURS: "contours", By.TRACER: "after"}
)
_NO_ERROR = 1e-9  # a proportion: what rounding alone leaves


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """What several ways say together; `agree` is None where there are not two, `odd` the one that stands apart."""

    litres: FloatArray
    agree: bool | None = None
    odd: str | None = None


def measured_ways(
    given: Sequence[Measurement], inputs: Inputs, figures: Figures, *, path: str, progress: Progress | None = None
) -> list[FoundWay]:
    """All the ways in which a water was measured, those of its parts among them and the sum of the parts after them.

    Parameters
    ----------
    given : sequence of Measurement
        What the case gives of this water, in its order.
    inputs : Inputs
        The draws.
    figures : Figures
        Where the litres of each way go.
    path : str
        The path of the volume: `home-pond/volume`.
    progress : callable, optional
        Told the share of a long survey that is done.

    Returns
    -------
    list of FoundWay
        One for each measurement, and one for all parts together.
    """
    ways = _ways([one for one in given if "part" not in one.words], inputs, figures, path=path, progress=progress)
    parts: dict[str, list[Measurement]] = {}
    for one in given:
        if "part" in one.words:
            parts.setdefault(one.words["part"], []).append(one)
    if not parts:
        return ways
    found = [
        without_error_left_out(
            _ways(group, inputs, figures, path=f"{path}/part-{number}", part=part, progress=progress)
        )
        for number, (part, group) in enumerate(parts.items(), 1)
    ]
    taking = [any(says(one, "takes_place") for one in group) for group in parts.values()]
    all_of_them = [way for group in found for way in group]
    return [*ways, *all_of_them, _in_parts(list(parts), found, taking, inputs, figures, path=path)]


def weighed(ways: Sequence[FoundWay], inputs: Inputs, *, path: str) -> Together | None:
    """The ways that count, weighed by their errors; where they disagree each draw takes one. None where none counts."""
    counted = [way for way in ways if way.counts]
    drawn = [_drawn(way) for way in counted]
    if len(counted) < 2:
        return Together(litres=drawn[0]) if drawn else None
    volumes = {
        str(way.record.figure): Volume(litres=litres, method=Method.TOGETHER, words="")
        for way, litres in zip(counted, drawn, strict=True)
    }
    bests = np.log([litres[0] for litres in drawn])
    if all(volume.relative_sd < _NO_ERROR for volume in volumes.values()):
        return Together(litres=drawn[0], agree=bool(np.ptp(bests) < _NO_ERROR))
    found = agreement(bests, errors=np.asarray([volume.relative_sd for volume in volumes.values()]))
    together = combined(volumes, draws=inputs.draws, name=path)
    odd = None if found.odd is None else list(volumes)[found.odd]
    return Together(litres=np.asarray(together.litres), agree=found.agrees, odd=odd)


def without_error_left_out(ways: Sequence[FoundWay]) -> list[FoundWay]:
    """The ways, of which those that state no error at all are not weighed with others that do."""
    exact = [way.counts and bool(np.ptp(np.log(_drawn(way))) < _NO_ERROR) for way in ways]
    if sum(way.counts for way in ways) == sum(exact):
        return list(ways)
    why = (Why(code="no-error-stated"),)
    return [
        replace(way, record=way.record.model_copy(update={"refused": why})) if sure else way
        for way, sure in zip(ways, exact, strict=True)
    ]


def tracer_salt_g(ways: Sequence[FoundWay]) -> FloatArray | None:
    """Sodium chloride that tracer tests put into a water [g], mixed or not; None where there was no test.

    Tests of one and the same weight, letter by letter, are one salt that was read with two meters.
    """
    salts = {way.record.readings["salt"]: way.salt_g for way in ways if way.salt_g is not None}
    return np.asarray(np.sum(list(salts.values()), axis=0)) if salts else None


def _drawn(way: FoundWay) -> FloatArray:
    assert way.litres is not None  # whoever asks has looked at `counts`
    return way.litres


def _ways(
    given: Sequence[Measurement],
    inputs: Inputs,
    figures: Figures,
    *,
    path: str,
    part: str | None = None,
    progress: Progress | None = None,
) -> list[FoundWay]:
    seen: dict[object, int] = {}
    found = []
    for number, one in enumerate(given, 1):
        record = Way(by=one.by.value, part=part, readings=readings_of(one))
        first = seen.setdefault(_survey(one), number)
        if first != number:
            twice = Why(code="survey-given-twice", words={"first": f"{first}", "second": f"{number}"})
            found.append(FoundWay(record=record.model_copy(update={"refused": (twice,)})))
            continue
        found.append(found_way(one, record, inputs, figures, path=f"{path}/{number}", progress=progress))
    return found


def _survey(given: Measurement) -> object:
    """What makes a measurement the one it is: the rows of a survey, else all that was written."""
    rows = given.rows.get(_SURVEYED.get(given.by, ""))
    if rows:
        return given.by, tuple(sorted(rows))
    texts = sorted((key, reading.text) for key, reading in given.readings.items())
    return given.by, tuple(texts), *(tuple(sorted(one.items())) for one in (given.rows, given.words, given.numbers))


# -- a water in parts ---------------------------------------------------------------------------------------------------


def _in_parts(
    names: Sequence[str],
    parts: Sequence[Sequence[FoundWay]],
    taking: Sequence[bool],
    inputs: Inputs,
    figures: Figures,
    *,
    path: str,
) -> FoundWay:
    """The sum of the parts that are water, less those that take its place."""
    record = Way(by="parts")
    found = [weighed(group, inputs, path=f"{path}/part-{number}") for number, group in enumerate(parts, 1)]
    lacking = [
        Why(code="part-without-volume", words={"part": name})
        for name, one in zip(names, found, strict=True)
        if one is None
    ]
    if lacking:
        return FoundWay(record=record.model_copy(update={"refused": tuple(lacking)}))
    litres = np.zeros(inputs.size)
    for one, takes in zip(found, taking, strict=True):
        assert one is not None  # none is lacking
        litres = litres - one.litres if takes else litres + one.litres
    if not (litres > 0.0).all():
        return FoundWay(record=record.model_copy(update={"refused": (Why(code="more-taken-off-than-there-is"),)}))
    every = [way for group in parts for way in group if way.counts]
    rows = tuple(dict.fromkeys(row for way in every for row in way.rows))
    equations = tuple(dict.fromkeys(equation for way in every for equation in way.equations))
    name = f"{path}/parts"
    figures.put(name, litres, unit="L", act_end=ActEnd.LOW, rows=rows, equations=equations)
    areas = [next((way.area_m2 for way in group if way.area_m2 is not None), None) for group in parts]
    known = [area for area in areas if area is not None]
    return FoundWay(
        record=record.model_copy(update={"figure": name}),
        litres=litres,
        area_m2=np.asarray(np.sum(known, axis=0)) if len(known) == len(areas) and not any(taking) else None,
        firm=all(any(way.firm for way in group) for group in parts)
        and all(one is not None and one.agree is not False for one in found),
        measured_with="parts",
        rows=rows,
        equations=equations,
    )
