"""The units people write and read, and the core's: the only room that knows pint.

`FAMILIES` is the closed list of what may be written for each kind of quantity; anything else is refused with the list.
`Display` turns the core's units into metric or US customary for a reader.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import pint


class Family(StrEnum):
    """What a written value measures; each has one core unit."""

    TEMPERATURE = "temperature"
    TEMPERATURE_STEP = "temperature step"
    LENGTH = "length"
    FISH_LENGTH = "length of a fish"
    ALTITUDE = "altitude"
    MASS = "weight"
    VOLUME = "volume"
    PRESSURE = "air pressure"
    PH = "pH"
    CONCENTRATION = "concentration"
    SALT = "salt"
    AMMONIA = "ammonia"
    NITRITE = "nitrite"
    NITRATE = "nitrate"
    ALKALINITY = "alkalinity"
    SHARE = "share"
    FEED = "feed"
    AIR_FLOW = "air flow"
    POWER = "power"
    DURATION = "duration"
    IODINE_STOCK = "povidone-iodine stock"
    GAS_PRESSURE = "pressure of a gas cylinder"
    DOSE_LEVEL = "level of a substance"
    FORMALIN_LEVEL = "level of formalin"
    SPIRIT = "share of ethanol"
    BODY_DOSE = "dose by body weight"
    STOCK = "strength of a stock"
    SCALE = "division of a scale"
    SYRINGE = "division of a syringe"
    AREA = "area"
    SATURATION = "share of saturation"
    TOTAL_GAS = "total gas pressure"
    GAS_EXCESS = "gas pressure above the air's"
    CONDUCTIVITY = "conductivity"


# Molar masses (IUPAC standard atomic weights): N 14.007, NH3 17.031, NH4 18.039, NO2 46.005, NO3 62.004 g/mol.
# One degree of carbonate hardness is 10 mg/L CaO, 17.848 mg/L as CaCO3; 1 meq/L of alkalinity is 50.04 mg/L as CaCO3.
_N, _NH3, _NH4, _NO2, _NO3 = 14.007, 17.031, 18.039, 46.005, 62.004
BASIS_UNKNOWN = "mg/L, basis unknown"
_LENGTHS = {"mm": "mm", "cm": "cm", "m": "m", "in": "inch", "ft": "foot"}

# label -> pint's name of the unit, or a plain factor to the core unit where chemistry and not metrology converts it
FAMILIES: Mapping[Family, tuple[str, Mapping[str, str | float]]] = MappingProxyType(
    {
        Family.TEMPERATURE: ("degC", {"°C": "degC", "C": "degC", "°F": "degF", "F": "degF"}),
        Family.TEMPERATURE_STEP: ("delta_degC", {"°C": "delta_degC", "°F": "delta_degF"}),
        Family.LENGTH: ("m", _LENGTHS),
        Family.FISH_LENGTH: ("cm", _LENGTHS),
        Family.ALTITUDE: ("m", {"m": "m", "ft": "foot"}),
        Family.MASS: ("kg", {"g": "g", "kg": "kg", "lb": "pound", "oz": "ounce"}),
        Family.VOLUME: (
            "L",
            {
                "mL": "mL",
                "L": "L",
                "m3": "m**3",
                "m³": "m**3",
                "US gal": "US_liquid_gallon",
                "imp gal": "imperial_gallon",
            },
        ),
        Family.PRESSURE: ("kPa", {"kPa": "kPa", "hPa": "hPa", "mbar": "mbar", "mmHg": "mmHg", "inHg": "inHg"}),
        Family.PH: ("", {"": 1.0}),
        Family.CONCENTRATION: ("mg/L", {"mg/L": "mg/L", "µg/L": "ug/L", "ug/L": "ug/L"}),
        Family.SALT: ("g/L", {"g/L": "g/L", "mg/L": "mg/L"}),
        Family.AMMONIA: ("mg/L", {"mg/L as N": 1.0, "mg/L as NH3": _N / _NH3, "mg/L as NH4": _N / _NH4}),
        Family.NITRITE: ("mg/L", {"mg/L as NO2": 1.0, "mg/L as N": _NO2 / _N}),
        Family.NITRATE: ("mg/L", {"mg/L as NO3": 1.0, "mg/L as N": _NO3 / _N}),
        Family.ALKALINITY: ("mg/L", {"mg/L as CaCO3": 1.0, "°dKH": 17.848, "dKH": 17.848, "meq/L": 50.04}),
        Family.SHARE: ("%", {"%": 1.0}),
        Family.FEED: ("%/day", {"%/day": 1.0}),
        Family.AIR_FLOW: ("L/min", {"L/min": "L/min", "L/h": "L/hour", "US gal/h": "US_liquid_gallon/hour"}),
        Family.POWER: ("W", {"W": "W", "kW": "kW"}),
        Family.DURATION: ("min", {"min": "min", "h": "hour", "day": "day", "days": "day", "weeks": "week"}),
        Family.IODINE_STOCK: ("%", {"% PVP-I": 1.0}),
        Family.GAS_PRESSURE: ("bar", {"bar": "bar", "psi": "psi", "MPa": "MPa"}),
        Family.DOSE_LEVEL: ("mg/L", {"mg/L": 1.0, "g/L": 1000.0, "µg/L": 1e-3, "ug/L": 1e-3}),
        Family.FORMALIN_LEVEL: ("uL/L", {"uL/L": 1.0, "µL/L": 1.0, "mL/L": 1000.0}),
        Family.SPIRIT: ("% v/v", {"% v/v": 1.0}),
        Family.BODY_DOSE: ("mg/kg", {"mg/kg": 1.0, "µg/kg": 1e-3, "ug/kg": 1e-3}),
        Family.STOCK: ("mg/mL", {"mg/mL": 1.0, "g/L": 1.0, "µg/mL": 1e-3, "ug/mL": 1e-3, "% w/v": 10.0}),
        Family.SCALE: ("g", {"g": 1.0, "mg": 1e-3, "kg": 1000.0}),
        Family.SYRINGE: ("mL", {"mL": 1.0, "µL": 1e-3, "uL": 1e-3}),
        Family.SATURATION: ("% saturation", {"% saturation": 1.0, "% sat": 1.0, "%": 1.0}),
        Family.TOTAL_GAS: ("%", {"%": 1.0, "% total gas": 1.0}),
        Family.GAS_EXCESS: ("mmHg", {"mmHg": "mmHg", "kPa": "kPa", "hPa": "hPa", "mbar": "mbar"}),
        Family.CONDUCTIVITY: (
            "mS/cm at 25 °C",
            {"mS/cm at 25 °C": 1.0, "µS/cm at 25 °C": 1e-3, "uS/cm at 25 °C": 1e-3},
        ),
        Family.AREA: ("m**2", {"m2": "m**2", "m²": "m**2", "cm2": "cm**2", "ft2": "foot**2", "ft²": "foot**2"}),
    }
)

# What people write that must not be guessed at, and what to write instead.
_AMBIGUOUS: Mapping[str, str] = MappingProxyType(
    {
        "gal": "say which gallon: 'US gal' (3.785 L) or 'imp gal' (4.546 L)",
        "gallon": "say which gallon: 'US gal' (3.785 L) or 'imp gal' (4.546 L)",
        "gallons": "say which gallon: 'US gal' (3.785 L) or 'imp gal' (4.546 L)",
        "ppm": "ppm has no stated basis: write mg/L",
        "ppt": "ppt is read in two ways: write g/L",
        "NO2": "write the basis: 'mg/L as NO2', 'mg/L as N' or 'mg/L, basis unknown'",
        "dH": "dH is total hardness in one place and something else in another: write 'mg/L as CaCO3' or '°dKH'",
    }
)
# What says something else, or nothing, of this family: a bare per cent says neither of what nor by what.
_DOUBTFUL: Mapping[tuple[Family, str], str] = MappingProxyType(
    {
        (Family.FORMALIN_LEVEL, "ppm"): "ppm of formalin is a volume: write uL/L of the 37 % solution",
        (Family.FORMALIN_LEVEL, "mg/L"): "formalin goes by volume: write uL/L of the 37 % solution",
        (Family.SALT, "mS/cm"): "a conductivity is written as the meter brings it to 25 °C: 'mS/cm at 25 °C'",
        (Family.CONDUCTIVITY, "mS/cm"): "a conductivity is written as the meter brings it to 25 °C: 'mS/cm at 25 °C'",
        (Family.CONDUCTIVITY, "µS/cm"): "a conductivity is written as the meter brings it to 25 °C: 'µS/cm at 25 °C'",
        (Family.CONDUCTIVITY, "uS/cm"): "a conductivity is written as the meter brings it to 25 °C: 'µS/cm at 25 °C'",
        (Family.SALT, "%"): "write g/L (0.3 % is 3 g/L)",
        (Family.DOSE_LEVEL, "%"): "a bare % does not say of what: write mg/L or g/L (0.3 % w/v is 3 g/L)",
        (Family.FORMALIN_LEVEL, "%"): "write uL/L (25 uL/L is 25 mL in 1,000 L)",
        (Family.SPIRIT, "%"): "write '% v/v'",
        (Family.STOCK, "%"): "a bare % does not say of what: write '% w/v' (5 % w/v is 50 mg/mL) or mg/mL",
    }
)


class UnknownUnit(ValueError):  # noqa: N818 - the message is what the reader needs
    """A unit that the closed list does not hold; the text says what to write."""


@cache
def _registry() -> "pint.UnitRegistry[Any]":
    import pint

    registry: pint.UnitRegistry[Any] = pint.UnitRegistry()
    registry.define("hundred_US_gallons = 100 * US_liquid_gallon")
    return registry


def labels(family: Family) -> tuple[str, ...]:
    """What may be written after a number of this family, unknown bases included."""
    known = tuple(label for label in FAMILIES[family][1] if label)
    return (*known, BASIS_UNKNOWN) if family in {Family.AMMONIA, Family.NITRITE} else known


def what_to_write(unit: str, family: Family) -> str:
    """The advice for a unit that cannot be taken."""
    if family in {Family.AMMONIA, Family.NITRITE, Family.NITRATE} and unit in {"mg/L", "ppm"}:
        return "write the basis: " + ", ".join(f"'{label}'" for label in labels(family))
    if family is Family.CONCENTRATION and unit in {"%", "% sat"}:
        return "write mg/L; a percentage needs the temperature and the air pressure it was read at"
    if (family, unit) in _DOUBTFUL:
        return _DOUBTFUL[family, unit]
    if unit in _AMBIGUOUS:
        return _AMBIGUOUS[unit]
    if not unit:
        return "write the unit: " + ", ".join(f"'{label}'" for label in labels(family))
    return "use one of " + ", ".join(f"'{label}'" for label in labels(family) or ("no unit",))


def to_core(value: float, unit: str, family: Family, *, difference: bool = False) -> float:
    """A written value in the core's unit of its family; `difference` for the ± of a temperature."""
    core, known = FAMILIES[family]
    if unit not in known:
        raise UnknownUnit(what_to_write(unit, family))
    factor = known[unit]
    if isinstance(factor, float):
        return value * factor
    if difference and family is Family.TEMPERATURE:
        factor, core = f"delta_{factor}", f"delta_{core}"
    return float(_registry().Quantity(value, factor).to(core).magnitude)


