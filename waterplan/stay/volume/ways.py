"""Every way in which a water was measured: its litres with what stands in it taken off, and what the ways say together."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import NamedTuple

import numpy as np

from waterplan import tables
from waterplan.case.values import NOT_STATED, Reading, states_error
from waterplan.case.volume.measurement import By, Measurement
from waterplan.case.volume.measuring import Described, Progress, described
from waterplan.errors import CaseError, ImpossibleInput, Refused
from waterplan.published import FloatArray, Numbers
from waterplan.spread import Measured
from waterplan.stay.figures import Equation, Figures
from waterplan.stay.inputs import Inputs
from waterplan.stay.record import ActEnd, Way, Why
from waterplan.vessel import corrections
from waterplan.vessel.agreement import combined, relative_error
from waterplan.vessel.volume import Volume

# How a figure is found that nobody measured.
_GUESSES = frozenset({"owner's word", "estimate", "guess"})
# What is taken off or put on, and not what the volume is found from.
_BESIDE = frozenset({"gravel_area", "gravel_depth", "rock", "fish", "filter_bodies", "pipe_length", "pipe_bore"})
_MM_PER_M, _G_PER_KG, _PERCENT = 1000.0, 1000.0, 100.0
# The rows that are the survey itself: the same ones again are no second survey.
_SURVEYED = MappingProxyType(
    {By.SOUNDINGS: "soundings", By.GRID: "grid", By.LINES: "lines", By.CONTOURS: "contours", By.TRACER: "after"}
)
_NO_ERROR = 1e-9  # a proportion: what rounding alone leaves


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundWay:
    """One way with its draws: litres (none where it was refused), surface; `firm` where nothing in it was a guess.

    `salt_g` is the sodium chloride that a tracer test put into the water, whether it gave litres or not.
    """

    record: Way
    litres: FloatArray = field(default_factory=lambda: np.zeros(0))
    area_m2: FloatArray | None = None
    salt_g: FloatArray | None = None
    firm: bool = False
    measured_with: str = ""
    rows: tuple[str, ...] = ()
    equations: tuple[Equation, ...] = ()
    described: Described | None = None

    @property
    def counts(self) -> bool:
        """Whether it has litres, and nothing speaks against taking them."""
        return self.litres.size > 0 and not self.record.refused

    def refused(self, *why: Why) -> "FoundWay":
        """The same, not to be taken."""
        return replace(self, record=self.record.model_copy(update={"refused": why}))


def is_guess(reading: Reading) -> bool:
    """Whether a figure is a guess: told or estimated, or with neither a method nor an error stated."""
    return reading.how in _GUESSES or is_unsaid(reading)


def is_unsaid(reading: Reading) -> bool:
    """Whether neither a method nor an error was stated."""
    return reading.how == NOT_STATED and not states_error(reading.text)


def rows_of(readings: Iterable[Reading | None]) -> tuple[str, ...]:
    """The table rows that gave some readings their error."""
    found = [row for reading in readings if reading is not None for row in getattr(reading, "rows", ())]
    return tuple(dict.fromkeys(found))


def _salt_g(given: Measurement, inputs: Inputs, name: str) -> FloatArray | None:
    """The salt of a tracer test, in the draws from which its volume is worked out."""
    if given.by is not By.TRACER:
        return None
    salt = _G_PER_KG * inputs.draws.of(f"{name} salt", given.readings["salt"].measured)
    if "purity" not in given.readings:
        return salt
    return np.asarray(salt * inputs.draws.of(f"{name} purity", given.readings["purity"].measured) / _PERCENT)


def _readings_of(given: Measurement) -> dict[str, str]:
    """What was written, by its key; of rows, how many there are."""
    found = {key: reading.text for key, reading in given.readings.items()}
    found |= {key: f"{number:g}" for key, number in given.numbers.items()}
    return found | dict(given.words) | {key: f"{len(rows)}" for key, rows in given.rows.items()}


def _found_way(
    given: Measurement, record: Way, inputs: Inputs, figures: Figures, *, path: str, progress: Progress | None
) -> FoundWay:
    """Litres by one way, with its corrections; where there are none, `record` is handed back with the reason."""
    name = f"{path}/{given.by.value.replace(' ', '-')}"
    salt = _salt_g(given, inputs, name)
    try:
        found = described(given, "volumes")
        volume = found.volume(inputs.draws, name, progress=progress)
        changes = dict(_changes(given, volume, inputs, name))
        volume = replace(volume, litres=volume.litres + sum(change.litres for change in changes.values()))
    except (CaseError, ImpossibleInput, Refused) as error:
        return FoundWay(record=record, salt_g=salt).refused(*_why(error, figures, path))
    rows = tuple(dict.fromkeys((*rows_of(given.readings.values()), *volume.rows)))
    inputs.rows |= dict.fromkeys(rows)
    inputs.columns[name] = volume.litres
    for key, change in changes.items():
        figures.put(f"{path}/{key}", change.litres, unit="L", rows=change.rows, equations=change.equations)
    figures.put(path, volume.litres, unit="L", act_end=ActEnd.LOW, rows=rows, equations=volume.equations)
    told = {"figure": path, "corrections": {key: f"{path}/{key}" for key in changes}}
    return FoundWay(
        record=record.model_copy(update=told),
        litres=volume.litres,
        area_m2=volume.area_m2,
        salt_g=salt,
        firm=all(reading.how not in _GUESSES for key, reading in given.readings.items() if key not in _BESIDE),
        measured_with=given.by.value,
        rows=rows,
        equations=volume.equations,
        described=found,
    )


class _Change(NamedTuple):
    """Litres put on, or taken off where they are less than nothing, and what they rest on."""

    litres: Numbers
    equations: tuple[Equation, ...] = ()
    rows: tuple[str, ...] = ()


def _changes(given: Measurement, volume: Volume, inputs: Inputs, name: str) -> Iterator[tuple[str, _Change]]:
    """What stands in the water, hangs on to it, or is gone since; each key with draws of the litres that it makes."""
    readings = given.readings

    def of(key: str) -> FloatArray:
        return inputs.draws.of(f"{name} {key}", readings[key].measured)

    def usual(item: str) -> tuple[FloatArray, tuple[str]]:
        """A figure of the table, spread evenly between its low and its high, and its row."""
        row = tables.row("vessel_corrections", item=item)
        return inputs.draws.of(f"{name} {item}", Measured.between(row.low, row.high, best=row.value)), (row.id,)

    if "gravel_area" in readings:
        porosity, row = usual("gravel porosity")
        takes = corrections.gravel_takes_l
        solids = takes(of("gravel_area"), bed_thickness_m=of("gravel_depth"), porosity=porosity)
        yield "gravel", _Change(-solids, (takes,), row)
    if "rock" in readings:
        density, row = usual("rock density")
        rock = corrections.rock_takes_l(of("rock"), rock_density_kg_per_l=density)
        yield "rock", _Change(-rock, (corrections.rock_takes_l,), row)
    if "fish" in readings:
        yield "fish", _Change(-corrections.fish_take_l(of("fish")), (corrections.fish_take_l,))
    if getattr(given, "folds", None):
        share, row = usual("liner folds")
        yield "folds", _Change(-volume.litres * share, (), row)
    if "filter_bodies" in readings:
        yield "filters", _Change(of("filter_bodies"))
    if "pipe_length" in readings:
        pipes = corrections.pipe_holds_l(of("pipe_length"), pipe_bore_mm=_MM_PER_M * of("pipe_bore"))
        yield "pipes", _Change(pipes, (corrections.pipe_holds_l,))
    if "level_fall" in readings and volume.area_m2 is not None:
        fallen = corrections.level_takes_l(volume.area_m2, level_fall_m=of("level_fall"))
        yield "level", _Change(-fallen, (corrections.level_takes_l,))


def _why(error: CaseError | ImpossibleInput | Refused, figures: Figures, path: str) -> tuple[Why, ...]:
    """Why a way gave no litres, in keys of the phrase book."""
    if isinstance(error, CaseError):
        return tuple(
            Why(code="rows-not-readable", words={"where": one.where, "read": one.read}) for one in error.mistakes
        )
    if isinstance(error, Refused):
        put = {key: figures.put(f"{path}/{key}", value, unit=unit) for key, (value, unit) in error.figures.items()}
        return (Why(code=error.code or "volume-refused", figures=put),)
    if error.argument == "litres":
        return (Why(code="more-taken-off-than-there-is"),)
    return (Why(code="size-not-possible", words={"size": error.argument, "read": f"{error.value}"}),)


# -- all of them --------------------------------------------------------------------------------------------------------


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
        found = with_an_error(_ways(group, inputs, figures, path=under, progress=progress))
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


def with_an_error(ways: Sequence[FoundWay]) -> list[FoundWay]:
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
        record = Way(by=one.by.value, part=one.part or None, readings=_readings_of(one))
        first = seen.setdefault(_survey(one), number)
        if first == number:
            found.append(_found_way(one, record, inputs, figures, path=f"{path}/{number}", progress=progress))
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
