"""The doses of a case: each in its moment, with what it does to the water, the filter and the drain, and its card."""

from dataclasses import dataclass
from datetime import timedelta

from waterplan import tables
from waterplan.dose import changes, disinfectants, salt, substances
from waterplan.dose.conflicts import Conflict
from waterplan.dose.substances import Kind
from waterplan.errors import Refused, Unanswerable
from waterplan.findings import Finding, Moment, Verdict, Who, amount
from waterplan.first_plan import anaesthetising, injecting
from waterplan.first_plan.answers import Answer
from waterplan.first_plan.bathing import Task, bath, capital
from waterplan.first_plan.clashes import clash, clashes_in, forbids, things_in
from waterplan.first_plan.daily_change import advised_change_l
from waterplan.first_plan.desk import Desk
from waterplan.first_plan.disinfecting import chloramine_ammonia, dechlorinate, things
from waterplan.first_plan.dose_cards import CardDraft, DoseCard, InjectionCard
from waterplan.first_plan.dose_waters import level_words, of_water, reader_units, water_of
from waterplan.first_plan.first_case.model import Dose
from waterplan.first_plan.first_case.schema import Use
from waterplan.first_plan.residues import filters_after_residues
from waterplan.first_plan.salt_course import salt_course, salt_told_words, unsalted
from waterplan.first_plan.salting import level_of_salt, short_salt

_KHV = " khv"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cards:
    """The cards of a case: what goes into its waters, and what goes into its fish."""

    doses: tuple[DoseCard, ...]
    injections: tuple[InjectionCard, ...]


def dosing(desk: Desk, *, whole_case: bool = True) -> Cards:
    """Adds the findings of all doses and injections of a case, and gives a card for each.

    Without the whole case, as where one dose is worked out by itself, nothing is advised on changes of water.
    """
    case = desk.case
    advised_l = advised_change_l(desk) if whole_case and any(_holds_salt(dose) for dose in case.doses) else None
    tasks: list[Task] = []
    for number, dose in enumerate(case.doses, 1):
        task = _task(desk, dose, number, advised_l)
        if task is not None:
            tasks.append(task)
    places = {task.place.name: task.place for task in tasks}
    met = {name: clashes_in(desk, place, tasks) for name, place in places.items()}
    cards = tuple(_dose(desk, task, met[task.place.name]) for task in tasks)
    for place in places.values():
        if things_in(desk, place, tasks):
            title = f"What must not meet: {place.name}"
            desk.answer(Moment.PREPARE, f"conflicts: {place.name}", title, clash, place, tuple(tasks))
    if whole_case:
        filters_after_residues(desk)
    if any(one.what == "khv_suspected" for one in case.already):
        title = "Water of a fish that may carry koi herpesvirus"
        desk.answer(Moment.HOSPITAL, "sick fish water", title, sick_fish_water)
    injections = tuple(
        injecting.injection_card(desk, injection, number) for number, injection in enumerate(case.injections, 1)
    )
    drugged = any(task.row["drug"] == "yes" and task.kind.with_fish for task in tasks)
    if case.injections or drugged:
        desk.answer(Moment.PREPARE, "withdrawal", "Food law and withdrawal", injecting.withdrawal)
    if any(card.anaesthetic for card in cards):
        _anaesthetics(desk, tuple(tasks))
    return Cards(doses=cards, injections=injections)


def title_of(dose: Dose, where: str) -> str:
    """A dose in words: what, for what, into what."""
    use = dose.use.replace(_KHV, " against koi herpesvirus")
    return f"{capital(dose.substance)}, {use}: {where}"


def _key(task: Task, what: str = "dose") -> str:
    return f"{what} {task.number}: {task.dose.substance}, {task.place.name}"


def moment_of(task: Task) -> Moment:
    """When a dose is needed: what is weighed before the fish is caught, and what is given afterwards."""
    if task.kind in {Kind.ANAESTHETIC, Kind.THINGS, Kind.IODINE}:
        return Moment.PREPARE
    if task.kind is Kind.DECHLORINATE:
        return Moment.CALL if task.dose.use == substances.HOSE else Moment.PREPARE
    return Moment.HOSPITAL if task.place.name != "home pond" else Moment.HOME


def _holds_salt(dose: Dose) -> bool:
    return dose.substance == "salt" and dose.use == salt.Exposure.PROLONGED


