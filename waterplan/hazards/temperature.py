"""Temperature: where care begins, before the fish dies of it."""

from waterplan import tables
from waterplan.fish.species import known_species
from waterplan.hazards.limits import between, farthest
from waterplan.hazards.subject import Assessed, Subject
from waterplan.stay.quantities import Q


def hazard(subject: Subject) -> Assessed:
    """The temperature of a stretch that lies farthest out of what all its species bear with care."""
    species = sorted({one.species.name for one in subject.fish} or known_species())
    care, borne = (
        [tables.row("species_ranges", species=one, range=f"{kind} temperature") for one in species]
        for kind in ("care", "tolerated")
    )
    within, harmless = ((max(row.low for row in rows), min(row.high for row in rows)) for rows in (care, borne))
    hot = float(farthest(subject, Q.TEMPERATURE, within)[0]) > sum(within) / 2.0
    row = min(care, key=lambda one: one.high) if hot else max(care, key=lambda one: one.low)
    rows = tuple(row.id for row in borne)
    return between(subject, Q.TEMPERATURE, within=within, harmless=harmless, limit=row, rows=rows)
