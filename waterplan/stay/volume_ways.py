"""Each way in which a water was measured: its litres with what stands in it taken off, or why there are none."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from waterplan.case.measuring import described
from waterplan.case.model import Measurement
from waterplan.case.schema import By, Reads
from waterplan.case.shaping import Described, Progress
from waterplan.case.values import Reading
from waterplan.errors import CaseError, ImpossibleInput, Refused
from waterplan.published import FloatArray, Numbers
from waterplan.stay.figures import Equation, Figures
from waterplan.stay.inputs import Inputs
from waterplan.stay.record import ActEnd, Way, Why
from waterplan.vessel import contours, corrections, dilution, fill, forms, outline, shapes, survey, systematic
from waterplan.vessel.agreement import agreement, combined
from waterplan.vessel.corrections import Correction, corrected
from waterplan.vessel.volume import Method, Volume

# How a figure is found that nobody measured.
GUESSES = frozenset({"owner's word", "estimate", "guess"})
# What is taken off or put on, and not what the volume is found from.
_BESIDE = frozenset({"gravel_area", "gravel_depth", "rock", "fish", "filter_bodies", "pipe_length", "pipe_bore"})
# The rows that are the survey itself: the same ones again are no second survey.
_SURVEYED = MappingProxyType(
    {By.SOUNDINGS: "soundings", By.GRID: "grid", By.LINES: "lines", By.CONTOURS: "contours", By.TRACER: "after"}
)
_NO_ERROR = 1e-9  # a proportion: what rounding alone leaves
_MM_PER_M, _G_PER_KG, _PERCENT = 1000.0, 1000.0, 100.0

_COMMON = "vessel_survey/depths in common"
_ROWS: Mapping[By, tuple[str, ...]] = MappingProxyType(
    {
        By.SOUNDINGS: (_COMMON, "vessel_survey/depth reading", "vessel_survey/traced point"),
        By.GRID: (_COMMON,),
        By.LINES: (_COMMON,),
        By.CONTOURS: ("vessel_survey/area of a contour",),
        By.TRACER: (
            "vessel_tracer/drift between times",
            "vessel_tracer/not mixed",
            "vessel_tracer/least rise over its error",
        ),
        By.TIMED: ("vessel_methods/bucket's mark",),
        By.METER: ("vessel_methods/water meter",),
    }
)
_EQUATIONS: Mapping[By, tuple[Equation, ...]] = MappingProxyType(
    {
        By.SOUNDINGS: (outline.polygon_area_m2, survey.mean_depth_m),
        By.GRID: (systematic.systematic_variance,),
        By.LINES: (systematic.systematic_variance,),
        By.CONTOURS: (contours.smooth_volume_l,),
        By.TRACER: (dilution.diluted_volume_l,),
        By.TIMED: (fill.flow_l_per_min, fill.timed_volume_l),
        By.DRAWN: (fill.area_from_level_m2, shapes.prism_volume_l),
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundWay:
    """One way with its draws: litres and surface [m2] where it gave them; `firm` where nothing in it was a guess."""

    record: Way
    litres: FloatArray | None = None
    area_m2: FloatArray | None = None
    firm: bool = False
    measured_with: str = ""
    rows: tuple[str, ...] = ()
    equations: tuple[Equation, ...] = ()
    described: Described | None = None

    @property
    def counts(self) -> bool:
        """Whether it has litres, and nothing speaks against taking them."""
        return self.litres is not None and not self.record.refused


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """What several ways say together; `agree` is None where there are not two, `odd` the one that stands apart."""

    litres: FloatArray
    agree: bool | None = None
    odd: str | None = None


def is_guess(reading: Reading) -> bool:
    """Whether a figure is a guess: told or estimated, or with neither a method nor an error stated."""
    unsaid = reading.how == "not stated" and "±" not in reading.text and "+/-" not in reading.text
    return reading.how in GUESSES or unsaid


def rows_of(readings: Iterable[Reading | None]) -> tuple[str, ...]:
    """The table rows that gave some readings their error."""
    found = [row for reading in readings if reading is not None for row in getattr(reading, "rows", ())]
    return tuple(dict.fromkeys(found))


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
        _ways(group, inputs, figures, path=f"{path}/part-{number}", part=part, progress=progress)
        for number, (part, group) in enumerate(parts.items(), 1)
    ]
    taking = [any(_says(one, "takes_place") for one in group) for group in parts.values()]
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


def tracer_salt_g(given: Sequence[Measurement], inputs: Inputs, *, path: str) -> FloatArray | None:
    """Sodium chloride that the tracer tests of a water put into it [g], mixed or not; None where there was no test."""
    grams = []
    for number, one in enumerate((one for one in given if "part" not in one.words), 1):
        if one.by is By.TRACER:
            grams.append(_salt_g(one, inputs, f"{path}/{number}"))
    parts = list(dict.fromkeys(one.words["part"] for one in given if "part" in one.words))
    for place, part in enumerate(parts, 1):
        for number, one in enumerate((one for one in given if one.words.get("part") == part), 1):
            if one.by is By.TRACER:
                grams.append(_salt_g(one, inputs, f"{path}/part-{place}/{number}"))
    return np.asarray(np.sum(grams, axis=0)) if grams else None


def _salt_g(given: Measurement, inputs: Inputs, path: str) -> FloatArray:
    name = _columns(path, given)
    salt = _G_PER_KG * inputs.draws.of(f"{name} salt", given.readings["salt"].measured)
    if "purity" not in given.readings:
        return salt
    return np.asarray(salt * inputs.draws.of(f"{name} purity", given.readings["purity"].measured) / _PERCENT)


def _columns(path: str, given: Measurement) -> str:
    """What the draws of one way are kept under: its use and its ordinal."""
    return f"{path}/{given.by.value.replace(' ', '-')}"


def _says(given: Measurement, key: str) -> bool:
    return str(given.words.get(key, "no")) in {"yes", "True"}


def _drawn(way: FoundWay) -> FloatArray:
    assert way.litres is not None  # whoever asks has looked at `counts`
    return way.litres


# -- one way ------------------------------------------------------------------------------------------------------------


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
        record = Way(by=one.by.value, part=part, readings=_readings(one))
        first = seen.setdefault(_survey(one), number)
        if first != number:
            twice = Why(code="survey-given-twice", words={"first": f"{first}", "second": f"{number}"})
            found.append(FoundWay(record=record.model_copy(update={"refused": (twice,)})))
            continue
        found.append(_way(one, record, inputs, figures, path=f"{path}/{number}", progress=progress))
    return found


def _survey(given: Measurement) -> object:
    """What makes a measurement the one it is: the rows of a survey, else all that was written."""
    rows = given.rows.get(_SURVEYED.get(given.by, ""))
    if rows:
        return given.by, tuple(sorted(rows))
    texts = sorted((key, reading.text) for key, reading in given.readings.items())
    return given.by, tuple(texts), *(tuple(sorted(one.items())) for one in (given.rows, given.words, given.numbers))


def _readings(given: Measurement) -> dict[str, str]:
    """What was written, by its key; of rows, how many there are."""
    found = {key: reading.text for key, reading in given.readings.items()}
    found |= {key: f"{number:g}" for key, number in given.numbers.items()}
    found |= {key: str(word) for key, word in given.words.items() if key not in {"of", "by", "part"}}
    return found | {key: f"{len(rows)}" for key, rows in given.rows.items()}


def _way(
    given: Measurement, record: Way, inputs: Inputs, figures: Figures, *, path: str, progress: Progress | None
) -> FoundWay:
    name = _columns(path, given)
    try:
        found = described(given, "volumes")
        volume = found.volume(inputs.draws, name, progress=progress)
        area = None if found.area is None else np.asarray(found.area(inputs.draws, name))
        changes = _corrections(given, np.asarray(volume.litres), area, inputs, name)
        if changes:
            made = [Correction(what=key, litres=litres) for key, litres in changes.items()]
            volume = corrected(volume, made)
    except (CaseError, ImpossibleInput, Refused) as error:
        return FoundWay(record=record.model_copy(update={"refused": _why(error, figures, path)}))
    litres = np.array(np.broadcast_to(volume.litres, (inputs.size,)))
    rows, equations = _rests_on(given)
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
    if _says(given, "folds"):
        made["folds"] = -litres * usual("liner folds")
    if "filter_bodies" in readings:
        made["filters"] = of("filter_bodies")
    if "pipe_length" in readings:
        made["pipes"] = corrections.pipe_holds_l(of("pipe_length"), pipe_bore_mm=_MM_PER_M * of("pipe_bore"))
    if "level_fall" in readings and area_m2 is not None:
        made["level"] = -corrections.level_takes_l(area_m2, level_fall_m=of("level_fall"))
    return made


def _rests_on(given: Measurement) -> tuple[tuple[str, ...], tuple[Equation, ...]]:
    """The table rows and the equations of a way."""
    by, words = given.by, given.words
    rows = [*rows_of(given.readings.values()), *_ROWS.get(by, ())]
    equations: list[Callable[..., object]] = list(_EQUATIONS.get(by, ()))
    if by is By.SHAPE:
        plan, profile = forms.Plan(words["plan"]), forms.Profile(words["profile"])
        rows += [f"vessel_methods/{words['made']}"]
        rows += ["vessel_methods/kidney rule"] if plan is forms.Plan.KIDNEY else []
        equations += forms.equations_of(plan, profile)
    if by is By.TIMED and len(given.rows["seconds"]) == 1:
        rows += ["vessel_methods/bucket filled once"]
    if by is By.TRACER and words["reads"] == Reads.CHLORIDE:
        equations += [dilution.salt_from_chloride_g_per_l]
    if by is By.TRACER and words["reads"] in {Reads.MS, Reads.US} and "bucket_salt" not in given.rows:
        rows += ["vessel_methods/conductivity meter", "vessel_methods/conductivity of NaCl"]
        equations += [dilution.salt_from_conductance_g_per_l]
    return tuple(dict.fromkeys(rows)), tuple(equations)


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
    found = [
        weighed(without_error_left_out(group), inputs, path=f"{path}/part-{number}")
        for number, group in enumerate(parts, 1)
    ]
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
