"""Salt against the ceiling of the most sensitive fish, by how long it stays in it."""

from dataclasses import replace

from waterplan import tables
from waterplan.dose.salt import Exposure
from waterplan.hazards.limits import at_most
from waterplan.hazards.subject import Assessed, Subject
from waterplan.stay.quantities import Q
from waterplan.stay.record import WaterKind

_EXPOSURE = {
    WaterKind.DIP: Exposure.DIP,
    WaterKind.INDUCTION: Exposure.BATH,
    WaterKind.IRRIGATION: Exposure.BATH,
}


def hazard(subject: Subject) -> Assessed:
    """The most salt of a stretch against the lowest ceiling of its fish for that time."""
    exposure = _EXPOSURE.get(subject.kind, Exposure.PROLONGED)
    groups = sorted({one.species.salt_group for one in subject.fish} or {"other"})
    ceilings = (tables.row("salt_ceilings", group=group, exposure=exposure.value) for group in groups)
    lowest = min(ceilings, key=lambda row: (row.value, row.high))
    return at_most(subject, Q.SALT, Q.VOLUME, limit=lowest, harm=replace(lowest, value=lowest.high))
