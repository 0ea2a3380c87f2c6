"""Salt against the ceiling of the most sensitive fish, by how long it stays in it."""

from waterplan import tables
from waterplan.dose.salt import Exposure
from waterplan.hazards import levels
from waterplan.hazards.record import Hazard, Side
from waterplan.hazards.subject import Assessed, Subject
from waterplan.stay.quantities import UNITS, Q
from waterplan.stay.record import ActEnd, WaterKind

_EXPOSURE = {
    WaterKind.DIP: Exposure.DIP,
    WaterKind.INDUCTION: Exposure.BATH,
    WaterKind.IRRIGATION: Exposure.BATH,
}


def hazard(subject: Subject) -> Assessed:
    """The most salt of a stretch against the lowest ceiling of its fish for that time."""
    exposure = _EXPOSURE.get(subject.kind, Exposure.PROLONGED)
    groups = sorted({one.species.salt_group for one in subject.fish} or {"other"})
    ceiling = min(
        (tables.row("salt_ceilings", group=group, exposure=exposure.value) for group in groups),
        key=lambda row: (row.value, row.high),
    )
    return Assessed(
        quantity=Q.SALT,
        which="highest",
        values=levels.most(subject, Q.SALT),
        unit=UNITS[Q.SALT],
        act_end=ActEnd.HIGH,
        side=Side.AT_MOST,
        limit=ceiling.value,
        limit_row=ceiling,
        harm=ceiling.high,
        until_harm_h=levels.until(subject, Q.SALT, ceiling.high, falls=False),
        clock_unit=levels.clock_unit(subject),
        rests=levels.rests(subject, Hazard.SALT, Q.SALT, Q.VOLUME),
    )
