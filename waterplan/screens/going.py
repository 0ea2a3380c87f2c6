"""From one page to another: the pages that the router has, as links that carry the draft's address."""

from collections.abc import Mapping, Sequence
from typing import Any

import streamlit as st

from waterplan.screens import kept
from waterplan.screens.reader import say

_PAGES = "pages"


def pages(sections: Mapping[str, Sequence[Any]]) -> Any:
    """Lists the pages in the sidebar by sections, and gives the one that was asked for."""
    st.session_state[_PAGES] = {one.url_path or "": one for listed in sections.values() for one in listed}
    chosen = st.navigation(dict(sections), position="hidden")
    with st.sidebar:
        for name, listed in sections.items():
            st.caption(say(f"nav.{name}"))
            for one in listed:
                st.page_link(one, query_params=kept.address())
    return chosen


def link(path: str, label: str) -> None:
    """A link to a page by its address; nothing where a page stands by itself."""
    if path in st.session_state.get(_PAGES, {}):
        st.page_link(st.session_state[_PAGES][path], label=label, query_params=kept.address())


def go(path: str) -> None:
    """Turns to a page by its address."""
    if path in st.session_state.get(_PAGES, {}):
        st.switch_page(st.session_state[_PAGES][path], query_params=kept.address())
