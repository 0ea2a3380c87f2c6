"""What a case describes of a measured water, and the description of a shape by its plan, its profile and its sizes."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from waterplan import tables
from waterplan.case.values import Reading
from waterplan.case.volume.sizes import SIZE_KEYS, ShapeGiven
from waterplan.errors import CaseError, Mistake
from waterplan.published import FloatArray, Numbers
from waterplan.spread import COVERAGE, Draws, Measured
from waterplan.units import Family, to_core
from waterplan.vessel.basin import Basin
from waterplan.vessel.forms import Form, Plan, basin_of, measured_volume
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


def shaped(given: ShapeGiven, outline: Outline | None, outlined: Measured | None) -> Described:
    """The shape of a measurement; a traced outline stands for the area of a free one.

    Parameters
    ----------
    given : ShapeGiven
        What the case gives.
    outline : Outline, optional
        The traced shore.
    outlined : Measured, optional
        Its area with its error [m2].
    """
    plan, profile, form = given.plan, given.profile, given.made
    found = {name: getattr(given, key) for name, key in SIZE_KEYS.items()}
    sizes = {
        name: size.measured if isinstance(size, Reading) else Measured.exact(float(size))
        for name, size in found.items()
        if size is not None
    }
    if outlined is not None and plan is Plan.FREE:
        sizes["area_m2"] = outlined
    below = given.below_rim.measured
    freeboard = Measured(
        best=below.best, kind=below.kind, spread=below.spread, spread_above=below.spread_above, floor=0.0
    )
    if given.shelves:
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


def _with_shelves(given: ShapeGiven, sizes: dict[str, Measured], freeboard: Measured, form: Form) -> Described:
    """A liner pond with shelves, steps and a floor that falls."""
    metres = to_core(1.0, given.unit or "m", Family.LENGTH)
    shelves, wrong = [], []
    for number, row in enumerate(given.shelves, 1):
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
