"""Salt against what the fish bear; and nitrite, which the chloride of salt keeps out of the gills."""

from dataclasses import replace

import numpy as np

from waterplan import tables
from waterplan.dose.salt import Exposure
from waterplan.hazards import levels
from waterplan.hazards.limits import at_most, water_limit
from waterplan.hazards.record import Why
from waterplan.hazards.subject import Assessed, Subject
from waterplan.published import FloatArray
from waterplan.stay.quantities import Q
from waterplan.stay.record import WaterKind
from waterplan.stay.state import chloride_mg_per_l

_EXPOSURE = {
    WaterKind.DIP: Exposure.DIP,
    WaterKind.INDUCTION: Exposure.BATH,
    WaterKind.IRRIGATION: Exposure.BATH,
}


def salt(subject: Subject) -> Assessed:
    """The most salt of a stretch against the lowest ceiling of its fish for as long as they stay in it."""
    exposure = _EXPOSURE.get(subject.kind, Exposure.PROLONGED)
    groups = sorted({one.species.salt_group for one in subject.fish} or {"other"})
    ceilings = (tables.row("salt_ceilings", group=group, exposure=exposure.value) for group in groups)
    lowest = min(ceilings, key=lambda row: (row.value, row.high))
    return at_most(subject, Q.SALT, Q.VOLUME, limit=lowest, harm=replace(lowest, value=lowest.high))


def nitrite(subject: Subject) -> Assessed:
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
