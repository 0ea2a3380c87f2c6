"""Temperature: where care begins, before the fish dies of it."""

import numpy as np

from waterplan import tables
from waterplan.fish.species import known_species
from waterplan.hazards.limits import between, farthest
from waterplan.hazards.record import Why
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


def together(subject: Subject) -> Assessed | None:
    """Fish of which one is well only where it is too warm or too cold for another: they do not belong in one water."""
    species = sorted({one.species.name for one in subject.fish} - {"unknown"})
    rows = [tables.row("species_ranges", species=one, range="preferred temperature") for one in species]
    colder = min(rows, key=lambda one: one.high, default=None)
    warmer = max(rows, key=lambda one: one.low, default=None)
    if subject.stretch is None or colder is None or warmer is None or warmer.low <= colder.high:
        return None
    return Assessed(
        quantity=Q.TEMPERATURE,
        passed=np.zeros(subject.state.size, dtype=bool),
        severity="caution",
        limit=colder,
        part="together",
        why=(Why(code="do-not-belong-together", words={"colder": colder["species"], "warmer": warmer["species"]}),),
    )
