"""Salt: to a level held for days, as a bath or as a dip, in one budget with the salt that is there."""

from waterplan import tables
from waterplan.actions.doses.coming_out import ends_after
from waterplan.actions.doses.draft import Reason, Stopped, all_in, forbidden, reason
from waterplan.actions.doses.portions import split, summed, too_little
from waterplan.actions.doses.sums import Needed, highest, level, needed, require_room
from waterplan.actions.doses.task import Task, filter_harmed, level_wanted
from waterplan.actions.doses.water import clashes_of
from waterplan.actions.record import Kind
from waterplan.dose import changes, disinfectants, salt
from waterplan.dose.rounding import Safe, round_safely
from waterplan.dose.salt import Exposure
from waterplan.spread import band
from waterplan.stay.effects import SaltIn
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd

_UNIT, _MG_PER_G = "g/L", 1000.0


def salted(task: Task) -> None:
    """Works out the salt of a dose, or stops it."""
    exposure, water, draft = Exposure(task.dose.use), task.water, task.draft
    row = _ceiling_row(task, exposure)
    wanted = level_wanted(task.dose.strength, "salt", _ceiling_of(task, row, exposure))
    _grade(task)
    _require_level(task, wanted, row, exposure)
    if exposure is not Exposure.PROLONGED and "weak_fish" in water.things:
        raise forbidden("salt dip for a weak fish")
    task.tell_clashes(clashes_of(water, {"salt": wanted})[0])
    there, litres, guessed = water.there("salt"), water.litres, water.guessed
    require_room(litres, wanted=wanted, there=there, ceiling=row.high, guessed=guessed, unit=_UNIT, row=row.id)
    need = needed(litres, wanted=wanted, there=there, safe=Safe.DOWN, per_unit=1.0, went_in=task.went_in)
    known = water.state.known[Q.SALT].is_known
    if need.amount <= 0.0:
        code = "nothing-to-add" if known else "measure-what-is-there-first"
        told = reason(code, {"quantity": "salt"}, there=(there, _UNIT), wanted=(wanted, _UNIT))
        raise Stopped(told, instead=() if known else [(Kind.MEASURE, reason("read-salt"))])
    if not known:
        draft.caution(reason("measure-before-the-dose", {"quantity": "salt"}, there=(there, _UNIT)))
    parts = _parts(task, need, exposure)
    assert highest(litres, there=there, given=summed(parts), per_unit=1.0) <= row.high * (1.0 + 1e-6)
    _amounts(task, need, parts, wanted, row)
    draft.caution(_ceiling_of(task, row, exposure))
    if exposure is Exposure.PROLONGED:
        _down_again(task, wanted)
    else:
        time = tables.row("salt_times", exposure=exposure)
        ends_after(task, time.value, time)
        code = "attended-a-netful-at-a-time" if task.around.several else "attended-one-fish-at-a-time"
        draft.caution(reason(code, {"table": time.id}))


def _ceiling_row(task: Task, exposure: Exposure) -> tables.Row:
    """The ceiling of whichever fish in the water bears least; of a fish that nobody knows, the lowest there is."""
    groups = tuple(dict.fromkeys(kind.salt_group for kind in task.water.species)) or ("other",)
    return min((salt.salt_ceiling(group, exposure) for group in groups), key=lambda row: row.high)


def _ceiling_of(task: Task, row: tables.Row, exposure: Exposure) -> Reason:
    """The ceiling of the fish in a water, as a reason."""
    numbers = all_in(_UNIT, usual=row.low, ceiling=row.value, highest=row.high)
    words = _limit_for(task, row) | {"exposure": exposure.value, "status": row.status}
    return reason("salt-ceiling", words, **numbers)


def _limit_for(task: Task, row: tables.Row) -> dict[str, str]:
    """The words of a ceiling: its row, the fish whose it is, and whether a species that is stated might bear more."""
    names = [kind.name for kind in task.water.species if kind.salt_group == row["group"]] or ["unknown"]
    unstated = {"unstated": "yes"} if "unknown" in names else {}
    return {"table": row.id, "fish": ", ".join(dict.fromkeys(names)), **unstated}


