"""A dose into water with a fish in it: for the low end of the volume, beside what is told of, and never chosen."""

import math
from dataclasses import dataclass

from waterplan import tables
from waterplan.dose import anaesthesia, changes, disinfectants, iodine, substances
from waterplan.dose.banded import Purpose, banded_dose
from waterplan.dose.rounding import Safe
from waterplan.dose.substances import Kind
from waterplan.errors import Refused
from waterplan.findings import Caution, Verdict, amount
from waterplan.first_plan.answers import Answer, Limit, Side
from waterplan.first_plan.bottle_age import check_age
from waterplan.first_plan.desk import Desk
from waterplan.first_plan.dose_cards import CardDraft, Told, as_read
from waterplan.first_plan.dose_waters import DoseWater, level_draws, level_words, present_level, reader_units
from waterplan.first_plan.far_off import require_twice
from waterplan.first_plan.first_case.model import Dose
from waterplan.first_plan.portions import active_in, portion
from waterplan.published import FloatArray, Status
from waterplan.spread import band


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One dose on its way to a finding: the case's words, its water, and the card that is being filled.

    `advised_l` is what the plan advises to change each day in that water, where it does.
    """

    dose: Dose
    number: int
    place: DoseWater
    draft: CardDraft
    advised_l: float | None = None

    @property
    def row(self) -> tables.Row:
        """What the tables call the substance."""
        return substances.substance(self.dose.substance)

    @property
    def kind(self) -> Kind:
        """Which arithmetic it asks for."""
        return substances.kind_of(self.dose.substance, use=self.dose.use)

    @property
    def unit(self) -> str:
        """The unit of its level."""
        return self.row.unit


def told_of(desk: Desk, task: Task) -> tables.Row | None:
    """The row that tells of a level for this substance and use in this species; None where the tables have none."""
    agent, group = task.row["agent"], desk.species.salt_group
    if task.kind is Kind.ANAESTHETIC:
        return anaesthesia.anaesthetic_range(agent, anaesthesia.Depth(task.dose.use), group=group)
    if task.kind is Kind.BATH:
        return disinfectants.bath_limit(agent, use=task.dose.use, group=group)
    if task.kind is Kind.IODINE:
        return iodine.iodine_use(substances.table_name(task.dose.use))
    if task.kind is Kind.THINGS:
        return disinfectants.disinfectant(agent, use=substances.table_name(task.dose.use))
    return None


def told_words(row: tables.Row, unit: str) -> str:
    """A range of the tables in words, with how well it is founded."""
    low, high = row.low, row.high
    if math.isnan(low) or low == high:
        levels = f"{'up to ' if math.isnan(low) else ''}{level_words(high, unit)}"
    else:
        levels = f"{low:g} to {level_words(high, unit)}"
    return f"{levels} ({row.status})"


def keep_told(task: Task, row: tables.Row, ceiling: float | None) -> None:
    """Puts the range that is told of, and the ceiling, on the card."""
    low = 0.0 if math.isnan(row.low) else row.low
    task.draft.told = Told(low=low, high=row.high, words=told_words(row, task.unit), status=Status(row.status))
    task.draft.ceiling = ceiling


def open_question(task: Task, row: tables.Row | None) -> Answer:
    """The level is the veterinarian's: what the tables tell of is shown and nothing is chosen."""
    told = "No level for it is in the tables."
    if row is not None:
        told = f"Told of for this use: {told_words(row, task.unit)}{': ' + row.reason if row.reason else ''}."
    return Answer(
        text=f"Give doses[{task.number}] strength: the veterinarian chooses it. {told}", verdict=Verdict.QUESTION
    )


def bath(desk: Desk, task: Task) -> Answer:
    """A dose into water with a fish in it: for the low end of the volume, rounded down."""
    dose, place, draft, unit = task.dose, task.place, task.draft, task.unit
    row = told_of(desk, task)
    if dose.strength is None:
        if row is not None:
            keep_told(task, row, None)
        return open_question(task, row) if dose.went_in is None else level_made(desk, task, row)
    wanted = dose.strength.measured.best
    if wanted <= 0.0:
        raise Refused("nothing is to be given: the level is 0")
    draft.wanted = wanted
    ceiling = _ceiling(desk, task, row, wanted)
    if row is None:
        why = f"the tables hold no level of {dose.substance} to set beside it, and nothing stands against a slip of ten"
        require_twice(dose.strength, dose.again, key=f"doses[{task.number}] again", why=why)
    else:
        keep_told(task, row, ceiling)
    old = check_age(desk, dose, task.number)
    present = present_level(desk, dose, place)
    try:
        worked = banded_dose(
            place.volume,
            wanted_mg_per_l=wanted,
            purpose=Purpose.HARMS_IN_EXCESS,
            present_mg_per_l=present,
            ceiling_mg_per_l=ceiling,
            unit=unit.replace("uL", "µL"),
        )
    except Refused as refusal:
        assert row is not None  # without a row there is no ceiling to refuse by
        raise Refused(f"{refusal} ({row.cited})") from None
    if worked.amount_g == 0.0:
        held = f"The {place.name} holds {level_words(present, unit)} already: nothing is to be added."
        return Answer(text=held, unit=unit.replace("uL", "µL"), values=present)
    made = portion(dose, task.number, draft, active=worked.amount_g, wanted=wanted, safe=Safe.DOWN, into=place.name)
    values = level_draws(place, given=made.given, present=present)
    draft.level = band(values)
    _order(task, present)
    return Answer(
        text=f"{capital(made.words)} into the {place.name} for {level_words(wanted, unit)}, worked out for "
        f"{amount(worked.volume_used_l, unit='L')}, the low end of its volume. By the error of the volume it makes "
        f"{band_words(values, unit)}.{told_sentence(row, unit)}",
        unit=unit.replace("uL", "µL"),
        values=values,
        limit=_limit(task, row),
        verdict=_outside(row, wanted),
        method="litres at the low end x (level - what is in it) / strength, rounded down",
        cautions=(*_outside_words(row, wanted, unit), *old, *_known(task, row)),
    )


