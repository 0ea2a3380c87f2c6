"""A dose into water with a fish in it: for the low end of the volume, beside what is there, and never chosen.

Beside tricaine goes its bicarbonate: by mass, or what leaves the water its least alkalinity.
"""

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from waterplan import tables
from waterplan.actions.doses.after import require_fit
from waterplan.actions.doses.coming_out import taken_back, timed
from waterplan.actions.doses.draft import Reason, Stopped, all_in, forbidden, reason
from waterplan.actions.doses.portions import age_of, gone_in
from waterplan.actions.doses.sums import PER_UNIT, highest, level, needed, require_room
from waterplan.actions.doses.task import Task, filter_harmed, level_wanted, printed, twice_over
from waterplan.actions.doses.water import clashes_of, told
from waterplan.case.bottle import Amount
from waterplan.case.choices import Buffer
from waterplan.dose import disinfectants, tricaine
from waterplan.dose.rounding import Safe, round_safely
from waterplan.dose.substances import Kind as Sum
from waterplan.hazards.limit_rows import water_limit
from waterplan.published import FloatArray
from waterplan.spread import band
from waterplan.stay.effects import FilterLost, SubstanceIn
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd

_WARM, _BATH = "warm bath", "bath"


def bath(task: Task) -> None:
    """Works a dose out, or stops it: its level, its portion, what it does to the water and to its filter."""
    dose, water, draft = task.dose, task.water, task.draft
    rows = _printed_rows(task)
    if dose.strength is None and dose.went_in is not None:
        level_made(task, dose.went_in, rows)
        return
    wanted = level_wanted(dose.strength, dose.substance, *(printed(row) for row in rows))
    ceiling = _ceiling(task, rows, wanted)
    _require_allowed(task, wanted)
    timed(task, rows)
    draft.caution(*age_of(dose, task.around.day))
    held, there = water.state.contents.get(task.thing), water.there(task.thing)
    if held is not None and not held.is_known:
        raise Stopped(reason("enter-the-level-that-is-there", {"substance": dose.substance}))
    used, unit = tuple(one.id for one in rows), task.unit
    if ceiling is not None:
        require_room(
            water.litres, wanted=wanted, there=there, ceiling=ceiling, guessed=water.guessed, unit=unit, row=used[0]
        )
    need = needed(water.litres, wanted=wanted, there=there, safe=Safe.DOWN, went_in=task.went_in)
    if need.amount <= 0.0:
        raise Stopped(reason("nothing-to-add", there=(there, unit), wanted=(wanted, unit)))
    step = None if math.isnan(task.row.value) else task.row.value * need.litres / PER_UNIT
    given = task.measure_out(need, wanted=wanted, most=step, rows=used).given
    # Holds by the sums before; a slip in them must not reach a tub.
    assert ceiling is None or highest(water.litres, there=there, given=given) <= ceiling * (1.0 + 1e-6)
    taken_back(task, given)
    levels = level(water.litres, there=there, given=given)
    _put_levels(task, levels, there, wanted)
    acidic = task.thing == "tricaine"
    dosing = SubstanceIn(
        action=draft.id,
        water=water.id,
        at_h=water.at_h,
        substance=task.thing,
        grams=given,
        bicarbonate_g=_buffered(task, given) if acidic else 0.0,
        acid_mmol=tricaine.tricaine_acid_mmol_per_l(given * 1000.0) if acidic else 0.0,
    )
    require_fit(task, dosing)
    _effects(task, dosing, levels)
    draft.caution(*(printed(one) for one in rows), *_known(task, levels))


