"""The fish of a case: the patients, and those that share the home pond."""

from datetime import datetime
from typing import Annotated

from pydantic.json_schema import SkipJsonSchema

from waterplan.case.choices import Condition, Wound
from waterplan.case.kinds import Flag, OneOf, Text, Whole
from waterplan.case.measures import measure
from waterplan.case.part import Part
from waterplan.case.times import When
from waterplan.case.values import Reading
from waterplan.fish.species import known_species
from waterplan.units import Family

UNKNOWN_SPECIES = "unknown"
SPECIES = OneOf(tuple(dict.fromkeys((*known_species(), UNKNOWN_SPECIES))), needed=True)


class Sized(Part):
    """A fish as it was measured, or one of several alike."""

    length: Annotated[Reading | None, measure(Family.FISH_LENGTH, "length_cm", "length")] = None
    """length of the fish: `31 cm, measuring board`"""
    weight: Annotated[Reading | None, measure(Family.MASS, "weight_kg", "weight")] = None
    """weight of the fish: `0.62 kg, scales`"""


class Patient(Sized):
    """A fish that is treated, or several alike."""

    first = ("species", "name", "count")
    ordinal: SkipJsonSchema[int] = 1
    species: Annotated[str, SPECIES] = UNKNOWN_SPECIES
    """species: `koi`"""
    name: Annotated[str, Text()] = ""
    """name or mark: `Bramble`"""
    count: Annotated[int, Whole(least=1)] = 1
    """how many of them, alike: `1`"""
    done: Annotated[str, Text()] = ""
    """what is done to it: `heron wound on the flank closed with five sutures`"""
    condition: Annotated[Condition | None, OneOf(Condition)] = None
    """body condition: `good`"""
    last_fed: Annotated[datetime | None, When()] = None
    """when it last ate: `2026-05-14T09:30`"""
    eaten: Annotated[bool | None, Flag()] = None
    """may it, or a fish from its water, be eaten: `false`"""
    wound: Annotated[Wound | None, OneOf(Wound)] = None
    """has it a wound: `closed`"""

    @property
    def path(self) -> str:
        """What it is known by."""
        return f"patient-{self.ordinal}"


class OtherFish(Sized):
    """A sort of fish that shares the home pond."""

    first = ("species", "count")
    ordinal: SkipJsonSchema[int] = 1
    species: Annotated[str, SPECIES]
    """species: `koi`"""
    count: Annotated[int, Whole()]
    """how many: `6`"""

    @property
    def path(self) -> str:
        """What it is known by."""
        return f"other-{self.ordinal}"
