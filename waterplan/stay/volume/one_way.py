"""One way in which a water was measured: its litres with what stands in it taken off, or why there are none."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from typing import NamedTuple

import numpy as np

from waterplan import tables
from waterplan.case.values import NOT_STATED, Reading
from waterplan.case.volume.measurement import By, Measurement
from waterplan.case.volume.measuring import Described, Progress, described
from waterplan.errors import CaseError, ImpossibleInput, Refused
from waterplan.published import FloatArray, Numbers
from waterplan.spread import Measured
from waterplan.stay.figures import Equation, Figures
from waterplan.stay.inputs import Inputs
from waterplan.stay.record import ActEnd, Way, Why
from waterplan.vessel import corrections
from waterplan.vessel.volume import Volume

# How a figure is found that nobody measured.
GUESSES = frozenset({"owner's word", "estimate", "guess"})
# What is taken off or put on, and not what the volume is found from.
_BESIDE = frozenset({"gravel_area", "gravel_depth", "rock", "fish", "filter_bodies", "pipe_length", "pipe_bore"})
_MM_PER_M, _G_PER_KG, _PERCENT = 1000.0, 1000.0, 100.0


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
    return reading.how in GUESSES or is_unsaid(reading)


def is_unsaid(reading: Reading) -> bool:
    """Whether neither a method nor an error was stated."""
    return reading.how == NOT_STATED and "±" not in reading.text and "+/-" not in reading.text


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


def readings_of(given: Measurement) -> dict[str, str]:
    """What was written, by its key; of rows, how many there are."""
    found = {key: reading.text for key, reading in given.readings.items()}
    found |= {key: f"{number:g}" for key, number in given.numbers.items()}
    return found | dict(given.words) | {key: f"{len(rows)}" for key, rows in given.rows.items()}


def found_way(
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
        firm=all(reading.how not in GUESSES for key, reading in given.readings.items() if key not in _BESIDE),
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
