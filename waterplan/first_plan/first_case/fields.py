"""One key and one section of a case file, as data."""

from dataclasses import dataclass
from enum import StrEnum

from waterplan.first_plan.first_case.values import Quantity
from waterplan.units import Family


class Kind(StrEnum):
    """How the text of a key is read."""

    TEXT = "text"
    CHOICE = "choice"
    READING = "value with a unit"
    COUNT = "whole number"
    WHEN = "date and time"
    NUMBER = "number"
    ROWS = "rows, one to a line"


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One key of a section."""

    key: str
    kind: Kind
    words: str
    example: str
    required: bool = False
    choices: tuple[str, ...] = ()
    quantity: Quantity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One table of the file; `many` for an array of tables."""

    name: str
    words: str
    fields: tuple[Field, ...]
    many: bool = False
    required: bool = False

    def field(self, key: str) -> Field | None:
        """The field of a key, or None."""
        return next((field for field in self.fields if field.key == key), None)


def value(
    key: str, family: Family, term: str, instrument_name: str, words: str, example: str, *, required: bool = False
) -> Field:
    """A value with its unit, and the instrument it may be found with."""
    quantity = Quantity(family=family, term=term, instrument_name=instrument_name)
    return Field(key=key, kind=Kind.READING, words=words, example=example, quantity=quantity, required=required)


def text(key: str, words: str, example: str, *, required: bool = False) -> Field:
    """Free text."""
    return Field(key=key, kind=Kind.TEXT, words=words, example=example, required=required)


def choice(key: str, words: str, choices: tuple[str, ...], *, required: bool = False) -> Field:
    """One of several words."""
    return Field(key=key, kind=Kind.CHOICE, words=words, example=choices[0], choices=choices, required=required)


def count(key: str, words: str, example: str) -> Field:
    """A whole number."""
    return Field(key=key, kind=Kind.COUNT, words=words, example=example)


def when(key: str, words: str) -> Field:
    """A date and time."""
    return Field(key=key, kind=Kind.WHEN, words=words, example="2026-05-14T09:30")