def _task(desk: Desk, dose: Dose, number: int, advised_l: float | None) -> Task | None:
    """The dose with its water; a finding that says what to give where the water's volume cannot be known."""
    try:
        place = water_of(desk, dose, number)
    except Unanswerable as lacking:
        give = lacking.give

        def ask(_: Desk) -> Answer:
            raise Unanswerable(give)

        key = f"dose {number}: {dose.substance}, {dose.into}"
        desk.answer(Moment.PREPARE, key, title_of(dose, dose.into), ask)
        return None
    kept = place.vessel is not None and place.vessel.use is Use.HOSPITAL
    return Task(
        dose=dose,
        number=number,
        place=place,
        draft=CardDraft(unit=substances.substance(dose.substance).unit),
        advised_l=advised_l if kept else None,
    )


def _dose(desk: Desk, task: Task, found: tuple[Conflict, ...]) -> DoseCard:
    moment, draft, place = moment_of(task), task.draft, task.place
    title = title_of(task.dose, place.name)
    finding = desk.answer(moment, _key(task), title, _weigh, task, found)
    further = _further(desk, task) if finding.verdict not in {Verdict.REFUSED, Verdict.QUESTION} else ()
    if draft.portions:
        _order_of_entry(task)
        desk.step(moment, Who.NURSE, f"{place.name}: {' '.join(draft.order)}")
    return DoseCard(
        number=task.number,
        title=title,
        substance=task.dose.substance,
        use=task.dose.use,
        water=place.name,
        litres=place.ends,
        volume_words=place.words,
        finding=finding,
        unit=draft.unit,
        wanted=draft.wanted,
        level=draft.level,
        told=draft.told,
        ceiling=draft.ceiling,
        portions=tuple(draft.portions),
        order=tuple(draft.order),
        after=tuple(draft.after),
        findings=further,
        conflicts=found,
        anaesthetic=task.kind is Kind.ANAESTHETIC,
        ledger=tuple(draft.ledger),
        times=anaesthetising.times_told(desk, task) if task.kind is Kind.ANAESTHETIC else (),
    )


def _weigh(desk: Desk, task: Task, found: tuple[Conflict, ...]) -> Answer:
    """The sum of a dose, once nothing forbids it."""
    kind = task.kind
    if kind in {Kind.THINGS, Kind.IODINE}:
        return things(desk, task)
    forbidden = [conflict for conflict in found if forbids(conflict, task)]
    if forbidden:
        rules = reader_units(" ".join(f"{conflict.rule}: {conflict.words}" for conflict in forbidden))
        row = tables.row("conflicts", rule=forbidden[0].rule)  # so that the refusal has the rule's source
        raise Refused(f"{rules.rstrip('.')} ({row.cited})")
    _require_once(desk, task)
    if kind.with_fish and task.row["drug"] == "yes":
        injecting.require_not_eaten(desk)
    if kind is Kind.DECHLORINATE:
        return dechlorinate(desk, task)
    if kind is Kind.SALT:
        return _salt(desk, task)
    return bath(desk, task)


def _require_once(desk: Desk, task: Task) -> None:
    """One water gets a substance once: what is there when a second dose goes in nobody here knows."""
    if task.dose.volume is not None or not task.kind.with_fish:
        return
    same = [
        number
        for number, dose in enumerate(desk.case.doses, 1)
        if dose.substance == task.dose.substance and dose.into == task.dose.into
    ]
    if len(same) > 1:
        listed = " and ".join(f"doses[{number}]" for number in same)
        raise Unanswerable(
            f"only one dose of {task.dose.substance} for the {task.place.name}: {listed} would both go in. For a second one say in "
            "[[already]] what the water holds then"
        )


def _salt(desk: Desk, task: Task) -> Answer:
    exposure, place, strength = salt.Exposure(task.dose.use), task.place, task.dose.strength
    _require_one_salting(desk, task)
    if strength is None:
        ceiling = salt.salt_ceiling(desk.species.salt_group, exposure)
        return Answer(
            text=f"Give doses[{task.number}] strength: the veterinarian chooses it. For {desk.species.words}, {exposure}: usual "
            f"up to {amount(ceiling.low, unit='g/L')}, ceiling {amount(ceiling.value, unit='g/L')} ({ceiling.status}). "
            f"{salt_told_words(desk, exposure)}",
            verdict=Verdict.QUESTION,
        )
    if exposure is salt.Exposure.PROLONGED:
        return level_of_salt(desk, place, strength.measured.best, task.draft, grade=task.dose.grade)
    present = of_water(desk, place, "salinity")
    already = 0.0 if present is None else present
    where = f"the {place.name}"
    return short_salt(desk, exposure, strength.measured.best, place, where, already, task.draft, task.dose.grade)


