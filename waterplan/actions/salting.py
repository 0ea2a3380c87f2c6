"""Salt: to a level held for days, as a bath or as a dip, in one budget with the salt that is there."""

import numpy as np

from waterplan import tables
from waterplan.actions.clashes import clashes_of, told
from waterplan.actions.dose_sums import highest, level, needed, require_room
from waterplan.actions.dose_task import Task
from waterplan.actions.draft import Reason, Stopped, reason
from waterplan.actions.portions import split, summed
from waterplan.dose import changes, disinfectants, salt
from waterplan.dose.banded import Purpose
from waterplan.dose.rounding import Safe, round_safely
from waterplan.dose.salt import Exposure
from waterplan.errors import Refused
from waterplan.spread import band
from waterplan.stay.effects import SaltIn
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd

_UNIT, _MG_PER_G = "g/L", 1000.0


def salted(task: Task) -> None:
    """Works out the salt of a dose, or stops it."""
    exposure = Exposure(task.dose.use)
    row = ceiling_row(task, exposure)
    if task.dose.strength is None:
        raise Stopped(reason("enter the dose", {"substance": "salt"}), ceiling_of(row, exposure))
    wanted = task.dose.strength.measured.best
    if wanted <= 0.0:
        raise Stopped(reason("nothing is to be given"))
    _grade(task)
    _require_level(task, wanted, row, exposure)
    _require_fit(task, wanted, exposure)
    there, litres = task.water.there("salt"), task.water.litres
    guessed = task.water.guessed
    require_room(litres, wanted=wanted, there=there, ceiling=row.high, guessed=guessed, unit=_UNIT, row=row.id)
    need = needed(litres, wanted=wanted, there=there, purpose=Purpose.HARMS_IN_EXCESS, per_unit=1.0)
    known = task.water.state.known[Q.SALT].is_known
    if need.amount <= 0.0:
        code = "nothing to add" if known else "measure what is there first"
        raise Stopped(reason(code, {"quantity": "salt"}, there=(there, _UNIT), wanted=(wanted, _UNIT)))
    if not known:
        task.draft.caution(reason("measure before the dose", {"quantity": "salt"}, there=(there, _UNIT)))
    division = task.bench.scale_g or tables.row("defaults", what="scale division").value
    rounded = round_safely(need.amount, division=division, safe=Safe.DOWN)
    finer = reason("use a stock solution or a finer scale", wanted=(need.amount, "g"), division=(division, "g"))
    if rounded.amount <= 0.0:
        raise Stopped(finer)
    if rounded.below_resolution:
        task.draft.caution(finer)
    prolonged = exposure is Exposure.PROLONGED
    most = tables.row("dose_rules", rule="salt_step").value * need.litres if prolonged else None
    parts = split(rounded.amount, division=division, most=most)
    given = summed(parts)
    assert highest(litres, there=there, given=given, per_unit=1.0) <= row.high * (1.0 + 1e-6)
    _amounts(task, need.draws, need.litres, parts, wanted, row)
    _effects(task, parts, exposure)
    task.draft.caution(ceiling_of(row, exposure))
    if not prolonged:
        time = salt.salt_time(exposure)
        task.draft.amount("time", time.value, "min", act_on=time.value, rows=(time.id,))
        task.draft.caution(reason("attended, one fish at a time", {"row": time.id}))
    else:
        _down_again(task, wanted)


def ceiling_row(task: Task, exposure: Exposure) -> tables.Row:
    """The ceiling of whichever fish in the water bears least; of a fish that nobody knows, the lowest there is."""
    groups = tuple(dict.fromkeys(kind.salt_group for kind in task.water.species)) or ("other",)
    return min((salt.salt_ceiling(group, exposure) for group in groups), key=lambda row: row.high)


def ceiling_of(row: tables.Row, exposure: Exposure) -> Reason:
    """The ceiling of the fish in a water, as a reason."""
    numbers = {"usual": (row.low, _UNIT), "ceiling": (row.value, _UNIT), "highest": (row.high, _UNIT)}
    return reason("salt ceiling", {"row": row.id, "exposure": exposure.value, "status": row.status}, **numbers)


