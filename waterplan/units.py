"""The units people write and read, and the core's: the only room that knows pint.

`Family` is the closed list of what may be written for each kind of quantity; anything else is refused with the list.
"""

from collections.abc import Mapping
from enum import Enum, StrEnum
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import pint


# Molar masses (IUPAC standard atomic weights): N 14.007, NH3 17.031, NH4 18.039, NO2 46.005, NO3 62.004 g/mol.
# One degree of carbonate hardness is 10 mg/L CaO, 17.848 mg/L as CaCO3; 1 meq/L of alkalinity is 50.04 mg/L as CaCO3.
_N, _NH3, _NH4, _NO2, _NO3 = 14.007, 17.031, 18.039, 46.005, 62.004
BASIS_UNKNOWN = "mg/L, basis unknown"
_LENGTHS = {"mm": "mm", "cm": "cm", "m": "m", "in": "inch", "ft": "foot"}


class Family(Enum):
    """What a written value measures: the core's unit, and each unit that may be written.

    A unit goes with pint's name for it, or with a plain factor to the core's where chemistry and not metrology converts.
    """

    TEMPERATURE = ("degC", {"°C": "degC", "C": "degC", "°F": "degF", "F": "degF"})
    TEMPERATURE_STEP = ("delta_degC", {"°C": "delta_degC", "°F": "delta_degF"})
    LENGTH = ("m", _LENGTHS)
    FISH_LENGTH = ("cm", _LENGTHS)
    ALTITUDE = ("m", {"m": "m", "ft": "foot"})
    MASS = ("kg", {"g": "g", "kg": "kg", "lb": "pound", "oz": "ounce"})
    VOLUME = (
        "L",
        {"mL": "mL", "L": "L", "m3": "m**3", "m³": "m**3", "US gal": "US_liquid_gallon", "imp gal": "imperial_gallon"},
    )
    PRESSURE = ("kPa", {"kPa": "kPa", "hPa": "hPa", "mbar": "mbar", "mmHg": "mmHg", "inHg": "inHg"})
    PH = ("", {"": 1.0})
    CONCENTRATION = ("mg/L", {"mg/L": "mg/L", "µg/L": "ug/L", "ug/L": "ug/L"})
    SALT = ("g/L", {"g/L": "g/L", "mg/L": "mg/L"})
    AMMONIA = ("mg/L", {"mg/L as N": 1.0, "mg/L as NH3": _N / _NH3, "mg/L as NH4": _N / _NH4})
    NITRITE = ("mg/L", {"mg/L as NO2": 1.0, "mg/L as N": _NO2 / _N})
    NITRATE = ("mg/L", {"mg/L as NO3": 1.0, "mg/L as N": _NO3 / _N})
    ALKALINITY = ("mg/L", {"mg/L as CaCO3": 1.0, "°dKH": 17.848, "dKH": 17.848, "meq/L": 50.04})
    SHARE = ("%", {"%": 1.0})
    FEED = ("%/day", {"%/day": 1.0})
    AIR_FLOW = ("L/min", {"L/min": "L/min", "L/h": "L/hour", "US gal/h": "US_liquid_gallon/hour"})
    POWER = ("W", {"W": "W", "kW": "kW"})
    DURATION = ("min", {"min": "min", "h": "hour", "day": "day", "days": "day", "weeks": "week"})
    IODINE_STOCK = ("%", {"% PVP-I": 1.0})
    GAS_PRESSURE = ("bar", {"bar": "bar", "psi": "psi", "MPa": "MPa"})
    DOSE_LEVEL = ("mg/L", {"mg/L": 1.0, "g/L": 1000.0, "µg/L": 1e-3, "ug/L": 1e-3})
    FORMALIN_LEVEL = ("uL/L", {"uL/L": 1.0, "µL/L": 1.0, "mL/L": 1000.0})
    SPIRIT = ("% v/v", {"% v/v": 1.0})
    BODY_DOSE = ("mg/kg", {"mg/kg": 1.0, "µg/kg": 1e-3, "ug/kg": 1e-3})
    STOCK = ("mg/mL", {"mg/mL": 1.0, "g/L": 1.0, "µg/mL": 1e-3, "ug/mL": 1e-3, "% w/v": 10.0})
    SCALE = ("g", {"g": 1.0, "mg": 1e-3, "kg": 1000.0})
    SYRINGE = ("mL", {"mL": 1.0, "µL": 1e-3, "uL": 1e-3})
    SATURATION = ("% saturation", {"% saturation": 1.0, "% sat": 1.0, "%": 1.0})
    TOTAL_GAS = ("%", {"%": 1.0, "% total gas": 1.0})
    GAS_EXCESS = ("mmHg", {"mmHg": "mmHg", "kPa": "kPa", "hPa": "hPa", "mbar": "mbar"})
    CONDUCTIVITY = ("mS/cm at 25 °C", {"mS/cm at 25 °C": 1.0, "µS/cm at 25 °C": 1e-3, "uS/cm at 25 °C": 1e-3})
    AREA = ("m**2", {"m2": "m**2", "m²": "m**2", "cm2": "cm**2", "ft2": "foot**2", "ft²": "foot**2"})

    def __init__(self, core: str, units: Mapping[str, str | float]) -> None:
        self.core = core
        self.units = units


