"""The species that the tables know."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from waterplan import tables
from waterplan.errors import ImpossibleInput


@dataclass(frozen=True, slots=True, kw_only=True)
class Species:
    """A species and the groups under which the tables hold its limits."""

    name: str
    words: str
    scientific: str
    oxygen_group: str
    salt_group: str
    law_group: str
    uptake_model: str
    side_view: str
    note: str


@cache
def known_species() -> tuple[str, ...]:
    """The names that a case may use."""
    return tuple(row["species"] for row in tables.table("species"))


@cache
def other_names() -> Mapping[str, str]:
    """The species that each other name leads to, in small letters: a ghost carp is a cross of koi and mirror carp."""
    listed = ((name, row["species"]) for row in tables.table("species") for name in row["also"].split("; ") if name)
    return dict(listed)


def species(name: str) -> Species:
    """The species of a name in `known_species`.

    Raises
    ------
    ImpossibleInput
        No such species.
    """
    if name not in known_species():
        raise ImpossibleInput("species", repr(name), "one of " + ", ".join(known_species()))
    # Who a species is needs no source beside every answer; its ranges and limits, taken with `row`, bring their own.
    row = next(row for row in tables.table("species") if row["species"] == name)
    return Species(
        name=name,
        words=row["words"],
        scientific=row["scientific"],
        oxygen_group=row["oxygen_group"],
        salt_group=row["salt_group"],
        law_group=row["law_group"],
        uptake_model=row["uptake_model"],
        side_view=row["side_view"],
        note=row["note"],
    )
