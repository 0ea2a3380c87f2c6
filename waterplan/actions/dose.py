"""The doses of a case as actions: each worked out in its water, or refused with its reason."""

from collections.abc import Iterable, Iterator
from dataclasses import replace

from waterplan import tables
from waterplan.actions.antidote import dechlorinated
from waterplan.actions.bath import bath
from waterplan.actions.dose_task import Around, Task
from waterplan.actions.dose_water import DoseWater, dose_water, is_done
from waterplan.actions.draft import Draft, Stopped, reason
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Kind, Who
from waterplan.actions.salting import salted
from waterplan.actions.things import drain, solution
from waterplan.case.model import Dose
from waterplan.dose.substances import Kind as Sum
from waterplan.errors import ImpossibleInput
from waterplan.stay.contents import answer, thing_of
from waterplan.stay.equipment import room_co2_ppm
from waterplan.stay.quantities import Q
from waterplan.stay.state import Known
from waterplan.stay.waters import MAINS
from waterplan.stay.whole import stay as stay_of


def doses(context: Context) -> Iterator[Proposal]:
    """Every dose of the case, in the file's order: each stands on the water as those before it leave it.

    Parameters
    ----------
    context : Context
        The stay with what was accepted so far.

    Yields
    ------
    Proposal
        The action with its effects, or refused without any.
    """
    for number, dose in enumerate(context.ground.case.doses, 1):
        made = one_dose(context, dose, number)
        if made.effects:
            effects = context.stay.effects.with_(*made.effects)
            context = replace(context, stay=stay_of(context.ground, effects), accepted=(*context.accepted, made))
        yield made


def one_dose(context: Context, dose: Dose, number: int) -> Proposal:
    """One dose of the case as an action."""
    water = dose_water(context, dose, number)
    around = surroundings(context, water)
    task = Task(dose=dose, number=number, water=water, draft=_draft(context, dose, number, water), around=around)
    given = is_done(context.ground.case, dose, water, around.now)
    if given is not None:
        task.draft.done = given
        return task.draft.proposal()
    task.draft.at = around.clock_at(_hour(water))
    return work_out(task)


def work_out(task: Task) -> Proposal:
    """The action of a task: ordered, or refused with why."""
    draft = task.draft
    draft.words |= {"use": task.dose.use} | _anaesthetic_words(task)
    draft.needs += _before(task)
    try:
        if task.dose.bottle is not None and getattr(task.dose.bottle, "detergent", False):
            row = tables.row("conflicts", rule="antiseptic scrub")
            raise Stopped(reason("must not meet", {"rule": row["rule"], "row": row.id}))
        _SUMS.get(task.kind, bath)(task)
        if task.kind.with_fish:
            drain(task)
    except Stopped as stopped:
        return draft.proposal(stopped)
    except ImpossibleInput as wrong:
        told = reason("cannot be", {"argument": wrong.argument})
        return draft.proposal(Stopped(told))
    return draft.proposal()


_SUMS = {
    Sum.SALT: salted,
    Sum.IODINE: solution,
    Sum.THINGS: solution,
    Sum.DECHLORINATE: dechlorinated,
    Sum.ANAESTHETIC: bath,
    Sum.BATH: bath,
    Sum.UNLISTED: bath,
}


def surroundings(context: Context, water: DoseWater) -> Around:
    """What the case says beside the water of a dose."""
    ground = context.ground
    case, clock = ground.case, ground.clock
    patients = [one for number, one in enumerate(case.patients, 1) if f"patient-{number}" in water.fish]
    said = [answer(one.eaten) for one in patients] or [None if not case.patients else answer(case.patients[0].eaten)]
    mains = context.stay.waters.get(MAINS)
    chlorine = _read(mains.as_found.known.get(Q.CHLORINE)) if mains is not None else None
    return Around(
        inputs=ground.inputs,
        day=clock.zero if case.intended.operation_at is not None else ground.as_of,
        now=ground.as_of,
        eaten=True if True in said else None if None in said else False,
        wound_said=all(one.wound for one in patients),
        disinfectant=str(case.mains_water.disinfectant or ""),
        chlorine=None if chlorine is None else chlorine.draws,
        iodine_percent=case.intended.iodine_stock,
        co2_in_air_ppm=room_co2_ppm(ground.inputs),
        aired_share=ground.inputs.value(tables.row("hospital_demands", demand="start of saturation")),
        clock_at=clock.at,
        hypothetical=ground.hypothetical,
    )


def _read(known: Known | None) -> Known | None:
    return known if known is not None and known.is_known else None


def _hour(water: DoseWater) -> float | None:
    if water.at_h is not None:
        return water.at_h
    return water.place.stretches[0].start_h if water.place is not None and water.place.stretches else None


def _draft(context: Context, dose: Dose, number: int, water: DoseWater) -> Draft:
    same = [
        one
        for one in context.ground.case.doses[: number - 1]
        if thing_of(one.substance) == thing_of(dose.substance)
        and one.volume is None
        and dose.volume is None
        and one.into == dose.into
    ]
    more = f"/{len(same) + 1}" if same else ""
    return Draft(
        id=f"{water.moment}/{Kind.DOSE}/{water.id}/{dose.substance}{more}",
        kind=Kind.DOSE,
        moment=water.moment,
        water=water.id if water.place is not None else None,
        who=Who.NURSE,
        path=f"{water.id}/{dose.substance}{more}",
        figures=context.figures,
        substance=dose.substance,
    )


def _before(task: Task) -> Iterable[str]:
    """What must be done in the water before a dose goes in: whatever was accepted for it and is done before its fish."""
    if task.water.place is None:
        return ()
    return tuple(one for one in task.water.state.after if "/fill/" not in one and not one.startswith("case/"))


def _anaesthetic_words(task: Task) -> dict[str, str]:
    """The stage that a bath aims at, the one it does not pass, its sheet, and the rows of times in trials."""
    if task.kind is not Sum.ANAESTHETIC:
        return {}
    aim = tables.row("anaesthesia_aims", use=task.dose.use)
    groups = dict.fromkeys(kind.salt_group for kind in task.water.species)
    times = [
        row.id for group in groups for row in tables.rows("anaesthetic_times", agent=task.row["agent"], fish=group)
    ]
    words = {"aim": aim["stage"], "not past": aim["not_past"], "sheet": aim["sheet"]}
    return words | ({"times": "|".join(times)} if times else {})