def _require_one_salting(desk: Desk, task: Task) -> None:
    """The hospital tank is salted by the case's intention or by a dose, and not by both."""
    tanks = desk.case.vessels_for(Use.HOSPITAL)
    both = desk.case.intended.salt is not None and bool(tanks) and task.place.vessel is tanks[0]
    if both and task.dose.use == salt.Exposure.PROLONGED:
        raise Unanswerable(
            f"only one of [intended] salt and doses[{task.number}]: both salt the {task.place.name}, and it would be salted twice"
        )


def _order_of_entry(task: Task) -> None:
    """The last line of the order: what is looked at before the fish goes in."""
    if task.kind is Kind.ANAESTHETIC:
        task.draft.order.append(
            "Read oxygen, temperature and pH, write them down; then the fish goes in: start the clock."
        )
    elif task.kind in {Kind.BATH, Kind.UNLISTED}:
        task.draft.order.append("Somebody stays beside it; clean aerated water of the same temperature stands ready.")


def _further(desk: Desk, task: Task) -> tuple[Finding, ...]:
    """What follows from a dose that was worked out: bath water, oxygen, filter, drain."""
    moment, name, found = Moment.PROCEDURE, task.place.name, []
    if task.dose.substance == "tricaine" and task.draft.level is not None:
        sums = (
            ("buffer", f"Bicarbonate for the tricaine: {name}", anaesthetising.buffer),
            ("bath ph", f"pH and carbon dioxide of the bath: {name}", anaesthetising.bath_ph),
            ("bath nh3", f"Un-ionised ammonia in the bath: {name}", anaesthetising.bath_nh3),
        )
        found += [desk.answer(moment, _key(task, key), title, make, task) for key, title, make in sums]
    if task.kind is Kind.ANAESTHETIC:
        found.append(
            desk.answer(
                moment, _key(task, "fit"), f"Oxygen and temperature of the bath: {name}", anaesthetising.bath_fit, task
            )
        )
    if task.row["agent"] == "formalin":
        found.append(
            desk.answer(
                moment_of(task), _key(task, "oxygen"), f"Oxygen that formalin takes: {name}", formalin_oxygen, task
            )
        )
    if task.kind in {Kind.BATH, Kind.UNLISTED} and task.draft.portions:
        key = _key(task, "change")
        found.append(desk.answer(moment_of(task), key, f"After a change of water: {name}", after_change, task))
    if _holds_salt(task.dose) and task.draft.portions:
        key = _key(task, "ledger")
        found.append(desk.answer(Moment.HOSPITAL, key, f"The salt of the {name}, day by day", salt_course, task))
        title = f"Bringing the salt of the {name} down again"
        found.append(desk.answer(Moment.HOSPITAL, _key(task, "unsalting"), title, unsalted, task))
    if _damage(task) is not None:
        damaged = desk.answer(
            Moment.HOSPITAL if task.place.vessel is not None else Moment.HOME,
            _key(task, "filter"),
            f"The filter after {'the chlorine of the hose' if task.draft.chlorine is not None else task.dose.substance}: {name}",
            filter_after,
            task,
        )
        found.append(damaged)
    if task.kind is Kind.DECHLORINATE and desk.case.mains_water.disinfectant == "chloramine":
        title = f"Ammonia that the chloramine leaves: {name}"
        found.append(desk.answer(moment_of(task), _key(task, "ammonia"), title, chloramine_ammonia, task))
    if task.kind is not Kind.DECHLORINATE:
        found.append(_drain(desk, task))
    return tuple(found)


def _drain(desk: Desk, task: Task) -> Finding:
    """Where the litres go: told once for a substance, or for each dose that needs its own neutraliser."""
    own = bool(task.draft.after)
    key = _key(task, "drain") if own else f"drain: {task.row['agent']}"
    told = next((finding for finding in desk.findings if finding.key == key), None)
    if told is not None:
        afterwards(desk, task)  # fills the card
        return told
    title = f"Afterwards: {task.dose.substance}{f', {task.place.name}' if own else ''}"
    return desk.answer(moment_of(task), key, title, afterwards, task)


def formalin_oxygen(desk: Desk, task: Task) -> Answer:
    """Oxygen that formalin takes out of the water, beside what the water holds."""
    level = task.draft.level
    assert level is not None  # a bath that was worked out has one
    takes = float(disinfectants.formalin_oxygen_mg_per_l(level.high))
    holds = of_water(desk, task.place, "oxygen")
    known = "" if holds is None else f" It holds {amount(holds[0], unit='mg/L')} now."
    return Answer(
        text=f"{amount(takes, unit='mg/L')} within 30 to 36 hours at the high end of the level.{known} Strong air and somebody "
        "beside it; a short bath is over long before.",
        unit="mg/L",
        values=takes,
        verdict=Verdict.WATCH,
        method="1 mg/L for each 5 µL/L",
    )


