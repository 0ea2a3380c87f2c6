"""A call and little else: what is seen, which fish, and whatever was read; first aid and what to read next."""

from dataclasses import replace
from functools import partial

import streamlit as st

from waterplan.case.describing import Key
from waterplan.case.seen import SIGNS
from waterplan.plan.quick_call import NOTHING_YET, quick_call, signs_of
from waterplan.screens.answers import answer, ask, dated, list_mistakes
from waterplan.screens.field import grid, keys_of, text
from waterplan.screens.kept import QUICK
from waterplan.screens.reader import plain, say, show, titled
from waterplan.words.short import signs_read

_NAME = "phone"
# What a caller may know, by section of the case.
_ASKED = {
    "patients": ("species",),
    "home_pond": ("volume", "looks", "new_fish"),
    "seen": ("fish", "where", "litres"),
    "meant": ("what",),
    "mains_water": ("disinfectant",),
    "home_water": ("temperature", "oxygen", "ph", "tan", "nitrite", "chlorine"),
}
# The others are folded away: on a phone the answer stands under the signs, and not under all that may be known.
_FIRST = frozenset({"species"})


def page() -> None:
    """A few fields, all but the signs optional, and the first page of the plan under them."""
    titled(_NAME)
    kept = answer(_NAME)
    st.session_state.setdefault(_place("signs"), [])
    words = st.multiselect(say("phone.signs"), SIGNS, key=_place("signs"), select_all=False, accept_new_options=True)
    keys = [_as_asked(one) for section, names in _ASKED.items() for one in keys_of(section) if one.key in names]
    texts = {one.key: text(_place(one.key)) for one in keys}
    given, signs = {**texts, "signs": list(words)}, signs_of(words)
    mistakes = kept.wrong(given)
    beside = [replace(one, where=one.where.rpartition(".")[2]) for one in mistakes]
    first, others = ([one for one in keys if (one.key in _FIRST) is asked] for asked in (True, False))
    grid(first, _place, mistakes=beside)
    with st.expander(say("phone.more"), expanded=bool(mistakes)):
        grid(others, _place, mistakes=beside)
    if words and (read := signs_read(words, signs)):
        st.caption(plain(read.strip()))
    if st.button(say("phone.act"), type="primary", key=f"work {_NAME}"):
        ask(_NAME, given, partial(quick_call, texts, signs or [NOTHING_YET] * bool(words)))
        st.rerun()  # so that each mistake stands beside its field
    list_mistakes(mistakes)
    if kept.plan is not None:
        with dated(_NAME, given):
            show("first", kept.plan)


def _as_asked(key: Key) -> Key:
    """A key as it is asked on the telephone: nothing is needed, and the litres are those of the pond."""
    if key.key == "volume":
        return replace(key, required=False, words=say("phone.pond"), example=say("phone.guess"))
    return replace(key, required=False)


def _place(key: str) -> str:
    return f"{QUICK}{_NAME}/{key}"
