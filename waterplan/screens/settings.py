"""What a reader chooses once for all pages: units and the size of paper."""

import streamlit as st

from waterplan.screens.reader import PAPER, PAPERS, UNITS, say, titled
from waterplan.units import System


def page() -> None:
    """Two choices, held while other pages are shown."""
    titled("settings")
    _choice(UNITS, list(map(str, System)), "units of")
    _choice(PAPER, list(PAPERS), "paper of")
    st.caption(say("settings.kept"))


def _choice(key: str, options: list[str], words: str) -> None:
    st.session_state.setdefault(key, options[0])
    st.radio(say(key), options, format_func=lambda one: say(f"{words}.{one}"), horizontal=True, key=key)
