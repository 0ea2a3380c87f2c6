"""pH of a water against a band on both sides."""

import numpy as np

from waterplan import tables
from waterplan.hazards import levels
from waterplan.hazards.record import Hazard, Side
from waterplan.hazards.subject import Assessed, Subject
from waterplan.published import FloatArray
from waterplan.stay.quantities import Q


def hazard(subject: Subject) -> Assessed:
    """The pH of a stretch that lies farthest out of the band that is wanted."""
    watch = tables.row("water_limits", quantity="ph", group="any", level="watch")
    act = tables.row("water_limits", quantity="ph", group="any", level="act")
    below, above = (
        levels.until(subject, Q.PH, level, falls=falls) for level, falls in ((act.low, True), (act.high, False))
    )
    return Assessed(
        quantity=Q.PH,
        which="farthest",
        values=farthest(levels.least(subject, Q.PH), levels.most(subject, Q.PH), low=watch.low, high=watch.high),
        side=Side.BETWEEN,
        limit=watch.low,
        upper=watch.high,
        limit_row=watch,
        harm=act.low,
        harm_upper=act.high,
        until_harm_h=np.minimum(below, above),
        clock_unit=levels.clock_unit(subject),
        rests=levels.rests(subject, Hazard.PH, Q.PH, Q.ALKALINITY),
        rows=(act.id,),
    )


def farthest(least: FloatArray, most: FloatArray, *, low: float, high: float) -> FloatArray:
    """Of the least and the most of each draw the one that lies farther out of a band."""
    return np.where(most - high > low - least, most, least)
