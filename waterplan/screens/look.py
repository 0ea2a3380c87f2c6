"""The few strokes of style that the screens add to Streamlit's own."""

import re
from html import escape

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

# Less empty space above the title, a title that fits a phone, and small print dark enough for a bright yard.
_STYLE = """
<style>
  .stMainBlockContainer { padding-top: 4rem; padding-bottom: 3rem; }
  h1 { font-size: 2rem !important; padding-top: 0 !important; }
  .small-print { font-size: .88rem; color: #44545c; margin: 0; }
  [data-testid="stCaptionContainer"] { color: #44545c !important; }
  @media (max-width: 40rem) {
    h1 { font-size: 1.6rem !important; } h2 { font-size: 1.35rem !important; } h3 { font-size: 1.15rem !important; }
  }
</style>
"""


def style() -> None:
    """Adds the project's style to the page; once a run, in the router."""
    st.html(_STYLE)


def plain(text: str) -> str:
    """A text that a person or a file gave, for a place that reads Markdown: shown as written, and nothing is loaded."""
    return re.sub(r"([\\`*_{}\[\]()#+.!|~$:<>&-])", r"\\\1", text)


def told(bar: DeltaGenerator, share: float) -> None:
    """Moves a progress bar to a share between 0 and 1."""
    bar.progress(min(max(share, 0.0), 1.0), f"Working it out: {share:.0%}".replace("%", " %"))


def small(text: str) -> str:
    """Small print as HTML."""
    return f'<p class="small-print">{escape(text)}</p>'
