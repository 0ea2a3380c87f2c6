"""The papers of a plan, each made when it is asked for."""

from functools import partial
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZipFile

import streamlit as st

from waterplan.papers.drawings import Drawings
from waterplan.papers.whole_set import page_names, paper, papers
from waterplan.plan.record import Plan
from waterplan.screens.reader import paper_size, say, speaker, units

_ALL, _ACROSS = "papers.zip", 4


def downloads(plan: Plan, *, old: bool) -> None:
    """Each page, and all papers in one file; none of a plan that is no longer of the case.

    Parameters
    ----------
    plan : Plan
        The plan.
    old : bool
        Whether the case has changed since: then nothing is handed out.
    """
    st.header(say("papers.title"), anchor=False)
    size = paper_size()
    names = [*page_names(plan), _ALL]
    for first in range(0, len(names), _ACROSS):
        for column, name in zip(st.columns(_ACROSS), names[first : first + _ACROSS], strict=False):
            with column:
                hand_out(name, plan, size=size, old=old)


def hand_out(name: str, plan: Plan, *, old: bool, size: str = "A4", key: str = "") -> None:
    """A button for one paper, or for all, by its file name; grey, and saying why, where it would be of another case."""
    words = say(f"papers.{name.rpartition('.')[0]}")
    st.download_button(
        say("papers.old", name=words) if old else words,
        partial(_made, name, plan, size),
        name,
        "application/zip" if name == _ALL else "text/html",
        on_click="ignore",
        width="stretch",
        disabled=old,
        key=f"paper {name} {key}",
    )


def _made(name: str, plan: Plan, size: str) -> str | bytes:
    if name != _ALL:
        return paper(name, Drawings(speaker(plan, marked=True)), size=size)
    held = BytesIO()
    with ZipFile(held, "w", ZIP_DEFLATED) as file:
        for one, text in papers(plan, units(), size=size).items():
            file.writestr(one, text)
    return held.getvalue()
