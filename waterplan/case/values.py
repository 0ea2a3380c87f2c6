"""One written value: number, ±, unit, and how it was found.

The grammar is one for everything that is measured::

    [<] number [± number[%]] unit [, how it was found [number | (words)]]
    "17.5 °C"   "0.6 ± 0.1 kg, scales"   "<0.25 mg/L as N, drop kit"   "200 L, guess"
    "8.3 mg/L, oxygen meter 2"   "8.3 mg/L, oxygen meter (pond)"
    "not measured"   "unknown"

The same words are the same meter; a number or words in brackets after them name another of its kind.
"""

import math
import re
from dataclasses import dataclass, replace
from datetime import datetime

from waterplan import tables
from waterplan.errors import ImpossibleInput, Limits
from waterplan.spread import Measured
from waterplan.units import SPELT, Family, UnknownUnit, to_core
from waterplan.water.salinity import nacl_g_per_l

_NUMBER = r"[+-]?(?:\d{1,30}(?:\.\d{0,30})?|\.\d{1,30})(?:[eE][+-]?\d{1,4})?"

_WRITTEN = re.compile(
    rf"^(?P<below><)?\s*(?P<number>{_NUMBER})"
    rf"(?:\s*(?:±|\+/-)\s*(?P<error>{_NUMBER})(?P<percent>\s*%(?=\s))?)?"
    r"\s*(?P<unit>[^,]*?)\s*(?:,\s*(?P<how>.+?))?\s*$"
)
_FIRST = re.compile(_NUMBER)
_COMMA = re.compile(rf"(?:^<?|±|\+/-)\s*{_NUMBER},\d")
_NO_BASIS = re.compile(r"mg/l,?\s*(?:basis\s+(?:unknown|not\s+known)|unknown\s+basis)", re.IGNORECASE)
_BASIS_UNKNOWN = "mg/L basis unknown"  # the one label with a comma, without it
_WHICH = re.compile(r"^(?P<kind>.*\S)\s*(?P<which>(?<=\s)\d{1,3}|\([^()]*\))$")  # of two meters of one kind
_LONGEST = 200
# What a kit may fail to see; "<" before a weight or a temperature says nothing.
_CENSORED = frozenset(
    {Family.CONCENTRATION, Family.SALT, Family.AMMONIA, Family.NITRITE, Family.NITRATE, Family.ALKALINITY}
)
_OF_SATURATION = frozenset({Family.SATURATION, Family.TOTAL_GAS})
_EXAMPLES = {
    Family.TEMPERATURE: "17.5",
    Family.PH: "7.8",
    Family.PRESSURE: "94.2",
    Family.SHARE: "99.5",
    Family.TOTAL_GAS: "104",
    Family.VOLUME: "120",
    Family.SYRINGE: "0.05",
}
NOT_MEASURED = "not measured"
NOT_STATED = "not stated"
NOTHING_KNOWN = frozenset({NOT_MEASURED, "unknown", "not known"})


