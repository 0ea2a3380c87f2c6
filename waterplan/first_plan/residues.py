"""What was put in before the plan: since when it is there, and for how long a living filter is not to be counted on."""

import math
from datetime import timedelta

from waterplan import tables
from waterplan.dose.conflicts import conflict_things
from waterplan.dose.disinfectants import FilterDamage, filter_damage
from waterplan.errors import Unanswerable
from waterplan.findings import Moment, Verdict
from waterplan.first_plan.answers import Answer
from waterplan.first_plan.bathing import capital
from waterplan.first_plan.desk import Desk
from waterplan.first_plan.first_case.model import Already
from waterplan.first_plan.first_case.reading_doses import HOME_POND
from waterplan.first_plan.first_case.schema import Filter

_DAY_S = 86400.0
# Filters that have something to lose, or have lost it.
_LIVING = frozenset({Filter.SEEDED, Filter.DAMAGED, Filter.MATURING})


def filters_after_residues(desk: Desk) -> None:
    """Adds a finding for each thing in the water that harms a living filter which the plan might count on."""
    for number, one in enumerate(desk.case.already, 1):
        for where in _filtered_waters(desk, one):
            damage = _damage(one)
            if damage is None:
                continue
            moment = Moment.HOME if where == HOME_POND else Moment.HOSPITAL
            title = f"The filter after {one.what.replace('_', ' ')}: {where}"
            desk.answer(moment, f"filter after {number}: {one.what}, {where}", title, filter_after_residue, one, number)


def filter_after_residue(desk: Desk, one: Already, number: int) -> Answer:
    """The days that are left until a filter that met something may be tested for trust again."""
    damage, start = _damage(one), desk.start()
    assert damage is not None  # asked for only then
    if one.since is None:
        raise Unanswerable(
            f"already[{number}] since: when it was put in. Until then the filter counts as nothing, for {damage.days} days at "
            "the least"
        )
    until = one.since + timedelta(days=damage.days)
    known = "" if one.level is not None else " Its level is not known: the worst that is told of is taken."
    ends = f"{until:%a %d %b %Y}"
    if start is None:
        words = f"count it as nothing to {ends} at least"
        left = float(damage.days)
    else:
        left = max((until - start).total_seconds() / _DAY_S, 0.0)
        days = math.ceil(left)
        words = (
            f"count it as nothing to {ends} at least, {days} {'day' if days == 1 else 'days'} from the day of the plan"
        )
        if left == 0.0:
            words = f"the {damage.days} days were over on {ends}"
    return Answer(
        text=f"{capital(one.what.replace('_', ' '))} was put in {since_words(desk, one)}, and a living filter is {damage.effect} "
        f"by it: {words}, and then only after two clean paired tests.{known}",
        unit="days",
        values=left,
        verdict=Verdict.WATCH,
        method="days of the table from the day on which it was put in",
    )


def since_words(desk: Desk, one: Already) -> str:
    """Since when something is there, in words: the day, and how many days that is."""
    if one.since is None:
        return "at a time that was not given"
    start = desk.start()
    days = (
        "" if start is None else f", {(start - one.since).total_seconds() / _DAY_S:.0f} days before the day of the plan"
    )
    if start is not None and one.since > start:
        raise Unanswerable(
            f"already since of the {one.what.replace('_', ' ')} again: it lies after the day of the plan"
        )
    return f"on {one.since:%a %d %b %Y}{days}"


def since_sentence(desk: Desk, one: Already) -> str:
    """That something was put in before, as a sentence beside what it must not meet."""
    words = conflict_things()[one.what]["words"]
    stays = "How long it stays no figure here tells: a test, or a change of water."
    return f"{capital(words)}: put in {since_words(desk, one)}. {stays}"


def _damage(one: Already) -> FilterDamage | None:
    if one.level is not None:
        return filter_damage(one.what, level=one.level)
    told = [float(row["level_from"]) for row in tables.table("filter_damage") if row["agent"] == one.what]
    return filter_damage(one.what, level=max(told) or 1.0) if told else None


def _filtered_waters(desk: Desk, one: Already) -> list[str]:
    """The waters with a living filter that it is in."""
    waters = {vessel.name: vessel.filter for vessel in desk.case.vessels if vessel.filter in _LIVING}
    pond = desk.case.home_pond
    if pond is not None and pond.filter in _LIVING:
        waters[HOME_POND] = pond.filter
    return [name for name in waters if one.where in {"", name}]
