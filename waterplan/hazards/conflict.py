"""What must not meet in one water: substances, readings, filter and fish, by the rules of the table `conflicts`."""

from collections.abc import Iterable, Iterator
from typing import Any

import numpy as np

from waterplan import tables
from waterplan.case.model import Patient
from waterplan.dose.conflicts import Conflict, conflict_things, conflicts
from waterplan.dose.drugs import nsaids
from waterplan.dose.salt import Exposure, salt_ceiling
from waterplan.fish.species import Species
from waterplan.hazards import levels
from waterplan.hazards.limit_rows import water_limit
from waterplan.hazards.record import Why
from waterplan.hazards.subject import Assessed, Subject, none_found
from waterplan.hazards.substance import READ, already, contents, thing_of
from waterplan.spread import band
from waterplan.stay.ground import Ground, WaterStay
from waterplan.stay.quantities import Q
from waterplan.stay.record import FishState, Origin, WaterKind

Things = dict[str, float | None]
# Rules that fire where little of it is there look at the low end, the others at the high one.
_LOW = frozenset({"oxygen", "alkalinity"})
_AFTER_ANAESTHESIA = frozenset({WaterKind.REVIVAL, WaterKind.HOSPITAL, WaterKind.DIP})


def hazards(subject: Subject) -> Iterator[Assessed]:
    """Each rule that holds in a water; one judgement where none does."""
    active = _active(subject)
    here = {**_readings(subject), **_filter(subject), **_fish(subject), **active}
    never = {"passed": np.zeros(subject.state.size, dtype=bool)}
    found = [
        _told(one, "must not meet", {"row": one.row.id}, severity=one.severity.value, **never)
        for one in conflicts(here)
        if _speaks_of(one, active)
    ]
    if "open_wound" not in here and any(not one.wound for one in _patients(subject)):
        # what would hold if a patient had one, where the case does not say
        then = [one for one in conflicts({**here, "open_wound": None}) if "open_wound" in _sides(one)]
        found += [_told(one, "wound-not-stated", {}) for one in then if _speaks_of(one, active)]
    yield from found or [none_found(subject, "conflict", "nothing-meets")]


def _told(conflict: Conflict, code: str, words: dict[str, str], **more: Any) -> Assessed:
    why = (Why(code=code, words={"rule": conflict.rule, **words}),)
    return Assessed(quantity="conflict", limit=conflict.row, part=conflict.rule, why=why, **more)


def _sides(conflict: Conflict) -> set[str]:
    return {conflict.row["first"], conflict.row["second"]}


def _speaks_of(conflict: Conflict, active: Things) -> bool:
    """A rule of what was put in, or is to be; readings by themselves are judged by hazards of their own."""
    drugs = {row["thing"] for row in tables.table("dose_substances") if row["drug"] == "yes"}
    eaten = conflict.row["first"] == "food_fish" and not conflict.row["second"]
    return not active.keys().isdisjoint(_sides(conflict)) or (eaten and not active.keys().isdisjoint(drugs))


def _active(subject: Subject) -> Things:
    """What is put in or is there already, with its level where it is known: salt that was added among it."""
    there = ((thing_of(name), band(known.draws).high) for name, known in contents(subject).items())
    found: Things = {thing: level for thing, level in there if thing is not None}
    for one in already(subject):
        if one.what in conflict_things() and one.what not in {*found, *READ}:
            found[one.what] = None if one.level is None else one.level.measured.best
    unsalted = tables.row("defaults", what="unsalted").value
    salt = levels.state_of(subject).known[Q.SALT]
    if salt.is_known and band(salt.draws).high > unsalted:
        found["salt"] = band(levels.most(subject, Q.SALT)).high
    case = subject.stay.ground.case
    if blooms(subject.stay.ground, subject.water):
        found["algae"] = None
    if subject.kind is WaterKind.HOSPITAL and case.intended.feeding is not None:
        found["feeding"] = None
    patient = subject.stretch is not None and any(one.patient for one in subject.fish)
    if patient and not nsaids().isdisjoint(one.drug.lower() for one in case.injections):
        found["nsaid"] = None
    return found


def blooms(ground: Ground, water: WaterStay) -> bool:
    """Whether algae are seen in a water, or its oxygen was read above what air gives: a bloom in the sun, until it is known."""
    signs = {row["sign"] for row in tables.rows("signs", blooms="yes")}
    oxygen = water.as_found.known[Q.OXYGEN]
    share = oxygen.draws / water.as_found.saturation_mg_per_l
    over = oxygen.origin is Origin.MEASURED and band(share).low > water_limit("oxygen_saturation", "watch").value
    return over or any(one.sign in signs for one in ground.seen(water.place.id))


def _readings(subject: Subject) -> Things:
    """What was read: a figure that was only assumed fires no rule."""
    known, found = levels.state_of(subject).known, Things()
    for thing, quantity in READ.items():
        if quantity in known and known[quantity].is_known:
            ends = band(known[quantity].draws)
            found[thing] = ends.low if thing in _LOW else ends.high if thing in {"chlorine", "tan"} else ends.best
    if subject.stay.ground.case.mains_water.disinfectant == "chloramine" and "chlorine" in found:
        found["chloramine"] = found["chlorine"]
    return found


def _filter(subject: Subject) -> Things:
    pond = subject.stay.ground.case.home_pond if subject.kind is WaterKind.HOME else None
    there = {
        "zeolite": pond is not None and pond.zeolite,
        "plants": pond is not None and pond.plants,
        "biofilter": subject.stay.ground.living_filter(subject.water.place),
        "guessed_volume": subject.water.found.guessed,
    }
    return dict.fromkeys(name for name, holds in there.items() if holds)


def _fish(subject: Subject) -> Things:
    """What the fish of the water are: every one of them, and not the patient alone."""
    case = subject.stay.ground.case
    found: Things = dict.fromkeys(fish_things(subject.species, _patients(subject)))
    operated = bool(case.is_operated_in)
    under = subject.stretch is not None and any(one.state is FishState.ANAESTHETISED for one in subject.stretch.present)
    if subject.kind in _AFTER_ANAESTHESIA and operated and not under:
        found["anaesthetised"] = None
    return found


def _patients(subject: Subject) -> tuple[Patient, ...]:
    return subject.stay.ground.case.patients_among({one.id for one in subject.fish})


def fish_things(kinds: Iterable[Species], patients: Iterable[Patient]) -> Iterator[str]:
    """What a rule may speak of about some fish: their species, how they are, whether they may be eaten."""
    sensitive = tables.row("defaults", what="salt-sensitive ceiling").value
    for kind in dict.fromkeys(kinds):
        yield from (row["thing"] for row in tables.rows("species_things", species=kind.name))
        if salt_ceiling(kind.salt_group, Exposure.PROLONGED).value <= sensitive:
            yield "salt_sensitive"
    for patient in patients:
        if patient.condition == "weak":
            yield "weak_fish"
        if patient.wound == "open":
            yield "open_wound"
        if patient.eaten:
            yield "food_fish"
