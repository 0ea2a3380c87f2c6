"""What is in a water beside what is measured: residues, drugs, and what the case says was put in."""

from collections.abc import Iterator, Mapping

import numpy as np

from waterplan import tables
from waterplan.case.model import Already
from waterplan.dose.conflicts import conflict_things
from waterplan.hazards import levels
from waterplan.hazards.record import Side, Why
from waterplan.hazards.subject import Assessed, Rests, Subject
from waterplan.stay.record import ActEnd, Moment, Origin
from waterplan.stay.state import Known
from waterplan.stay.waters import HOME

# Things with a level that are judged by hazards of their own.
_READ = frozenset({"salt", "tan", "nitrite", "ph", "alkalinity", "oxygen", "temperature", "chlorine", "chloramine"})
_BY_ACTIONS = tuple(f"{moment}/" for moment in Moment)


def hazards(subject: Subject) -> Iterator[Assessed]:
    """Each substance of a water against the most that is reported for it; one judgement where nothing is recorded."""
    found = dict(contents(subject))
    for name, known in sorted(found.items()):
        yield _one(subject, name, known)
    unknown = [one for one in already(subject) if one.level is None and one.what not in found]
    for one in unknown:
        if _is_substance(one.what):
            yield Assessed(
                quantity=one.what,
                part=one.what,
                why=(Why(code="residue-level-not-known", words={"substance": one.what}),),
            )
    if not found and not unknown:
        yield Assessed(
            quantity="substances",
            passed=np.ones(subject.state.size, dtype=bool),
            why=(Why(code="no-substance-recorded"),),
        )


def _one(subject: Subject, name: str, known: Known) -> Assessed:
    most = _most_told_of(name)
    ordered = known.came_from is not None and known.came_from.startswith(_BY_ACTIONS)
    rests = (Rests(water=subject.water.place.id, quantity=name, known=known),)
    if most is None:
        return Assessed(
            quantity=name,
            which="level",
            values=known.draws,
            unit=unit_of(name),
            act_end=ActEnd.HIGH,
            passed=np.full(subject.state.size, ordered),
            severity="caution",
            rests=rests,
            part=name,
            why=(Why(code="substance-without-level", words={"substance": name}),),
        )
    return Assessed(
        quantity=name,
        which="level",
        values=known.draws,
        unit=unit_of(name),
        act_end=ActEnd.HIGH,
        side=Side.AT_MOST,
        limit=most.high if np.isfinite(most.high) else most.value,
        limit_row=most,
        rests=rests,
        part=name,
        why=() if ordered and known.is_known else (Why(code="residue", words={"substance": name}),),
    )


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
    names = {"", place.id, *({place.name} if place.name else ()), *(("home pond",) if place.id == HOME else ())}
    if subject.stretch is None and subject.water.place.id != HOME:
        names -= {""}
    return tuple(one for one in subject.stay.ground.case.already if one.where in names)


def thing_of(name: str) -> str | None:
    """The name that the rules of what must not meet know a substance by."""
    row = tables.find("dose_substances", substance=name)
    thing = name if row is None else row["thing"]
    return thing if thing in conflict_things() else None


def unit_of(name: str) -> str:
    """The unit of its level."""
    thing = thing_of(name)
    return conflict_things()[thing].unit if thing is not None and conflict_things()[thing].unit else "mg/L"


def _is_substance(name: str) -> bool:
    row = conflict_things().get(name)
    return name not in _READ and (row is None or bool(row.unit))


def _most_told_of(name: str) -> tables.Row | None:
    """The row of the highest level that is reported for a substance with fish in it."""
    row = tables.find("dose_substances", substance=name)
    agents = {name, *(({row["agent"], row["thing"]} - {""}) if row is not None else ())}
    told = [
        one
        for table in ("bath_limits", "anaesthetics")
        for one in tables.table(table)
        if one["agent"] in agents and one.keys.get("use") != "eggs" and np.isfinite(one.high)
    ]
    return max(told, key=lambda one: one.high, default=None)
