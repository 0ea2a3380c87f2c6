"""pH of a water against a band on both sides."""

from waterplan.hazards.limits import between, water_limit
from waterplan.hazards.subject import Assessed, Subject
from waterplan.stay.quantities import Q


def hazard(subject: Subject) -> Assessed:
    """The pH of a stretch that lies farthest out of the band that is wanted."""
    watch, act = water_limit("ph", "watch"), water_limit("ph", "act")
    ends = {"within": (watch.low, watch.high), "harmless": (act.low, act.high)}
    return between(subject, Q.PH, Q.ALKALINITY, **ends, limit=watch, harm=act)