class BadValue(ValueError):  # noqa: N818 - carries the two halves of a Mistake
    """A written value that cannot be taken: what was read, and what would do."""

    def __init__(self, read: str, would_do: str) -> None:
        self.read = read
        self.would_do = would_do
        super().__init__(f"read {read}; {would_do}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """What is being read: the family of its units, its glossary term, and its name in the `instruments` table.

    `otherwise` is another quantity that says the same by other means, told by its unit: oxygen in % of saturation.
    """

    family: Family
    term: str
    instrument_name: str
    otherwise: "Quantity | None" = None

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

    Where the basis is unknown `measured` carries the worse of the two. `meter` names the instrument where its error
    goes with it from one water to the next, with the number or the words that tell it from another of its kind, which
    `how` leaves out; `percent` marks a share of saturation (of oxygen, of all gases) in place of
    a level. `rows` are the rows of the tables that gave its error, `doubts`
    the reasons for which it clears nothing, by the table `doubted_readings`.
    """

    text: str
    measured: Measured
    how: str
    taken: datetime | None = None
    meter: str = ""
    percent: bool = False
    rows: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()


def lacks_basis(text: str) -> bool:
    """Whether a value was written with a basis that nobody knows."""
    return _NO_BASIS.search(text) is not None


def states_error(text: str) -> bool:
    """Whether a value was written with its ±."""
    return "±" in text or "+/-" in text


def how_known(quantity: Quantity) -> tuple[str, ...]:
    """The ways of finding this quantity that the tables hold an error for."""
    named = [row["instrument"] for row in tables.rows("instruments", quantity=quantity.instrument_name)]
    doubtful = _doubtful() if NOT_STATED in named else ()
    return tuple(name for name in dict.fromkeys((*named, *doubtful)) if name != NOT_STATED)


def parse_reading(text: str, quantity: Quantity, *, taken: datetime | None = None, such_as: str = "") -> Reading | None:
    """A written value as a Reading, or None where it is not known; BadValue where it cannot be taken.

    Parameters
    ----------
    text : str
        What was written.
    quantity : Quantity
        What it is a value of.
    taken : datetime, optional
        When it was read.
    such_as : str
        The example for whoever has to write it again; one of the quantity's without it.
    """
    such_as = such_as or example(quantity)
    if len(text) > _LONGEST:
        raise BadValue(f"{len(text)} characters", f"write a number and its unit, such as {such_as}")
    written = " ".join(text.split())
    if written.lower() in NOTHING_KNOWN:
        return None
    folded = _NO_BASIS.sub(_BASIS_UNKNOWN, written)  # before the comma that parts value and method is looked for
    match = _WRITTEN.match(folded)
    if match is None:
        first = _FIRST.search(folded)
        if first is None or not first.start():
            raise BadValue(repr(text), f"write a number and its unit, such as {such_as}")
        found = "; say after a comma how it was found, such as 'estimate'" if "estimate" in how_known(quantity) else ""
        told = f"begin with the number and its unit, such as {such_as}{found}"
        raise BadValue(repr(text), "; ".join((told, *_more(folded[first.start() :], quantity))))
    if _COMMA.search(folded):
        more = _more(folded.replace(",", ".", 1), quantity)
        raise BadValue(repr(text), "; ".join(("write a decimal point, not a comma", *more)))
    unit, percent = match["unit"], bool(match["percent"])
    if percent and any(_label(f"% {unit}", one) for one in (quantity, quantity.otherwise)):
        unit, percent = f"% {unit}", False  # the % was the first sign of the unit, not of the error
    other = quantity.otherwise
    of = other if other is not None and _label(unit, other) and not _label(unit, quantity) else quantity
    unit = _label(unit, of) or unit
    try:
        value = _in_core(float(match["number"]), unit, of)
        error = float(match["error"]) if match["error"] else None
        if error is not None:
            error = abs(value) * error / 100.0 if percent else _in_core(error, unit, of, difference=True)
    except UnknownUnit as wrong:
        unknown = [_how_found(of)] if match["how"] and _kind_and_which(match["how"], of)[0] not in how_known(of) else []
        raise BadValue(repr(text), "; ".join((str(wrong), *unknown))) from None
    except ImpossibleInput as wrong:
        raise BadValue(repr(text), f"it must be {wrong.limits} mS/cm") from None
    below, (how, which) = bool(match["below"]), _kind_and_which(match["how"] or NOT_STATED, of)
    _check_possible(text, value, error, of, unit, below)
    measured, rows = _with_error(value, error, how, of, below=below, text=text)
    carried = tables.rows("instruments", instrument=how, quantity=of.instrument_name, carried="yes")
    return Reading(
        text=written,
        measured=measured,
        how=how,
        taken=taken,
        meter=f"{how}{which} for {of.instrument_name}" if carried and not measured.censored else "",
        percent=of.family in _OF_SATURATION,
        rows=rows,
    )


def _more(text: str, quantity: Quantity) -> tuple[str, ...]:
    """What would still be wrong once the first thing is put right, so that it is told at once."""
    try:
        parse_reading(text, quantity)
    except BadValue as bad:
        return (bad.would_do,)
    return ()


def _how_found(quantity: Quantity) -> str:
    return f"after the comma say how it was found: {', '.join(how_known(quantity))}"


def _kind_and_which(how: str, quantity: Quantity) -> tuple[str, str]:
    """How it was found as the tables spell it, and what tells one meter of a kind from another: " 2", " (pond)"."""
    known = {name.casefold(): name for name in how_known(quantity)}
    named = _WHICH.match(how)
    if named is not None and named["kind"].casefold() in known:
        return known[named["kind"].casefold()], f" {named['which'].casefold()}"
    return known.get(how.casefold(), how), ""


def _label(unit: str, quantity: Quantity | None) -> str:
    """The unit as the list spells it, whatever its capitals or written out; empty where it is not of this quantity."""
    if quantity is None:
        return ""
    unit = SPELT.get(unit.casefold(), unit)
    known = [*quantity.family.units, *(Family.CONDUCTIVITY.units if quantity.family is Family.SALT else ())]
    alike = [label for label in known if label.casefold() == unit.casefold()]
    return unit if unit in known else alike[0] if len(alike) == 1 else ""


def _doubtful() -> tuple[str, ...]:
    """Ways of finding anything: a guess, an estimate, somebody's word."""
    return tuple(row["instrument"] for row in tables.rows("instruments", quantity="any"))


def example(quantity: Quantity) -> str:
    """A value of this quantity as it may be written."""
    core, known = quantity.family.core, quantity.family.units
    label = next((label for label, one in known.items() if one in {core, 1.0}), next(iter(known)))
    return repr(f"{_EXAMPLES.get(quantity.family, '1.1')} {label}".strip())


def _in_core(number: float, unit: str, quantity: Quantity, *, difference: bool = False) -> float:
    """A number, or the ± of one (`difference`), in the core's unit."""
    if quantity.family is Family.SALT and unit in Family.CONDUCTIVITY.units:
        # For a ±: as good as a straight line up to 45 g/L.
        return float(nacl_g_per_l(to_core(number, unit, Family.CONDUCTIVITY)))
    if unit == _BASIS_UNKNOWN:
        if quantity.family not in {Family.AMMONIA, Family.NITRITE}:
            raise UnknownUnit("only ammonia and nitrite may have an unknown basis")
        unit = "mg/L as N"  # of the bases that may be meant, the worse: as ion or as NH3 the same number is less
    # Without what a conversion leaves beyond the digits that anybody writes: 64.4 °F is 18 °C and nothing more.
    return float(f"{to_core(number, unit, quantity.family, difference=difference):.8g}")


def _check_possible(text: str, value: float, error: float | None, quantity: Quantity, unit: str, below: bool) -> None:
    low, high = quantity.limits
    if not math.isfinite(value) or not low <= value <= high:
        raise BadValue(repr(text), f"{quantity.words} must be {_limits_told(quantity, unit)}")
    if error is not None and not (math.isfinite(error) and error >= 0):
        raise BadValue(repr(text), "the ± must be zero or more")
    if below and quantity.family not in _CENSORED:
        raise BadValue(repr(text), f"'<' is for what a kit cannot see: write a value, such as {example(quantity)}")
    if below and (error is not None or value <= 0):
        raise BadValue(repr(text), "after '<' write the smallest value the kit can see, above zero and without a ±")


def _limits_told(quantity: Quantity, unit: str) -> str:
    """What a case may state in the core's unit, and in the one that was written where that is another."""
    told = f"{' to '.join(map(_figure, quantity.limits))} {tables.glossary()[quantity.term].unit}".rstrip()
    zero, one = (_in_core(number, unit, quantity) for number in (0.0, 1.0))
    if (zero, one) == (0.0, 1.0) or unit in Family.CONDUCTIVITY.units:
        return told
    ends = (_figure(float(f"{(end - zero) / (one - zero):.4g}")) for end in quantity.limits)
    return f"{told} ({' to '.join(ends)} {unit})"


def _figure(value: float) -> str:
    return f"{value:,.0f}" if abs(value) >= 1000 else f"{value:.6f}".rstrip("0").rstrip(".")


def _with_error(
    value: float, error: float | None, how: str, quantity: Quantity, *, below: bool, text: str
) -> tuple[Measured, tuple[str, ...]]:
    """The value with the error that was stated, or with that of its instrument, and the rows that gave it.

    A kit whose first step is not reached has shown no colour: "<0.25" of it is its "0", and has the error of that.
    """
    low, high = quantity.limits
    if error is not None:
        return Measured.plus_minus(value, error, floor=low, ceiling=high), ()
    rows = tables.rows("instruments", instrument=how, quantity=quantity.instrument_name)
    doubt: tuple[tables.Row, ...] = ()
    if not rows and how in _doubtful():
        doubt = (tables.row("instruments", instrument=how, quantity="any", part="times"),)
        rows = tables.rows("instruments", instrument=NOT_STATED, quantity=quantity.instrument_name)
    if how != NOT_STATED and not rows:
        raise BadValue(repr(text), _how_found(quantity))
    used = tuple(row.id for row in (*doubt, *rows))
    parts = {row["part"]: row.value for row in rows}
    smallest = parts.get("smallest", 0.0)
    if below and value > smallest:
        return Measured.between(0.0, value, censored=True), used
    value = 0.0 if below else value
    times = doubt[0].value if doubt else 1.0
    absolute, relative = (times * parts.get(part, 0.0) for part in ("absolute", "relative"))
    if relative and not absolute:
        # What is 0 is known without error.
        made = Measured.within_factor(value, relative / 2.0 if value > 0 else 0.0)
        return replace(made, floor=low, ceiling=high), used
    made = Measured.plus_minus(value, max(absolute, relative * abs(value)), floor=low, ceiling=high)
    return replace(made, censored=value < smallest / 2), used