# Units written out, by the label that the list has for each.
SPELT: Mapping[str, str] = MappingProxyType(
    {
        **dict.fromkeys(("litre", "litres", "liter", "liters", "ltr"), "L"),
        **dict.fromkeys(("millilitre", "millilitres", "milliliter", "milliliters"), "mL"),
        **dict.fromkeys(("kilo", "kilos", "kilogram", "kilograms", "kgs"), "kg"),
        **dict.fromkeys(("gram", "grams", "gramme", "grammes"), "g"),
        **dict.fromkeys(("pound", "pounds", "lbs"), "lb"),
        **dict.fromkeys(("ounce", "ounces"), "oz"),
        **dict.fromkeys(("metre", "metres", "meter", "meters"), "m"),
        **dict.fromkeys(("centimetre", "centimetres", "centimeter", "centimeters"), "cm"),
        **dict.fromkeys(("degrees c", "degrees celsius", "celsius", "deg c"), "°C"),
        **dict.fromkeys(("degrees f", "degrees fahrenheit", "fahrenheit", "deg f"), "°F"),
        **dict.fromkeys(("hour", "hours", "hrs"), "h"),
        **dict.fromkeys(("minute", "minutes", "mins"), "min"),
        **dict.fromkeys(("watt", "watts"), "W"),
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
    known = tuple(label for label in family.units if label)
    return (*known, BASIS_UNKNOWN) if family in {Family.AMMONIA, Family.NITRITE} else known


def what_to_write(unit: str, family: Family) -> str:
    """The advice for a unit that cannot be taken."""
    if family in {Family.AMMONIA, Family.NITRITE, Family.NITRATE} and unit in {"mg/L", "ppm"}:
        return "write the basis: " + ", ".join(f"'{label}'" for label in labels(family))
    if family is Family.CONCENTRATION and unit in {"%", "% sat"}:
        return "write mg/L; a percentage needs the temperature and the air pressure it was read at"
    if (family, unit) in _DOUBTFUL or unit in _AMBIGUOUS:
        return _DOUBTFUL.get((family, unit)) or _AMBIGUOUS[unit]
    if not unit:
        return "write the unit: " + ", ".join(f"'{label}'" for label in labels(family))
    if not labels(family):
        return "write a plain number, with no unit"
    return "use one of " + ", ".join(f"'{label}'" for label in labels(family))


def to_core(value: float, unit: str, family: Family, *, difference: bool = False) -> float:
    """A written value in the core's unit of its family; `difference` for the ± of a temperature."""
    if unit not in family.units:
        raise UnknownUnit(what_to_write(unit, family))
    core, factor = family.core, family.units[unit]
    if isinstance(factor, float):
        return value * factor
    if factor == core:
        return float(value)  # nothing to convert: the registry, which is slow to read, is not asked
    if difference and family is Family.TEMPERATURE:
        factor, core = f"delta_{factor}", f"delta_{core}"
    return float(_registry().Quantity(value, factor).to(core).magnitude)


# The units a reader wants to see.
System = StrEnum("System", ["METRIC", "US"])

# core unit -> what a US reader sees, and pint's names of the two; pumps and oxygen meters are marked in L/min there too
_US: Mapping[str, tuple[str, str, str]] = {
    "°C": ("°F", "degC", "degF"),
    "°C step": ("°F step", "delta_degC", "delta_degF"),
    "L": ("US gal", "L", "US_liquid_gallon"),
    "cm": ("in", "cm", "inch"),
    "m": ("ft", "m", "foot"),
    "kg": ("lb", "kg", "pound"),
    "g": ("oz", "g", "ounce"),
    "kg/m3": ("lb/100 US gal", "kg/m**3", "pound/hundred_US_gallons"),
    "kPa": ("inHg", "kPa", "inHg"),
}
# Below this a US reader, too, weighs in grams.
_GRAMS_ON_ANY_SCALE = 100.0
_A_POUND_G, _A_POUND_KG = 453.6, 0.45


def in_us_units(value: float, unit: str, *, like: float) -> tuple[float, str]:
    """A value of the core in a US reader's unit, and that unit; `like` chooses between pounds and ounces."""
    if unit not in _US or (unit == "g" and like < _GRAMS_ON_ANY_SCALE):
        return value, unit
    label, core, shown = _US[unit]
    if unit == "g" and like > _A_POUND_G:
        label, shown = "lb", "pound"
    if unit == "kg" and like < _A_POUND_KG:
        label, shown = "oz", "ounce"
    return float(_registry().Quantity(value, core).to(shown).magnitude), label
