"""One way in which a water was measured: its litres with what stands in it taken off, or why there are none."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from waterplan.case.values import NOT_STATED, Reading
from waterplan.case.volume.measurement import By, Measurement
from waterplan.case.volume.measuring import described
from waterplan.case.volume.shaping import Described, Progress
from waterplan.errors import CaseError, ImpossibleInput, Refused
from waterplan.published import FloatArray, Numbers
from waterplan.stay.figures import Equation, Figures
from waterplan.stay.inputs import Inputs
from waterplan.stay.record import ActEnd, Way, Why
from waterplan.vessel import corrections
from waterplan.vessel.corrections import Correction, corrected

# How a figure is found that nobody measured.
GUESSES = frozenset({"owner's word", "estimate", "guess"})
# What is taken off or put on, and not what the volume is found from.
_BESIDE = frozenset({"gravel_area", "gravel_depth", "rock", "fish", "filter_bodies", "pipe_length", "pipe_bore"})
_MM_PER_M, _G_PER_KG, _PERCENT = 1000.0, 1000.0, 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundWay:
    """One way with its draws: litres and surface where it gave them; `firm` where nothing in it was a guess.

    `salt_g` is the sodium chloride that a tracer test put into the water, whether it gave litres or not.
    """

    record: Way
    litres: FloatArray | None = None
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
        return self.litres is not None and not self.record.refused


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


def _columns(path: str, given: Measurement) -> str:
    """What the draws of one way are kept under: its use and its ordinal."""
    return f"{path}/{given.by.value.replace(' ', '-')}"


def says(given: Measurement, key: str) -> bool:
    """Whether a yes/no key says yes."""
    return getattr(given, key, None) is True


def readings_of(given: Measurement) -> dict[str, str]:
    """What was written, by its key; of rows, how many there are."""
    found = {key: reading.text for key, reading in given.readings.items()}
    found |= {key: f"{number:g}" for key, number in given.numbers.items()}
    found |= {key: str(word) for key, word in given.words.items() if key not in {"of", "by", "part"}}
    return found | {key: f"{len(rows)}" for key, rows in given.rows.items()}


def found_way(
    given: Measurement, record: Way, inputs: Inputs, figures: Figures, *, path: str, progress: Progress | None
) -> FoundWay:
    """Litres by one way, with its corrections; where there are none, `record` is handed back with the reason."""
    name = _columns(path, given)
    salt = _salt_g(given, inputs, name)
    try:
        found = described(given, "volumes")
        volume = found.volume(inputs.draws, name, progress=progress)
        area = None if found.area is None else np.asarray(found.area(inputs.draws, name))
        changes = _corrections(given, np.asarray(volume.litres), area, inputs, name)
        if changes:
            made = [Correction(what=key, litres=litres) for key, litres in changes.items()]
            volume = corrected(volume, made)
    except (CaseError, ImpossibleInput, Refused) as error:
        return FoundWay(record=record.model_copy(update={"refused": _why(error, figures, path)}), salt_g=salt)
    litres = np.array(np.broadcast_to(volume.litres, (inputs.size,)))
    rows, equations = tuple(dict.fromkeys((*rows_of(given.readings.values()), *volume.rows))), volume.equations
    inputs.rows |= dict.fromkeys(rows)
    inputs.columns[name] = litres
    for key, taken in changes.items():
        figures.put(f"{path}/{key}", taken, unit="L", rows=_CORRECTION_ROWS.get(key, ()), equations=_CORRECTED_BY[key])
    figures.put(path, litres, unit="L", act_end=ActEnd.LOW, rows=rows, equations=equations)
    told = {"figure": path, "corrections": {key: f"{path}/{key}" for key in changes}}
    main = [reading for key, reading in given.readings.items() if key not in _BESIDE]
    return FoundWay(
        record=record.model_copy(update=told),
        litres=litres,
        area_m2=area,
        salt_g=salt,
        firm=all(reading.how not in GUESSES for reading in main),
        measured_with=given.by.value,
        rows=rows,
        equations=equations,
        described=found,
    )


_CORRECTION_ROWS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "gravel": ("vessel_corrections/gravel porosity",),
        "rock": ("vessel_corrections/rock density",),
        "folds": ("vessel_corrections/liner folds",),
    }
)
_CORRECTED_BY: Mapping[str, tuple[Equation, ...]] = MappingProxyType(
    {
        "gravel": (corrections.gravel_takes_l,),
        "rock": (corrections.rock_takes_l,),
        "fish": (corrections.fish_take_l,),
        "folds": (),
        "filters": (),
        "pipes": (corrections.pipe_holds_l,),
        "level": (corrections.level_takes_l,),
    }
)


def _corrections(
    given: Measurement, litres: FloatArray, area_m2: FloatArray | None, inputs: Inputs, name: str
) -> dict[str, Numbers]:
    """Litres to add, or to take where they are negative, by what they are for."""
    draws, readings = inputs.draws, given.readings

    def of(key: str) -> FloatArray:
        return draws.of(f"{name} {key}", readings[key].measured)

    def usual(item: str) -> Numbers:
        return corrections.usual(item, draws=draws, name=name)

    made: dict[str, Numbers] = {}
    if "gravel_area" in readings:
        made["gravel"] = -corrections.gravel_takes_l(
            of("gravel_area"), bed_thickness_m=of("gravel_depth"), porosity=usual("gravel porosity")
        )
    if "rock" in readings:
        made["rock"] = -corrections.rock_takes_l(of("rock"), rock_density_kg_per_l=usual("rock density"))
    if "fish" in readings:
        made["fish"] = -corrections.fish_take_l(of("fish"))
    if says(given, "folds"):
        made["folds"] = -litres * usual("liner folds")
    if "filter_bodies" in readings:
        made["filters"] = of("filter_bodies")
    if "pipe_length" in readings:
        made["pipes"] = corrections.pipe_holds_l(of("pipe_length"), pipe_bore_mm=_MM_PER_M * of("pipe_bore"))
    if "level_fall" in readings and area_m2 is not None:
        made["level"] = -corrections.level_takes_l(area_m2, level_fall_m=of("level_fall"))
    return made


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
