"""What must not meet in one water: the doses, the readings, the filter, the fish and what is there already."""

from collections.abc import Iterable, Mapping

from waterplan import tables
from waterplan.dose import salt
from waterplan.dose.conflicts import Conflict, Severity, conflict_things, conflicts
from waterplan.dose.substances import Kind
from waterplan.findings import Caution, Verdict
from waterplan.first_plan.answers import Answer
from waterplan.first_plan.bathing import Task
from waterplan.first_plan.desk import HOME, Desk
from waterplan.first_plan.dose_waters import DoseWater, reader_units
from waterplan.first_plan.first_case.schema import Filter
from waterplan.first_plan.residues import since_sentence

_READ = {
    "salt": "salinity",
    "tan": "tan",
    "nitrite": "nitrite",
    "ph": "ph",
    "alkalinity": "alkalinity",
    "oxygen": "oxygen",
    "temperature": "temperature",
    "chlorine": "chlorine",
}
_VERDICTS = {Severity.REFUSE: Verdict.REFUSED, Severity.ACT: Verdict.ACT, Severity.CAUTION: Verdict.WATCH}


def things_in(desk: Desk, place: DoseWater, tasks: Iterable[Task]) -> Mapping[str, float | None]:
    """All that a rule can speak of in one water, with its level where it is known."""
    here = [task for task in tasks if task.place.name == place.name]
    things: dict[str, float | None] = {}
    with_fish = any(task.kind.with_fish or task.kind is Kind.DECHLORINATE for task in here)
    if with_fish:
        things |= _readings(desk, place) | _filter(desk, place) | _fish(desk)
    for one in desk.case.already:
        if one.where in {"", place.name} and with_fish:
            things[one.what] = one.level
    for task in here:
        things |= _of_task(task)
    if any(task.row["thing"] == "bleach" for task in here):
        acids: dict[str, float | None] = {one.what: None for one in desk.case.already if one.what == "acid"}
        things |= {"bleach": None, **acids} if acids else {}
    buffered = any(task.row["thing"] == "tricaine" and task.dose.buffer not in {"", "none"} for task in here)
    if buffered and "copper" not in things:
        # A buffered bath does not stand on the water's own alkalinity: its own findings tell of pH and gases.
        things.pop("alkalinity", None)
    antidote = any(task.kind is Kind.DECHLORINATE for task in here)
    if antidote and desk.case.mains_water.disinfectant == "chloramine":
        things["chloramine"] = None
    if antidote and not any(task.kind.with_fish for task in here):
        things.pop("chlorine", None)  # it is being taken out
    if place.guessed and with_fish:
        things["guessed_volume"] = None
    return things


def _readings(desk: Desk, place: DoseWater) -> dict[str, float | None]:
    found: dict[str, float | None] = {}
    for thing, key in _READ.items():
        if key == "chlorine" and desk.latest(place.water, key) is None:
            continue  # what the mains hold says nothing of a tub that was treated: the plan tells of it elsewhere
        # A stand-in is taken without a remark: the sums that go by it say so.
        known = desk.latest(place.water, key)
        if known is None and place.vessel is not None:
            known = desk.latest(place.vessel.filled_with, key)
        if known is not None:
            found[thing] = known.measured.best
    if desk.case.mains_water.disinfectant == "chloramine" and "chlorine" in found:
        found["chloramine"] = found["chlorine"]
    return found


def _filter(desk: Desk, place: DoseWater) -> dict[str, float | None]:
    pond = desk.case.home_pond
    found: dict[str, float | None] = {}
    state = place.vessel.filter if place.vessel is not None else None
    if place.water == HOME and place.vessel is None and place.name == "home pond" and pond is not None:
        state = pond.filter
        found |= {name: None for name, said in (("zeolite", pond.zeolite), ("plants", pond.plants)) if said == "yes"}
    return found | ({"biofilter": None} if state in {Filter.SEEDED, Filter.MATURING} else {})


