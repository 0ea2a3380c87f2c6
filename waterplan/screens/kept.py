"""What outlives a page: parts of a session under a key that nobody guesses, which stands in the address.

A reload, a second tab and a lost connection come back to them. They are held in memory only, the newest few.
"""

import secrets
from collections import OrderedDict
from collections.abc import Mapping
from threading import Lock
from typing import Any

import streamlit as st

QUICK = "quick/"
_KEY, _PARAMETER, _MOST, _LONGEST = "kept under", "draft", 24, 64


@st.cache_resource(show_spinner=False)
def _shelf() -> tuple[Lock, OrderedDict[str, dict[str, Any]]]:
    return Lock(), OrderedDict()


def begin() -> Mapping[str, Any]:
    """Puts the key into the address; a new session whose address has one already gets what is kept under it."""
    found: Mapping[str, Any] = {}
    if _KEY not in st.session_state:
        asked = st.query_params.get(_PARAMETER, "")[:_LONGEST]
        lock, shelf = _shelf()
        with lock:
            found = dict(shelf.get(asked, {}))
        st.session_state[_KEY] = asked if found else secrets.token_urlsafe(18)
    if st.query_params.get(_PARAMETER) != st.session_state[_KEY]:
        st.query_params[_PARAMETER] = st.session_state[_KEY]
    return found


def address() -> dict[str, str]:
    """What a link to another page of the same session carries."""
    return {_PARAMETER: st.session_state[_KEY]} if _KEY in st.session_state else {}


def get(name: str) -> Any:
    """A part as it was put last, by whichever tab; None without it."""
    lock, shelf = _shelf()
    with lock:
        return shelf.get(st.session_state.get(_KEY, ""), {}).get(name)


def put(name: str, part: Any) -> None:
    """Keeps a part; of many keys the one unused for longest goes."""
    if _KEY not in st.session_state:
        return  # a page by itself, with no address of the router's
    lock, shelf = _shelf()
    with lock:
        shelf.setdefault(st.session_state[_KEY], {})[name] = part
        shelf.move_to_end(st.session_state[_KEY])
        while len(shelf) > _MOST:
            shelf.popitem(last=False)


def keep_sums() -> dict[str, object]:
    """Holds what the sums were asked: what is shown over what was held, for a fragment's fields go with their page."""
    shown = {str(key): value for key, value in st.session_state.items() if str(key).startswith(QUICK)}
    held = {**(get(QUICK) or {}), **shown}
    put(QUICK, held)
    return held


def bring_back(found: Mapping[str, object]) -> None:
    """What was kept of an earlier session with the same address."""
    for name, part in found.items():
        if isinstance(part, dict) and name == QUICK:
            st.session_state.update(part)
        else:
            st.session_state[name] = part
