"""Alkalinity: what holds the pH while filter and drugs give off acid."""

from waterplan import tables
from waterplan.hazards import levels
from waterplan.hazards.record import Hazard, Side
from waterplan.hazards.subject import Assessed, Subject
from waterplan.stay.quantities import UNITS, Q
from waterplan.stay.record import ActEnd


def hazard(subject: Subject) -> Assessed:
    """The least alkalinity of a stretch."""
    watch = tables.row("water_limits", quantity="alkalinity", group="any", level="watch")
    act = tables.row("water_limits", quantity="alkalinity", group="any", level="act")
    return Assessed(
        quantity=Q.ALKALINITY,
        which="lowest",
        values=levels.least(subject, Q.ALKALINITY),
        unit=UNITS[Q.ALKALINITY],
        act_end=ActEnd.LOW,
        side=Side.AT_LEAST,
        limit=watch.value,
        limit_row=watch,
        harm=act.value,
        until_harm_h=levels.until(subject, Q.ALKALINITY, act.value, falls=True),
        clock_unit=levels.clock_unit(subject),
        rests=levels.rests(subject, Hazard.ALKALINITY, Q.ALKALINITY, Q.VOLUME),
        rows=(act.id,),
    )
