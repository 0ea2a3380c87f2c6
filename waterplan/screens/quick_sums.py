"""The page of sums that need no case: oxygen and the size of a hospital tank."""

from functools import partial

import streamlit as st

from waterplan.case.choices import Filter
from waterplan.plan.quick import quick_oxygen, quick_tank
from waterplan.screens.look import titled
from waterplan.screens.quick import choice, short, species, worked
from waterplan.screens.reader import say


def page() -> None:
    """A few values in, a short answer out."""
    titled("sum")
    left, right = st.columns(2)
    with left:
        _oxygen()
    with right:
        _tank()


def _oxygen() -> None:
    with st.container(border=True):
        st.subheader(say("sum.oxygen"))
        given = {
            "temperature": short("oxygen/temperature", say("sum.temperature"), "18 °C"),
            "altitude": short("oxygen/altitude", say("sum.altitude"), "0 m"),
            "salinity": short("oxygen/salinity", say("sum.salinity"), example="3 g/L"),
            "species_name": species("oxygen/species"),
        }
        worked("oxygen", given, partial(quick_oxygen, **given))


def _tank() -> None:
    with st.container(border=True):
        st.subheader(say("sum.tank"))
        given = {
            "species_name": species("tank/species"),
            "weight": short("tank/weight", say("sum.weight"), "0.6 kg"),
            "length": short("tank/length", say("sum.length"), example="31 cm, tape"),
            "temperature": short("tank/temperature", say("sum.temperature"), "20 °C"),
            "ph": short("tank/ph", say("sum.ph"), "7.8"),
            "filter_state": choice("tank/filter", say("sum.filter"), tuple(Filter), Filter.UNSEEDED),
        }
        worked("tank", given, partial(quick_tank, **given))
