"""The case in hand, at the head of every page: which fish, what is most urgent, whether it is saved, and the plan's button."""

import streamlit as st

from waterplan.screens import draft, going, planning
from waterplan.screens.answers import answer
from waterplan.screens.case_form import save, save_log
from waterplan.screens.field import YES, question
from waterplan.screens.reader import at_work, plain, say, speaker
from waterplan.words.lines import action_line

_LONGEST = 90


def case_bar() -> None:
    """One line for the fish, one for what is most urgent, and what can be done with the case from everywhere."""
    to_be_made = _to_be_made()
    with st.container(key="case-bar", border=True):
        left, *beside = st.columns(1 if planning.is_empty() else [5, 2], vertical_alignment="center")
        with left:
            st.markdown(_fish())
            if line := _urgent():
                st.markdown(line)
            with st.container(horizontal=True):
                if not to_be_made and st.session_state.get(going.OPEN):
                    going.link("", say("bar.made"))
                for path in ("no-breathing", "phone"):
                    going.link(path, say(f"bar.{path}"))
        for right in beside:
            with right, st.container(horizontal=True, horizontal_alignment="right"):
                _buttons(to_be_made)
    _question()


def _buttons(to_be_made: str) -> None:
    """What can be done with the case in hand."""
    if to_be_made and st.button(say(to_be_made), type="primary", key="make"):
        _make()
    if not planning.is_saved():
        save(say("bar.save"), key="save from everywhere")
    if draft.current().log != draft.current().saved_log:
        save_log(key="save readings from everywhere")
    st.button(say("bar.new"), key="new case", on_click=planning.new_case)


def _to_be_made() -> str:
    """The words of the button that makes the plan; "" while there is one of the case as it stands in the fields."""
    kept = answer(planning.CASE)
    return "make the plan" if kept.plan is None else "make it again" if kept.is_old(planning.inputs()) else ""


def _make() -> None:
    with at_work() as told:
        made = planning.make_plan(told)
    if made:
        st.rerun()
    going.go("case")
    st.rerun()


def _fish() -> str:
    """The first patient as it was typed, and the water that it lives in."""
    if planning.is_empty():
        return say("bar.none")
    typed = [draft.typed("patients[1]", key) for key in ("name", "species", "weight")]
    length = "" if typed[2] else draft.typed("patients[1]", "length")
    parts = [*typed, length, draft.typed("home_water", "temperature")]
    words = [f"**{plain(one[:_LONGEST])}**" for one in parts if one]
    marks = [
        say("bar.invented") if draft.typed("", "invented") == YES else "",
        "" if planning.is_saved() else say("bar.unsaved"),
    ]
    return " · ".join([*(words or [say("bar.no fish")]), *filter(None, marks)])


def _urgent() -> str:
    """The first thing to do of the plan in hand; of an old plan only that it is old."""
    kept = answer(planning.CASE)
    if kept.plan is None:
        return ""
    if kept.is_old(planning.inputs()):
        return say("bar.old")
    first = kept.plan.first_page.do_now
    spoken = speaker(kept.plan)
    return say("bar.first", line=plain(action_line(spoken, spoken.actions[first[0]]))) if first else say("bar.nothing")


def _question() -> None:
    """Before what was typed is overwritten."""
    if planning.WAITING not in st.session_state:
        return
    name = st.session_state[planning.WAITING][1] or say("bar.new")
    question(say("bar.question", name=plain(name)), planning.answer_waiting)
