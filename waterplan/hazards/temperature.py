"""Temperature: where care begins, before the fish dies of it."""

import numpy as np

from waterplan import tables
from waterplan.fish.species import known_species
from waterplan.hazards import levels
from waterplan.hazards.ph import farthest
from waterplan.hazards.record import Hazard, Side
from waterplan.hazards.subject import Assessed, Subject
from waterplan.stay.quantities import UNITS, Q


def hazard(subject: Subject) -> Assessed:
    """The temperature of a stretch that lies farthest out of what all its species bear with care."""
    species = sorted({one.species.name for one in subject.fish} or known_species())
    care, borne = (
        [tables.row("species_ranges", species=one, range=f"{kind} temperature") for one in species]
        for kind in ("care", "tolerated")
    )
    low, high = max(row.low for row in care), min(row.high for row in care)
    harm_low, harm_high = max(row.low for row in borne), min(row.high for row in borne)
    below, above = (
        levels.until(subject, Q.TEMPERATURE, level, falls=falls)
        for level, falls in ((harm_low, True), (harm_high, False))
    )
    values = farthest(levels.least(subject, Q.TEMPERATURE), levels.most(subject, Q.TEMPERATURE), low=low, high=high)
    hot = float(values[0]) > (low + high) / 2.0
    row = min(care, key=lambda one: one.high) if hot else max(care, key=lambda one: one.low)
    return Assessed(
        quantity=Q.TEMPERATURE,
        which="farthest",
        values=values,
        unit=UNITS[Q.TEMPERATURE],
        side=Side.BETWEEN,
        limit=low,
        upper=high,
        limit_row=row,
        harm=harm_low,
        harm_upper=harm_high,
        until_harm_h=np.minimum(below, above),
        clock_unit=levels.clock_unit(subject),
        rests=levels.rests(subject, Hazard.TEMPERATURE, Q.TEMPERATURE),
        rows=tuple(row.id for row in borne),
    )
