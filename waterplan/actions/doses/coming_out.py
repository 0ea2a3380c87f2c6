"""How a bath ends: how long it may and must last, what the fish comes out into, and what takes the bath back."""

from collections.abc import Sequence
from datetime import timedelta

from waterplan import tables
from waterplan.actions.amounts import up
from waterplan.actions.doses.draft import Stopped, reason
from waterplan.actions.doses.task import Task
from waterplan.actions.record import Kind
from waterplan.dose import neutralise
from waterplan.published import Numbers
from waterplan.stay.record import ActEnd, WaterKind

_PERCENT = 100.0


def timed(task: Task, rows: Sequence[tables.Row]) -> None:
    """Puts the times of a bath among its amounts, with the hour at which its fish come out and the water that they go to.

    Parameters
    ----------
    task : Task
        The dose, with its water and its draft.
    rows : sequence of Row
        The rows that print its level: `least_min` and `most_min` are their minutes; the strictest stands.

    Raises
    ------
    Stopped
        The fish would have to come out, and cannot: nobody nets a pond within minutes.
    """
    longest = [row for row in rows if row.keys.get("most_min")]
    shortest = [row for row in rows if row.keys.get("least_min")]
    if shortest:
        row = max(shortest, key=lambda one: float(one["least_min"]))
        _time(task, "least time", float(row["least_min"]), row)
    if longest:
        row = min(longest, key=lambda one: float(one["most_min"]))
        ends_after(task, float(row["most_min"]), row)
    elif shortest:
        task.draft.caution(reason("stay-beside-it"))


def ends_after(task: Task, minutes: float, row: tables.Row) -> None:
    """A bath that ends after some minutes: when, and into which water."""
    draft, place = task.draft, task.water.place
    if place is not None and place.kind is WaterKind.HOME:
        told = reason("fish-cannot-come-out-of-a-pond", {"table": row.id}, time=(minutes, "min"))
        raise Stopped(told, instead=[(Kind.DOSE, reason("bath-in-a-tub"))])
    _time(task, "time", minutes, row)
    if draft.at is not None:
        draft.until = draft.at + timedelta(minutes=minutes)
    if task.around.out_into:
        draft.words["out into"] = task.around.out_into
    into = task.around.out_into
    draft.caution(reason("stay-beside-it-and-lift-out", {"into": into} if into else {}))


def _time(task: Task, name: str, minutes: float, row: tables.Row) -> None:
    task.draft.amount(name, minutes, "min", act_on=minutes, rows=(row.id,))


def taken_back(task: Task, given: float) -> None:
    """What takes an oxidant out of the water again: grams for all that went in, rounded up, and the test for the end."""
    oxidant = task.row["oxidant"]
    if not oxidant:
        return
    row = tables.rows("neutralisers", oxidant=oxidant)[0]
    grams = float(neutralise.neutraliser_g(given, oxidant=oxidant, neutraliser=row["neutraliser"]))
    words, of = {"neutraliser": row["neutraliser"], "table": row.id}, dict[str, tuple[Numbers, str]]()
    if (bottle := tables.find("defaults", what=f"{row['neutraliser']} stock")) is None:
        most, unit = task.weigh_beside("neutraliser", grams, grams, rows=(row.id,)), "g"
    else:  # drawn from its usual bottle
        most, unit = up(grams / bottle.value, "mL"), "mL"
        task.draft.amount("neutraliser", most, unit, act_end=ActEnd.HIGH, rows=(row.id, bottle.id))
        of["bottle"] = _PERCENT * bottle.value, "%"
        task.draft.amount("neutraliser strength", *of["bottle"], rows=(bottle.id,))
    task.draft.words |= {"neutraliser": row["neutraliser"], "neutraliser test": row.id}
    task.draft.caution(reason(f"take-out-{oxidant}", words, grams=(most, unit), **of))
