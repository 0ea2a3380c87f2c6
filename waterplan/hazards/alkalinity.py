"""Alkalinity: what holds the pH while filter and drugs give off acid."""

from waterplan.hazards.limits import at_least, water_limit
from waterplan.hazards.subject import Assessed, Subject
from waterplan.stay.quantities import Q


def hazard(subject: Subject) -> Assessed:
    """The least alkalinity of a stretch."""
    limit, harm = water_limit("alkalinity", "watch"), water_limit("alkalinity", "act")
    return at_least(subject, Q.ALKALINITY, Q.VOLUME, limit=limit, harm=harm)
