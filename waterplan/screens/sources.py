"""Where every number comes from."""

from collections.abc import Iterable

import pandas as pd
import streamlit as st

from waterplan import tables
from waterplan.first_plan.provenance import all_equations
from waterplan.papers.sheet import source_words
from waterplan.screens.look import plain, small


def page() -> None:
    """The equations, the sources and the glossary of this version."""
    st.title("Sources")
    st.html(
        small(
            "published: seen in the source. as quoted: seen in a text that names it. derived: worked out. from memory, "
            "common practice, judgement: no source was seen; the veterinarian confirms."
        )
    )
    equations, sources, glossary = st.tabs(["Equations", "Sources", "Glossary"])
    with equations:
        _table(
            {
                "equation": equation.summary,
                "status": str(equation.status),
                "source": f"{source_words(equation.source)} ({equation.locator})",
                "vouched for": "; ".join(
                    f"{_words(name)} {limits} {_unit(name)}".strip() for name, limits in equation.fitted.items()
                ),
            }
            for equation in all_equations().values()
        )
    with sources:
        _table({"key": key, "source": source_words(key)} for key in tables.sources())
    with glossary:
        _table({"name": term.name, "words": term.words, "unit": term.unit} for term in tables.glossary().values())


def _table(rows: Iterable[dict[str, str]]) -> None:
    """A table whose words wrap, so that a phone and a screen reader can read it whole."""
    st.table(pd.DataFrame(rows).map(plain), border="horizontal", hide_index=True)


def _words(name: str) -> str:
    return tables.glossary()[name].words


def _unit(name: str) -> str:
    return tables.glossary()[name].unit
