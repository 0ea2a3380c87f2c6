"""The water that a dose goes into: its litres with their error, whether anybody measured them, what is in it."""

import re
from dataclasses import dataclass, field

import numpy as np

from waterplan import tables
from waterplan.dose import substances
from waterplan.dose.banded import DoseVolume
from waterplan.errors import Unanswerable
from waterplan.findings import amount
from waterplan.first_plan.desk import HOME, Desk
from waterplan.first_plan.first_case.model import Body, Dose, Vessel
from waterplan.first_plan.first_case.reading_doses import HOME_POND
from waterplan.first_plan.first_case.values import NOT_STATED, Reading
from waterplan.published import FloatArray, remark
from waterplan.spread import Band, band

_GUESSES = {"owner's word", "estimate"}


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseWater:
    """A water to be dosed: its name for a reader, its litres as draws, and the water whose readings it has."""

    name: str
    litres: FloatArray
    guessed: bool
    water: str
    vessel: Vessel | None = None
    ends: Band = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "ends", band(self.litres))  # asked for many times in each dose

    @property
    def volume(self) -> DoseVolume:
        """The ends of the volume, for a dose that must be safe at both."""
        low, best, high = self.ends
        return DoseVolume(low_l=low, best_l=best, high_l=high, guessed=self.guessed)

    @property
    def words(self) -> str:
        """The litres in words: the best figure and what they may be."""
        low, best, high = self.ends
        how = ", a guess" if self.guessed else ""
        spread = "" if low == high else f" ({amount(low, high, unit='L')}{how})"
        return f"{amount(best, unit='L')}{spread}"


def water_of(desk: Desk, dose: Dose, number: int) -> DoseWater:
    """The water that a dose of the case goes into; Unanswerable where its volume cannot be known."""
    if dose.volume is not None:
        litres = desk.drawn_reading(f"doses[{number}].into", dose.volume)
        return DoseWater(name=f"bucket {number}", litres=litres, guessed=is_guess(dose.volume), water=HOME)
    if dose.into == HOME_POND:
        pond = desk.case.home_pond
        walls_known = pond is not None and (pond.body.volume is not None or pond.walls is not None)
        body = pond.body if pond is not None else Body()
        guessed = _guessed(desk, None, not walls_known or is_guessed(body))
        return DoseWater(name="home pond", litres=desk.pond_l(), guessed=guessed, water=HOME)
    vessel = next(vessel for vessel in desk.case.vessels if vessel.name == dose.into)
    return vessel_water(desk, vessel)


def vessel_water(desk: Desk, vessel: Vessel) -> DoseWater:
    """The water in a vessel."""
    return DoseWater(
        name=vessel.name,
        litres=desk.vessel_l(vessel),
        guessed=_guessed(desk, vessel, is_guessed(vessel.body)),
        water=vessel.name,
        vessel=vessel,
    )


def _guessed(desk: Desk, vessel: Vessel | None, by_its_section: bool) -> bool:
    """Whether the litres rest on a guess: measured in [[volumes]] they do not, unless the ways do not agree."""
    water = desk.measured_water(vessel)
    if water is None or not any(way.is_measured for way in water.ways):
        return by_its_section
    return not water.agrees


def is_guess(reading: Reading) -> bool:
    """Whether a figure is a guess: told or estimated, or with neither a method nor an error stated."""
    unsaid = reading.how == NOT_STATED and "±" not in reading.text and "+/-" not in reading.text
    return reading.how in _GUESSES or unsaid


def is_guessed(body: Body) -> bool:
    """Whether the volume of a body of water rests on a guess."""
    if body.volume is not None:
        return is_guess(body.volume)
    sizes = (body.length, body.width, body.diameter, body.depth)
    return not body.is_given or any(is_guess(size) for size in sizes if size is not None)


def of_water(desk: Desk, place: DoseWater, key: str) -> FloatArray | None:
    """A quantity of the water, or None where nothing is known of it."""
    try:
        return desk.water(place.water, key)
    except Unanswerable:
        return None


def present_level(desk: Desk, dose: Dose, place: DoseWater) -> float:
    """What the water holds of the substance already, from `already`: none where the case says nothing of it."""
    thing = substances.substance(dose.substance)["thing"]
    found = [one for one in desk.case.already if one.what == thing and one.where in {"", place.name}]
    if not found:
        return 0.0
    if any(one.level is None for one in found):
        raise Unanswerable(f"the level of the {dose.substance} that is in the {place.name} already")
    return float(sum(one.level for one in found if one.level is not None))


def level_words(value: float, unit: str) -> str:
    """A level with its unit in a sentence."""
    return amount(value, unit=unit) if unit == "g/L" else f"{float(f'{value:.4g}'):,.10g} {unit.replace('uL', 'µL')}"


def kitchen_scale_g() -> float:
    """The division of a kitchen scale, on which salt is weighed [g]."""
    return tables.row("defaults", what="scale division").value


def scale_division(dose: Dose) -> float:
    """The smallest division of the scale [g]: as the case says, or a pocket scale's, said as a remark."""
    if dose.scale is not None:
        return dose.scale.measured.best
    usual = tables.row("defaults", what="fine scale division").value
    remark(f"The scale was not described: one that shows {usual:g} g is assumed.")
    return usual


def syringe_division(dose: Dose) -> float:
    """The smallest division of the syringe or measure [mL]: as the case says, or the usual one, said as a remark."""
    if dose.syringe is not None:
        return dose.syringe.measured.best
    usual = tables.row("defaults", what="syringe division").value
    remark(f"The syringe was not described: one that shows {usual:g} mL is assumed.")
    return usual


_CELSIUS = re.compile(r"(\d+(?:\.\d+)?)(?:-(\d+(?:\.\d+)?))? °C")


def reader_units(text: str) -> str:
    """A text of a table with its temperatures marked, so that a reader sees them in the units they chose."""

    def marked(match: re.Match[str]) -> str:
        return amount(*(float(figure) for figure in match.groups() if figure), unit="°C")

    return _CELSIUS.sub(marked, text)


def level_draws(place: DoseWater, *, given: float, present: float) -> FloatArray:
    """The level that a given amount of active substance makes over all draws of the volume [amount x 1000 / L]."""
    return np.asarray(present + given * 1000.0 / place.litres)
