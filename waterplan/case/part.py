"""What every part of a case has in common: frozen records that know their keys, and what is wrong between them."""

import re
from collections.abc import Iterator
from inspect import get_annotations
from typing import ClassVar, NamedTuple, Self

from pydantic import BaseModel, ConfigDict, ValidationInfo, model_validator
from pydantic.fields import FieldInfo

from waterplan.case.kinds import Kind, Text, around

_SAID = re.compile(r"(?P<words>.*?):? *`(?P<example>[^`]*)`\.?", re.DOTALL)
HIDDEN = frozenset({"ordinal", "file"})  # what a record carries and no file says


class Fault(NamedTuple):
    """What is wrong between the keys of one table: the key, what was read, and what would do."""

    key: str
    read: str
    would_do: str


class Faults(ValueError):  # noqa: N818 - carries the halves of several mistakes
    """All faults of one table."""

    def __init__(self, found: tuple[Fault, ...]) -> None:
        self.found = found
        super().__init__("; ".join(f"{one.key}: read {one.read}; {one.would_do}" for one in found))


class Part(BaseModel):
    """A table of a case. Each field's docstring is its words and, between backticks, an example."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        use_attribute_docstrings=True,
        arbitrary_types_allowed=True,
        protected_namespaces=(),
    )
    first: ClassVar[tuple[str, ...]] = ()  # keys that come before those of its bases

    @classmethod
    def known_keys(cls) -> tuple[str, ...]:
        """The keys that a file may give: the first ones, its own, those of its bases."""
        own = (key for part in cls.__mro__ if issubclass(part, Part) for key in get_annotations(part))
        return tuple(key for key in dict.fromkeys((*cls.first, *own)) if key in cls.model_fields and key not in HIDDEN)

    def faults(self) -> Iterator[Fault]:
        """What is wrong between the keys of this table."""
        yield from ()

    @model_validator(mode="after")
    def _no_faults(self, info: ValidationInfo) -> Self:
        found, kept = tuple(self.faults()), around(info).faults
        if kept is not None:
            kept.extend(found)
        elif found:
            raise Faults(found)
        return self


def said(field: FieldInfo) -> tuple[str, str]:
    """The words of a key and its example."""
    match = _SAID.fullmatch(" ".join((field.description or "").split()))
    return (match["words"], match["example"]) if match else (field.description or "", "")


def kind_of(field: FieldInfo) -> Kind:
    """How a key is read."""
    return next((one for one in field.metadata if isinstance(one, Kind)), Text())
