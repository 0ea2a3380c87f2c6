"""The doses of a case as actions: each worked out in its water, or refused with its reason.

What was put in before the plan is an action too: so long a living filter in that water is not to be counted on.
"""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np

from waterplan import tables
from waterplan.actions.doses.antidote import dechlorinated
from waterplan.actions.doses.bath import bath, level_made
from waterplan.actions.doses.before import is_done, put_in_before
from waterplan.actions.doses.draft import Draft, Reason, Stopped, forbidden, reason
from waterplan.actions.doses.salting import salted
from waterplan.actions.doses.task import Around, Task
from waterplan.actions.doses.things import drain, solution
from waterplan.actions.doses.water import DoseWater, begin_h, dose_water
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Kind, Who
from waterplan.case.measures import litres as litres_kind
from waterplan.case.model import Already, Dose
from waterplan.case.references import Target
from waterplan.case.values import parse_reading
from waterplan.dose import substances
from waterplan.dose.disinfectants import filter_damage
from waterplan.dose.salt import Exposure
from waterplan.dose.substances import HOSE
from waterplan.dose.substances import Kind as Sum
from waterplan.errors import ImpossibleInput
from waterplan.fish.breathing import goldfish_breaths_per_min
from waterplan.hazards.record import Verdict
from waterplan.hazards.salts import BEFORE_ANAESTHETIC
from waterplan.spread import band
from waterplan.stay.contents import thing_of
from waterplan.stay.effects import FilterLost
from waterplan.stay.equipment import room_co2_ppm
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, Moment, WaterKind
from waterplan.stay.salted import SALT_METERS
from waterplan.stay.waters import MAINS, Place, is_here, is_in
from waterplan.stay.whole import stay as stay_of

_DAY_H = 24.0


def doses(context: Context) -> Iterator[Proposal]:
    """Every dose of the case, in the file's order, and the dip that is intended: each stands on what those before it leave.

    Before them comes what has been put in already and harms a filter.

    Parameters
    ----------
    context : Context
        The stay with what was accepted so far.

    Yields
    ------
    Proposal
        The action with its effects, or refused without any.
    """
    yield from _residues(context)
    for number, dose in enumerate((*context.ground.case.doses, *_intended_dip(context)), 1):
        if _is_ordered(context, dose):
            continue
        made = _one_dose(context, dose, number)
        if made.effects:
            effects = context.stay.effects.with_(*made.effects)
            stay = stay_of(context.ground, effects, context.stay.foreseen)
            context = replace(context, stay=stay, accepted=(*context.accepted, made))
        yield made


def _residues(context: Context) -> Iterator[Proposal]:
    """Waiting until a filter may be tested for trust again, for each thing in its water that harms it.

    Parameters
    ----------
    context : Context
        The stay with what was accepted so far.

    Yields
    ------
    Proposal
        A wait until the days of the table are over; the filter counts for nothing while it lasts, and from the start
        where nobody said since when the thing is there.
    """
    for number, one in enumerate(context.ground.case.already, 1):
        for place in context.ground.places.values():
            if not (is_in(place, one) and context.ground.living_filter(place)):
                continue
            # Where nobody knows its level, the worst that is printed.
            level, printed = _level_there(context, place, one), tables.rows("filter_damage", agent=one.what)
            worst = max(printed, key=lambda row: float(row["level_from"]), default=None)
            damage = worst if level is None else filter_damage(one.what, level=level)
            if damage is not None:
                yield _until_filter_counts(context, place, one, damage, f"{number}", known=level is not None)
    for number, dose in enumerate(context.ground.case.doses, 1):
        into = context.ground.places.get(dose.into.path)
        if dose.went_in is None or dose.volume is not None or into is None or not context.ground.living_filter(into):
            continue
        one = Already(what=_agent(dose.substance), where=into.id, since=dose.went_in_at)
        found = context.stay[into.id].as_found
        held = found.known[Q.CHLORINE] if one.what == "chlorine" else found.contents.get(one.what)
        damage = None if held is None else filter_damage(one.what, level=band(held.draws).high)
        if damage is not None:
            yield _until_filter_counts(context, into, one, damage, f"went-in/{number}", known=True)


