"""The salt of a tank day by day: what each change brings and takes, as a ledger that balances to the gram."""

import math

from waterplan import tables
from waterplan.dose import salt
from waterplan.dose.rounding import Safe, round_safely
from waterplan.dose.salt_ledger import Entry, LedgerLine, Move, salt_ledger
from waterplan.findings import Caution, Verdict, amount
from waterplan.first_plan.answers import Answer, Limit, Side
from waterplan.first_plan.bathing import Task
from waterplan.first_plan.desk import Desk
from waterplan.first_plan.dose_cards import LedgerRow
from waterplan.first_plan.dose_waters import kitchen_scale_g, of_water
from waterplan.first_plan.salting import unsalting_from
from waterplan.published import remark

_USUAL_DAYS, _MOST_DAYS = 7, 14
_MINUTES = 1440.0
_DAY_H = 24.0
# Litres a day that differ by more than this share are not the same.
_APART = 0.05


def salt_course(desk: Desk, task: Task) -> Answer:
    """The ledger of a salted tank over its days, by the best figures, with the salt that each change takes."""
    place, draft = task.place, task.draft
    changed_l = _changed_l(task)
    days = _days(desk)
    source = _new_water_g_per_l(desk, task)
    present = of_water(desk, place, "salinity")
    begins = 0.0 if present is None else float(present[0])
    kept = _moves(task, begins=begins, days=days, changed_l=changed_l, source=source, put_back=True)
    bare = _moves(task, begins=begins, days=days, changed_l=changed_l, source=source, put_back=False)
    volume = float(place.litres[0])
    lines = salt_ledger(volume, present_g_per_l=begins, entries=[entry for _, entry in kept])
    without = salt_ledger(volume, present_g_per_l=begins, entries=[entry for _, entry in bare])
    # Evaporation and its topping up are counted and not listed: the day's line is that of its change.
    listed = {Move.SALT, Move.CHANGE}
    draft.ledger[:] = [
        _row(when, line) for (when, _), line in zip(kept, lines, strict=True) if line.entry.move in listed
    ]
    changes = [line.entry for line in lines if line.entry.move is Move.CHANGE]
    weighed = sum(part.grams for part in draft.salt_parts)
    with_changes = sum(entry.salt_g for entry in changes)
    own = sum(line.in_g - line.entry.salt_g for line in lines)
    out = sum(line.out_g for line in lines)
    last = lines[-1]
    highest = max(line.level_g_per_l for line in lines)
    brought = f", {_g(own)} that the new water held itself" if own >= 1.0 else ""
    ceiling = salt.salt_ceiling(desk.species.salt_group, salt.Exposure.PROLONGED).high
    other = task.advised_l is not None and abs(changed_l - task.advised_l) > _APART * task.advised_l
    told = (
        Caution(
            text=f"The plan changes {amount(task.advised_l or 0.0, unit='L')} each day against ammonia and not "
            f"{amount(changed_l, unit='L')}: settle on one, as each change takes its salt.",
            serious=True,
        ),
    )
    return Answer(
        text=f"{amount(changed_l, unit='L')} changed each day take {_g(changes[-1].salt_g)} of salt in the new water. "
        f"By day {days}: {_g(volume * begins)} were there, {_g(weighed)} were weighed in, {_g(with_changes)} came with the "
        f"changes{brought}, {_g(out)} went out: {_g(last.held_g)} are left, {amount(last.level_g_per_l, unit='g/L')}. Without "
        f"salt in the new water it would have come down to {amount(without[-1].level_g_per_l, unit='g/L')}.",
        unit="g/L",
        values=last.level_g_per_l,
        limit=Limit(value=ceiling, side=Side.AT_MOST, words=f"ceiling for days {amount(ceiling, unit='g/L')}"),
        verdict=Verdict.ACT if highest > ceiling * (1.0 + 1e-9) else None,
        method="ledger: what was there and came in, less what went out, by the best figures",
        cautions=(
            *(told if other else ()),
            Caution(text="Read the salt before and after each change: the ledger is a sum, the meter is the water."),
        ),
    )


def unsalted(desk: Desk, task: Task) -> Answer:
    """Changes of water until the salt of a dose has come down again."""
    assert task.draft.wanted is not None  # a dose that was worked out has one
    return unsalting_from(task.draft.wanted, _new_water_g_per_l(desk, task))


