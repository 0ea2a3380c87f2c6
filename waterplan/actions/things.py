"""What is not for the fish: disinfecting solutions for things, eggs, hands and the wound, with their neutraliser and drain."""

import math
from collections.abc import Iterator

import numpy as np

from waterplan import tables
from waterplan.actions.bottle_age import age_of
from waterplan.actions.clashes import clashes_of, told
from waterplan.actions.dose_sums import needed
from waterplan.actions.dose_task import Task, far_above, far_below, place_portion, printed, twice_over, weigh_beside
from waterplan.actions.draft import Reason, Stopped, reason
from waterplan.actions.portions import Portion, portion
from waterplan.dose import disinfectants, iodine, neutralise, substances
from waterplan.dose.banded import Purpose
from waterplan.dose.rounding import Safe
from waterplan.dose.substances import Kind as Sum
from waterplan.published import FloatArray
from waterplan.spread import band
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd

# mL of pure spirit in a litre for each % by volume; mg in a litre for a gram.
_ML_PER_PERCENT, _PER_UNIT = 10.0, 1000.0


def solution(task: Task) -> None:
    """A solution that disinfects: for the high end of its volume, rounded up, because it fails by too little."""
    use = substances.table_name(task.dose.use)
    if task.kind is Sum.IODINE and task.dose.use == "fish":
        raise Stopped(no_iodine_bath())
    row = _row(task, use)
    if math.isnan(row.high):
        raise Stopped(reason("not offered", {"substance": task.dose.substance, "use": task.dose.use, "row": row.id}))
    bench_clash = {"bleach": None} if task.row["thing"] == "bleach" else {}
    found, _ = clashes_of(task.water, bench_clash) if "acid" in task.water.things and bench_clash else ((), ())
    stopping = [one for one in found if one.stops_a_dose and "acid" in {one.row["first"], one.row["second"]}]
    if stopping:
        raise Stopped(*(told(one) for one in stopping))
    wanted = _strength(task, row)
    task.draft.caution(*age_of(task.dose, task.around.day))
    per = 1.0 / _ML_PER_PERCENT if task.unit == "% v/v" else _PER_UNIT
    litres, none = task.water.litres, np.zeros(task.water.litres.size)
    need = needed(litres, wanted=wanted, there=none, purpose=Purpose.ANTIDOTE, per_unit=per)
    made = portion(task.bench, need.amount, wanted=wanted, safe=Safe.UP)
    place_portion(task, made, need=need.draws, end=need.end, litres=need.litres, rows=(row.id,))
    draft = task.draft
    levels: FloatArray = made.given * per / litres
    draft.amount("level", levels, task.unit, act_end=ActEnd.LOW)
    draft.amount("wanted", wanted, task.unit, act_on=wanted)
    draft.amount("volume", litres, "L", act_end=ActEnd.HIGH)
    draft.words |= {"made up": "yes", "contact": row.id, "does not kill": row.id}
    if row.keys.get("contact_min"):
        minutes = float(row["contact_min"])
        draft.amount("contact", minutes, "min", act_on=minutes, rows=(row.id,))
    draft.caution(printed(row), *(_conditions(task, use) if task.kind is Sum.IODINE else ()))
    neutraliser(task, made, levels, litres)
    drain(task)


def no_iodine_bath() -> Reason:
    """Why a fish is not put into iodine: what killed half the goldfish, beside the strength for eggs."""
    eggs = tables.row("iodine_uses", use="eggs")
    product, *readings = tables.rows("iodine_toxicity", species="goldfish", endpoint="24-hour LC50")
    low, high = sorted(one.value for one in readings)
    return reason(
        "no fish into iodine",
        {"row": product.id},
        product=(product.value, "mg/L"),
        low=(low, "mg/L"),
        high=(high, "mg/L"),
        eggs=(eggs.value, "mg/L"),
    )


def neutraliser(task: Task, made: Portion, levels: FloatArray, litres: FloatArray) -> None:
    """What takes the oxidant out of a solution before it is thrown away: for all that went in, rounded up."""
    oxidant = task.row["oxidant"]
    if not oxidant:
        return
    row = next(one for one in tables.table("neutralisers") if one["oxidant"] == oxidant)
    grams = float(neutralise.neutraliser_g(made.given, oxidant=oxidant, neutraliser=row["neutraliser"]))
    weigh_beside(task, "neutraliser", grams, grams, rows=(row.id,))
    task.draft.words |= {"neutraliser": row["neutraliser"], "neutraliser test": row.id}


def drain(task: Task) -> None:
    """Where the litres go afterwards: the rows of the table, in order."""
    agent = "chlorine" if task.row["oxidant"] == "chlorine" else task.row["agent"]
    rows = disinfectants.disposal(agent) or (disinfectants.disposal("any drug") if task.row["drug"] == "yes" else ())
    if rows:
        task.draft.words["disposal"] = "|".join(row.id for row in rows)


def _row(task: Task, use: str) -> tables.Row:
    if task.kind is Sum.IODINE:
        return iodine.iodine_use(use)
    return disinfectants.disinfectant(task.row["agent"], use=use)


def _strength(task: Task, row: tables.Row) -> float:
    """The level as the case gives it, else the table's: its upper one where the things may not be clean."""
    dose = task.dose
    if dose.washed == "no":
        raise Stopped(reason("wash first", {"substance": dose.substance}))
    if dose.strength is None:
        task.draft.caution(reason("the table's strength", {"row": row.id}))
        return row.high if dose.washed == "in doubt" else row.value
    wanted = dose.strength.measured.best
    if wanted <= 0.0:
        raise Stopped(reason("nothing is to be given"))
    if far_above(wanted, row.high) or far_below(wanted, row.low):
        numbers = {"lowest": (row.low, task.unit), "highest": (row.high, task.unit)}
        twice_over("far from the printed range", dose.strength, dose.again, dose.substance, task.unit, **numbers)
    return wanted


def _conditions(task: Task, use: str) -> Iterator[Reason]:
    """What pH and dirt do to povidone-iodine, and what trials found."""
    wanted = iodine.iodine_ph(use)
    known = task.water.state.known[Q.PH]
    ends = {"least": (wanted.low, ""), "most": (wanted.high, "")}
    if not known.is_known:
        yield reason("ph for iodine not measured", {"row": wanted.id}, **ends)
    else:
        ph = band(known.draws)
        outside = ph.high > wanted.high or ph.low < wanted.low
        code = "ph outside what iodine wants" if outside else "ph within what iodine wants"
        yield reason(code, {"row": wanted.id}, ph=(known.draws, ""), **ends)
    yield reason("dirt takes iodine", {"row": iodine.iodine_in_dirt()[-1].id})
    if use in {"wound", "eggs"}:
        for row in iodine.antiseptic_evidence("povidone-iodine"):
            if ("eggs" in row["fish"]) == (use == "eggs"):
                yield reason("what trials found", {"row": row.id})
