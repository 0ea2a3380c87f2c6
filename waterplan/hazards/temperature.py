"""Temperature: where care begins, before the fish dies of it."""

import numpy as np

from waterplan import tables
from waterplan.fish.species import known_species
from waterplan.hazards.limits import between, farthest
from waterplan.hazards.record import Why
from waterplan.hazards.subject import Assessed, Rests, Subject
from waterplan.published import FloatArray
from waterplan.spread import Measured
from waterplan.stay.quantities import Q
from waterplan.stay.state import Known

_UNKNOWN = "unknown"


def hazard(subject: Subject) -> Assessed:
    """The temperature of a stretch that lies farthest out of what all its species bear with care.

    A fish of a kind that nobody knows is any of those that are known, another in each draw; the strictest limit is shown.
    """
    species = sorted({one.name for one in subject.species} or known_species())
    care, borne = (
        [tables.row("species_ranges", species=one, range=f"{kind} temperature") for one in species]
        for kind in ("care", "tolerated")
    )
    within, harmless = (_band(subject, species, kind) for kind in ("care", "tolerated"))
    most, read = farthest(subject, Q.TEMPERATURE, within), subject.state.known[Q.TEMPERATURE]
    hot = float(most[0]) > float(np.mean([one[0] for one in within]))
    # At its limit by a thermometer, and past it by no more than the thermometer's error.
    by_error = read.is_known and np.array_equal(most, read.draws) and within[0][0] <= most[0] <= within[1][0]
    row = min(care, key=lambda one: one.high) if hot else max(care, key=lambda one: one.low)
    rows = tuple(row.id for row in borne)
    which = tuple(_kind_of_fish(subject)) if _UNKNOWN in species else ()
    why = (Why(code="species-not-known"),) if which else ()
    more = {"limit": row, "rows": rows, "rests": which, "why": why, "severity": "as read" if by_error else None}
    return between(subject, Q.TEMPERATURE, within=within, harmless=harmless, **more)


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


def _band(subject: Subject, species: list[str], kind: str) -> tuple[FloatArray, FloatArray]:
    """The narrowest band of some species, in draws."""
    low, high = np.full(subject.state.size, -np.inf), np.full(subject.state.size, np.inf)
    for one in species:
        named = [name for name in known_species() if name != _UNKNOWN] if one == _UNKNOWN else [one]
        rows = [tables.row("species_ranges", species=name, range=f"{kind} temperature") for name in named]
        which = np.minimum((_share(subject) * len(rows)).astype(int), len(rows) - 1)
        lows, highs = (np.array([getattr(row, end) for row in rows])[which] for end in ("low", "high"))
        own = tables.row("species_ranges", species=one, range=f"{kind} temperature")
        lows[0], highs[0] = own.low, own.high
        low, high = np.maximum(low, lows), np.minimum(high, highs)
    return low, high


def _share(subject: Subject) -> FloatArray:
    """Where in the list of the known species a fish of an unknown one stands, in draws."""
    return subject.stay.ground.inputs.of("which species", Measured.between(0.0, 1.0))


def _kind_of_fish(subject: Subject) -> list[Rests]:
    """That the species of some fish is not known, and decides."""
    row = tables.row("species", species=_UNKNOWN)
    unknown = [one for one in subject.fish if one.species.name == _UNKNOWN]
    return [
        Rests(water=one.id, quantity="species", known=Known.not_measured(_share(subject), f"{one.id}/species", row))
        for one in unknown
    ]
