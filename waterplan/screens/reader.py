"""Whoever reads the screens: their phrase book and their units, the same on every page."""

from typing import Any

import streamlit as st

from waterplan.plan.record import Plan
from waterplan.units import System
from waterplan.words.catalogue import Catalogue, language
from waterplan.words.speaker import Speaker

BOOK, UNITS = "book", "units"
_UNITS_KEPT = "units kept"


def book() -> Catalogue:
    """The phrase book of this session; English where none was set."""
    found: Catalogue = st.session_state.get(BOOK) or language()
    return found


def say(key: str, **values: Any) -> str:
    """A phrase of the screens."""
    return book().say(f"screen.{key}", **values)


def units() -> System:
    """The units that were chosen."""
    return System(st.session_state.get(_UNITS_KEPT, System.METRIC))


def units_choice() -> None:
    """Metric or US customary, beside the list of pages."""
    options = list(System)
    st.session_state[_UNITS_KEPT] = st.sidebar.radio(
        say("units"),
        options,
        index=options.index(units()),
        format_func=lambda one: say(f"units of.{one}"),
        horizontal=True,
        key=UNITS,
    )


def speaker(plan: Plan, *, marked: bool = False) -> Speaker:
    """The speaker of a plan for this reader; `marked` where its texts go into HTML."""
    return Speaker(plan, units(), book(), marked=marked)
