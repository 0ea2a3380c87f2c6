"""The first page: how each moment stands, what to do now, what to measure next, what to have ready; and the papers."""

import streamlit as st

from waterplan.screens import planning
from waterplan.screens.answers import answer, dated, list_mistakes
from waterplan.screens.case_bar import act, open_another
from waterplan.screens.downloads import downloads
from waterplan.screens.look import show, titled
from waterplan.screens.reader import say, speaker
from waterplan.words.terminal import heading


def page() -> None:
    """What comes first in the plan in hand; without one, the way to it."""
    titled("first")
    kept = answer(planning.CASE)
    if kept is None or kept.plan is None:
        open_another()
        act()
        list_mistakes(kept.mistakes if kept else ())
        st.info(say("first.none"))
        return
    with dated(planning.CASE, planning.inputs()) as old:
        marked = speaker(kept.plan, marked=True)
        show("first", marked, heading=heading(marked))
        downloads(kept.plan, old=old)
    open_another()
    act()