def _printed_rows(task: Task) -> tuple[tables.Row, ...]:
    """The rows that print a level for this substance and use, one for each group of fish in the water, the lowest first."""
    agent, use, substance = task.row["agent"], task.dose.use, task.dose.substance
    if task.kind is Sum.UNLISTED:
        return ()
    table, keys = ("anaesthetics", {"stage": use}) if task.kind is Sum.ANAESTHETIC else ("bath_limits", {"use": use})
    groups = tuple(dict.fromkeys(kind.salt_group for kind in task.water.species)) or ("any",)
    found = [
        tables.find(table, agent=agent, fish=group, **keys) or tables.find(table, agent=agent, fish="any", **keys)
        for group in groups
    ]
    if task.kind is Sum.ANAESTHETIC and None in found:
        raise Stopped(reason("no-printed-level", {"substance": substance, "use": use}))
    warm = tables.find("conflicts", rule=f"{agent} in warm water") if use == _BATH else None
    if warm is not None and band(task.water.state[Q.TEMPERATURE]).high >= float(warm["second_from"]):
        found.append(tables.find("bath_limits", agent=agent, use=_WARM, fish="any"))
    rows = {row.id: row for row in found if row is not None}
    for row in rows.values():
        if math.isnan(row.high):
            raise Stopped(reason("not-offered", {"substance": substance, "use": use, "table": row.id}))
    return tuple(sorted(rows.values(), key=lambda row: row.high))


def _require_allowed(task: Task, wanted: float) -> None:
    """Stops a dose that the law or a rule forbids; what a rule only warns of is told."""
    if task.row["drug"] == "yes":
        not_eaten(task.around.eaten, task.dose.substance)
    put_in: dict[str, float | None] = {task.row["thing"]: wanted} if task.row["thing"] else {}
    without: frozenset[str] = frozenset()
    if task.thing == "tricaine" and task.dose.buffer is not Buffer.NONE:
        put_in["bicarbonate"] = None
        # A buffered bath does not stand on the water's own alkalinity: its pH, gases and ammonia are worked out.
        without = frozenset({"alkalinity", "tan"})
    if not put_in:
        return
    found, either = clashes_of(task.water, put_in, without=without)
    task.tell_clashes(found)
    open_ = [told(one) for one in either if one.stops_a_dose]
    task.draft.caution(*(replace(one, code="forbidden-by-rule-unless-measured") for one in open_))
    if not task.around.wound_said:
        then, _ = clashes_of(replace(task.water, things=task.water.things | {"open_wound"}), put_in)
        more = [told(one) for one in then if one.rule not in {two.rule for two in found}]
        task.draft.caution(*(replace(one, code="forbidden-if-the-wound-is-open") for one in more))


def not_eaten(eaten: bool | None, substance: str) -> None:
    """Stops a drug for a fish that may be eaten, and one of which that is not said."""
    if eaten is None:
        raise Stopped(reason("enter-whether-it-may-be-eaten", {"substance": substance}))
    if eaten:
        raise forbidden("drugs and food fish")


def _ceiling(task: Task, rows: tuple[tables.Row, ...], wanted: float) -> float | None:
    """The highest level allowed: the lowest that is printed for any fish in the water."""
    dose, draft, unit = task.dose, task.draft, task.unit
    if not rows:
        assert dose.strength is not None  # it is wanted
        twice_over("no-printed-level-to-set-beside-it", dose.strength, dose.again, dose.substance, unit)
        draft.caution(reason("no-printed-level-to-set-beside-it", {"substance": dose.substance}))
        return None
    row = rows[0]
    if wanted < row.low or wanted > row.high:
        draft.caution(printed(row, "outside-the-printed-range"))
    if task.kind is not Sum.ANAESTHETIC or wanted <= row.high:
        return row.high
    most = row.high * tables.row("dose_rules", rule="anaesthetic_most").value
    if wanted > most:
        numbers = all_in(unit, wanted=wanted, highest=row.high, most=most)
        raise Stopped(reason("more-than-twice-the-highest-level", {"table": row.id}, **numbers))
    return most


def _put_levels(task: Task, levels: FloatArray, there: FloatArray, wanted: float) -> None:
    litres, unit, draft = task.water.litres, task.unit, task.draft
    draft.amount("level", levels, unit, act_end=ActEnd.HIGH)
    draft.amount("wanted", wanted, unit, act_on=wanted)
    draft.amount("volume", litres, "L", act_end=ActEnd.LOW)
    if np.any(there > 0.0):
        draft.amount("there", there, unit, act_end=ActEnd.HIGH)
        draft.worked_out_for["there"] = "high"


