"""A call and little else: what is seen, which fish, and whatever was read; first aid and what to read next."""

from dataclasses import replace
from functools import partial

import streamlit as st

from waterplan.case.seen import SIGNS
from waterplan.plan.quick_call import quick_call
from waterplan.screens.answers import answer, ask, dated, list_mistakes
from waterplan.screens.draft import QUICK
from waterplan.screens.field import grid, keys_of, text
from waterplan.screens.reader import say, show, titled

_NAME = "phone"
# What a caller may know: the keys of each section, and what mistakes call its table.
_ASKED = {
    "patients": (("species",), "patients[1]"),
    "seen": (("fish", "litres"), "seen[1]"),
    "home_pond": (("volume",), "home_pond"),
    "mains_water": (("disinfectant",), "mains_water"),
    "home_water": (("temperature", "oxygen", "ph", "tan", "nitrite", "chlorine"), "home_water"),
}


def page() -> None:
    """A few fields, all but the signs optional, and the first page of the plan under them."""
    titled(_NAME)
    kept = answer(_NAME)
    st.session_state.setdefault(_place("signs"), [])
    signs = st.multiselect(say("phone.signs"), SIGNS, key=_place("signs"))
    texts = dict[str, str]()
    for section, (names, where) in _ASKED.items():
        keys = [replace(one, required=False) for name in names for one in keys_of(section) if one.key == name]
        grid(keys, _place, where=where, mistakes=kept.mistakes)
        texts |= {one.key: text(_place(one.key)) for one in keys}
    if st.button(say("phone.act"), type="primary", key=f"work {_NAME}"):
        ask(_NAME, [texts, signs], partial(quick_call, texts, signs))
        st.rerun()  # so that each mistake stands beside its field
    if kept.asked:
        with dated(_NAME, [texts, signs]):
            list_mistakes(kept.mistakes)
            if kept.plan is not None:
                show("first", kept.plan)


def _place(key: str) -> str:
    return f"{QUICK}{_NAME}/{key}"