class System(StrEnum):
    """The units a reader wants to see."""

    METRIC = "metric"
    US = "us"


# core unit -> what a US reader sees, and pint's names of the two
_US: Mapping[str, tuple[str, str, str]] = MappingProxyType(
    {
        "°C": ("°F", "degC", "degF"),
        "°C step": ("°F step", "delta_degC", "delta_degF"),
        "°C/h": ("°F/h", "delta_degC", "delta_degF"),
        "°C/day": ("°F/day", "delta_degC", "delta_degF"),
        "L": ("US gal", "L", "US_liquid_gallon"),
        "L/day": ("US gal/day", "L", "US_liquid_gallon"),
        "L/min": ("US gal/min", "L", "US_liquid_gallon"),
        "cm": ("in", "cm", "inch"),
        "m": ("ft", "m", "foot"),
        "kg": ("lb", "kg", "pound"),
        "g": ("oz", "g", "ounce"),
        "kg/m3": ("lb/100 US gal", "kg/m**3", "pound/hundred_US_gallons"),
        "kPa": ("inHg", "kPa", "inHg"),
        "bar": ("psi", "bar", "psi"),
    }
)
# Small and large values of a core unit that metric readers know by another name.
_METRIC_STEPS: Mapping[str, tuple[float, str, float]] = MappingProxyType(
    {"kg": (1.0, "g", 1000.0), "m": (1.0, "cm", 100.0)}
)
_METRIC_LARGE: Mapping[str, tuple[float, str, float]] = MappingProxyType({"g": (1000.0, "kg", 1e-3)})
_HOURS_FROM, _DAYS_FROM = 180.0, 4320.0
_LONG: Mapping[str, tuple[tuple[float, str, float], ...]] = MappingProxyType(
    {"min": ((_DAYS_FROM, "days", 1 / 1440), (_HOURS_FROM, "h", 1 / 60)), "h": ((_DAYS_FROM / 60, "days", 1 / 24),)}
)
# Below this a US reader, too, weighs in grams; below the other a scale shows the gram beside the kilograms.
_GRAMS_ON_ANY_SCALE = 100.0
_GRAMS_ARE_READ_BELOW = 20_000.0
_TIMES = frozenset({"min", "h", "days"})
_MARKED = re.compile("⟦([^⟦⟧]+)⟧")
_WORDS = MappingProxyType({"°C step": "°C", "°F step": "°F", "kg/m3": "kg/m³", "°C days": "degree-days (°C)"})


