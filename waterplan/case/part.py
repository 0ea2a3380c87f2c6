"""What every part of a case has in common: frozen records that know their keys, and what is wrong between them."""

import re
from collections.abc import Iterator
from inspect import get_annotations
from typing import ClassVar, NamedTuple

from pydantic import BaseModel, ConfigDict, ValidationError
from pydantic.fields import FieldInfo

from waterplan.case.kinds import EXAMPLE, Kind, Text, shown
from waterplan.case.measures import Measure
from waterplan.case.values import BadValue, Quantity

_SAID = re.compile(r"(?P<words>.*?):? *`(?P<example>[^`]*)`\.?", re.DOTALL)
HIDDEN = frozenset({"ordinal", "file"})  # what a record carries and no file says


class Fault(NamedTuple):
    """What is wrong between the keys of one table: the key, what was read, and what would do."""

    key: str
    read: str
    would_do: str


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


def faults_of(error: ValidationError, part: type[Part]) -> Iterator[Fault]:
    """What is wrong with the keys of one table, each by itself; a key that it does not have among them."""
    for one in error.errors(include_url=False):
        key, cause = str(one["loc"][0]), one.get("ctx", {}).get("error")
        if key not in part.model_fields:
            yield Fault(key, "", "unknown key; known keys are " + ", ".join(part.known_keys()))
            continue
        words, example = said(part.model_fields[key])
        if isinstance(cause, BadValue):
            yield Fault(key, cause.read, cause.would_do.replace(EXAMPLE, repr(example)))
        else:
            read = "nothing" if one["type"] == "missing" else shown(one["input"])
            yield Fault(key, read, f"needed here: {words}, such as {example!r}")


def said(field: FieldInfo) -> tuple[str, str]:
    """The words of a key and its example."""
    match = _SAID.fullmatch(" ".join((field.description or "").split()))
    return (match["words"], match["example"]) if match else (field.description or "", "")


def kind_of(field: FieldInfo) -> Kind:
    """How a key is read."""
    return next((one for one in field.metadata if isinstance(one, Kind)), Text())


def quantity_of(part: type[Part], key: str) -> Quantity:
    """What a measured key is a value of."""
    kind = kind_of(part.model_fields[key])
    assert isinstance(kind, Measure)  # by construction of the part
    return kind.quantity
