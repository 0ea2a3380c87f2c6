"""How the text of a key is read: one class for each kind of value, put on a field of the case as its annotation."""

import math
import reprlib
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, is_dataclass
from datetime import UTC, date, time, tzinfo
from typing import Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationInfo
from pydantic_core import CoreSchema, core_schema

from waterplan.case.names import Names, plain
from waterplan.case.values import NOTHING_KNOWN, BadValue

# What joins two letters or signs or keeps them apart: no sign of its own, and belongs to a name.
_JOINERS = dict.fromkeys(map(ord, "\u200c\u200d"))
_LONGEST_SHOWN, _LONGEST_TEXT, _LARGEST_COUNT = 80, 500, 100_000
EXAMPLE = "{example}"  # in what would do: stands for the example of the key
_SHORT = reprlib.Repr()
_YES, _NO = frozenset({"yes", "true"}), frozenset({"no", "false"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Around:
    """What a key of the case may need to know of the rest: the zone of its clocks, and the names of fish and waters."""

    zone: tzinfo = UTC
    names: Names = field(default_factory=Names)


def around(info: ValidationInfo) -> Around:
    """What was given beside the values; nothing of it where a record is made by hand."""
    return info.context if isinstance(info.context, Around) else Around()


def shown(raw: object) -> str:
    """What was read, short enough to be told."""
    try:
        text = repr(raw) if isinstance(raw, str | float | bool | date | time) else _SHORT.repr(raw)
    except ValueError:  # a whole number of thousands of digits has no decimal form
        text = "a number of thousands of digits"
    return text if len(text) <= _LONGEST_SHOWN else f"{text[:_LONGEST_SHOWN]}… ({len(text)} characters)"


class Kind:
    """How a value is read; `words` names the kind for whoever makes a form of it."""

    words: str = "text"

    def read(self, raw: object, info: ValidationInfo) -> object:
        """The value of what was written; BadValue where it cannot be taken."""
        raise NotImplementedError

    def schema(self) -> dict[str, Any]:
        """What JSON Schema says of it."""
        return {"type": "string"}

    def __get_pydantic_core_schema__(self, source: object, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.with_info_plain_validator_function(self._taken)

    def __get_pydantic_json_schema__(self, core: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return self.schema()

    def _taken(self, raw: object, info: ValidationInfo) -> object:
        """The value; one that has been made already, such as a Reading, as it is."""
        return raw if raw is None or is_dataclass(raw) else self.read(raw, info)


@dataclass(frozen=True, slots=True)
class Text(Kind):
    """Free text, or what a function makes of it."""

    made: Callable[[object, ValidationInfo], object] | None = None
    words: str = "text"

    def read(self, raw: object, info: ValidationInfo) -> object:
        """The text with single blanks, or what is made of it."""
        return plain_text(raw) if self.made is None else self.made(raw, info)


def plain_text(raw: object) -> str:
    """A text with single blanks; BadValue where it is none."""
    if not isinstance(raw, str):
        raise BadValue(shown(raw), f"write text in quotes, such as {EXAMPLE}")
    if len(raw) > _LONGEST_TEXT:
        raise BadValue(f"{len(raw)} characters", f"at most {_LONGEST_TEXT} characters")
    text = " ".join(raw.split())
    if not text.translate(_JOINERS).isprintable():
        raise BadValue(shown(raw), "leave out control characters")
    return text


@dataclass(frozen=True, slots=True)
class OneOf(Kind):
    """One of several words, whatever their capitals, or what leads to it; "unknown" is none where it need not be said."""

    choices: Iterable[str]
    needed: bool = False
    also: Iterable[tuple[str, str]] = ()
    words = "choice"

    def read(self, raw: object, info: ValidationInfo) -> object:
        """The choice, as the list spells it."""
        if isinstance(raw, bool):
            raw = "yes" if raw else "no"
        text = _plain(plain_text(raw))
        known = dict(self.also) | {_plain(choice): choice for choice in self.choices}
        if text not in known and (self.needed or text not in NOTHING_KNOWN):
            raise BadValue(shown(raw), "use one of " + ", ".join(self.choices))
        return known.get(text)

    def schema(self) -> dict[str, Any]:
        """Its choices."""
        return {"type": "string", "enum": [str(choice) for choice in self.choices]}


def _plain(text: str) -> str:
    return plain(text.replace("_", " "))


@dataclass(frozen=True, slots=True)
class Flag(Kind):
    """Yes or no; None where it is not known."""

    words = "yes or no"

    def read(self, raw: object, info: ValidationInfo) -> object:
        """True or False of a yes or a no."""
        text = str(raw).strip().casefold() if isinstance(raw, str | bool) else ""
        if text not in _YES | _NO | NOTHING_KNOWN:
            raise BadValue(shown(raw), "write true or false")
        return None if text in NOTHING_KNOWN else text in _YES

    def schema(self) -> dict[str, Any]:
        """A boolean, or the two words."""
        return {"anyOf": [{"type": "boolean"}, {"enum": ["yes", "no", "unknown"]}]}


@dataclass(frozen=True, slots=True)
class Whole(Kind):
    """A whole number."""

    least: int = 0
    words = "whole number"

    def read(self, raw: object, info: ValidationInfo) -> object:
        """The number of what was counted."""
        number = int(raw) if isinstance(raw, str) and len(raw) < 20 and raw.strip().isdecimal() else raw
        if type(number) is not int or not self.least <= number <= _LARGEST_COUNT:
            raise BadValue(shown(raw), f"write a whole number from {self.least} to {_LARGEST_COUNT}")
        return number

    def schema(self) -> dict[str, Any]:
        """An integer within its limits."""
        return {"type": "integer", "minimum": self.least, "maximum": _LARGEST_COUNT}


@dataclass(frozen=True, slots=True)
class Number(Kind):
    """A plain number of 0 or more."""

    words = "number"

    def read(self, raw: object, info: ValidationInfo) -> object:
        """The number, finite."""
        try:
            number = float(raw) if type(raw) in {str, int, float} else math.nan  # type: ignore[arg-type]
        except (ValueError, OverflowError):
            number = math.nan
        if not 0.0 <= number <= 1e6:
            raise BadValue(shown(raw), f"write a number of 0 or more, such as {EXAMPLE}")
        return number

    def schema(self) -> dict[str, Any]:
        """A number of 0 or more."""
        return {"type": "number", "minimum": 0, "maximum": 1e6}