def _level_there(context: Context, place: Place, one: Already) -> float | None:
    """The level of what is in a water already, as it was stated, weighed in or read since; None where nobody knows it."""
    if one.level is not None:
        return one.level.measured.best
    ground, found = context.ground, context.stay[place.id].as_found
    if one.what != "salt":
        held = found.contents.get(one.what)
    else:
        read = one.since is None or ground.read_since(place.id, one.since, *SALT_METERS)
        held = found.known[Q.SALT] if read else None
    return band(held.draws).high if held is not None and held.is_known else None


def _agent(substance: str) -> str:
    """What went in by the name that filters know it by."""
    return "chlorine" if substances.substance(substance)["oxidant"] == "chlorine" else thing_of(substance)


def _until_filter_counts(
    context: Context, place: Place, one: Already, damage: tables.Row, number: str, *, known: bool
) -> Proposal:
    at_home, days = place.kind is WaterKind.HOME, float(damage["days"])
    draft = Draft(
        kind=Kind.WAIT,
        moment=Moment.HOME if at_home else place.moment,
        water=place.id,
        who=Who.OWNER if at_home else Who.NURSE,
        path=f"{place.id}/filter/{number}",
        figures=context.figures,
        substance=one.what,
        words={"effect": damage["effect"], "table": damage.id},
    )
    draft.amount("days", days, "d", act_end=ActEnd.HIGH, rows=(damage.id,))
    start, since_h = begin_h(place) or 0.0, None
    if one.since is None:
        draft.caution(reason("enter-since-when-it-is-there", {"substance": one.what}))
    else:
        since_h = context.ground.clock.hours(one.since)
        draft.until = one.since + timedelta(days=days)
        draft.done = draft.until if _is_past(context, place, draft.until) else None
    if not known:
        draft.caution(reason("level-not-known-worst-taken", {"substance": one.what}))
    draft.caution(reason("two-clean-paired-tests", {"table": damage.id}))
    until_h = np.inf if since_h is None else since_h + days * _DAY_H
    if until_h > start and place.kind is WaterKind.HOSPITAL:
        draft.effects.append(FilterLost(action=draft.id, water=place.id, at_h=start, treatment=one.what))
    return draft.proposal()


def _is_past(context: Context, place: Place, at: datetime) -> bool:
    """Whether a time is over by that of the plan, or by the newest reading of a water."""
    read = (one.taken for given in context.ground.readings[place.id].values() for one in given)
    return at <= max((one for one in (context.ground.as_of, *read) if one is not None), default=at - timedelta(days=1))


def _is_ordered(context: Context, dose: Dose) -> bool:
    """Whether a dose is the antidote to chlorine, as crystals, that the plan has in its water already, to be done or done."""
    crystals = dose.bottle is None or dose.bottle.active_fraction == 1.0
    return crystals and any(
        one.action.kind is Kind.NEUTRALISE and one.action.water == dose.into.path and not one.action.refused_because
        for one in context.accepted
        if one.action.substance == dose.substance and dose.use != HOSE
    )


def _intended_dip(context: Context) -> Iterator[Dose]:
    """The salt dip that the case intends, as a dose: into its dip tub, or into litres made up for it."""
    intended = context.ground.case.intended
    if intended.salt_dip is None or context.ground.is_over(*context.ground.stretches_of(Moment.HOSPITAL)):
        return
    tub = next((place for place in context.ground.places.values() if place.kind is WaterKind.DIP), None)
    usual = f"{tables.row('defaults', what='dip volume').value:g} L, marked tub"
    into = Target(path=tub.id) if tub else Target(litres=parse_reading(usual, litres_kind().quantity))
    yield Dose(substance="salt", use=Exposure.DIP.value, into=into, strength=intended.salt_dip)


