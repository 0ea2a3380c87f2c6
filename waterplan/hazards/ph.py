"""pH of a water against a band on both sides."""

from waterplan.hazards.limits import between, water_limit
from waterplan.hazards.record import Hazard
from waterplan.hazards.subject import Assessed, Subject
from waterplan.stay.quantities import Q


def hazard(subject: Subject) -> Assessed:
    """The pH of a stretch that lies farthest out of the band that is wanted."""
    watch, act = water_limit("ph", "watch"), water_limit("ph", "act")
    ends = {"limit": (watch.low, watch.high), "harm": (act.low, act.high)}
    return between(subject, Hazard.PH, Q.PH, Q.ALKALINITY, **ends, limit_row=watch, rows=(act.id,))
