"""A dose into water with a fish in it: for the low end of the volume, beside what is there, and never chosen."""

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from waterplan import tables
from waterplan.actions.bath_after import after
from waterplan.actions.bottle_age import age_of
from waterplan.actions.clashes import clashes_of, told
from waterplan.actions.dose_sums import PER_UNIT, highest, level, needed, require_room
from waterplan.actions.dose_task import Task, place_portion, printed, require_twice
from waterplan.actions.draft import Reason, Stopped, reason
from waterplan.actions.portions import Portion, gone_in, portion
from waterplan.actions.record import Kind
from waterplan.actions.tricaine_bath import Buffered, acid_mmol, buffered, chosen
from waterplan.dose import anaesthesia, disinfectants
from waterplan.dose.anaesthesia import Depth
from waterplan.dose.banded import Purpose
from waterplan.dose.rounding import Safe
from waterplan.dose.substances import Kind as Sum
from waterplan.published import FloatArray
from waterplan.spread import band
from waterplan.stay.effects import Aired, FilterLost, SubstanceIn
from waterplan.stay.operations import dose as dosed
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, FishState

_WARM, _BATH = "warm bath", "bath"
_ASLEEP = frozenset({Depth.INDUCTION.value, Depth.MAINTENANCE.value})


def bath(task: Task) -> None:
    """Works a dose out, or stops it: its level, its portion, what it does to the water and to its filter."""
    dose = task.dose
    rows = printed_rows(task)
    if dose.strength is None:
        if dose.went_in is not None:
            return _level_made(task, rows)
        raise Stopped(reason("enter the dose", {"substance": dose.substance}), *(printed(row) for row in rows))
    wanted = dose.strength.measured.best
    if wanted <= 0.0:
        raise Stopped(reason("nothing is to be given"))
    ceiling = _ceiling(task, rows, wanted)
    require_fit(task, wanted)
    task.draft.caution(*age_of(dose, task.around.day))
    there = held(task)
    row = rows[0].id if rows else ""
    guessed = task.water.guessed
    require_room(
        task.water.litres, wanted=wanted, there=there, ceiling=ceiling, guessed=guessed, unit=task.unit, row=row
    )
    need = needed(task.water.litres, wanted=wanted, there=there, purpose=Purpose.HARMS_IN_EXCESS)
    if need.amount <= 0.0:
        raise Stopped(reason("nothing to add", there=(there, task.unit), wanted=(wanted, task.unit)))
    made = portion(task.bench, need.amount, wanted=wanted, safe=Safe.DOWN)
    step = None if math.isnan(task.row.value) else task.row.value * need.litres / PER_UNIT
    used = tuple(one.id for one in rows)
    place_portion(task, made, need=need.draws, end=need.end, litres=need.litres, most=step, rows=used)
    _levels(task, made, there, wanted, ceiling)
    buffer = buffered(task, made.given) if task.thing == "tricaine" else Buffered()
    _require_fit_after(task, made, buffer)
    _effects(task, made, buffer)
    task.draft.caution(*(printed(one) for one in rows), *_known(task))
    return None


def printed_rows(task: Task) -> tuple[tables.Row, ...]:
    """The rows that print a level for this substance and use, one for each group of fish in the water, the lowest first."""
    agent, use = task.row["agent"], task.dose.use
    groups = tuple(dict.fromkeys(kind.salt_group for kind in task.water.species)) or ("any",)
    if task.kind is Sum.ANAESTHETIC:
        found = [_of_group("anaesthetics", group, agent=agent, stage=use) for group in groups]
        if None in found:
            raise Stopped(reason("no printed level", {"substance": task.dose.substance, "use": use}))
    elif task.kind is Sum.BATH:
        found = [_of_group("bath_limits", group, agent=agent, use=use) for group in groups]
        if use == _BATH and _is_warm(task, agent):
            found += [tables.find("bath_limits", agent=agent, use=_WARM, fish="any")]
    else:
        return ()
    rows = {row.id: row for row in found if row is not None}
    refused = [row for row in rows.values() if math.isnan(row.high)]
    if refused:
        words = {"substance": task.dose.substance, "use": use, "row": refused[0].id}
        raise Stopped(reason("not offered", words))
    return tuple(sorted(rows.values(), key=lambda row: row.high))


def held(task: Task) -> FloatArray:
    """What the water holds of the substance already; Stopped where it is there and nobody knows how much."""
    known = task.water.holds(task.thing)
    if known is not None and not known.is_known:
        raise Stopped(reason("enter the level that is there", {"substance": task.dose.substance}))
    return task.water.there(task.thing)


