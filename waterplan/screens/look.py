"""How the pages look: the few strokes of style added to Streamlit's own, and the templates that a plan is shown by."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from typing import Any

import pandas as pd
import streamlit as st
from jinja2 import Environment, PackageLoader, StrictUndefined

from waterplan.screens.reader import say
from waterplan.words.lines import action_line, hangs_on, judgement_words, measure_line
from waterplan.words.speaker import Speaker, capital

# Titles that fit a phone, small print dark enough for a bright yard, verdicts told by sign, word and edge.
_STYLE = """
<style>
  .stMainBlockContainer { padding-top: 3.5rem; padding-bottom: 3rem; }
  h1 { font-size: 2rem !important; padding-top: 0 !important; }
  [data-testid="stCaptionContainer"], .small { color: #44545c !important; font-size: .88rem; }
  .wp { color: #16242c; overflow-wrap: break-word; }
  .wp p { margin: .2rem 0; } .wp h2 { font-size: 1.3rem; padding: .9rem 0 .3rem; } .wp h3 { font-size: 1.05rem; padding: .6rem 0 .2rem; }
  .wp ul { list-style: none; padding: 0; margin: 0; } .wp li { margin: 0 0 .45rem; }
  .wp [data-figure], .wp [data-row] { white-space: nowrap; }
  .wp .now li { font-size: 1.12rem; line-height: 1.4; border-left: 5px solid #17617f; padding-left: .6rem; }
  .wp .invented { border: 3px double #9c1c31; color: #9c1c31; font-weight: bold; padding: .15rem .6rem; }
  .wp .states { display: grid; grid-template-columns: repeat(auto-fit, minmax(13rem, 1fr)); gap: .4rem .8rem; }
  .wp .card { border-left: 5px solid #5c6b73; background: #f3f6f8; padding: .35rem .7rem; margin: 0 0 .5rem; }
  .wp .verdict { font-weight: bold; }
  .wp .act-now, .wp .refused, .wp .not-ready { border-color: #9c1c31; } .wp .watch, .wp .not-known { border-color: #8a4300; }
  .wp .within-limit, .wp .ready { border-color: #1d5b3a; }
  .wp .act-now > .verdict, .wp .refused > .verdict, .wp .not-ready > .verdict { color: #9c1c31; }
  .wp .watch > .verdict, .wp .not-known > .verdict { color: #8a4300; }
  .wp .within-limit > .verdict, .wp .ready > .verdict { color: #1d5b3a; }
  .wp summary { cursor: pointer; color: #17617f; } .wp details { margin: .2rem 0; }
  .wp .figures { display: grid; grid-template-columns: repeat(auto-fit, minmax(9rem, 1fr)); gap: .6rem; margin: .5rem 0; }
  .wp .figures div { border: 2px solid #16242c; padding: .2rem .6rem; } .wp .figures b { display: block; font-size: 1.4rem; }
  .wp table { border-collapse: collapse; width: 100%; } .wp td, .wp th { text-align: left; vertical-align: top; padding: .2rem .5rem .2rem 0; }
  [class*="st-key-old-"] { filter: grayscale(1); opacity: .75; }
  @media (max-width: 40rem) {
    h1 { font-size: 1.6rem !important; } h2 { font-size: 1.3rem !important; } h3 { font-size: 1.1rem !important; }
  }
</style>
"""
_MARKS = re.compile(r"([\\`*_{}\[\]()#+.!|~$:<>&-])")


def style() -> None:
    """Adds the project's style to the page; once a run, in the router."""
    st.html(_STYLE)


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
