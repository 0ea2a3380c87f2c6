"""A page for each of the seven moments: what to do, how the water is judged, what to measure, and on what it rests."""

from collections.abc import Iterable, Iterator
from functools import partial
from typing import Any

import streamlit as st

from waterplan.charts.course import course_chart
from waterplan.hazards.record import Judgement, Verdict
from waterplan.papers.drawings import Drawings
from waterplan.plan.record import MeasureNext, MomentState, Plan
from waterplan.screens import planning
from waterplan.screens.answers import answer, dated
from waterplan.screens.look import show, titled
from waterplan.screens.reader import say, speaker
from waterplan.stay.record import Moment, Origin
from waterplan.words.terminal import shown_judgements


def pages() -> list[Any]:
    """The pages of the moments, in their order; in the list each says how it stands."""
    return [st.Page(partial(page, moment), title=_title(moment), url_path=moment.value) for moment in Moment]


def _title(moment: Moment) -> str:
    kept = answer(planning.CASE)
    states = kept.plan.moments if kept and kept.plan else ()
    state = next((say(f"state.{one.state}") for one in states if one.moment is moment), "")
    return say("moments.listed", name=say(f"moments.{moment}.title"), state=state)


def page(moment: Moment) -> None:
    """One moment of the plan in hand."""
    titled(f"moments.{moment}")
    kept = answer(planning.CASE)
    if kept is None or kept.plan is None:
        st.info(say("moments.none"))
        return
    plan = kept.plan
    state = next((one for one in plan.moments if one.moment is moment), None)
    if state is None:
        st.info(say("moments.nothing"))
        return
    with dated(planning.CASE, planning.inputs()):
        marked = speaker(plan, marked=True)
        judged = [marked.judgements[path] for path in shown_judgements(plan, state)]
        not_known = [one for one in judged if one.verdict is Verdict.NOT_KNOWN and any(_lacking(one))]
        show(
            "moment",
            marked,
            state=state,
            actions=[marked.actions[path] for path in state.actions],
            judged=[one for one in judged if one not in not_known],
            not_known=not_known,
            lacking=_to_measure(not_known),
        )
        _pictures(plan, state)


def _to_measure(judged: Iterable[Judgement]) -> list[MeasureNext]:
    """What is lacking for the judgements that cannot be made: each reading once, with all that it decides."""
    changes: dict[tuple[str, str, str], list[str]] = {}
    for one in judged:
        for lacking in _lacking(one):
            changes.setdefault(lacking, []).append(one.id)
    return [
        MeasureNext(water=water, quantity=quantity, measured_with=tool, changes=tuple(paths))
        for (water, quantity, tool), paths in changes.items()
    ]


def _lacking(one: Judgement) -> Iterator[tuple[str, str, str]]:
    if one.measure:
        yield from ((each.water, each.quantity, each.measured_with) for each in one.measure)
        return
    yield from (
        (each.water, each.quantity, "") for each in one.inputs if each.decides and each.origin is Origin.ASSUMED
    )


def _pictures(plan: Plan, state: MomentState) -> None:
    """One course at a time of the waters that this moment judges."""
    waters = {one.water for one in plan.judgements if one.id in state.judgements}
    series = {path: one for path, one in plan.series.items() if one.water in waters}
    if not series:
        return
    plain = speaker(plan)
    drawings = Drawings(plain)
    st.subheader(say("moments.course"))
    names = {
        path: plain.say(
            "screen.moments.series",
            water=plain.name(one.water),
            quantity=plain.word(one.quantity),
            failing=not one.as_planned,
        )
        for path, one in series.items()
    }
    chosen = st.selectbox(
        say("moments.which course"), list(names), format_func=names.__getitem__, key=f"course {state.moment}"
    )
    if chosen in series:
        st.altair_chart(course_chart(drawings.course(series[chosen]), height=280), width="stretch", theme=None)
        st.caption(say("moments.band"))
