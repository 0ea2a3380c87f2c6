"""The case on the screen while it is edited: texts as typed, and what the last act made of them."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

import streamlit as st

from waterplan.case.reading import case_from_document
from waterplan.case.schema import SECTIONS, VERSION, VERSION_KEY, Section
from waterplan.errors import CaseError, Mistake
from waterplan.plan.whole import Plan, plan

_KEY = "draft"


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """What is open: the file's name, how many tables of each repeated section, the mistakes and the plan."""

    name: str = "case.toml"
    counts: Mapping[str, int] = field(default_factory=lambda: {"vessels": 1, "other_fish": 0})
    mistakes: tuple[Mistake, ...] = ()
    plan: Plan | None = None
    edition: int = 0


def current() -> Draft:
    """The draft of this session."""
    if _KEY not in st.session_state:
        st.session_state[_KEY] = Draft()
    draft: Draft = st.session_state[_KEY]
    return draft


def keep(draft: Draft) -> None:
    """Puts a draft in place of the one before."""
    st.session_state[_KEY] = draft


def where(section: Section, number: int) -> str:
    """The name of one table of the case as mistakes call it."""
    return f"{section.name}[{number}]" if section.many else section.name


def widget_key(place: str, key: str) -> str:
    """The session key of a field's widget; a newly opened case gets new widgets."""
    return f"{current().edition}/{place}.{key}"


def open_document(document: Mapping[str, Any], name: str) -> None:
    """Fills the fields from the raw tables of a case; what does not fit a field is left for the reader to name."""
    counts = {}
    for section in SECTIONS.values():
        if section.many:
            listed = document.get(section.name)
            counts[section.name] = len(listed) if isinstance(listed, list) else 0
    keep(Draft(name=name, counts=counts, edition=current().edition + 1))
    for section in SECTIONS.values():
        raw = document.get(section.name, [] if section.many else {})
        listed = raw if isinstance(raw, list) else [raw]
        for number, table in enumerate(listed, 1):
            for one in section.fields:
                value = table.get(one.key, "") if isinstance(table, Mapping) else ""
                text = value.isoformat(timespec="minutes") if isinstance(value, datetime) else str(value)
                if one.choices and text not in one.choices:
                    text = ""
                st.session_state[widget_key(where(section, number), one.key)] = text


def document() -> dict[str, Any]:
    """The raw tables of the case as it stands in the fields; empty fields are left out."""
    draft = current()
    found: dict[str, Any] = {VERSION_KEY: VERSION}
    for section in SECTIONS.values():
        tables = []
        for number in range(1, draft.counts.get(section.name, 0) + 1 if section.many else 2):
            place = where(section, number)
            texts = {one.key: str(st.session_state.get(widget_key(place, one.key)) or "") for one in section.fields}
            tables.append({key: text.strip() for key, text in texts.items() if text.strip()})
        if section.many and tables:
            found[section.name] = tables
        elif not section.many and tables[0]:
            found[section.name] = tables[0]
    return found


def change_count(name: str, by: int) -> None:
    """One table more or less of a repeated section; the last one goes."""
    draft = current()
    count = max(draft.counts.get(name, 0) + by, 0)
    keep(replace(draft, counts={**draft.counts, name: count}))


def make_plan() -> None:
    """The explicit act: the fields become a case and a plan, or the mistakes that stand beside them."""
    draft = current()
    try:
        case = case_from_document(document(), file=draft.name)
    except CaseError as error:
        keep(replace(draft, mistakes=error.mistakes, plan=None))
        return
    keep(replace(draft, mistakes=(), plan=plan(case)))