def salt_told_words(desk: Desk, exposure: str) -> str:
    """What salt is used for at a time of exposure, and what trials found in such fish: shown, and none chosen."""
    group = desk.species.salt_group
    most = salt.salt_ceiling(group, exposure).high
    uses, trials = salt.salt_told(group, exposure)
    uses = tuple(row for row in uses if row.high <= most)
    told = "; ".join(
        f"{_span(row)} as {row['use'].replace('_', ' ')}, {row['duration_words']} ({row.cited})" for row in uses
    )
    found = "; ".join(
        f"{_span(row)}, {row['exposure']}: {row['effect']}{f', {row.reason}' if row.reason else ''} ({row.cited})"
        for row in trials
    )
    told = told or "nothing that this fish's ceiling leaves room for"
    return f"Told of: {told}.{f' Trials: {found}.' if found else ''}"


def _span(row: tables.Row) -> str:
    ends = (row.value,) if math.isnan(row.low) or row.low == row.high else (row.low, row.high)
    return amount(*ends, unit="g/L")


def _changed_l(task: Task) -> float:
    """Litres changed each day: as the case says, as the plan advises for this patient, or a quarter of the water."""
    if task.dose.changed is not None:
        return task.dose.changed.measured.best
    if task.advised_l is not None:
        remark("The litres changed each day are those that the plan advises against ammonia.")
        return task.advised_l
    share = tables.row("defaults", what="unsalting change").value
    remark("The litres changed each day were not given: a quarter of the water is taken.")
    return share * float(task.place.litres[0])


def _days(desk: Desk) -> int:
    stay = desk.case.intended.days
    days = _USUAL_DAYS if stay is None else math.floor(stay.measured.best / _MINUTES)
    return min(max(days, 1), _MOST_DAYS)


def _new_water_g_per_l(desk: Desk, task: Task) -> float:
    """Salt of the water that a change brings: none where it was not measured."""
    water = task.place.vessel.filled_with if task.place.vessel is not None else task.place.water
    known = desk.latest(water, "salinity")
    if known is None:
        remark(f"The salt of the new water ({water}) was not measured: none is counted.")
        return 0.0
    return known.measured.best


def _moves(
    task: Task, *, begins: float, days: int, changed_l: float, source: float, put_back: bool
) -> list[tuple[str, Entry]]:
    """The moves of the stay in their order: the salt in its parts; each day evaporation, topping up and a change."""
    parts = task.draft.salt_parts
    dry_l = tables.row("defaults", what="evaporation of a day").value * float(task.place.litres[0])
    moves: list[tuple[str, Entry]] = []
    for day in range(days + 1):
        for part in (one for one in parts if day <= one.at_h / _DAY_H < day + 1):
            when = f"hour {part.at_h:g}" if part.at_h else "first"
            moves.append((when, Entry(move=Move.SALT, salt_g=part.grams)))
        if day == 0:
            continue
        level = max([begins, *(part.level_g_per_l for part in parts if part.at_h <= day * _DAY_H)])
        grams = changed_l * max(level - source, 0.0) if put_back else 0.0
        weighed = round_safely(grams, division=kitchen_scale_g(), safe=Safe.DOWN).amount
        moves += [
            (f"day {day}", Entry(move=Move.EVAPORATED, litres=dry_l)),
            (f"day {day}", Entry(move=Move.TOPPED_UP, litres=dry_l, source_g_per_l=source)),
            (f"day {day}", Entry(move=Move.CHANGE, litres=changed_l, salt_g=weighed, source_g_per_l=source)),
        ]
    return moves


def _row(when: str, line: LedgerLine) -> LedgerRow:
    done = f"{_g(line.entry.salt_g)} of salt"
    if line.entry.move is Move.CHANGE:
        done = f"{amount(line.entry.litres, unit='L')} changed, {_g(line.entry.salt_g)} in"
    return LedgerRow(when=when, done=done, held=_g(line.held_g), level=amount(line.level_g_per_l, unit="g/L"))


def _g(grams: float) -> str:
    """Salt to the gram, as a scale shows it: a ledger that is rounded further does not add up for its reader."""
    return f"{grams:,.0f} g"
