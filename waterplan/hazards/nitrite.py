"""Nitrite against what gills take up, and the chloride that keeps it out."""

import numpy as np

from waterplan import tables
from waterplan.hazards import levels
from waterplan.hazards.record import Hazard, Side, Why
from waterplan.hazards.subject import Assessed, Subject
from waterplan.published import FloatArray
from waterplan.stay.quantities import UNITS, Q
from waterplan.stay.record import ActEnd
from waterplan.stay.state import chloride_mg_per_l


def hazard(subject: Subject) -> Assessed:
    """Nitrite of a water; with ten times as much chloride the level to watch rises to the level to act at, and no higher."""
    watch = tables.row("water_limits", quantity="nitrite", group="any", level="watch")
    act = tables.row("water_limits", quantity="nitrite", group="any", level="act")
    ratio = tables.row("water_limits", quantity="chloride_ratio", group="any", level="least")
    values = levels.most(subject, Q.NITRITE)
    kept_out = _chloride(subject) / ratio.value
    guarded = kept_out >= values
    harm = np.where(guarded, np.maximum(act.value, kept_out), act.value)
    return Assessed(
        quantity=Q.NITRITE,
        which="highest",
        values=values,
        unit=UNITS[Q.NITRITE],
        act_end=ActEnd.HIGH,
        side=Side.AT_MOST,
        limit=np.where(guarded, act.value, watch.value),
        limit_row=act if guarded[0] else watch,
        harm=harm,
        until_harm_h=levels.until(subject, Q.NITRITE, harm, falls=False),
        clock_unit=levels.clock_unit(subject),
        rests=levels.rests(subject, Hazard.NITRITE, Q.NITRITE, Q.SALT, Q.VOLUME),
        rows=(watch.id, act.id, ratio.id),
        why=(Why(code="guarded-by-chloride"),) if guarded[0] else (),
    )


def _chloride(subject: Subject) -> FloatArray:
    """Chloride that may be counted on: none of a salt that was only assumed."""
    state = levels.state_of(subject)
    known = state.known.get(Q.CHLORIDE) or state.known[Q.SALT]
    return chloride_mg_per_l(state) if known.is_known else np.zeros(state.size)
