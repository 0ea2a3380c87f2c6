"""One written value: number, ±, unit, and how it was found.

The grammar is one for everything that is measured::

    [<] number [± number[%]] unit [, how it was found]
    "17.5 °C"   "0.6 ± 0.1 kg, scales"   "<0.25 mg/L as N, drop kit"
    "not measured"
"""

import math
import re
from dataclasses import dataclass
from datetime import datetime

from waterplan import tables
from waterplan.errors import ImpossibleInput, Limits
from waterplan.published import Trail, remark, watch
from waterplan.spread import Kind, Measured
from waterplan.units import BASIS_UNKNOWN, FAMILIES, Family, UnknownUnit, to_core
from waterplan.water.salinity import nacl_g_per_l

_NUMBER = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?"

_WRITTEN = re.compile(
    rf"^(?P<below><)?\s*(?P<number>{_NUMBER})"
    rf"(?:\s*(?:±|\+/-)\s*(?P<error>{_NUMBER})(?P<percent>\s*%(?=\s))?)?"
    r"\s*(?P<unit>[^,]*?)\s*(?:,\s*(?P<how>.+?))?\s*$"
)
_COMMA = re.compile(rf"(?:^<?|±|\+/-)\s*{_NUMBER},\d")
# What a kit may fail to see; "<" before a weight or a temperature says nothing.
_CENSORED = frozenset(
    {Family.CONCENTRATION, Family.SALT, Family.AMMONIA, Family.NITRITE, Family.NITRATE, Family.ALKALINITY}
)
# What a meter that brings its reading to 25 °C shows, in mS/cm; written for salt.
_CONDUCTIVITY = {"mS/cm at 25 °C": 1.0, "µS/cm at 25 °C": 1e-3, "uS/cm at 25 °C": 1e-3}
NOT_MEASURED = "not measured"
NOT_STATED = "not stated"


