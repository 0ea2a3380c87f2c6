"""The page of doses: one into a water, one into a fish by weight, and those of the open case, each with its card."""

from functools import partial

import streamlit as st

from waterplan.papers.drawings import Drawings
from waterplan.papers.whole_set import page_names, paper
from waterplan.plan.quick_doses import quick_dose, quick_injection
from waterplan.plan.record import Plan
from waterplan.screens import draft
from waterplan.screens.answers import answer, ask
from waterplan.screens.downloads import hand_out
from waterplan.screens.field import grid, keys_of, text
from waterplan.screens.look import titled
from waterplan.screens.quick import answered
from waterplan.screens.reader import say, speaker

_CARDS = "dose-cards.html"
# What a sum of one dose asks of the water and of the fish; the rest of their keys belong to a case.
_WATER = ("volume", "temperature", "ph", "oxygen", "tan", "alkalinity", "salinity", "chlorine")
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
            hand_out(_CARDS, partial(paper, _CARDS, Drawings(speaker(plan, marked=True))), old=old)


def _has_cards(plan: Plan) -> bool:
    return _CARDS in page_names(Drawings(speaker(plan)))
