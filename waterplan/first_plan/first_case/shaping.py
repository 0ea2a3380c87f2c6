"""What a case describes of a measured water, and the description of a shape by its plan, its profile and its sizes."""

from collections.abc import Callable
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from waterplan import tables
from waterplan.errors import CaseError, Mistake
from waterplan.first_plan.first_case.model import Measurement
from waterplan.published import FloatArray, Numbers
from waterplan.spread import COVERAGE, Draws, Measured
from waterplan.units import Family, to_core
from waterplan.vessel.basin import Basin
from waterplan.vessel.forms import Form, Plan, Profile, basin_of, measured_volume, sizes_wanted
from waterplan.vessel.liner import Shelf, liner_pond
from waterplan.vessel.measured_liner import MeasuredShelf, measured_liner_volume
from waterplan.vessel.outline import Outline
from waterplan.vessel.sounded import sounded_volume
from waterplan.vessel.survey import Survey
from waterplan.vessel.volume import Volume

Make = Callable[[Draws, str], Volume]
# Told the share that is done, from 0 to 1.
Progress = Callable[[float], None]
Area = Callable[[Draws, str], FloatArray]

# The keys of the case for the sizes of the vessel room.
SIZE_KEYS = MappingProxyType(
    {
        "length_m": "length",
        "width_m": "width",
        "diameter_m": "diameter",
        "side_m": "side",
        "sides": "sides",
        "base_m": "base",
        "height_m": "height",
        "notch_length_m": "notch_length",
        "notch_width_m": "notch_width",
        "first_lobe_width_m": "first_lobe_width",
        "second_lobe_width_m": "second_lobe_width",
        "corner_radius_m": "corner_radius",
        "area_m2": "area",
        "middle_area_m2": "middle_area",
        "floor_area_m2": "floor_area",
        "brim_m": "rim",
        "floor_fall_m": "floor_fall",
        "wall_slope": "wall_slope",
    }
)
_LINER = ("length_m", "width_m", "brim_m", "wall_slope")
_CM_PER_M, _L_PER_M3 = 100.0, 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Described:
    """What a measurement describes: how to make its volume, the area of its surface, and the shore and soundings.

    Of a survey by soundings the volume is made by `volume`, which tells how far it has come.
    """

    make: Make | None = None
    area: Area | None = None
    outline: Outline | None = None
    survey: Survey | None = None

    def volume(self, draws: Draws, name: str, *, progress: Progress | None = None) -> Volume:
        """The volume, with draws under a name of its own."""
        if self.make is not None:
            return self.make(draws, name)
        assert self.survey is not None  # one of the two makes it
        return sounded_volume(self.survey, draws=draws, name=name, progress=progress)


def sizes_needed(given: Measurement) -> tuple[str, ...]:
    """The keys of the case that a shape needs, so far as its plan and profile are known."""
    if not {"plan", "profile"} <= given.words.keys():
        return ()
    if "shelves" in given.rows:
        return tuple(SIZE_KEYS[name] for name in _LINER)
    return tuple(SIZE_KEYS[name] for name in sizes_wanted(Plan(given.words["plan"]), Profile(given.words["profile"])))


def shaped(given: Measurement, outline: Outline | None, outlined: Measured | None) -> Described:
    """The shape of a measurement; a traced outline stands for the area of a free one.

    Parameters
    ----------
    given : Measurement
        What the case gives.
    outline : Outline, optional
        The traced shore.
    outlined : Measured, optional
        Its area with its error [m2].
    """
    plan, profile, form = Plan(given.words["plan"]), Profile(given.words["profile"]), Form(given.words["made"])
    names = {key: name for name, key in SIZE_KEYS.items()}
    sizes = {names[key]: reading.measured for key, reading in given.readings.items() if key in names}
    sizes |= {names[key]: Measured.exact(number) for key, number in given.numbers.items() if key in names}
    if outlined is not None and plan is Plan.FREE:
        sizes["area_m2"] = outlined
    below = given.readings["below_rim"].measured
    freeboard = Measured(
        best=below.best, kind=below.kind, spread=below.spread, spread_above=below.spread_above, floor=0.0
    )
    if "shelves" in given.rows:
        return _with_shelves(given, sizes, freeboard, form)

    def make(draws: Draws, name: str) -> Volume:
        return measured_volume(plan, profile, sizes=sizes, freeboard_m=freeboard, form=form, draws=draws, name=name)

    def area(draws: Draws, name: str) -> FloatArray:
        drawn: dict[str, Numbers] = {key: draws.of(f"{name} {key}", size) for key, size in sizes.items()}
        if "sides" in sizes:
            drawn["sides"] = sizes["sides"].best
        return _surface(basin_of(plan, profile, sizes=drawn), draws, name, freeboard)

    return Described(make=make, area=area, outline=outline)


def _surface(basin: Basin, draws: Draws, name: str, freeboard: Measured) -> FloatArray:
    """The area of the water's surface, from the litres in the centimetre below it [m2]."""
    depth = basin.brim_m - draws.of(f"{name} freeboard_m", freeboard)
    return np.asarray(basin.litres_per_cm(depth)) * _CM_PER_M / _L_PER_M3


def _with_shelves(given: Measurement, sizes: dict[str, Measured], freeboard: Measured, form: Form) -> Described:
    """A liner pond with shelves, steps and a floor that falls."""
    metres = to_core(1.0, given.words["unit"], Family.LENGTH)
    shelves, wrong = [], []
    for number, row in enumerate(given.rows["shelves"], 1):
        try:
            depth, width, *along = (float(cell) * metres for cell in row)
        except ValueError:
            depth, width, along = np.nan, np.nan, []
        if not (depth > 0 and width > 0 and len(along) <= 1 and all(one > 0 for one in along)):
            would_do = "write its depth below the rim, its width, and its length where it does not go all round"
            wrong.append(Mistake(where=f"row {number}", read=" ".join(row), would_do=would_do))
            continue
        length = _taped(along[0]) if along else None
        shelves.append(MeasuredShelf(depth_m=_taped(depth), width_m=_taped(width), length_m=length))
    if wrong:
        raise CaseError("shelves", wrong)

    def make(draws: Draws, name: str) -> Volume:
        return measured_liner_volume(
            sizes=sizes, shelves=shelves, freeboard_m=freeboard, form=form, draws=draws, name=name
        )

    def area(draws: Draws, name: str) -> FloatArray:
        drawn = {key: draws.of(f"{name} {key}", size) for key, size in sizes.items()}
        at_best = [
            Shelf(
                depth_m=shelf.depth_m.best,
                width_m=shelf.width_m.best,
                length_m=shelf.length_m.best if shelf.length_m else None,
            )
            for shelf in shelves
        ]
        return _surface(liner_pond(shelves=at_best, **drawn), draws, name, freeboard)

    return Described(make=make, area=area)


def _taped(value_m: float) -> Measured:
    """A size written in a row, where nobody says how it was found."""
    half = tables.row("instruments", instrument="not stated", quantity="dimension", part="relative").value
    return Measured.within_factor(value_m, half / COVERAGE)


def points_error_m() -> float:
    """One standard deviation of where a point of a shore was taken [m]."""
    return tables.row("vessel_survey", rule="traced point").value
