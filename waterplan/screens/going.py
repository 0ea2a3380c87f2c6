"""From one page to another: the pages that the router has, as links that carry the draft's address, and what they ask for."""

from collections.abc import Mapping, Sequence
from typing import Any
from urllib.parse import urlencode

import streamlit as st

from waterplan.plan.record import MeasureNext
from waterplan.screens import kept
from waterplan.screens.reader import say
from waterplan.stay.quantities import Q

WATER, WHAT, TAB = "water", "what", "tab"
OPEN, _PAGES = "open page", "pages"
_FOLLOWED = "address followed"
# Under which key a reading is written down, by its quantity; a pond's pH of the afternoon is a pH with its hour.
_KEYS = {str(one): one.key for one in Q if one.key} | {"afternoon ph": Q.PH.key}
# The tab of the case that has the field of what is no reading of a water, by the first word of the path.
_TABS = {"patient": "fish", "other": "fish", "bag": "intended", "box": "intended", "home": "place", "mains": "water"}


def pages(sections: Mapping[str, Sequence[Any]]) -> Any:
    """Lists the pages in the sidebar by sections, and gives the one that was asked for."""
    st.session_state[_PAGES] = {one.url_path or "": one for listed in sections.values() for one in listed}
    chosen = st.navigation(dict(sections), position="hidden")
    st.session_state[OPEN] = chosen.url_path
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


def fill_in(one: MeasureNext) -> str:
    """The address of the page with the field of a reading, under the draft's own key."""
    of, key = one.water.partition("-")[0], _KEYS.get(one.quantity)
    is_read = key is not None and of not in {"patient", "other", "bag", "box"}
    asked = {WATER: one.water, WHAT: key} if is_read else {TAB: _TABS.get(of, "tubs")}
    return f"{'readings' if is_read else 'case'}?{urlencode(kept.address() | asked)}"


def asked_for(*names: str) -> tuple[str, ...]:
    """What the address asks a page to show; empty once it was followed.

    Nothing is written into the address or taken out of it, which would be one more step for the back button.
    """
    asked = tuple(st.query_params.get(name, "") for name in names)
    if not any(asked) or st.session_state.get(_FOLLOWED) == asked:
        return ("",) * len(names)
    st.session_state[_FOLLOWED] = asked
    return asked
