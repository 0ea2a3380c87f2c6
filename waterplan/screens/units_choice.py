"""The reader's choice of units, the same on every page."""

import streamlit as st

from waterplan.units import Display, System

_WORDS = {System.METRIC: "metric", System.US: "US customary"}


def display_choice() -> Display:
    """Metric or US customary, kept for the session."""
    chosen = st.session_state.get("units kept", System.METRIC)
    options = list(System)
    system = st.radio(
        "Units", options, index=options.index(chosen), format_func=lambda one: _WORDS[one], horizontal=True, key="units"
    )
    st.session_state["units kept"] = system
    return Display(system=system)
