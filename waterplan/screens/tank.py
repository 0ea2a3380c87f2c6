"""The set-up of the revival and the hospital tank for the fish in hand: drawn to scale, what goes in, what is set, what if."""

from collections.abc import Sequence

import streamlit as st

from waterplan.actions.record import MEASURED, Action
from waterplan.errors import CaseError
from waterplan.papers.tank_drawing import tank_drawings
from waterplan.plan.record import Plan
from waterplan.plan.set_up import laid, with_tank
from waterplan.plan.what_if import planned
from waterplan.screens import planning
from waterplan.screens.answers import answer, ask, dated, list_mistakes, mistake_words
from waterplan.screens.case_form import the_least
from waterplan.screens.going import fill_in
from waterplan.screens.reader import at_work, say, show, speaker
from waterplan.screens.what_if import what_if
from waterplan.stay.record import Moment, Origin
from waterplan.words.speaker import Speaker
from waterplan.words.terminal import shown_judgements

# What stands as a card beside the drawing, and how many.
_SHOWN, _MOST = frozenset({*MEASURED, "W", "°C", "pieces"}), 9


def has_tank(plan: Plan, which: Moment) -> bool:
    """Whether a plan has a tank of this moment's."""
    return any(one.kind.value == which.value for one in plan.waters)


def set_up_page(which: Moment) -> None:
    """The tank of a plan in hand; where the case has none, the one that would do."""
    kept = answer(planning.CASE)
    if kept.plan is not None and has_tank(kept.plan, which):
        with dated(planning.CASE, planning.inputs()) as old:
            _lay_out(kept.plan, which)
        if not old:
            what_if(planning.document(), _water(kept.plan, which), kept.plan)
    else:
        _without(which)


def _without(which: Moment) -> None:
    """A few fields, and the tank that would do for the fish, with all that was assumed in sight."""
    st.header(say(f"tank.none.{which}"), anchor=False)
    name, given = f"tank {which}", planning.inputs()
    mistakes = answer(name).wrong(given)
    the_least(mistakes)
    case = planning.document()
    if st.button(say("tank.lay out"), type="primary", key="lay out"):
        with at_work():
            ask(name, given, lambda: planned(with_tank(case, which.value), planning.log_and_time).plan)
        st.rerun()  # so that each mistake stands beside its field
    list_mistakes(mistakes)
    plan = answer(name).plan
    if plan is None:
        return
    with dated(name, given) as old:
        st.info(say("tank.assumed"))
        _lay_out(plan, which)
    if not old:
        try:
            what_if(with_tank(case, which.value), _water(plan, which), plan)
        except CaseError as error:
            st.error("; ".join(map(mistake_words, error.mistakes)))


def _water(plan: Plan, which: Moment) -> str:
    return next(one.id for one in plan.waters if one.kind.value == which.value)


def _lay_out(plan: Plan, which: Moment) -> None:
    """The drawings lead; beside them the amounts, under them what to do, the target values, and what was assumed."""
    water, spoken = _water(plan, which), speaker(plan)
    one = laid(plan, water)
    first = next(each for each in plan.waters if each.id == water)
    doing = sorted((each for each in plan.actions if each.water == water and _belongs(each, which)), key=_clock)
    past = {each.before for each in plan.judgements}
    state = next((each for each in plan.moments if each.moment is which), None)
    judged = [spoken.judgements[path] for path in (shown_judgements(plan, state) if state else ())]
    show(
        "tank",
        plan,
        fill_in=fill_in,
        drawings=tank_drawings(Speaker(plan, spoken.system), one, water) if one else [],
        stated=one is not None and one.stated,
        amounts=_amounts(doing, f"{water}/volume", plan),
        actions=doing,
        targets=[each for each in judged if each.water == water and each.limit and each.id not in past],
        assumed={
            quantity: found.figure
            for each in first.states[:1]
            for quantity, found in each.quantities.items()
            if found.origin is Origin.ASSUMED
        },
    )


def _amounts(doing: Sequence[Action], litres: str, plan: Plan) -> list[str]:
    """The litres, and what is weighed, set or switched on: each figure once, in the order of the work."""
    found = [path for one in doing for path in one.amounts.values()]
    shown = [path for path in found if path in plan.figures and plan.figures[path].unit in _SHOWN]
    return [path for path in dict.fromkeys((litres, *shown)) if path in plan.figures][:_MOST]


def _belongs(one: Action, which: Moment) -> bool:
    """Whether an action makes a tank ready or belongs to its first day."""
    return one.is_open and one.moment in {Moment.PREPARE, which}


def _clock(one: Action) -> tuple[bool, str]:
    """What has a time comes by the clock, before it what has none."""
    at = one.at or one.by
    return at is not None, at.isoformat() if at else ""
