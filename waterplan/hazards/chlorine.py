"""Total chlorine: no chlorine is safe for gills, and a kit that shows nothing has not shown that there is none."""

from waterplan.hazards import levels
from waterplan.hazards.limit_rows import water_limit
from waterplan.hazards.limits import at_most
from waterplan.hazards.record import Why
from waterplan.hazards.subject import Assessed, Subject
from waterplan.stay.quantities import Q


def hazard(subject: Subject) -> Assessed:
    """Chlorine of a water against what gills bear, for as long as its fish are in it."""
    limit, harm = water_limit("chlorine", "limit"), water_limit("chlorine", "harm")
    unseen = levels.state_of(subject).known[Q.CHLORINE].censored
    why = (Why(code="kit-shows-nothing"),) if unseen else ()
    return at_most(subject, Q.CHLORINE, limit=limit, harm=harm, why=why, unseen=unseen)