def after_change(_: Desk, task: Task) -> Answer:
    """What a change of water takes out, and what puts it back, where it is meant to stay."""
    level, place = task.draft.level, task.place
    assert level is not None  # a bath that was worked out has one
    share = tables.row("defaults", what="unsalting change").value
    left = float(changes.level_after_changes_mg_per_l(level.best, changed_fraction=share, changes=1))
    # Formalin goes by volume: its level in µL/L gives mL where that of the others in mg/L gives g.
    again = float(changes.put_back_g(place.volume.low_l, changed_fraction=share, wanted_mg_per_l=level.best))
    unit = "mL" if task.unit == "uL/L" else "g"
    return Answer(
        text=f"A change of a quarter leaves {level_words(left, task.unit)}. Where it is meant to stay, and the veterinarian says "
        f"so, the new water takes {again:.3g} {unit} of the active substance before it goes in; evaporation is topped up with "
        "fresh water alone.",
        method="mixing; litres changed at the low end x level",
    )


def _damage(task: Task) -> disinfectants.FilterDamage | None:
    """What a dose with a fish in the water does to a living filter, where the table tells of harm at its level.

    Of a hose that ran it is the chlorine of the mains that harms.
    """
    if task.dose.use == substances.HOSE and task.draft.chlorine is not None:
        return disinfectants.filter_damage("chlorine", level=task.draft.chlorine)
    level, thing, vessel = task.draft.level, task.row["thing"], task.place.vessel
    lasting = vessel is None or vessel.use is Use.HOSPITAL
    if not task.kind.with_fish or level is None or not thing or not lasting or task.dose.use == salt.Exposure.DIP:
        return None
    return disinfectants.filter_damage(thing, level=level.high)


def filter_after(desk: Desk, task: Task) -> Answer:
    """For how many days a living filter is not to be counted on after a dose."""
    damage = _damage(task)
    assert damage is not None  # asked for only where the table tells of harm
    start = desk.start()
    until = f", to {start + timedelta(days=damage.days):%a %d %b %Y} at least" if start else ""
    least = float(damage.row["level_from"])
    reached = f"from {level_words(least, task.unit)} on" if least else "at any level that can be measured"
    return Answer(
        text=f"{capital(damage.effect)} {reached}: count it as "
        f"nothing for {damage.days} days{until} and until two clean paired tests. Bypass it while the dose works.",
        values=float(damage.days),
        unit="days",
        verdict=Verdict.WATCH,
    )


def afterwards(_: Desk, task: Task) -> Answer:
    """Where the litres go: neutralised, tested, and never into a pond, ditch or storm drain."""
    agent = "chlorine" if task.row["oxidant"] == "chlorine" else task.row["agent"]
    rows = disinfectants.disposal(agent) or (disinfectants.disposal("any drug") if task.row["drug"] == "yes" else ())
    if task.draft.after:
        rows = rows[1:]  # how to neutralise it has been worked out
    told = [*task.draft.after, *(f"{capital(row['words'])}." for row in rows)]
    if not any("never to a ditch" in text for text in told):
        told.append("Never into a ditch, pond, stream or storm drain.")
    task.draft.after[:] = told
    return Answer(text=" ".join((*told, "Local law decides.")))


def sick_fish_water(_: Desk) -> Answer:
    """What the water of a fish with a notifiable disease in question needs before it leaves the tub."""
    told = " ".join(f"{capital(row['words'])}." for row in disinfectants.disposal("sick fish water"))
    return Answer(
        text=f"{told} Never into a ditch, pond, stream or storm drain. Whom to tell is a matter of local law.",
        verdict=Verdict.WATCH,
    )


def _anaesthetics(desk: Desk, tasks: tuple[Task, ...]) -> None:
    """What holds for every anaesthetic bath of the case."""
    agent = next(task.row["agent"] for task in tasks if task.kind is Kind.ANAESTHETIC)
    desk.answer(
        Moment.PROCEDURE, "not dead", "A still fish is not yet a dead fish", anaesthetising.not_proof_of_death, agent
    )
    desk.answer(Moment.REVIVAL, "breathing stops", "If breathing stops", anaesthetising.if_breathing_stops)
