"""The papers of a plan, each made when it is asked for."""

from collections.abc import Callable
from functools import partial
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZipFile

import streamlit as st

from waterplan.papers.drawings import Drawings
from waterplan.papers.whole_set import page_names, paper, papers
from waterplan.plan.record import Plan
from waterplan.screens.reader import book, say, speaker, units

_ACROSS = 4
_SIZES = ("A4", "Letter")


def downloads(plan: Plan, *, old: bool) -> None:
    """Each page, and all papers in one file; none of a plan that is no longer of the case.

    Parameters
    ----------
    plan : Plan
        The plan.
    old : bool
        Whether the case has changed since: then nothing is handed out.
    """
    st.subheader(say("papers.title"))
    size = st.radio(say("papers.size"), _SIZES, horizontal=True, key="paper")
    drawings = Drawings(speaker(plan, marked=True))
    made: list[tuple[str, str, Callable[[], str | bytes]]] = [
        (name, "text/html", partial(paper, name, drawings, size=size)) for name in page_names(drawings)
    ]
    made.append(("papers.zip", "application/zip", partial(_all, plan, size)))
    for first in range(0, len(made), _ACROSS):
        for column, (name, mime, make) in zip(st.columns(_ACROSS), made[first : first + _ACROSS], strict=False):
            hand_out(name, make, mime=mime, old=old, into=column)


def hand_out(
    name: str, make: Callable[[], str | bytes], *, mime: str = "text/html", old: bool, into: object = st, key: str = ""
) -> None:
    """A button for one paper by its file name; grey, and saying why, where it would be of another case."""
    words = say(f"papers.{name.rpartition('.')[0]}")
    getattr(into, "download_button")(  # noqa: B009 - a column or the page
        say("papers.old", name=words) if old else words,
        make,
        name,
        mime,
        on_click="ignore",
        width="stretch",
        disabled=old,
        key=f"paper {name} {key}",
    )


def _all(plan: Plan, size: str) -> bytes:
    held = BytesIO()
    with ZipFile(held, "w", ZIP_DEFLATED) as file:
        for name, text in papers(plan, units(), book(), size=size).items():
            file.writestr(name, text)
    return held.getvalue()
