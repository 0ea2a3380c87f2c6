"""The page of doses: one into a water, one into a fish by weight, and those of the open case, each with its card."""

from collections.abc import Callable
from functools import partial
from typing import TypeAlias

import streamlit as st

from waterplan.case.describing import Key
from waterplan.papers.drawings import Drawings
from waterplan.papers.whole_set import page_names, paper
from waterplan.plan.quick_doses import quick_dose, quick_injection
from waterplan.plan.record import Plan
from waterplan.screens import draft
from waterplan.screens.answers import answer, ask
from waterplan.screens.downloads import hand_out
from waterplan.screens.field import grid, keys_of, text
from waterplan.screens.look import at_work, titled
from waterplan.screens.quick import answered
from waterplan.screens.reader import say, speaker

Tables: TypeAlias = dict[str, dict[str, str]]

_CARDS = "dose-cards.html"
# What a sum of one dose asks of the water and of the fish; the rest of their keys belong to a case.
_WATER = ("volume", "temperature", "ph", "oxygen", "tan", "alkalinity", "salinity", "chlorine")
_NOT_HERE = frozenset({"into", "water", "patient", "fish"})
_FISH = ("species", "weight", "length", "eaten", "wound")


def page() -> None:
    """A tab each; what a dose of the case came to stands in its plan."""
    titled("doses")
    kept = answer(draft.CASE)
    plan = kept.plan if kept else None
    names = ["water", "fish", *(["case"] if plan is not None and _has_cards(plan) else [])]
    tabs = st.tabs([say(f"doses.{name}") for name in names])
    with tabs[0]:
        _form("dose", {"doses": (), "vessels": _WATER, "patients": _FISH}, quick_dose)
    with tabs[1]:
        _form("injection", {"injections": (), "patients": _FISH}, quick_injection)
    if plan is not None and len(tabs) == 3:
        with tabs[2]:
            st.caption(say("doses.of case"))
            old = bool(kept and kept.is_old(draft.inputs()))
            _card(plan, "case", old=old)


def _form(name: str, sections: dict[str, tuple[str, ...]], make: Callable[[Tables], Plan]) -> None:
    """The fields of one sum, from the keys of the case; the button; the answer with its card."""
    kept = answer(name)
    given: Tables = {}
    left, right = st.columns([2, 3], gap="large")
    with left:
        for section, wanted in sections.items():
            keys = [key for key in keys_of(section) if (key.key in wanted if wanted else key.key not in _NOT_HERE)]
            st.markdown(f"**{say(f'doses.{section}')}**")
            place = partial(_place, name)
            grid(keys, place, where=section, mistakes=kept.mistakes if kept else (), across=2)
            given[section] = {key.key: typed for key in keys if (typed := text(place(key)))}
        if st.button(say("sum.work out"), type="primary", key=f"work {name}", width="stretch"):
            with at_work():
                ask(name, given, partial(make, given))
            st.rerun()  # so that each mistake stands beside its field
    with right:
        plan = answered(name, given)
        if kept is None:
            st.info(say("doses.none"))
        elif plan is not None and _has_cards(plan):
            _card(plan, name, old=kept.is_old(given))


def _place(form: str, key: Key) -> str:
    return f"{draft.QUICK}{form}/{key.section}.{key.key}"


def _card(plan: Plan, name: str, *, old: bool) -> None:
    hand_out(_CARDS, partial(paper, _CARDS, Drawings(speaker(plan, marked=True))), old=old, key=name)


def _has_cards(plan: Plan) -> bool:
    return _CARDS in page_names(Drawings(speaker(plan)))
