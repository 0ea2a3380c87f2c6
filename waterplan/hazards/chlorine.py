"""Total chlorine: no chlorine is safe for gills, and a kit that shows nothing has not shown that there is none."""

from waterplan import tables
from waterplan.hazards import levels
from waterplan.hazards.record import Hazard, Side, Why
from waterplan.hazards.subject import Assessed, Subject
from waterplan.stay.quantities import UNITS, Q
from waterplan.stay.record import ActEnd


def hazard(subject: Subject) -> Assessed:
    """Chlorine of a water against what gills bear, for as long as its fish are in it."""
    limit = tables.row("water_limits", quantity="chlorine", group="any", level="limit")
    harm = tables.row("water_limits", quantity="chlorine", group="any", level="harm")
    known = levels.state_of(subject).known[Q.CHLORINE]
    unseen = known.censored
    return Assessed(
        quantity=Q.CHLORINE,
        which="highest",
        values=levels.most(subject, Q.CHLORINE),
        unit=UNITS[Q.CHLORINE],
        act_end=ActEnd.HIGH,
        side=Side.AT_MOST,
        limit=limit.value,
        limit_row=limit,
        harm=harm.value,
        until_harm_h=levels.until(subject, Q.CHLORINE, harm.value, falls=False),
        clock_unit=levels.clock_unit(subject),
        rests=levels.rests(subject, Hazard.CHLORINE, Q.CHLORINE),
        rows=(harm.id,),
        why=(Why(code="kit-shows-nothing"),) if unseen else (),
        unseen=unseen,
    )