def _plain(value: float) -> str:
    """Three significant digits, no exponent, no zeros at the end, thousands set apart by a comma."""
    if value != value:  # noqa: PLR0124 - a NaN is the one value unlike itself
        return "?"
    if value in {float("inf"), float("-inf")}:
        return "never"
    magnitude = abs(value)
    if magnitude >= 100:
        return f"{value:,.0f}"
    if magnitude >= 10:
        return f"{value:.1f}".removesuffix(".0")
    if magnitude >= 1 or magnitude == 0:
        return f"{value:.2f}".rstrip("0").rstrip(".")
    return f"{float(f'{value:.2g}'):.6f}".rstrip("0").rstrip(".")


@dataclass(frozen=True, slots=True, kw_only=True)
class Display:
    """How numbers are shown to one reader."""

    system: System = System.METRIC

    def convert(self, value: float, unit: str, *, like: float | None = None) -> tuple[float, str]:
        """A core value in the reader's unit, and that unit; `like` chooses the step for several values together."""
        guide = value if like is None else like
        for least, label, factor in _LONG.get(unit, ()):
            if guide >= least:
                return value * factor, label
        if self.system is System.US and unit in _US and not (unit == "g" and guide < _GRAMS_ON_ANY_SCALE):
            label, core, shown = _US[unit]
            if unit == "g" and guide > 453.6:
                label, shown = "lb", "pound"
            if unit == "kg" and guide < 0.45:
                label, shown = "oz", "ounce"
            return float(_registry().Quantity(value, core).to(shown).magnitude), label
        if self.system is System.US:
            return value, unit
        if unit in _METRIC_STEPS and 0 < guide < _METRIC_STEPS[unit][0]:
            _, label, factor = _METRIC_STEPS[unit]
            return value * factor, label
        if unit in _METRIC_LARGE and guide >= _METRIC_LARGE[unit][0]:
            _, label, factor = _METRIC_LARGE[unit]
            return value * factor, label
        return value, unit

    def number(self, value: float, unit: str = "") -> str:
        """A value with its unit, as a reader wants it."""
        if value in {float("inf"), float("-inf")}:
            return "never" if unit in _TIMES else "without limit"
        if unit == "min" and _HOURS_FROM <= value < _DAYS_FROM:
            return f"{value // 60:.0f} h {value % 60 // 1:02.0f} min"
        shown, label = self.convert(value, unit)
        if label == "min" and shown >= 10.0:
            return f"{shown:.0f} min"
        if unit == "g" and label == "kg" and value < _GRAMS_ARE_READ_BELOW:
            # What was weighed out is shown to the gram: three digits could round it up again.
            return f"{f'{shown:.3f}'.rstrip('0').rstrip('.')} kg"
        return f"{_plain(shown)} {_WORDS.get(label, label)}".strip()

    def band(self, low: float, high: float, unit: str = "", *, like: float | None = None) -> str:
        """Two values with one unit, that of `like` where an answer stands beside them in its own.

        A high end that is never reached is told in words.
        """
        if high == float("inf"):
            if low == float("inf"):
                return self.number(low, unit)
            return (
                f"{self.number(low, unit)} {'or later, if at all' if unit in _TIMES else 'or more, with no upper end'}"
            )
        guide = low if unit in _LONG else high if like is None else like
        lowest, label = self.convert(low, unit, like=guide)
        highest, _ = self.convert(high, unit, like=guide)
        if label == "min" and lowest >= 10.0:
            return f"{lowest:.0f} to {highest:,.0f} min"
        return f"{_plain(lowest)} to {_plain(highest)} {_WORDS.get(label, label)}".strip()

    def render(self, text: str) -> str:
        """A text of a plan with its marked amounts (`findings.amount`) in the reader's units."""

        def shown(match: "re.Match[str]") -> str:
            *figures, unit = match[1].split("|")
            values = [float(figure) for figure in figures]
            return self.number(values[0], unit) if values[0] == values[-1] else self.band(values[0], values[1], unit)

        return _MARKED.sub(shown, text)

    def unit(self, unit: str, *, like: float = 1.0) -> str:
        """The reader's name of a core unit."""
        label = self.convert(like, unit)[1]
        return _WORDS.get(label, label)
