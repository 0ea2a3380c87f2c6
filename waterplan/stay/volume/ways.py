"""All the ways in which a water was measured: its parts added up, and what they say together."""

from collections.abc import Sequence
from types import MappingProxyType
from typing import NamedTuple

import numpy as np

from waterplan.case.volume.measurement import By, Measurement
from waterplan.case.volume.measuring import Progress
from waterplan.published import FloatArray
from waterplan.stay.figures import Figures
from waterplan.stay.inputs import Inputs
from waterplan.stay.record import ActEnd, Way, Why
from waterplan.stay.volume.one_way import FoundWay, found_way, readings_of
from waterplan.vessel.agreement import combined, relative_error

# The rows that are the survey itself: the same ones again are no second survey.
_SURVEYED = MappingProxyType(
    {By.SOUNDINGS: "soundings", By.GRID: "grid", By.LINES: "lines", By.CONTOURS: "contours", By.TRACER: "after"}
)
_NO_ERROR = 1e-9  # a proportion: what rounding alone leaves


class Together(NamedTuple):
    """What several ways say together; `agree` is None where there are not two, `odd` the one that stands apart."""

    litres: FloatArray
    agree: bool | None = None
    odd: str | None = None


class _Part(NamedTuple):
    """One part of a water: its ways, what they say together, and whether it takes the place of water."""

    name: str
    ways: list[FoundWay]
    together: Together | None
    takes_place: bool


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
    groups: dict[str, list[Measurement]] = {}
    for one in given:
        groups.setdefault(one.part, []).append(one)
    ways, parts = _ways(groups.pop("", []), inputs, figures, path=path, progress=progress), []
    for number, (name, group) in enumerate(groups.items(), 1):
        under = f"{path}/part-{number}"
        found = without_error_left_out(_ways(group, inputs, figures, path=under, progress=progress))
        taking = any(one.takes_place for one in group)
        parts.append(_Part(name, found, weighed(found, inputs, path=under), taking))
    if not parts:
        return ways
    return [*ways, *(way for part in parts for way in part.ways), _in_parts(parts, inputs, figures, path=path)]


def weighed(ways: Sequence[FoundWay], inputs: Inputs, *, path: str) -> Together | None:
    """The ways that count, weighed by their errors; where they disagree each draw takes one. None where none counts."""
    counted = [way for way in ways if way.counts]
    drawn = [way.litres for way in counted]
    if len(counted) < 2:
        return Together(drawn[0]) if drawn else None
    if all(relative_error(litres) < _NO_ERROR for litres in drawn):
        return Together(drawn[0], agree=bool(np.ptp(np.log([litres[0] for litres in drawn])) < _NO_ERROR))
    litres, found = combined(drawn, draws=inputs.draws, name=path)
    return Together(litres, found.agrees, None if found.odd is None else counted[found.odd].record.figure)


def without_error_left_out(ways: Sequence[FoundWay]) -> list[FoundWay]:
    """The ways, of which those that state no error at all are not weighed with others that do."""
    exact = [way.counts and bool(np.ptp(np.log(way.litres)) < _NO_ERROR) for way in ways]
    if sum(way.counts for way in ways) == sum(exact):
        return list(ways)
    why = Why(code="no-error-stated")
    return [way.refused(why) if sure else way for way, sure in zip(ways, exact, strict=True)]


def _ways(
    given: Sequence[Measurement], inputs: Inputs, figures: Figures, *, path: str, progress: Progress | None
) -> list[FoundWay]:
    seen: dict[object, int] = {}
    found = []
    for number, one in enumerate(given, 1):
        record = Way(by=one.by.value, part=one.part or None, readings=readings_of(one))
        first = seen.setdefault(_survey(one), number)
        if first == number:
            found.append(found_way(one, record, inputs, figures, path=f"{path}/{number}", progress=progress))
        else:
            twice = Why(code="survey-given-twice", words={"first": f"{first}", "second": f"{number}"})
            found.append(FoundWay(record=record).refused(twice))
    return found


def _survey(given: Measurement) -> object:
    """What makes a measurement the one it is: the rows of a survey, else all that was written."""
    rows = given.rows.get(_SURVEYED.get(given.by, ""))
    if rows:
        return given.by, tuple(sorted(rows))
    texts = sorted((key, reading.text) for key, reading in given.readings.items())
    return given.by, tuple(texts), *(tuple(sorted(one.items())) for one in (given.rows, given.words, given.numbers))


def _in_parts(parts: Sequence[_Part], inputs: Inputs, figures: Figures, *, path: str) -> FoundWay:
    """The sum of the parts that are water, less those that take its place."""
    figure = f"{path}/parts"
    litres, firm, lacking = np.zeros(inputs.size), True, []
    for part in parts:
        if part.together is None:
            lacking.append(Why(code="part-without-volume", words={"part": part.name}))
            continue
        litres = litres - part.together.litres if part.takes_place else litres + part.together.litres
        firm = firm and part.together.agree is not False and any(way.firm for way in part.ways)
    if not lacking and not (litres > 0.0).all():
        lacking.append(Why(code="more-taken-off-than-there-is"))
    if lacking:
        return FoundWay(record=Way(by="parts")).refused(*lacking)
    every = [way for part in parts for way in part.ways if way.counts]
    rows = tuple(dict.fromkeys(row for way in every for row in way.rows))
    equations = tuple(dict.fromkeys(equation for way in every for equation in way.equations))
    figures.put(figure, litres, unit="L", act_end=ActEnd.LOW, rows=rows, equations=equations)
    areas = [next((way.area_m2 for way in part.ways if way.area_m2 is not None), None) for part in parts]
    known = [area for area, part in zip(areas, parts, strict=True) if area is not None and not part.takes_place]
    return FoundWay(
        record=Way(by="parts", figure=figure),
        litres=litres,
        area_m2=np.asarray(np.sum(known, axis=0)) if len(known) == len(parts) else None,
        firm=firm,
        measured_with="parts",
        rows=rows,
        equations=equations,
    )
