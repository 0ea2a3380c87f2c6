"""What is not for the fish: disinfecting solutions for things, eggs, hands and the wound, with their neutraliser and drain."""

import math
from collections.abc import Iterator

from waterplan import tables
from waterplan.actions.doses.coming_out import taken_back
from waterplan.actions.doses.draft import Reason, Stopped, all_in, reason
from waterplan.actions.doses.portions import age_of
from waterplan.actions.doses.sums import PER_UNIT, needed
from waterplan.actions.doses.task import Task, far_from, level_wanted, printed, twice_over
from waterplan.actions.doses.water import clashes_of
from waterplan.dose.rounding import Safe
from waterplan.dose.substances import Kind as Sum
from waterplan.spread import band
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd

# A mL of pure spirit in a litre is a tenth of a % by volume.
_PERCENT_PER_ML = 0.1


def solution(task: Task) -> None:
    """A solution that disinfects: for the high end of its volume, rounded up, because it fails by too little."""
    dose, draft, water = task.dose, task.draft, task.water
    use, is_iodine = dose.use.replace(" ", "_"), task.kind is Sum.IODINE
    if is_iodine and use == "fish":
        raise Stopped(_no_iodine_bath())
    agent = {} if is_iodine else {"agent": task.row["agent"]}
    row = tables.row("iodine_uses" if is_iodine else "disinfectants", use=use, **agent)
    if math.isnan(row.high):
        raise Stopped(reason("not-offered", {"substance": dose.substance, "use": dose.use, "table": row.id}))
    if task.row["thing"] == "bleach" and "acid" in water.things:
        found, _ = clashes_of(water, {"bleach": None})
        of_acid = [one for one in found if "acid" in {one.row["first"], one.row["second"]}]
        task.tell_clashes([one for one in of_acid if one.stops_a_dose])
    wanted = _strength(task, row)
    draft.caution(*age_of(dose, task.around.day))
    per_unit = _PERCENT_PER_ML if task.unit == "% v/v" else PER_UNIT
    need = needed(water.litres, wanted=wanted, there=0.0, safe=Safe.UP, per_unit=per_unit)
    made = task.measure_out(need, wanted=wanted, rows=(row.id,))
    draft.amount("level", made.given * per_unit / water.litres, task.unit, act_end=ActEnd.LOW)
    draft.amount("wanted", wanted, task.unit, act_on=wanted)
    draft.amount("volume", water.litres, "L", act_end=ActEnd.HIGH)
    draft.words |= {"made up": "yes", "contact": row.id, "does not kill": row.id}
    if row.keys.get("contact_min"):
        minutes = float(row["contact_min"])
        draft.amount("contact", minutes, "min", act_on=minutes, rows=(row.id,))
    draft.caution(printed(row), *(_conditions(task, use) if is_iodine else ()))
    taken_back(task, made.given)
    drain(task)


def _no_iodine_bath() -> Reason:
    """Why a fish is not put into iodine: what killed half the goldfish, beside the strength for eggs."""
    eggs = tables.row("iodine_uses", use="eggs")
    product, *readings = tables.rows("iodine_toxicity", species="goldfish", endpoint="24-hour LC50")
    low, high = sorted(one.value for one in readings)
    numbers = all_in("mg/L", product=product.value, low=low, high=high, eggs=eggs.value)
    return reason("no-fish-into-iodine", {"table": product.id}, **numbers)


def drain(task: Task) -> None:
    """Where the litres go afterwards: the rows of the table, in order."""
    agent = "chlorine" if task.row["oxidant"] == "chlorine" else task.row["agent"]
    rows = tables.rows("disposal", agent=agent)
    if not rows and task.row["drug"] == "yes":
        rows = tables.rows("disposal", agent="any drug")
    if rows:
        task.draft.words["disposal"] = "|".join(row.id for row in rows)


def _strength(task: Task, row: tables.Row) -> float:
    """The level as the case gives it, else the table's: its upper one where the things may not be clean."""
    dose, unit = task.dose, task.unit
    if dose.washed == "no":
        raise Stopped(reason("wash-first", {"substance": dose.substance}))
    if dose.strength is None:
        task.draft.caution(reason("strength-of-the-table", {"table": row.id}))
        return row.high if dose.washed == "in doubt" else row.value
    wanted = level_wanted(dose.strength, dose.substance)
    if far_from(wanted, row.low, row.high):
        numbers = all_in(unit, lowest=row.low, highest=row.high)
        twice_over("far-from-the-printed-range", dose.strength, dose.again, dose.substance, unit, **numbers)
    return wanted


def _conditions(task: Task, use: str) -> Iterator[Reason]:
    """What pH and dirt do to povidone-iodine, and what trials found."""
    wanted = tables.find("iodine_conditions", condition="ph", use=use) or tables.row(
        "iodine_conditions", condition="ph", use="any"
    )
    known = task.water.state.known[Q.PH]
    ends = all_in("", least=wanted.low, most=wanted.high)
    if not known.is_known:
        yield reason("ph-for-iodine-not-measured", {"table": wanted.id}, **ends)
    else:
        ph = band(known.draws)
        outside = ph.high > wanted.high or ph.low < wanted.low
        code = "ph-outside-what-iodine-wants" if outside else "ph-within-what-iodine-wants"
        yield reason(code, {"table": wanted.id}, ph=(known.draws, ""), **ends)
    dirtiest = [row for row in tables.rows("iodine_conditions", use="any") if row["condition"] != "ph"][-1]
    yield reason("dirt-takes-iodine", {"table": dirtiest.id})
    if use in {"wound", "eggs"}:
        for row in tables.rows("antiseptic_evidence", agent="povidone-iodine"):
            if ("eggs" in row["fish"]) == (use == "eggs"):
                yield reason("what-trials-found", {"table": row.id})