def _grade(task: Task) -> None:
    """Stops a grade that harms; says which to use where none was named."""
    grade = task.dose.grade
    if not grade:
        task.draft.caution(reason("which-salt-to-use"))
        return
    row = tables.row("salt_grades", grade=grade)
    words = {"grade": grade, "table": row.id}
    if row["use"] == "no":
        raise Stopped(reason("not-this-salt", words))
    if row["use"] != "yes":
        task.draft.caution(reason(f"salt-grade-{row['use'].replace(' ', '-')}", words))


def _require_level(task: Task, wanted: float, row: tables.Row, exposure: Exposure) -> None:
    """Stops a level above the highest; one above the ceiling until the veterinarian has written it twice."""
    if wanted > row.high:
        numbers = all_in(_UNIT, wanted=wanted, ceiling=row.high)
        raise Stopped(reason("above-the-highest-level", _limit_for(task, row), **numbers))
    if wanted <= row.value:
        return
    again = task.dose.again
    if again is None or again.measured.best != wanted:
        raise Stopped(_ceiling_of(task, row, exposure), reason("write-it-a-second-time", first=(wanted, _UNIT)))
    task.draft.caution(reason("above-the-usual-ceiling", {"table": row.id}, wanted=(wanted, _UNIT)))


def _parts(task: Task, need: Needed, exposure: Exposure) -> tuple[float, ...]:
    """The salt as it is weighed; for days in parts that raise the level by no more than the rule's step."""
    division = task.bench.scale_g or tables.row("defaults", what="scale division").value
    rounded = round_safely(need.amount, division=division, safe=Safe.DOWN)
    finer = too_little(need.amount, "g", rounded.division)
    if rounded.amount <= 0.0:
        raise Stopped(finer)
    if rounded.below_resolution:
        task.draft.caution(finer)
    step = tables.row("dose_rules", rule="salt_step").value * need.litres
    return split(rounded.amount, division=rounded.division, most=step if exposure is Exposure.PROLONGED else None)


def _amounts(task: Task, need: Needed, parts: tuple[float, ...], wanted: float, row: tables.Row) -> None:
    draft, water, there = task.draft, task.water, task.water.there("salt")
    total = summed(parts)
    draft.amount("mass", need.draws, "g", act_on=total, rows=(row.id,), worked_out_for=f"{need.litres:.4g} L")
    made = level(water.litres, there=there, given=total, per_unit=1.0)
    draft.amount("level", made, _UNIT, act_end=ActEnd.HIGH)
    draft.amount("wanted", wanted, _UNIT, act_on=wanted)
    draft.amount("volume", water.litres, "L", act_end=ActEnd.LOW)
    draft.amount("there", there, _UNIT, act_end=ActEnd.HIGH)
    draft.parts, draft.part_amounts["mass"] = len(parts), parts
    draft.worked_out_for |= {"volume": "low", "there": "high"}
    draft.words["label"] = task.dose.grade or "salt"
    damage = disinfectants.filter_damage("salt", level=band(made).high) if water.lasting else None
    if damage is not None:
        draft.cost(filter_harmed(damage, made, _UNIT))
    every_h = tables.row("dose_rules", rule="salt_step_every").value
    draft.every_h = every_h if len(parts) > 1 else None
    if water.place is not None:
        later = ((water.hour or 0.0) + every_h * number for number in range(1, len(parts)))
        steps = tuple(zip((water.at_h, *later), parts, strict=True))
        draft.effects.append(SaltIn(action=draft.id, water=water.id, at_h=water.at_h, parts=steps))


def _down_again(task: Task, wanted: float) -> None:
    """How many changes of water bring the salt down again."""
    end, share = (tables.row("defaults", what=what) for what in ("unsalted", "unsalting change"))
    if wanted <= end.value:
        return
    count = changes.changes_to_reach(
        wanted * _MG_PER_G, end_mg_per_l=end.value * _MG_PER_G, changed_fraction=share.value
    )
    task.draft.amount("changes to come down", float(count), "pieces", act_on=float(count), rows=(end.id, share.id))
    task.draft.caution(reason("top-up-with-fresh-water-only"))