class BadValue(ValueError):  # noqa: N818 - carries the two halves of a Mistake
    """A written value that cannot be taken: what was read, and what would do."""

    def __init__(self, read: str, would_do: str) -> None:
        self.read = read
        self.would_do = would_do
        super().__init__(f"read {read}; {would_do}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """What is being read: the family of its units, its glossary term, and its name in the `instruments` table."""

    family: Family
    term: str
    instrument_name: str

    @property
    def limits(self) -> Limits:
        """What a case may state."""
        return tables.glossary()[self.term].pond

    @property
    def words(self) -> str:
        """The quantity as people call it."""
        return tables.glossary()[self.term].words


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A measured value as it was written and as the core takes it.

    `as_other_basis` is the value had the other basis been meant, where the basis is unknown; `measured` then carries
    the worse of the two. `meter` names the instrument where its error goes with it from one water to the next.
    `trail` cites the row that gave the error.
    """

    text: str
    measured: Measured
    how: str
    taken: datetime | None = None
    basis_unknown: bool = False
    as_other_basis: float | None = None
    meter: str = ""
    trail: Trail


def how_known(quantity: Quantity) -> tuple[str, ...]:
    """The ways of finding this quantity that the tables hold an error for."""
    found = (row["instrument"] for row in tables.table("instruments") if row["quantity"] == quantity.instrument_name)
    return tuple(dict.fromkeys(name for name in found if name != NOT_STATED))


def parse_reading(text: str, quantity: Quantity, *, taken: datetime | None = None) -> Reading | None:
    """A written value as a Reading, or None where it says "not measured"; BadValue where it cannot be taken."""
    written = " ".join(text.split())
    if written.lower() == NOT_MEASURED:
        return None
    # The one label with a comma in it is folded before the comma that parts value and method is looked for.
    folded = written.replace(BASIS_UNKNOWN, "mg/L basis unknown")
    match = _WRITTEN.match(folded)
    if match is None:
        raise BadValue(repr(text), f"write a number and its unit, such as {example(quantity)}")
    if _COMMA.search(folded):
        raise BadValue(repr(text), "write a decimal point, not a comma")
    unit, percent = match["unit"], bool(match["percent"])
    if percent and f"% {unit}" in FAMILIES[quantity.family][1]:
        unit, percent = f"% {unit}", False  # the % was the first sign of the unit, not of the error
    basis_unknown = unit == "mg/L basis unknown"
    how = match["how"] or NOT_STATED
    with watch() as trail:
        try:
            value, other = _in_core(float(match["number"]), unit, quantity, basis_unknown)
            error = _error_in_core(match["error"], unit, value, quantity, percent=percent, basis_unknown=basis_unknown)
        except UnknownUnit as wrong:
            raise BadValue(repr(text), str(wrong)) from None
        except ImpossibleInput as wrong:
            raise BadValue(repr(text), f"it must be {wrong.limits} mS/cm") from None
        _check_possible(text, value, error, quantity, below=bool(match["below"]))
        measured = _with_error(value, error, how, quantity, below=bool(match["below"]), text=text)
    return Reading(
        text=written,
        measured=measured,
        how=how,
        taken=taken,
        basis_unknown=basis_unknown,
        as_other_basis=other,
        meter="" if measured.censored else _meter(how, quantity),
        trail=trail,
    )


def _meter(how: str, quantity: Quantity) -> str:
    """The name under which the error of a meter is drawn once for all that was read with it."""
    rows = tables.table("instruments")
    carried = any(
        row["carried"] == "yes" and row["instrument"] == how and row["quantity"] == quantity.instrument_name
        for row in rows
    )
    return f"{how} for {quantity.instrument_name}" if carried else ""


def example(quantity: Quantity) -> str:
    """A value of this quantity as it may be written."""
    examples = {
        Family.TEMPERATURE: "'17.5 °C'",
        Family.LENGTH: "'1.2 m'",
        Family.FISH_LENGTH: "'38 cm'",
        Family.ALTITUDE: "'640 m'",
        Family.MASS: "'1.1 kg'",
        Family.VOLUME: "'260 US gal, owner's word'",
        Family.PRESSURE: "'94.2 kPa'",
        Family.PH: "'7.8, pH meter'",
        Family.CONCENTRATION: "'7.6 mg/L'",
        Family.SALT: "'2 g/L'",
        Family.AMMONIA: "'<0.25 mg/L as N, drop kit'",
        Family.NITRITE: "'0.1 mg/L as NO2, drop kit'",
        Family.NITRATE: "'20 mg/L as NO3'",
        Family.ALKALINITY: "'120 mg/L as CaCO3'",
        Family.FEED: "'0.5 %/day'",
        Family.AIR_FLOW: "'6 L/min'",
        Family.POWER: "'300 W'",
        Family.DURATION: "'14 days'",
        Family.IODINE_STOCK: "'10 % PVP-I'",
        Family.TEMPERATURE_STEP: "'3 °C'",
        Family.GAS_PRESSURE: "'140 bar, gauge'",
        Family.DOSE_LEVEL: "'100 mg/L'",
        Family.FORMALIN_LEVEL: "'150 uL/L'",
        Family.SPIRIT: "'70 % v/v'",
        Family.BODY_DOSE: "'0.5 mg/kg'",
        Family.STOCK: "'50 mg/mL'",
        Family.SCALE: "'0.1 g'",
        Family.SYRINGE: "'0.01 mL'",
        Family.AREA: "'8.4 m2'",
        Family.SHARE: "'99.5 %'",
    }
    if quantity.family is Family.VOLUME and quantity.instrument_name != "volume":
        return "'120 L'"
    return examples.get(quantity.family, "'10 %'")


def _in_core(number: float, unit: str, quantity: Quantity, basis_unknown: bool) -> tuple[float, float | None]:
    if quantity.family is Family.SALT and unit in _CONDUCTIVITY:
        remark("Salt from conductivity counts all that conducts as salt: the water's own ions are in it.")
        return float(nacl_g_per_l(number * _CONDUCTIVITY[unit])), None
    if not basis_unknown:
        return to_core(number, unit, quantity.family), None
    if quantity.family not in {Family.AMMONIA, Family.NITRITE}:
        raise UnknownUnit("only ammonia and nitrite may have an unknown basis")
    as_n = to_core(number, "mg/L as N", quantity.family)
    as_ion = to_core(number, "mg/L as NH3" if quantity.family is Family.AMMONIA else "mg/L as NO2", quantity.family)
    return max(as_n, as_ion), min(as_n, as_ion)


def _error_in_core(
    error: str | None, unit: str, value: float, quantity: Quantity, *, percent: bool, basis_unknown: bool
) -> float | None:
    if error is None:
        return None
    if percent:
        return abs(value) * float(error) / 100.0
    if quantity.family is Family.SALT and unit in _CONDUCTIVITY:
        return float(nacl_g_per_l(float(error) * _CONDUCTIVITY[unit]))  # as good as a straight line up to 45 g/L
    return to_core(float(error), "mg/L as N" if basis_unknown else unit, quantity.family, difference=True)


def _check_possible(text: str, value: float, error: float | None, quantity: Quantity, *, below: bool) -> None:
    low, high = quantity.limits
    unit = tables.glossary()[quantity.term].unit
    if not math.isfinite(value) or not low <= value <= high:
        raise BadValue(repr(text), f"{quantity.words} must be {low:g} to {high:g} {unit}".rstrip())
    if error is not None and not (math.isfinite(error) and error >= 0):
        raise BadValue(repr(text), "the ± must be zero or more")
    if below and quantity.family not in _CENSORED:
        raise BadValue(repr(text), f"'<' is for what a kit cannot see: write a value, such as {example(quantity)}")
    if below and (error is not None or value <= 0):
        raise BadValue(repr(text), "after '<' write the smallest value the kit can see, above zero and without a ±")


def _with_error(value: float, error: float | None, how: str, quantity: Quantity, *, below: bool, text: str) -> Measured:
    low, high = quantity.limits
    if below:
        return Measured.between(0.0, value, censored=True)
    parts = {
        part: tables.find("instruments", instrument=how, quantity=quantity.instrument_name, part=part)
        for part in ("absolute", "relative", "smallest")
    }
    if error is None and how != NOT_STATED and not any(parts.values()):
        raise BadValue(repr(text), f"after the comma say how it was found: {', '.join(how_known(quantity))}")
    smallest = parts["smallest"]
    if error is None and smallest is not None and value < smallest.value / 2:
        # A kit that shows nothing has seen less than half of its first step.
        return Measured.between(0.0, max(smallest.value / 2, value), censored=True)
    if error is None:
        absolute = parts["absolute"].value if parts["absolute"] else 0.0
        relative = parts["relative"].value if parts["relative"] else 0.0
        if not absolute and relative:
            return _relative(value, relative)
        error = max(absolute, relative * abs(value))
    return Measured.plus_minus(value, error, floor=low, ceiling=high)


def _relative(value: float, half_width: float) -> Measured:
    if value <= 0:
        return Measured(best=value, kind=Kind.EXACT)
    return Measured.within_factor(value, half_width / 2.0)
