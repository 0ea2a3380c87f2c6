"""How the pages look: the few strokes of style added to Streamlit's own, and the templates that a plan is shown by."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import Any

import pandas as pd
import streamlit as st
from jinja2 import Environment, PackageLoader, StrictUndefined

from waterplan.screens.reader import say
from waterplan.words.lines import action_line, hangs_on, judgement_words, measure_line
from waterplan.words.speaker import Speaker, capital

_MARKS = re.compile(r"([\\`*_{}\[\]()#+.!|~$:<>&-])")


def style() -> None:
    """Adds the project's style to the page; once a run, in the router."""
    st.html(Path(__file__).parent / "pages" / "look.css")


def plain(text: str) -> str:
    """A text that a person or a file gave, for a place that reads Markdown: shown as written, and nothing is loaded."""
    return _MARKS.sub(r"\\\1", text)


def titled(name: str) -> None:
    """The title of a page, and whose word counts."""
    st.title(say(f"{name}.title"))
    st.caption(say("defer"))


@cache
def _templates() -> Environment:
    made = Environment(
        loader=PackageLoader("waterplan", "screens/pages"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters |= {"capital": capital}
    return made


def show(template: str, speaker: Speaker, **more: Any) -> None:
    """Shows a plan, or a part of it, by a template; `speaker` marks what it says."""
    found = _templates().get_template(f"{template}.html")
    html = found.render(
        s=speaker,
        plan=speaker.plan,
        say=lambda key, **values: speaker.say(f"screen.{key}", **values),
        action=lambda one: action_line(speaker, one),
        words=lambda one: judgement_words(speaker, one),
        measure=lambda one: measure_line(speaker, one),
        hangs=lambda path: hangs_on(speaker, path),
        titles=lambda paths: speaker.join(map(speaker.title, paths)),
        spoken=lambda texts: speaker.join(map(speaker.word, texts), ", "),
        **more,
    )
    st.html(f'<div class="wp">{html}</div>')


def table(rows: list[dict[str, str]]) -> None:
    """A table whose words wrap, so that a phone and a screen reader can read it whole."""
    st.table(pd.DataFrame(rows).map(plain), border="horizontal", hide_index=True)


@contextmanager
def at_work() -> Iterator[Any]:
    """A bar that tells how far a sum is; what is handed out is told the share that is done."""
    bar = st.progress(0.0, say("working", n=0))
    yield lambda share: bar.progress(min(max(share, 0.0), 1.0), say("working", n=int(100 * min(max(share, 0.0), 1.0))))
    bar.empty()
