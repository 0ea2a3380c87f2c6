"""The pages of the plan in hand: what comes first, and each of the seven moments."""

from collections.abc import Iterable
from contextlib import nullcontext
from functools import partial
from typing import Any

import streamlit as st

from waterplan.hazards.record import Judgement, Verdict
from waterplan.papers.drawings import Drawings
from waterplan.plan.record import MeasureNext, MomentState, Plan
from waterplan.screens import going, planning
from waterplan.screens.answers import answer, dated, list_mistakes
from waterplan.screens.case_form import as_of, open_another, the_least
from waterplan.screens.downloads import downloads
from waterplan.screens.going import fill_in
from waterplan.screens.reader import say, show, speaker, titled
from waterplan.screens.tank import has_tank, set_up_page
from waterplan.stay.record import Moment, Origin
from waterplan.words.lines import first_titles
from waterplan.words.speaker import Speaker
from waterplan.words.terminal import shown_judgements

# The moments whose tank is laid out at the head of their page.
_TANKS, _BECAUSE = frozenset({Moment.REVIVAL, Moment.HOSPITAL}), 4


def first() -> None:
    """How each moment stands, what to do now, measure next and have ready, and the papers; without a plan, the way to it."""
    titled("first")
    kept = answer(planning.CASE)
    mistakes = kept.wrong(planning.inputs())
    before = st.empty()  # all that is in it goes at once when there is a plan
    if kept.plan is None:
        with before.container():
            open_another("drawer without a plan")
            st.header(say("first.least"), anchor=False)
            the_least(mistakes)
            as_of()
            list_mistakes(mistakes)
            st.info(say("first.none"))
        return
    list_mistakes(mistakes)
    with dated(planning.CASE, planning.inputs()) as old:
        show("first", kept.plan, fill_in=fill_in)
        downloads(kept.plan, old=old)
    open_another("drawer under a plan")
    as_of()


def moments() -> list[Any]:
    """The pages of the moments, in their order; in the list each says how it stands."""
    plan = answer(planning.CASE).plan
    states = {one.moment: say(f"state.{one.state}") for one in (plan.moments if plan else ()) if not one.is_empty}
    return [
        st.Page(
            partial(moment, one),
            title=say("moments.listed", name=say(f"moments.{one}.title"), state=states.get(one, "")),
            url_path=one.value,
        )
        for one in Moment
    ]


def moment(which: Moment) -> None:
    """One moment of the plan in hand: what to do, how the water is judged, what to measure, and on what it rests."""
    titled(f"moments.{which}")
    plan = answer(planning.CASE).plan
    state = next((one for one in plan.moments if one.moment is which), None) if plan else None
    if which in _TANKS:
        set_up_page(which)
    if plan is None or state is None:
        if which not in _TANKS:
            st.info(say("moments.nothing" if plan else "moments.none"))
        return
    laid_out = which in _TANKS and has_tank(plan, which)
    with dated(planning.CASE, planning.inputs(), part="-judged" if laid_out else ""):
        with st.expander(say("tank.rest")) if laid_out else nullcontext():
            _judged(plan, state)
        _course(speaker(plan), state)
    going.link("case", say("moments.fill in"))


def _judged(plan: Plan, state: MomentState) -> None:
    spoken = speaker(plan)
    judged = [spoken.judgements[path] for path in shown_judgements(plan, state)]
    not_known = [one for one in judged if one.verdict is Verdict.NOT_KNOWN and _lacking(one)]
    show(
        "moment",
        plan,
        fill_in=fill_in,
        state=state,
        because=first_titles(spoken, state.because, _BECAUSE),
        actions=[spoken.actions[path] for path in state.actions],
        judged=[one for one in judged if one not in not_known],
        not_known=not_known,
        lacking=_to_measure(not_known),
    )


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


def _lacking(one: Judgement) -> list[tuple[str, str, str]]:
    """What to measure with what; without that, what was assumed though it decides."""
    assumed = [(each.water, each.quantity, "") for each in one.inputs if each.decides and each.origin is Origin.ASSUMED]
    return [(each.water, each.quantity, each.measured_with) for each in one.measure] or assumed


def _course(spoken: Speaker, state: MomentState) -> None:
    """One course at a time of the waters that this moment judges."""
    waters = {spoken.judgements[path].water for path in state.judgements}
    series = spoken.plan.series
    shown = [path for path, one in series.items() if one.water in waters]
    if not shown:
        return

    def named(path: str) -> str:
        water, quantity = spoken.name(series[path].water), spoken.word(series[path].quantity)
        return say("moments.series", water=water, quantity=quantity, failing=not series[path].as_planned)

    with st.expander(say("moments.course")):
        chosen = st.selectbox(say("moments.which course"), shown, format_func=named, key=f"course {state.moment}")
        if chosen in shown:
            chart = Drawings(spoken).course(series[chosen], width="container", height=280)
            st.vega_lite_chart(chart, width="stretch", theme=None)
            st.caption(say("moments.band"))
