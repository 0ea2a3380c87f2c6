"""The page of sums that need no case, and what all sums share: short fields, the button, the answer with its basis."""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any

import streamlit as st

from waterplan.case.choices import Filter
from waterplan.fish.species import known_species
from waterplan.plan.quick import quick_oxygen, quick_tank
from waterplan.plan.record import Plan
from waterplan.screens.answers import answer, ask, dated, list_mistakes
from waterplan.screens.draft import QUICK
from waterplan.screens.reader import say, show, titled


def page() -> None:
    """Oxygen and the size of a hospital tank: a few values in, a short answer out."""
    titled("sum")
    left, right = st.columns(2)
    with left, st.container(border=True):
        st.subheader(say("sum.oxygen"))
        oxygen = {
            "temperature": short("oxygen/temperature", say("sum.temperature"), "18 °C"),
            "altitude": short("oxygen/altitude", say("sum.altitude"), "0 m"),
            "salinity": short("oxygen/salinity", say("sum.salinity"), example="3 g/L"),
            "species_name": species("oxygen/species", say("sum.species")),
        }
        worked("oxygen", oxygen, partial(quick_oxygen, **oxygen))
    with right, st.container(border=True):
        st.subheader(say("sum.tank"))
        tank = {
            "species_name": species("tank/species", say("sum.species")),
            "weight": short("tank/weight", say("sum.weight"), "0.6 kg"),
            "length": short("tank/length", say("sum.length"), example="31 cm, tape"),
            "temperature": short("tank/temperature", say("sum.temperature"), "20 °C"),
            "ph": short("tank/ph", say("sum.ph"), "7.8"),
            "filter_state": choice("tank/filter", say("sum.filter"), tuple(Filter), Filter.UNSEEDED),
        }
        worked("tank", tank, partial(quick_tank, **tank))


def short(name: str, label: str, at_first: str = "", *, example: str = "") -> str:
    """A field for a short text, kept while other pages are shown."""
    key = f"{QUICK}{name}"
    st.session_state.setdefault(key, at_first)
    return str(st.text_input(label, key=key, placeholder=example or None) or "").strip()


def choice(name: str, label: str, options: Sequence[str], at_first: str, *, say_of: str = "") -> str:
    """A choice, its options by their own words or by the phrases under `say_of`."""
    key = f"{QUICK}{name}"
    options = list(map(str, options))  # Streamlit wants enumerations or texts, and not both
    if st.session_state.get(key) not in options:
        st.session_state[key] = str(at_first)
    named = (lambda one: say(f"{say_of}.{one}")) if say_of else str
    return str(st.selectbox(label, options, key=key, format_func=named))


def species(name: str, label: str) -> str:
    """One of the species that are known."""
    return choice(name, label, list(known_species()), "goldfish")


def worked(name: str, given: Mapping[str, Any], make: Callable[[], Plan]) -> None:
    """The button of a sum, and under it the answer of the last time with what it rests on."""
    if st.button(say("sum.work out"), type="primary", key=f"work {name}"):
        ask(name, given, make)
    answered(name, given)


def answered(name: str, given: Mapping[str, Any], *, below: Callable[..., None] | None = None) -> None:
    """The last answer under a name, grey where its values have changed; `below` draws what belongs to its plan."""
    kept = answer(name)
    if not kept.asked:
        return
    list_mistakes(kept.wrong(given))
    with dated(name, given) as old:
        if kept.plan is not None:
            told = {path for one in kept.plan.judgements for path in (one.figure, one.until_harm)}
            told |= {path for one in kept.plan.actions for path in one.amounts.values()}
            past = {one.before for one in kept.plan.judgements}
            show(
                "sum",
                kept.plan,
                judged=[one for one in kept.plan.judgements if one.id not in past],
                figures=[path for path in kept.plan.figures if path not in told],
            )
            if below:
                below(kept.plan, old=old)