def level_made(desk: Desk, task: Task, row: tables.Row | None) -> Answer:
    """Backwards: the level that what has gone in makes, over the error of the volume, beside what is told of."""
    dose, place, unit = task.dose, task.place, task.unit
    assert dose.went_in is not None
    active = active_in(dose, task.number)
    present = present_level(desk, dose, place)
    values = level_draws(place, given=active, present=present)
    task.draft.level = band(values)
    task.draft.wanted = task.draft.level.best
    highest = math.inf if row is None else row.high
    return Answer(
        text=f"{dose.went_in.text} in the {place.name}, {place.words}, makes {band_words(values, unit)}."
        f"{told_sentence(row, unit)}",
        unit=unit.replace("uL", "µL"),
        values=values,
        limit=_limit(task, row),
        verdict=Verdict.WATCH if row is not None and band(values).best <= highest < band(values).high else None,
        method="active substance over litres",
        cautions=_known(task, row),
    )


def _ceiling(desk: Desk, task: Task, row: tables.Row | None, wanted: float) -> float | None:
    if row is None:
        return None
    if task.kind is not Kind.ANAESTHETIC:
        return row.high
    depth, group = anaesthesia.Depth(task.dose.use), desk.species.salt_group
    # Only for its refusal of what is far above the range; the amount comes from both ends of the volume.
    checked = anaesthesia.anaesthetic_bath(
        task.place.volume.low_l, agent=task.row["agent"], depth=depth, group=group, wanted_mg_per_l=wanted
    )
    most = tables.row("dose_rules", rule="anaesthetic_most").value
    return row.high if checked.within_range or wanted <= row.high else row.high * most


def _limit(task: Task, row: tables.Row | None) -> Limit | None:
    if row is None:
        return None
    worst = (
        row.high * tables.row("dose_rules", rule="anaesthetic_most").value if task.kind is Kind.ANAESTHETIC else None
    )
    return Limit(value=row.high, side=Side.AT_MOST, words=f"told of: {told_words(row, task.unit)}", worst=worst)


def _outside(row: tables.Row | None, wanted: float) -> Verdict | None:
    return Verdict.WATCH if row is None or not _low(row) <= wanted <= row.high else None


def _outside_words(row: tables.Row | None, wanted: float, unit: str) -> tuple[Caution, ...]:
    if row is None:
        return (Caution(text="The tables hold no level for this: it goes by what was written twice.", serious=True),)
    if _outside(row, wanted) is None:
        return ()
    side = "above" if wanted > row.high else "below"
    text = f"{level_words(wanted, unit)} is {side} what is told of, {told_words(row, unit)}: look again before it is weighed."
    return (Caution(text=text, serious=True),)


def _low(row: tables.Row) -> float:
    return 0.0 if math.isnan(row.low) else row.low


def told_sentence(row: tables.Row | None, unit: str) -> str:
    """What is told of, as a sentence to follow another; nothing where the tables have no level."""
    return "" if row is None else f" Told of: {told_words(row, unit)}."


def _known(task: Task, row: tables.Row | None) -> tuple[Caution, ...]:
    """What the tables say of the substance: its basis, its dangers and the law."""
    said = [row.reason] if row is not None else []
    if task.kind is Kind.ANAESTHETIC:
        agent = anaesthesia.anaesthetic_agent(task.row["agent"])
        said = [f"the level counts {agent['basis']}. {capital(agent['cautions'])}", agent["prepare"], agent["law"]]
    return tuple(Caution(text=reader_units(f"{capital(text)}.")) for text in said if text)


def _order(task: Task, present: float) -> None:
    """What is done after the weighing."""
    place, order, row = task.place.name, task.draft.order, task.row
    order.append(f"Mix it in a jug of water of the {place}.")
    wanted = task.draft.wanted or 0.0
    if not math.isnan(row.value) and wanted - present > row.value:
        parts = changes.stages(present, wanted_mg_per_l=wanted, step_mg_per_l=row.value)
        levels = ", ".join(level_words(part.level_mg_per_l, task.unit) for part in parts)
        each = "; ".join(f"{as_read(one.amount / len(parts), one.digits)} {one.unit}" for one in task.draft.portions)
        order.append(
            f"In {len(parts)} equal parts ({each} each), the next only when the one before is used up: {levels} in all."
        )
    order.append("Air on. Pour it in slowly along the edge and stir until it is even.")


def band_words(values: FloatArray, unit: str) -> str:
    """A level over the error of the volume, in words."""
    low, best, high = (float(f"{end:.3g}") for end in band(values))
    if low == high:
        return level_words(best, unit)
    return f"{low:,.10g} to {level_words(high, unit)}, {best:,.10g} at best"


def capital(text: str) -> str:
    """A text as the beginning of a sentence."""
    return f"{text[:1].upper()}{text[1:]}"