def require_fit(task: Task, wanted: float | None) -> None:
    """Stops a dose that the law or a rule forbids; what a rule only warns of is told."""
    if task.row["drug"] == "yes":
        require_not_eaten(task)
    put_in: dict[str, float | None] = {task.row["thing"]: wanted} if task.row["thing"] else {}
    without: frozenset[str] = frozenset()
    if task.thing == "tricaine" and chosen(task) != "none":
        put_in["bicarbonate"] = None
        # A buffered bath does not stand on the water's own alkalinity: its pH and gases are worked out.
        without = frozenset({"alkalinity"})
    if not put_in:
        return
    found, either = clashes_of(task.water, put_in, without=without)
    stopping = [one for one in found if one.stops_a_dose]
    if stopping:
        raise Stopped(*(told(one) for one in stopping), instead=((Kind.WAIT, told(stopping[0])),))
    task.draft.caution(*(told(one) for one in found))
    task.draft.caution(*(replace(told(one), code="may not meet: measure first") for one in either))
    if not task.around.wound_said:
        then, _ = clashes_of(replace(task.water, things={**task.water.things, "open_wound": None}), put_in)
        more = [one for one in then if one.rule not in {two.rule for two in found}]
        task.draft.caution(*(replace(told(one), code="if the wound is open") for one in more))


def require_not_eaten(task: Task) -> None:
    """Stops a drug for a fish that may be eaten, and one of which that is not said."""
    not_eaten(task.around.eaten, task.dose.substance)


def not_eaten(eaten: bool | None, substance: str) -> None:
    """As `require_not_eaten`, of any drug."""
    if eaten is None:
        raise Stopped(reason("enter whether it may be eaten", {"substance": substance}))
    if eaten:
        row = tables.row("conflicts", rule="drugs and food fish")
        raise Stopped(reason("must not meet", {"rule": row["rule"], "row": row.id}))


def _of_group(table: str, group: str, **keys: str) -> tables.Row | None:
    return tables.find(table, fish=group, **keys) or tables.find(table, fish="any", **keys)


def _is_warm(task: Task, agent: str) -> bool:
    rule = next((row for row in tables.table("conflicts") if row["rule"] == f"{agent} in warm water"), None)
    return rule is not None and band(task.water.state[Q.TEMPERATURE]).high >= float(rule["second_from"])


def _ceiling(task: Task, rows: tuple[tables.Row, ...], wanted: float) -> float | None:
    """The highest level allowed: the lowest that is printed for any fish in the water."""
    if not rows:
        require_twice(task, "no printed level to set beside it")
        task.draft.caution(reason("no printed level to set beside it", {"substance": task.dose.substance}))
        return None
    row = rows[0]
    if wanted < (0.0 if math.isnan(row.low) else row.low) or wanted > row.high:
        task.draft.caution(replace(printed(row), code="outside the printed range"))
    if task.kind is not Sum.ANAESTHETIC or wanted <= row.high:
        return row.high
    most = row.high * tables.row("dose_rules", rule="anaesthetic_most").value
    if wanted > most:
        numbers = {"wanted": (wanted, task.unit), "highest": (row.high, task.unit), "most": (most, task.unit)}
        raise Stopped(reason("more than twice the highest level", {"row": row.id}, **numbers))
    return most


def _levels(task: Task, made: Portion, there: FloatArray, wanted: float, ceiling: float | None) -> None:
    litres, unit, draft = task.water.litres, task.unit, task.draft
    if ceiling is not None:  # holds by the sums before; a slip in them must not reach a tub
        assert highest(litres, there=there, given=made.given) <= ceiling * (1.0 + 1e-6)
    draft.amount("level", level(litres, there=there, given=made.given), unit, act_end=ActEnd.HIGH)
    draft.amount("wanted", wanted, unit, act_on=wanted)
    draft.amount("volume", litres, "L", act_end=ActEnd.LOW)
    if np.any(there > 0.0):
        draft.amount("there", there, unit, act_end=ActEnd.HIGH)
        draft.worked_out_for["there"] = "high"


def _require_fit_after(task: Task, made: Portion, buffer: Buffered) -> None:
    """Stops a dose whose water is not fit for its fish, and keeps that water as one that is not to be."""
    acid = acid_mmol(made.given) if task.thing == "tricaine" else 0.0
    left = _alkalinity_left(task, acid, buffer.grams)
    if left is not None:
        raise Stopped(left)
    closed = dosed(
        task.water.state,
        came_from=task.draft.id,
        substance=task.thing,
        substance_g=made.given,
        acid_mmol=acid,
        bicarbonate_g=buffer.grams,
    )
    judged = after(
        task.water,
        closed,
        state_of_fish=FishState.ANAESTHETISED if task.dose.use in _ASLEEP else FishState.AT_REST,
        co2_in_air_ppm=task.around.co2_in_air_ppm,
        share=task.around.aired_share,
    )
    if task.thing == "tricaine":
        for when, state in (("closed", closed), ("aired", judged.aired)):
            task.draft.amount(f"ph {when}", state[Q.PH], "", act_end=ActEnd.BEST)
            task.draft.amount(f"carbon dioxide {when}", state[Q.CARBON_DIOXIDE], "mg/L", act_end=ActEnd.HIGH)
            ammonia = state[Q.UNIONISED_AMMONIA]
            task.draft.amount(f"un-ionised ammonia {when}", ammonia, "mg/L as N", act_end=ActEnd.HIGH)
    if judged.unfit:
        task.around.hypothetical.append((task.water.id, replace(closed, hypothetical=True)))
        raise Stopped(*judged.unfit, instead=_instead(judged.unfit))
    task.draft.caution(*judged.cautions)
    if judged.air_it and task.water.place is not None and task.water.at_h is None:
        task.draft.effects.append(Aired(action=task.draft.id, water=task.water.id))


