"""Nitrite against what gills take up, and the chloride that keeps it out."""

import numpy as np

from waterplan.hazards import levels
from waterplan.hazards.limits import at_most, water_limit
from waterplan.hazards.record import Why
from waterplan.hazards.subject import Assessed, Subject
from waterplan.published import FloatArray
from waterplan.stay.quantities import Q
from waterplan.stay.state import chloride_mg_per_l


def hazard(subject: Subject) -> Assessed:
    """Nitrite of a water; with ten times as much chloride the level to watch rises to the level to act at, and no higher."""
    watch, act = water_limit("nitrite", "watch"), water_limit("nitrite", "act")
    ratio = water_limit("chloride_ratio", "least")
    kept_out = _chloride(subject) / ratio.value
    guarded = kept_out >= levels.most(subject, Q.NITRITE)
    harm_at = np.where(guarded, np.maximum(act.value, kept_out), act.value)
    return at_most(
        subject,
        *(Q.NITRITE, Q.SALT, Q.VOLUME),
        limit=act if guarded[0] else watch,
        limit_at=np.where(guarded, act.value, watch.value),
        harm_at=harm_at,
        clocks={"harm": levels.until(subject, Q.NITRITE, harm_at, falls=False)},
        rows=(watch.id, act.id, ratio.id),
        why=(Why(code="guarded-by-chloride"),) if guarded[0] else (),
    )


def _chloride(subject: Subject) -> FloatArray:
    """Chloride that may be counted on: none of a salt that was only assumed."""
    state = levels.state_of(subject)
    known = state.known.get(Q.CHLORIDE) or state.known[Q.SALT]
    return chloride_mg_per_l(state) if known.is_known else np.zeros(state.size)
