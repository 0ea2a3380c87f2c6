"""Where every number comes from."""

import pandas as pd
import streamlit as st

from waterplan import tables
from waterplan.papers.sheet import source_words
from waterplan.plan.provenance import all_equations


def page() -> None:
    """The equations, the sources and the glossary of this version."""
    st.title("Sources")
    st.caption(
        "published: seen in the source. as quoted: seen in a text that names it. derived: worked out. from memory, common "
        "practice, judgement: no source was seen; the veterinarian confirms."
    )
    st.subheader("Equations")
    st.dataframe(
        pd.DataFrame(
            {
                "equation": equation.summary,
                "status": str(equation.status),
                "source": source_words(equation.source),
                "where": equation.locator,
                "fitted range": "; ".join(f"{name} {limits}" for name, limits in equation.fitted.items()),
            }
            for equation in all_equations().values()
        ),
        hide_index=True,
        width="stretch",
    )
    st.subheader("Sources")
    st.dataframe(
        pd.DataFrame({"key": key, "source": source_words(key)} for key in tables.sources()),
        hide_index=True,
        width="stretch",
    )
    st.subheader("Glossary")
    st.dataframe(
        pd.DataFrame(
            {"name": term.name, "words": term.words, "unit": term.unit} for term in tables.glossary().values()
        ),
        hide_index=True,
        width="stretch",
    )
