"""Whoever reads the screens: the words and units of all pages, how they look, and how a plan is shown on them."""

import re
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pandas as pd
import streamlit as st

from waterplan import papers
from waterplan.papers.sheet import render
from waterplan.plan.record import MeasureNext, Plan
from waterplan.published import EQUATIONS
from waterplan.screens import kept
from waterplan.units import System
from waterplan.words.catalogue import language
from waterplan.words.speaker import Speaker

# Choices of the page of settings; like what is typed there, a draft holds them while other pages are shown.
UNITS, PAPER, PAPERS = "quick/units", "quick/paper", ("A4", "Letter")
# The project's own mark, drawn once for papers and screens.
MARK = str(Path(papers.__file__).parent / "pages" / "mark.svg")
# What a link asks the page of sources for.
SEARCH = "search"
_FISH = ("patient-", "other-")
_MARKS = re.compile(r"([\\`*_{}\[\]()#+.!|~$:<>&-])")


def say(key: str, **values: Any) -> str:
    """A phrase of the screens."""
    return language().say(f"screen.{key}", **values)


def units() -> System:
    """The units that were chosen."""
    return System(st.session_state.get(UNITS, System.METRIC))


def paper_size() -> str:
    """The size of paper that was chosen."""
    return str(st.session_state.get(PAPER, PAPERS[0]))


def speaker(plan: Plan, *, marked: bool = False) -> Speaker:
    """The speaker of a plan for this reader; `marked` where its texts go into HTML."""
    return Speaker(plan, units(), marked=marked)


def plain(text: str) -> str:
    """A text that a person or a file gave, for a place that reads Markdown: shown as written, and nothing is loaded."""
    return _MARKS.sub(r"\\\1", text)


def titled(name: str) -> None:
    """The title of a page, and whose word counts."""
    st.title(say(f"{name}.title"), anchor=False)
    st.caption(say("defer"))


def show(template: str, plan: Plan, **more: Any) -> None:
    """Shows a plan, or a part of it, by a template."""
    html = render(
        f"screens/pages/{template}.html",
        speaker(plan, marked=True),
        equations=EQUATIONS,
        alike=_alike,
        rows_link=_rows_link(plan),
        **more,
    )
    st.html(f'<div class="wp">{html}</div>')


def _rows_link(plan: Plan) -> Callable[[str], str]:
    """Says where the page of sources lists the rows of a judgement; "" where none decides it."""

    def of(path: str) -> str:
        if not any(path in row.decides for row in plan.rows.values()):
            return ""
        return f"sources?{urlencode({**kept.address(), SEARCH: speaker(plan).title(path)})}"

    return of


def _alike(many: Iterable[MeasureNext]) -> list[list[MeasureNext]]:
    """Readings to take, those of one quantity with one instrument together; a fish's are not a water's."""
    found: dict[tuple[str, str, bool], list[MeasureNext]] = {}
    for one in many:
        of_a_fish = one.water.startswith(_FISH)
        found.setdefault((one.quantity, one.measured_with, of_a_fish), []).append(one)
    return list(found.values())


def table(rows: list[dict[str, str]]) -> None:
    """A table whose words wrap, so that a phone and a screen reader can read it whole."""
    st.table(pd.DataFrame(rows).map(plain), border="horizontal", hide_index=True)


@contextmanager
def at_work() -> Iterator[Any]:
    """A bar that tells how far a sum is; what is handed out is told the share that is done."""
    bar = st.progress(0.0, say("working", n=0))
    yield lambda share: bar.progress(min(max(share, 0.0), 1.0), say("working", n=int(100 * min(max(share, 0.0), 1.0))))
    bar.empty()
