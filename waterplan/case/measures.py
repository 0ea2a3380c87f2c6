"""Measured values as keys of a case: what each is a quantity of."""

from dataclasses import dataclass
from typing import Any

from pydantic import ValidationInfo

from waterplan.case.kinds import EXAMPLE, Kind, shown
from waterplan.case.values import BadValue, Quantity, example, how_known, parse_reading
from waterplan.units import Family

VALUE = "value with a unit"


@dataclass(frozen=True, slots=True)
class Measure(Kind):
    """A measured value with its unit and how it was found; it was taken when its table says so."""

    quantity: Quantity
    words = VALUE

    def read(self, raw: object, info: ValidationInfo) -> object:
        """The reading, or None where it was not measured."""
        if isinstance(raw, int | float) and not isinstance(raw, bool) and self.quantity.term == "ph":
            raw = shown(raw)
        if not isinstance(raw, str):
            raise BadValue(shown(raw), f"write the value and its unit in quotes, such as {EXAMPLE}")
        taken = info.data.get(f"{info.field_name}_taken") or info.data.get("taken")
        return parse_reading(raw, self.quantity, taken=taken, such_as=EXAMPLE)

    def schema(self) -> dict[str, Any]:
        """A text that begins with a number, or says that nothing is known."""
        ways = "; ".join(how_known(self.quantity))
        comment = f"written as {example(self.quantity)}" + (f"; after a comma how it was found: {ways}" if ways else "")
        found = {"type": "string", "$comment": comment}
        return {"anyOf": [found, {"type": "number"}]} if self.quantity.term == "ph" else found


def measure(family: Family, term: str, instrument: str, *, otherwise: Quantity | None = None) -> Measure:
    """How a value of a family is read: its term of the glossary gives the limits, its instrument the error."""
    return Measure(Quantity(family=family, term=term, instrument_name=instrument, otherwise=otherwise))


def intended(family: Family, term: str) -> Measure:
    """A value that is meant or printed on a label, and not measured."""
    return measure(family, term, "intended")


def size(term: str) -> Measure:
    """A length of a vessel or pond."""
    return measure(Family.LENGTH, term, "dimension")


def area(term: str) -> Measure:
    """An area."""
    return measure(Family.AREA, term, "area")


def litres(term: str = "volume_l") -> Measure:
    """A volume of water; of a whole body of water, or read off a mark or a meter where it has a term of its own."""
    return measure(Family.VOLUME, term, "volume" if term in {"volume_l", "gas_l", "cylinder_l"} else "litres")


def degrees(term: str = "water_temp_c") -> Measure:
    """A temperature."""
    return measure(Family.TEMPERATURE, term, "temperature")


SATURATION = Quantity(family=Family.SATURATION, term="percent_sat", instrument_name="oxygen saturation")
OXYGEN = measure(Family.CONCENTRATION, "do_mg_per_l", "oxygen", otherwise=SATURATION)
