"""A call and little else: what is seen, which fish, and whatever was read; first aid and what to read next."""

from functools import partial

import streamlit as st

from waterplan.case.choices import Disinfectant, HowMany
from waterplan.case.seen import SIGNS
from waterplan.fish.species import known_species
from waterplan.plan.quick_call import quick_call
from waterplan.screens.answers import answer, ask, dated, list_mistakes
from waterplan.screens.draft import QUICK
from waterplan.screens.field import keys_of
from waterplan.screens.quick_sums import choice, short
from waterplan.screens.reader import say, show, titled
from waterplan.words.speaker import capital

_NAME, _READ_FIRST = "phone", ("temperature", "oxygen", "ph", "tan", "nitrite", "chlorine")


def page() -> None:
    """A few fields, all but the signs optional, and the first page of the plan under them."""
    titled(_NAME)
    key = f"{QUICK}{_NAME}/signs"
    st.session_state.setdefault(key, [])
    signs = st.multiselect(say("phone.signs"), SIGNS, key=key)
    texts = _told()
    if st.button(say("phone.act"), type="primary", key="work phone"):
        ask(_NAME, [texts, signs], partial(quick_call, texts, signs))
    kept = answer(_NAME)
    if kept.asked:
        with dated(_NAME, [texts, signs]):
            list_mistakes(kept.mistakes)
            if kept.plan is not None:
                show("first", kept.plan)


def _told() -> dict[str, str]:
    """What the caller knows: of the fish and the pond, and the readings that most callers can make."""
    first, second, third = st.columns(3)
    not_stated = say("field.not stated")
    with first:
        kind = choice(f"{_NAME}/species", say("sum.species"), ("unknown", *known_species()), "unknown")
        many = choice(f"{_NAME}/fish", say("phone.fish"), (not_stated, *HowMany), not_stated)
    with second:
        pond = short(f"{_NAME}/pond", say("phone.pond"), example="8000 L, guess")
        ran_in = short(f"{_NAME}/litres", say("phone.litres"), example="600 L, estimate")
    with third:
        water = choice(f"{_NAME}/disinfectant", say("phone.disinfectant"), (not_stated, *Disinfectant), not_stated)
    keys = [one for name in _READ_FIRST for one in keys_of("home_water") if one.key == name]
    readings = {}
    for first_of_row in range(0, len(keys), 3):
        for column, one in zip(st.columns(3), keys[first_of_row : first_of_row + 3], strict=False):
            with column:
                readings[one.key] = short(f"{_NAME}/{one.key}", capital(one.words), example=one.example)
    chosen = {"fish": many, "disinfectant": water}
    stated = {name: "" if one == not_stated else one for name, one in chosen.items()}
    return {"species": kind, "pond": pond, "litres": ran_in, **stated, **readings}