def _grade(task: Task) -> None:
    """Stops a grade that harms; says which to use where none was named."""
    if not task.dose.grade:
        task.draft.caution(reason("which salt to use"))
        return
    try:
        row = salt.salt_grade(task.dose.grade)
    except Refused:
        row = tables.row("salt_grades", grade=task.dose.grade)
        raise Stopped(reason("not this salt", {"grade": task.dose.grade, "row": row.id})) from None
    if row["use"] != "yes":
        task.draft.caution(reason(f"salt: {row['use']}", {"grade": task.dose.grade, "row": row.id}))


def _require_level(task: Task, wanted: float, row: tables.Row, exposure: Exposure) -> None:
    """Stops a level above the highest; one above the ceiling until the veterinarian has written it twice."""
    if wanted > row.high:
        numbers = {"wanted": (wanted, _UNIT), "ceiling": (row.high, _UNIT)}
        raise Stopped(reason("above the highest level", {"row": row.id}, **numbers))
    again = task.dose.again
    if wanted > row.value and (again is None or again.measured.best != wanted):
        raise Stopped(ceiling_of(row, exposure), reason("write it a second time", first=(wanted, _UNIT)))
    if wanted > row.value:
        task.draft.caution(reason("above the usual ceiling", {"row": row.id}, wanted=(wanted, _UNIT)))


def _require_fit(task: Task, wanted: float, exposure: Exposure) -> None:
    if exposure is not Exposure.PROLONGED and "weak_fish" in task.water.things:
        row = tables.row("conflicts", rule="salt dip for a weak fish")
        raise Stopped(reason("must not meet", {"rule": row["rule"], "row": row.id}))
    found, _ = clashes_of(task.water, {"salt": wanted})
    stopping = [one for one in found if one.stops_a_dose]
    if stopping:
        raise Stopped(*(told(one) for one in stopping))
    task.draft.caution(*(told(one) for one in found))


def _amounts(
    task: Task, need: np.ndarray, litres: float, parts: tuple[float, ...], wanted: float, row: tables.Row
) -> None:
    draft, there = task.draft, task.water.there("salt")
    total = summed(parts)
    draft.amount("substance", need, "g", act_on=total, rows=(row.id,), worked_out_for=f"{litres:.4g} L")
    made = level(task.water.litres, there=there, given=total, per_unit=1.0)
    draft.amount("level", made, _UNIT, act_end=ActEnd.HIGH)
    draft.amount("wanted", wanted, _UNIT, act_on=wanted)
    draft.amount("volume", task.water.litres, "L", act_end=ActEnd.LOW)
    draft.amount("there", there, _UNIT, act_end=ActEnd.HIGH)
    draft.parts, draft.part_amounts["substance"] = len(parts), parts
    draft.worked_out_for |= {"volume": "low", "there": "high"}
    draft.words["label"] = task.dose.grade or "salt"
    damage = disinfectants.filter_damage("salt", level=band(made).high) if task.water.lasting else None
    if damage is not None:
        words = {"effect": damage.effect, "row": damage.row.id}
        draft.cost(reason("filter harmed", words, days=(float(damage.days), "d"), level=(made, _UNIT)))


def _effects(task: Task, parts: tuple[float, ...], exposure: Exposure) -> None:
    water, draft = task.water, task.draft
    every_h = tables.row("dose_rules", rule="salt_step_every").value
    draft.every_h = every_h if len(parts) > 1 else None
    if water.place is None:
        return
    start = water.at_h if water.at_h is not None else water.place.stretches[0].start_h if water.place.stretches else 0.0
    hours: list[float | None] = [water.at_h, *(start + every_h * number for number in range(1, len(parts)))]
    draft.effects.append(
        SaltIn(action=draft.id, water=water.id, at_h=water.at_h, parts=tuple(zip(hours, parts, strict=True)))
    )


def _down_again(task: Task, wanted: float) -> None:
    """How many changes of water bring the salt down again."""
    end, share = (tables.row("defaults", what=what) for what in ("unsalted", "unsalting change"))
    if wanted <= end.value:
        return
    count = changes.changes_to_reach(
        wanted * _MG_PER_G, end_mg_per_l=end.value * _MG_PER_G, changed_fraction=share.value
    )
    task.draft.amount("changes to come down", float(count), "pieces", act_on=float(count), rows=(end.id, share.id))
    task.draft.caution(reason("top up with fresh water only"))
