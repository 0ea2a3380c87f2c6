"""What somebody means to do, what was given to a fish before, and notes and pictures that change nothing."""

from datetime import datetime
from typing import Annotated

from waterplan import tables
from waterplan.case.kinds import OneOf, Text
from waterplan.case.part import Part
from waterplan.case.references import PatientsNamed, WaterNamed
from waterplan.case.times import Tonight, When, WhenMeant
from waterplan.case.treatments import DRUGS

_MEANT = tuple(dict.fromkeys(row["meant"] for row in tables.table("meant")))


class Meant(Part):
    """Something that somebody has in mind to do: allowed or refused by what is known."""

    what: Annotated[str, OneOf(_MEANT, needed=True)]
    """what somebody means to do: `algicide`"""
    water: Annotated[str, WaterNamed()] = ""
    """in which water; the home pond without it: `home pond`"""
    at: Annotated[datetime | Tonight | None, WhenMeant()] = None
    """when, a time or tonight; at night what takes oxygen is refused: `tonight`"""
    words: Annotated[str, Text()] = ""
    """in somebody's own words; of something else these alone are kept: `half a bottle before bed`"""


class Given(Part):
    """A drug that a patient was given before: it counts against another one, and for the withdrawal."""

    drug: Annotated[str, OneOf(DRUGS, needed=True)]
    """drug: `meloxicam`"""
    at: Annotated[datetime, When()]
    """when: `2026-05-08`"""
    patients: Annotated[tuple[int, ...], PatientsNamed()] = ()
    """to which patients, by name or number; all of them without it: `Copper`"""


class Note(Part):
    """A note, or the name of a picture: it is kept and changes nothing in the plan."""

    words: Annotated[str, Text()]
    """what is to be kept; it changes nothing, and is shown with its date at the recheck: `edges of the wound pale, 4 cm`"""
    of: Annotated[str, Text()] = ""
    """of what or whom: `Copper`"""
    at: Annotated[datetime | None, When()] = None
    """when: `2026-05-14T09:30`"""
    picture: Annotated[str, Text()] = ""
    """name of a picture that is kept elsewhere: `wound-1.jpg`"""
