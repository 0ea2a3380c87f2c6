"""What the pages of quick sums share: short fields, the button, and the answer with its basis."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import streamlit as st

from waterplan.fish.species import known_species
from waterplan.plan.record import Plan
from waterplan.screens.answers import answer, ask, dated, list_mistakes
from waterplan.screens.draft import QUICK
from waterplan.screens.look import show
from waterplan.screens.reader import say, speaker


def short(name: str, label: str, at_first: str = "", *, example: str = "") -> str:
    """A field for a short text, kept while other pages are shown."""
    key = f"{QUICK}{name}"
    st.session_state.setdefault(key, at_first)
    return str(st.text_input(label, key=key, placeholder=example or None) or "").strip()


def choice(key: str, label: str, options: Sequence[str], at_first: str, *, say_of: str = "") -> str:
    """A choice, its options by their own words or by the phrases under `say_of`."""
    key = key if key.startswith(QUICK) else f"{QUICK}{key}"
    options = list(map(str, options))  # Streamlit wants enumerations or texts, and not both
    if st.session_state.get(key) not in options:
        st.session_state[key] = str(at_first)
    named = (lambda one: say(f"{say_of}.{one}")) if say_of else str
    return str(st.selectbox(label, options, key=key, format_func=named))


def species(name: str, label: str = "") -> str:
    """One of the species that are known."""
    return choice(name, label or say("sum.species"), list(known_species()), "goldfish")


def worked(name: str, given: Mapping[str, Any], make: Callable[[], Plan]) -> None:
    """The button of a sum, and under it the answer of the last time with what it rests on."""
    if st.button(say("sum.work out"), type="primary", key=f"work {name}"):
        ask(name, given, make)
    answered(name, given)


def answered(name: str, given: Mapping[str, Any]) -> Plan | None:
    """The last answer under a name, grey where its values have changed; gives its plan."""
    kept = answer(name)
    if kept is None:
        return None
    with dated(name, given):
        list_mistakes(kept.mistakes)
        if kept.plan is not None:
            told = {path for one in kept.plan.judgements for path in (one.figure, one.until_harm)}
            told |= {path for one in kept.plan.actions for path in one.amounts.values()}
            past = {one.before for one in kept.plan.judgements}
            show(
                "sum",
                speaker(kept.plan, marked=True),
                judged=[one for one in kept.plan.judgements if one.id not in past],
                figures=[path for path in kept.plan.figures if path not in told],
            )
    return kept.plan
