"""What is in a water beside what is measured: residues, drugs, and what the case says was put in."""

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from waterplan import tables
from waterplan.case.model import Already
from waterplan.dose.conflicts import conflict_things
from waterplan.hazards import levels
from waterplan.hazards.record import Why
from waterplan.hazards.subject import Assessed, Rests, Subject, none_found
from waterplan.stay.prepare import source_kind
from waterplan.stay.quantities import KEYS, Q
from waterplan.stay.record import Moment, Origin, WaterKind
from waterplan.stay.state import Known
from waterplan.stay.waters import HOME

_LASTING = frozenset({WaterKind.HOME, WaterKind.HOSPITAL})
# Things with a level that are judged by hazards of their own, by the names of the rules of what must not meet.
READ: Mapping[str, Q] = {key: one for key, one in {"salt": Q.SALT, **KEYS}.items() if key in conflict_things()}


def hazards(subject: Subject) -> Iterator[Assessed]:
    """Each substance of a water against the most that is reported for it; one judgement where nothing is recorded.

    New water of a kind that no fish goes into is refused, and so is what was filled with it.
    """
    case, source = subject.stay.ground.case, subject.water.source or subject.water
    never = source_kind(case.mains_water)["never"] if source.place.kind is WaterKind.SOURCE else ""
    if never:
        none = np.zeros(subject.state.size, dtype=bool)
        yield Assessed(quantity="substances", passed=none, severity="refuse", part=never, why=(Why(code=never),))
    found = contents(subject)
    for name, known in sorted(found.items()):
        yield _one(subject, name, known)
    unknown = [one.what for one in already(subject) if one.level is None and one.what not in found]
    for name in filter(_is_substance, unknown):
        yield Assessed(quantity=name, part=name, why=(_why("residue-level-not-known", name),))
    if not found and not unknown and not never:
        yield none_found(subject, "substances", "no-substance-recorded")


def _one(subject: Subject, name: str, known: Known) -> Assessed:
    told = _told_of(name)
    stays = subject.kind in _LASTING
    most = max(
        (one for one in told if not (stays and one.keys.get("most_min"))), key=lambda one: one.high, default=None
    )
    ordered = (known.came_from or "").startswith(tuple(f"{moment}/" for moment in Moment))
    more: dict[str, Any] = {"limit": most, "why": () if ordered and known.is_known else (_why("residue", name),)}
    if most is None:
        more |= {"passed": np.full(subject.state.size, ordered), "why": (_why("substance-without-level", name),)}
        more["severity"] = "caution"
    else:
        more["limit_at"] = most.high
        # Above what even a short bath is reported at nothing is known but harm; in a bath only far above it.
        far = 1.0 if stays else tables.row("defaults", what="far above what is reported").value
        harm_at = far * max(one.high for one in told)
        more |= {} if ordered else {"harm": most, "harm_at": harm_at}
        if not ordered and not stays and known.draws[0] > harm_at:
            more["why"] = (_why("far-above-what-is-reported", name),)
    return Assessed(
        quantity=name,
        which="level",
        values=known.draws,
        unit=unit_of(name),
        rests=(Rests(water=subject.water.place.id, quantity=name, known=known),),
        part=name,
        **more,
    )


def _why(code: str, name: str) -> Why:
    return Why(code=code, words={"substance": name})


def contents(subject: Subject) -> Mapping[str, Known]:
    """The substances of a water with their levels: of its state, and of what the case says is there already."""
    state = levels.state_of(subject)
    found = dict(state.contents)
    inputs = subject.stay.ground.inputs
    for number, one in enumerate(subject.stay.ground.case.already, 1):
        if one in already(subject) and one.level is not None and _is_substance(one.what) and one.what not in found:
            draws = inputs.of_reading(f"already-{number}/level", one.level)
            found[one.what] = Known(draws=draws, origin=Origin.MEASURED, text=one.level.text)
    return found


def already(subject: Subject) -> tuple[Already, ...]:
    """What the case says is in this water already, or in all of them."""
    place = subject.water.place
    names = {place.id, ""} if subject.stretch is not None or place.id == HOME else {place.id}
    return tuple(one for one in subject.stay.ground.case.already if one.where in names)


def thing_of(name: str) -> str | None:
    """The name that the rules of what must not meet know a substance by."""
    row = tables.find("dose_substances", substance=name)
    thing = name if row is None else row["thing"]
    return thing if thing in conflict_things() else None


def unit_of(name: str) -> str:
    """The unit of the level of a substance in a water: that of the rules, where they know it."""
    thing = thing_of(name)
    return (conflict_things()[thing].unit if thing is not None else "") or "mg/L"


def _is_substance(name: str) -> bool:
    row = conflict_things().get(name)
    return name not in READ and name != "chloramine" and (row is None or bool(row.unit))


def _told_of(name: str) -> tuple[tables.Row, ...]:
    """The rows that report a level of a substance with fish in it."""
    row = tables.find("dose_substances", substance=name)
    agents = {name} if row is None else {name, row["agent"], row["thing"]} - {""}
    return tuple(
        one
        for one in (*tables.table("bath_limits"), *tables.table("anaesthetics"))
        if one["agent"] in agents and one.keys.get("use") != "eggs" and np.isfinite(one.high)
    )
