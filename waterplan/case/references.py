"""Keys that name a water or a fish of the same case, or give litres of their own."""

from dataclasses import dataclass, replace
from typing import Any

from pydantic import ValidationInfo

from waterplan.case.kinds import Kind, Text, around, plain_text
from waterplan.case.measures import litres
from waterplan.case.values import NOT_STATED, BadValue, Reading, parse_reading, states_error


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """Where a dose goes: a water by its path, or litres made up for it."""

    path: str = ""
    litres: Reading | None = None


@dataclass(frozen=True, slots=True)
class WaterNamed(Kind):
    """A water of the case, as its path."""

    words = "a water"

    def read(self, raw: object, info: ValidationInfo) -> object:
        """The path of the water that is named; of a record that is made by hand, what it says."""
        text = plain_text(raw)
        return around(info).names.need_water(text) if info.context is not None else text


def _made_up(text: str) -> Reading | None:
    """Litres that are made up for a dose: filled to a mark, where nobody says otherwise."""
    reading = parse_reading(text, litres().quantity)
    if reading is None or reading.how != NOT_STATED or states_error(text):
        return reading
    to_mark = parse_reading(f"{text}, marked tub", litres().quantity)
    return replace(to_mark, text=reading.text) if to_mark is not None else None


def _target(raw: object, info: ValidationInfo) -> Target:
    """The water that is named, or the litres; BadValue where it could be both."""
    text, names = plain_text(raw), around(info).names
    path = names.water(text)
    try:
        reading = _made_up(text)
    except BadValue as bad:
        if path is not None:
            return Target(path=path)
        of = bad.would_do if text.lstrip("-+.~ ")[:1].isdigit() else "write its litres, such as '20 L, marked tub'"
        raise BadValue(bad.read, f"use one of {', '.join(names.known)}, or {of}") from None
    if path is not None:
        raise BadValue(f"{text!r}, which is a name and a volume", f"write {path!r} for the water of that name")
    if reading is None:
        raise BadValue(repr(text), f"use one of {', '.join(names.known)}, or write its litres")
    return Target(litres=reading)


# A water of the case, or litres and how they were found.
INTO = Text(_target, words="a water, or litres")


@dataclass(frozen=True, slots=True)
class PatientsNamed(Kind):
    """Patients of the case by name or number, as their ordinals."""

    words = "patients"

    def read(self, raw: object, info: ValidationInfo) -> object:
        """The ordinals of those that are named, in the order of the file."""
        listed = raw if isinstance(raw, list) else str(raw).split(",")
        if len(listed) > 1000:
            raise BadValue(f"{len(listed)} names", "at most 1000")
        names = around(info).names
        texts = [plain_text(str(one) if type(one) is int else one) for one in listed]
        return tuple(sorted({names.patient(text) for text in texts if text}))

    def schema(self) -> dict[str, Any]:
        """A list of names or numbers, or one text."""
        return {"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": ["string", "integer"]}}]}