def _one_dose(context: Context, dose: Dose, number: int) -> Proposal:
    """One dose of the case as an action."""
    ground, water = context.ground, dose_water(context, dose, number)
    around, thing = _surroundings(context, water), thing_of(dose.substance)
    before = [one for one in ground.case.doses[: number - 1] if one.into == dose.into and dose.volume is None]
    same = [one for one in before if thing_of(one.substance) == thing]
    more = f"/{len(same) + 1}" if same else ""
    draft = Draft(
        kind=Kind.DOSE,
        moment=water.moment,
        water=water.id if water.place is not None else None,
        who=Who.NURSE,
        path=f"{water.id}/{dose.substance}{more}",
        figures=context.figures,
        substance=dose.substance,
    )
    draft.done_or_due(is_done(ground, dose), _when_it_was_over(context, water))
    if draft.done is not None:
        return draft.proposal()
    draft.at = ground.clock.at(water.hour)
    place = water.place
    stood = place if place is not None and place.kind in (WaterKind.HOME, WaterKind.HOSPITAL) else None
    asks = stood is not None and not any(is_here(stood, one.where) for one in ground.case.already)
    went_in, stopped = put_in_before(ground, dose, place)
    if stopped is not None and dose.went_in is None:
        return draft.proposal(stopped)
    waits = _waits(context, water)
    return work_out(Task(dose=dose, water=water, draft=draft, around=around, asks=asks, waits=waits, went_in=went_in))


def _waits(context: Context, water: DoseWater) -> Reason | None:
    """What stops an anaesthetic that can wait, of a patient in its own water; None where nothing does."""
    stopping = (
        one.record
        for one in context.judged.values()
        if one.record.id.endswith(f"/{BEFORE_ANAESTHETIC}") and one.record.verdict.rank >= Verdict.ACT_NOW.rank
    )
    patients = context.ground.case.patients_among(water.fish)
    return next((Reason(code=why.code, words=why.words) for one in stopping for why in one.why if patients), None)


def _when_it_was_over(context: Context, water: DoseWater) -> datetime | None:
    """When a dose was due into a water that its fish have left by the time of the plan: past, and not due.

    That of an induction was due when the fish went in: nobody puts it in beside a fish that lies there, nor once more.
    Litres made up for fish were due in their moment, or at the time that is stated.
    """
    ground, place = context.ground, water.place
    if place is None:
        stretches = ground.stretches_of(water.moment) if water.fish else []
        due_h = min((one.start_h for one in stretches), default=0.0) if water.at_h is None else water.at_h
        return ground.clock.at(due_h) if ground.is_over(*stretches) and due_h <= ground.clock.now_h else None
    left = place is not None and place.kind is not WaterKind.HOME and ground.is_over(*place.stretches)
    baths = place.stretches if place is not None and place.kind is WaterKind.INDUCTION else ()
    begun = any(one.start_h < ground.clock.now_h for one in baths)
    return ground.clock.at(water.hour) if left or begun else None


def work_out(task: Task) -> Proposal:
    """The action of a task: ordered, or refused with why."""
    draft, water = task.draft, task.water
    draft.words |= {"use": task.dose.use} | _anaesthetic_words(task)
    named = [reason("name-on-the-bottle", {"name": task.dose.bottle_name})] if task.dose.bottle_name else []
    draft.caution(*named)
    if water.place is not None:
        # Whatever was accepted for the water is done before its fish go in.
        before = (one for one in water.state.after if "/fill/" not in one and not one.startswith("case/"))
        draft.needs = tuple(dict.fromkeys(before))
    try:
        if task.dose.bottle is not None and task.dose.bottle.detergent:
            raise forbidden("antiseptic scrub")
        if task.dose.bottle is not None and task.dose.bottle.tincture:
            raise forbidden("antiseptic tincture")
        went_in = task.dose.went_in if water.lasting and task.kind is Sum.THINGS else None
        if went_in is not None:
            level_made(task, went_in, ())
            return draft.proposal()
        if task.kind is Sum.THINGS and water.lasting:
            raise Stopped(reason("not-into-water-with-fish", {"substance": task.dose.substance}))
        if task.waits is not None and task.kind is Sum.ANAESTHETIC:
            raise Stopped(task.waits, instead=[(Kind.WAIT, reason("nitrite-put-right-first"))])
        if task.dose.use != HOSE and not water.state.known[Q.VOLUME].is_known:
            told = reason("litres-not-stated", {"water": water.id})
            raise Stopped(told, instead=[(Kind.MEASURE, reason("measure-the-litres-first"))])
        _SUMS.get(task.kind, bath)(task)
        if task.kind.with_fish:
            drain(task)
        if task.asks:
            back = tables.row("dose_rules", rule="asked back")
            draft.caution(reason("ask-what-went-in", back=(back.value, "d")))
    except Stopped as stopped:
        return draft.proposal(Stopped(*stopped.reasons, *named, instead=stopped.instead))
    except ImpossibleInput as wrong:
        return draft.proposal(Stopped(reason("impossible-value", {"argument": wrong.argument})))
    return draft.proposal()