def _fish(desk: Desk) -> dict[str, float | None]:
    patient = desk.case.patient
    rows = tables.rows("species_things", species=patient.species)
    found: dict[str, float | None] = {row["thing"]: None for row in rows}
    ceiling = salt.salt_ceiling(desk.species.salt_group, salt.Exposure.PROLONGED)
    if ceiling.value <= 1.0:
        found["salt_sensitive"] = None
    if patient.condition == "weak":
        found["weak_fish"] = None
    if patient.wound == "open":
        found["open_wound"] = None
    if patient.eaten == "yes":
        found["food_fish"] = None
    feed = desk.case.intended.feed
    if feed is not None and feed.measured.best > 0.0:
        found["feeding"] = None
    for injection in desk.case.injections:
        kinds = {row["kind"] for row in tables.table("drugs") if row["drug"] == injection.drug.lower()}
        found |= {"nsaid": None} if "NSAID" in kinds else {}
    return found


def _of_task(task: Task) -> dict[str, float | None]:
    thing, kind = task.row["thing"], task.kind
    if not thing or (kind is Kind.IODINE and task.dose.use != "fish"):
        return {}
    if kind is Kind.THINGS:
        return {}  # no fish is in it
    strength = task.dose.strength
    found: dict[str, float | None] = {thing: strength.measured.best if strength is not None else None}
    if thing == "tricaine" and task.dose.buffer != "none":
        found["bicarbonate"] = None
    if kind is Kind.DECHLORINATE:
        found[thing] = None
    return found


def clashes_in(desk: Desk, place: DoseWater, tasks: Iterable[Task]) -> tuple[Conflict, ...]:
    """The rules that hold in one water, the gravest first."""
    return conflicts(things_in(desk, place, tasks))


def forbids(conflict: Conflict, task: Task) -> bool:
    """Whether a rule that holds forbids a dose: it speaks of what the dose puts in, of chlorine, or of a fish to be eaten."""
    if conflict.severity is not Severity.REFUSE:
        return False
    spoken = {conflict.row["first"], conflict.row["second"]} - {""}
    if "food_fish" in spoken:
        return task.row["drug"] == "yes" and task.kind.with_fish
    if "chlorine" in spoken:
        return task.kind.with_fish
    return task.row["thing"] in spoken


def clash(desk: Desk, place: DoseWater, tasks: tuple[Task, ...]) -> Answer:
    """What meets in a water that must not, as a finding."""
    things, here = conflict_things(), things_in(desk, place, tasks)
    found = conflicts(here)
    seen = ", ".join(things[name]["words"] for name in here)
    unsaid = _if_wounded(desk, here)
    if not found:
        return Answer(
            text="No rule of the table speaks against what is known here.",
            verdict=Verdict.WATCH if unsaid else Verdict.PASS,
            method=f"looked at: {seen}",
            cautions=unsaid,
        )
    spoken = {conflict.row[which] for conflict in found for which in ("first", "second")}
    before = [one for one in desk.case.already if one.what in spoken and one.where in {"", place.name} and one.since]
    residues = tuple(Caution(text=since_sentence(desk, one)) for one in before)
    grave = [conflict for conflict in found if conflict.severity is not Severity.CAUTION]
    told = grave or list(found)
    rest = tuple(Caution(text=_words(conflict)) for conflict in found if conflict not in told)
    return Answer(
        text=" ".join(_words(conflict) for conflict in told),
        verdict=_VERDICTS[found[0].severity],
        method=f"looked at: {seen}",
        cautions=(*rest, *residues, *unsaid),
    )


def _if_wounded(desk: Desk, here: Mapping[str, float | None]) -> tuple[Caution, ...]:
    """What would hold if the fish had an open wound, where the case does not say whether it has one."""
    if desk.case.patient.wound or "open_wound" in here or not here:
        return ()
    now = {conflict.rule for conflict in conflicts(here)}
    then = [conflict for conflict in conflicts({**here, "open_wound": None}) if conflict.rule not in now]
    return tuple(
        Caution(
            text=f"Whether the fish has an open wound was not said ([patient] wound). If it has: {_words(conflict)}"
        )
        for conflict in then
    )


def _words(conflict: Conflict) -> str:
    return reader_units(f"{conflict.rule[0].upper()}{conflict.rule[1:]}: {conflict.words}")