def _alkalinity_left(task: Task, acid: float, bicarbonate_g: float) -> Reason | None:
    """Why the acid is more than the water can take up; None where alkalinity is left in every draw."""
    if not acid:
        return None
    known = task.water.state.known[Q.ALKALINITY]
    needs = (acid - bicarbonate_g * 1000.0 / 84.007) * 50.043 / task.water.litres
    left = known.draws - needs
    if float(np.min(left)) > 0.0:
        return None
    if known.is_known or float(np.max(left)) <= 0.0:
        return reason("acid takes all the alkalinity", left=(left, "mg/L as CaCO3"))
    return reason("measure ph and alkalinity first", left=(left, "mg/L as CaCO3"))


def _instead(unfit: tuple[Reason, ...]) -> Iterator[tuple[Kind, Reason]]:
    kinds = {"ph of the bath": Kind.CHEMISTRY, "chlorine in the bath": Kind.NEUTRALISE, "oxygen of the bath": Kind.AIR}
    for one in unfit:
        if one.code in kinds:
            yield kinds[one.code], Reason(code=f"first: {one.code}")


def _effects(task: Task, made: Portion, buffer: Buffered) -> None:
    """What the dose does to a water of the plan, and to a living filter on it."""
    water, draft = task.water, task.draft
    damage = _damage(task)
    if damage is not None:
        draft.cost(
            reason(
                "filter harmed",
                {"effect": damage.effect, "row": damage.row.id},
                days=(float(damage.days), "d"),
                level=(draft.figures.draws(draft.amounts["level"]), task.unit),
            )
        )
    if water.place is None:
        return
    acid = acid_mmol(made.given) if task.thing == "tricaine" else 0.0
    dosing = SubstanceIn(
        action=draft.id,
        water=water.id,
        at_h=water.at_h,
        substance=task.thing,
        grams=made.given,
        acid_mmol=acid,
        bicarbonate_g=buffer.grams,
    )
    draft.effects.insert(0, dosing)
    if damage is not None and "biofilter" in water.things:
        start = water.place.stretches[0].start_h if water.place.stretches else 0.0
        at_h = water.at_h if water.at_h is not None else start
        draft.effects.append(FilterLost(action=draft.id, water=water.id, at_h=at_h, treatment=task.dose.substance))


def _damage(task: Task) -> disinfectants.FilterDamage | None:
    """What a dose into a tank or pond does to a living filter, where the table tells of harm at its level."""
    if not task.row["thing"] or not task.water.lasting:
        return None
    made = band(task.draft.figures.draws(task.draft.amounts["level"]))
    return disinfectants.filter_damage(task.row["thing"], level=made.high)


def _level_made(task: Task, rows: tuple[tables.Row, ...]) -> None:
    """Backwards: the level that what has gone in makes, beside what is printed."""
    went_in, draft = task.dose.went_in, task.draft
    assert went_in is not None
    active = gone_in(task.bench, went_in)
    there = task.water.there(task.thing)
    # A water of the plan holds it already; litres that are made up do not.
    known = task.water.place is not None and task.water.holds(task.thing) is not None
    levels = there if known else level(task.water.litres, there=there, given=active)
    draft.amount("level", levels, task.unit, act_end=ActEnd.HIGH, rows=tuple(row.id for row in rows))
    draft.amount("volume", task.water.litres, "L", act_end=ActEnd.LOW)
    draft.words["gone in"] = went_in.text
    draft.done = getattr(task.dose, "at", None) or task.around.now
    if rows and band(levels).high > rows[0].high:
        draft.caution(replace(printed(rows[0]), code="outside the printed range"))
    draft.caution(*(printed(row) for row in rows))


def _known(task: Task) -> Iterator[Reason]:
    """What the tables say of an anaesthetic: its basis, how it is prepared, its dangers, the law."""
    if task.kind is Sum.ANAESTHETIC:
        yield reason("about this anaesthetic", {"row": anaesthesia.anaesthetic_agent(task.row["agent"]).id})
    if task.row["agent"] == "formalin":
        takes = disinfectants.formalin_oxygen_mg_per_l(task.draft.figures.draws(task.draft.amounts["level"]))
        yield reason("formalin takes oxygen", oxygen=(np.asarray(takes), "mg/L"))
