"""What was put in before the plan: for how long a living filter in that water is not to be counted on."""

from collections.abc import Iterator
from datetime import timedelta

import numpy as np

from waterplan import tables
from waterplan.actions.doses.draft import Draft, reason
from waterplan.actions.doses.water import begin_h
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Kind, Who
from waterplan.case.choices import Filter
from waterplan.case.model import Already
from waterplan.dose.disinfectants import filter_damage
from waterplan.stay.contents import is_in
from waterplan.stay.effects import FilterLost
from waterplan.stay.record import ActEnd, Moment, WaterKind
from waterplan.stay.waters import Place

_DAY_H = 24.0
# Filters that have something to lose, or have lost it.
_LIVING = frozenset({Filter.SEEDED, Filter.DAMAGED, Filter.MATURING})


def residues(context: Context) -> Iterator[Proposal]:
    """Waiting until a filter may be tested for trust again, for each thing in its water that harms it.

    Parameters
    ----------
    context : Context
        The stay with what was accepted so far.

    Yields
    ------
    Proposal
        A wait until the days of the table are over; the filter counts for nothing while it lasts, and from the start
        where nobody said since when the thing is there.
    """
    for number, one in enumerate(context.ground.case.already, 1):
        damage = _damage(one)
        if damage is None:
            continue
        for place in context.ground.places.values():
            if is_in(place, one) and context.ground.filter_of(place) in _LIVING:
                yield _wait(context, place, one, damage, number)


def _wait(context: Context, place: Place, one: Already, damage: tables.Row, number: int) -> Proposal:
    at_home, days = place.kind is WaterKind.HOME, float(damage["days"])
    draft = Draft(
        kind=Kind.WAIT,
        moment=Moment.HOME if at_home else place.moment,
        water=place.id,
        who=Who.OWNER if at_home else Who.NURSE,
        path=f"{place.id}/filter/{number}",
        figures=context.figures,
        substance=one.what,
        words={"effect": damage["effect"], "table": damage.id},
    )
    draft.amount("days", days, "d", act_end=ActEnd.HIGH, rows=(damage.id,))
    start, since_h = begin_h(place) or 0.0, None
    if one.since is None:
        draft.caution(reason("enter-since-when-it-is-there", {"substance": one.what}))
    else:
        since_h = context.ground.clock.hours(one.since)
        draft.until = one.since + timedelta(days=days)
    if one.level is None:
        draft.caution(reason("level-not-known-worst-taken", {"substance": one.what}))
    draft.caution(reason("two-clean-paired-tests", {"table": damage.id}))
    until_h = np.inf if since_h is None else since_h + days * _DAY_H
    if until_h > start and place.kind is WaterKind.HOSPITAL:
        draft.effects.append(FilterLost(action=draft.id, water=place.id, at_h=start, treatment=one.what))
    return draft.proposal()


def _damage(one: Already) -> tables.Row | None:
    """What a residue does to a filter: at its level, or at the worst that is printed where nobody knows it."""
    if one.level is not None:
        return filter_damage(one.what, level=one.level.measured.best)
    return max(tables.rows("filter_damage", agent=one.what), key=lambda row: float(row["level_from"]), default=None)
