"""A fish that does not breathe: what to do, by number, and a clock that runs from when the page is opened."""

import time

import streamlit as st

from waterplan.plan.record import Plan
from waterplan.plan.sums.no_breathing import FIRST, LONG_ENOUGH, no_breathing
from waterplan.screens.kept import QUICK
from waterplan.screens.reader import say, show, speaker, titled

_BEGUN, _ENDED = f"{QUICK}no breathing/begun", f"{QUICK}no breathing/ended"
_EVERY_S, _S_PER_MIN = 1.0, 60


def page() -> None:
    """The clock above, the steps under it; both stay when another page is looked at."""
    titled("emergency")
    plan = no_breathing()
    st.session_state.setdefault(_BEGUN, time.time())
    ended = st.session_state.get(_ENDED)
    if ended is None:
        st.fragment(_running, run_every=_EVERY_S)(plan)
    else:
        _clock(plan, ended - st.session_state[_BEGUN], says=say("emergency.ended"))
    with st.container(horizontal=True):
        if ended is None:
            st.button(say("emergency.breathes"), key="clock stops", type="primary", on_click=_stop)
        st.button(say("emergency.again"), key="clock again", on_click=_start)
    show("emergency", plan)


def _start() -> None:
    st.session_state[_BEGUN], st.session_state[_ENDED] = time.time(), None


def _stop() -> None:
    st.session_state[_ENDED] = time.time()


def _running(plan: Plan) -> None:
    passed = time.time() - st.session_state[_BEGUN]
    marks = [path for path in (FIRST, LONG_ENOUGH) if passed >= (plan.figures[path].act_on or 0.0) * _S_PER_MIN]
    _clock(plan, passed, says=say(f"emergency.{marks[-1] if marks else 'begun'}", time=_of(plan, marks)))


def _of(plan: Plan, marks: list[str]) -> str:
    return speaker(plan).figure(marks[-1] if marks else FIRST)


def _clock(plan: Plan, passed_s: float, *, says: str) -> None:
    minutes, seconds = divmod(int(max(passed_s, 0.0)), _S_PER_MIN)
    show("clock", plan, clock=f"{minutes:02d}:{seconds:02d}", says=says)
