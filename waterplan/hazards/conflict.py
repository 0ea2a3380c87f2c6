"""What must not meet in one water: substances, readings, filter and fish, by the rules of the table `conflicts`."""

from collections.abc import Iterable, Iterator, Mapping

import numpy as np

from waterplan import tables
from waterplan.case.choices import Filter, Use
from waterplan.case.model import Patient
from waterplan.dose.conflicts import Conflict, conflict_things, conflicts
from waterplan.dose.salt import Exposure, salt_ceiling
from waterplan.fish.species import Species
from waterplan.hazards import levels
from waterplan.hazards.record import Why
from waterplan.hazards.subject import Assessed, Subject
from waterplan.hazards.substance import already, contents, thing_of
from waterplan.spread import band
from waterplan.stay.quantities import Q
from waterplan.stay.record import FishState, WaterKind

Things = dict[str, float | None]
_READ = {
    "salt": Q.SALT,
    "tan": Q.AMMONIA,
    "nitrite": Q.NITRITE,
    "ph": Q.PH,
    "alkalinity": Q.ALKALINITY,
    "oxygen": Q.OXYGEN,
    "temperature": Q.TEMPERATURE,
    "chlorine": Q.CHLORINE,
}
# Rules that fire where little of it is there look at the low end, the others at the high one.
_LOW = frozenset({"oxygen", "alkalinity"})
# Filters that have something to lose.
LIVING = frozenset({Filter.SEEDED, Filter.MATURING})
_AFTER_ANAESTHESIA = frozenset({WaterKind.REVIVAL, WaterKind.HOSPITAL, WaterKind.DIP})


def hazards(subject: Subject) -> Iterator[Assessed]:
    """Each rule that holds in a water; one judgement where none does."""
    active = _active(subject)
    here = {**_readings(subject), **_filter(subject), **_fish(subject), **active}
    spoken = [one for one in conflicts(here) if _speaks_of(one, active)] if active else []
    for one in spoken:
        yield _held(subject, one)
    unsaid = _if_wounded(subject, here, active, {one.rule for one in spoken})
    yield from unsaid
    if not spoken and not unsaid:
        yield Assessed(
            quantity="conflict",
            passed=np.ones(subject.state.size, dtype=bool),
            why=(Why(code="nothing-meets"),),
        )


def _held(subject: Subject, conflict: Conflict) -> Assessed:
    return Assessed(
        quantity="conflict",
        limit_row=conflict.row,
        passed=np.zeros(subject.state.size, dtype=bool),
        severity=conflict.severity.value,
        part=conflict.rule,
        why=(Why(code="must not meet", words={"rule": conflict.rule, "row": conflict.row.id}),),
    )


def _speaks_of(conflict: Conflict, active: Things) -> bool:
    """A rule of what was put in, or is to be; readings by themselves are judged by hazards of their own."""
    return bool({conflict.row["first"], conflict.row["second"]} & set(active)) or (
        conflict.row["first"] == "food_fish" and not conflict.row["second"] and bool(_drugs(active))
    )


def _drugs(active: Things) -> set[str]:
    return {row["thing"] for row in tables.table("dose_substances") if row["drug"] == "yes"} & set(active)


def _active(subject: Subject) -> Things:
    """What is put in or is there already, with its level where it is known: salt that was added among it."""
    found: Things = {}
    for name, known in contents(subject).items():
        if (thing := thing_of(name)) is not None:
            found[thing] = band(known.draws).high
    for one in already(subject):
        if one.what in conflict_things() and one.what not in {*found, *_READ}:
            found[one.what] = None if one.level is None else one.level.measured.best
    unsalted = tables.row("defaults", what="unsalted").value
    salt = levels.state_of(subject).known[Q.SALT]
    if salt.is_known and band(salt.draws).high > unsalted:
        found["salt"] = band(levels.most(subject, Q.SALT)).high
    case = subject.stay.ground.case
    feed = case.intended.feed
    if subject.kind is WaterKind.HOSPITAL and feed is not None and feed.measured.best > 0.0:
        found["feeding"] = None
    kinds = {row["drug"]: row["kind"] for row in tables.table("drugs")}
    if any("NSAID" in kinds.get(one.drug.lower(), "") for one in case.injections) and _has_patient(subject):
        found["nsaid"] = None
    return found


def _has_patient(subject: Subject) -> bool:
    return subject.stretch is not None and any(one.patient for one in subject.fish)


def _readings(subject: Subject) -> Things:
    """What was read: a figure that was only assumed fires no rule."""
    state, found = levels.state_of(subject), Things()
    for thing, quantity in _READ.items():
        if state.has(quantity) and state.known[quantity].is_known:
            ends = band(state[quantity])
            found[thing] = ends.low if thing in _LOW else ends.high if thing in {"chlorine", "tan"} else ends.best
    chlorine = found.get("chlorine")
    if subject.stay.ground.case.mains_water.disinfectant == "chloramine" and chlorine is not None:
        found["chloramine"] = chlorine
    return found


def _filter(subject: Subject) -> Things:
    place, pond = subject.water.place, subject.stay.ground.case.home_pond
    found = Things()
    if place.kind is WaterKind.HOME and pond is not None:
        found |= {name: None for name in ("zeolite", "plants") if getattr(pond, name) is True}
    if subject.stay.ground.filter_of(place) in LIVING:
        found["biofilter"] = None
    if subject.water.found.guessed:
        found["guessed_volume"] = None
    return found


def _fish(subject: Subject) -> Things:
    """What the fish of the water are: every one of them, and not the patient alone."""
    case, inside = subject.stay.ground.case, {one.id for one in subject.fish}
    patients = [one for number, one in enumerate(case.patients, 1) if f"patient-{number}" in inside]
    found: Things = dict.fromkeys(fish_things((one.species for one in subject.fish), patients))
    if any(one.condition == "weak" for one in subject.fish):
        found["weak_fish"] = None
    operated = case.vessels_for(Use.INDUCTION) or case.vessels_for(Use.IRRIGATION)
    under = subject.stretch is not None and any(one.state is FishState.ANAESTHETISED for one in subject.stretch.present)
    if subject.kind in _AFTER_ANAESTHESIA and operated and not under:
        found["anaesthetised"] = None
    return found


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


def _if_wounded(subject: Subject, here: Mapping[str, float | None], active: Things, known: set[str]) -> list[Assessed]:
    """What would hold if a patient had an open wound, where the case does not say whether it has one."""
    patients = subject.stay.ground.case.patients
    inside = {one.id for one in subject.fish}
    unsaid = any(f"patient-{number}" in inside and not one.wound for number, one in enumerate(patients, 1))
    if not unsaid or "open_wound" in here or not active:
        return []
    then = [one for one in conflicts({**here, "open_wound": None}) if one.rule not in known]
    return [
        Assessed(
            quantity="conflict",
            limit_row=one.row,
            part=one.rule,
            why=(Why(code="wound-not-stated", words={"rule": one.rule}),),
        )
        for one in then
        if "open_wound" in {one.row["first"], one.row["second"]} and _speaks_of(one, active)
    ]
