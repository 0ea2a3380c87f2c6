"""What was seen and said at a pond: signs from the table `signs`, when, where, on how many fish."""

from datetime import datetime
from typing import Annotated

from waterplan import tables
from waterplan.case.choices import FishAre, HowMany
from waterplan.case.kinds import OneOf, Text
from waterplan.case.measures import litres as some_litres
from waterplan.case.part import Part
from waterplan.case.references import WaterNamed
from waterplan.case.times import When
from waterplan.case.values import Reading

SIGNS = tuple(row["sign"] for row in tables.table("signs"))


class Seen(Part):
    """One sign that somebody saw; first aid follows from it, and the hazards that it may come from are to be read."""

    sign: Annotated[str, OneOf(SIGNS, needed=True)]
    """what was seen: `gasping at the surface`"""
    water: Annotated[str, WaterNamed()] = ""
    """in which water; the home pond without it: `home pond`"""
    at: Annotated[datetime | None, When()] = None
    """when it was seen: `2026-05-14T09:30`"""
    fish: Annotated[HowMany | None, OneOf(HowMany)] = None
    """how many fish show it: `several`"""
    where: Annotated[FishAre | None, OneOf(FishAre)] = None
    """where the fish are: `at the inflow`"""
    litres: Annotated[Reading | None, some_litres("added_l")] = None
    """litres of tap water that ran in: `600 L, estimate`"""
    words: Annotated[str, Text()] = ""
    """what was said, in somebody's own words; it changes nothing in the plan: `since the thunderstorm`"""