_SUMS = {Sum.SALT: salted, Sum.IODINE: solution, Sum.THINGS: solution, Sum.DECHLORINATE: dechlorinated}


def _surroundings(context: Context, water: DoseWater) -> Around:
    """What the case says beside the water of a dose."""
    ground, case = context.ground, context.ground.case
    patients = case.patients_among(water.fish)
    said = [one.eaten for one in patients or case.patients[:1]] or [None]
    mains = context.stay.waters.get(MAINS)
    chlorine = mains.as_found.known.get(Q.CHLORINE) if mains is not None else None
    return Around(
        inputs=ground.inputs,
        day=ground.clock.zero if case.intended.operation_at is not None else ground.as_of,
        now=ground.as_of or ground.clock.at(ground.clock.now_h),
        eaten=True if True in said else None if None in said else False,
        wound_said=all(one.wound for one in patients),
        disinfectant=str(case.mains_water.disinfectant or ""),
        chlorine=chlorine.draws if chlorine is not None and chlorine.is_known else None,
        several=any(one.count > 1 for one in patients),
        out_into=_out_into(context, water),
        iodine_percent=case.intended.iodine_stock,
        co2_in_air_ppm=room_co2_ppm(ground.inputs),
        aired_share=ground.inputs.value(tables.row("hospital_demands", demand="start of saturation")),
        hypothetical=ground.hypothetical,
    )


def _out_into(context: Context, water: DoseWater) -> str:
    """The water that the patients of a bath come out into: their tank, a tub to wake in, else the pond; "" for none."""
    places = [one for one in context.ground.places.values() if one.id != water.id]
    inside = {one.path for one in context.ground.case.patients_among(water.fish)}
    for kind in (WaterKind.HOSPITAL, WaterKind.REVIVAL):
        for one in places:
            if one.kind is kind and inside & {fish for stretch in one.stretches for fish in stretch.fish}:
                return one.id
    return next((one.id for one in places if one.kind is WaterKind.HOME), "") if inside else ""


def _anaesthetic_words(task: Task) -> dict[str, str]:
    """The stage that a bath aims at, the one it does not pass, its sheet, and the rows of times in trials."""
    if task.kind is not Sum.ANAESTHETIC:
        return {}
    aim, agent = tables.row("anaesthesia_aims", use=task.dose.use), task.row["agent"]
    groups = dict.fromkeys(kind.salt_group for kind in task.water.species)
    if "goldfish" in groups:
        breaths = goldfish_breaths_per_min(task.water.state[Q.TEMPERATURE])
        task.draft.amount("breaths at rest", breaths, "per min", act_end=ActEnd.BEST)
    told = {
        "times": [row.id for group in groups for row in tables.rows("anaesthetic_times", agent=agent, fish=group)],
        "lived": [row.id for row in tables.rows("overdose_survivals", agent=agent)],
    }
    words = {"aim": aim["stage"], "not past": aim["not_past"], "sheet": aim["sheet"]}
    return words | {name: "|".join(rows) for name, rows in told.items() if rows}