def _buffered(task: Task, tricaine_g: float) -> float:
    """The bicarbonate that goes with what was weighed [g], among the amounts of its dose; 0 where none goes in.

    Gram for gram is by the grams that were weighed. What the water needs is an antidote to the acid: by the high end of
    its need over the draws, rounded up. Where nobody chose, it is what the water needs, and that is told.
    """
    how, water = task.dose.buffer, task.water
    level = tricaine_g * 1000.0 / water.litres
    task.draft.amount("alkalinity taken", tricaine.tricaine_acid_mg_caco3_per_l(level), "mg/L as CaCO3")
    row = tables.row("tricaine_buffer", how="soft water" if how is Buffer.TWO else "one to one")
    equal = row.value * tricaine_g
    if how in (Buffer.ONE, Buffer.TWO):
        return task.weigh_beside("bicarbonate", equal, equal, rows=(row.id,))
    if how is Buffer.NONE:
        return 0.0
    per_litre = tricaine.bicarbonate_needed_mg_per_l(
        level,
        alkalinity_mg_caco3_per_l=np.maximum(water.state[Q.ALKALINITY], 0.0),
        end_alkalinity_mg_caco3_per_l=water_limit("alkalinity", "watch").value,
    )
    need = np.asarray(per_litre) * water.litres / 1000.0
    most = band(need).high
    grams = task.weigh_beside("bicarbonate", need, most) if most > 0.0 else 0.0
    if how is None:
        rounded = round_safely(equal, division=task.bench.scale_division, safe=Safe.UP).amount
        numbers = all_in("g", needed=grams, equal=rounded)
        task.draft.caution(reason("choose-the-bicarbonate", {"table": row.id}, **numbers))
    return grams


def _effects(task: Task, dosing: SubstanceIn, levels: FloatArray) -> None:
    """What the dose does to a water of the plan, and to a living filter on it."""
    water, draft = task.water, task.draft
    thing = task.row["thing"] if water.lasting else ""
    damage = disinfectants.filter_damage(thing, level=band(levels).high) if thing else None
    if damage is not None:
        draft.cost(filter_harmed(damage, levels, task.unit))
    if water.place is None:
        return
    draft.effects.insert(0, dosing)
    if damage is not None and "biofilter" in water.things:
        lost = FilterLost(action=draft.id, water=water.id, at_h=water.hour or 0.0, treatment=task.dose.substance)
        draft.effects.append(lost)


def level_made(task: Task, went_in: Amount, rows: tuple[tables.Row, ...]) -> None:
    """Backwards: the level that what has gone in makes, beside what is printed."""
    draft, water = task.draft, task.water
    active, levels = gone_in(task.bench, went_in), water.there(task.thing)
    # A water of the plan holds it already; litres that are made up do not.
    if water.place is None or task.thing not in water.state.contents:
        levels = level(water.litres, there=levels, given=active)
    draft.amount("level", levels, task.unit, act_end=ActEnd.HIGH, rows=tuple(row.id for row in rows))
    draft.amount("volume", water.litres, "L", act_end=ActEnd.LOW)
    draft.words["gone in"] = went_in.text
    draft.done = task.dose.went_in_at or task.around.now
    if rows and band(levels).high > rows[0].high:
        draft.caution(printed(rows[0], "outside-the-printed-range"))
    draft.caution(*(printed(row) for row in rows))


def _known(task: Task, levels: FloatArray) -> Iterator[Reason]:
    """What the tables say of an anaesthetic: its basis, how it is prepared, its dangers, the law."""
    if task.kind is Sum.ANAESTHETIC:
        yield reason("about-this-anaesthetic", {"table": tables.row("anaesthetic_agents", agent=task.row["agent"]).id})
    if task.row["agent"] == "formalin":
        takes = disinfectants.formalin_oxygen_mg_per_l(levels)
        yield reason("formalin-takes-oxygen", oxygen=(takes, "mg/L"))
