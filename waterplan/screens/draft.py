"""The case on the screen while it is edited: texts as typed, and what the last act made of them."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

import streamlit as st

from waterplan.errors import CaseError, Mistake
from waterplan.first_plan.first_case.fields import Section
from waterplan.first_plan.first_case.reading import case_from_document
from waterplan.first_plan.first_case.schema import SECTIONS, VERSION, VERSION_KEY
from waterplan.first_plan.first_case.shaping import Progress
from waterplan.first_plan.whole import Plan, plan

_KEY = "draft"
QUICK = "quick/"


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """What is open: the file's name, how many tables of each repeated section, the mistakes, the plan and its fields."""

    name: str = "case.toml"
    counts: Mapping[str, int] = field(default_factory=lambda: {"vessels": 1, "other_fish": 0, "volumes": 0})
    mistakes: tuple[Mistake, ...] = ()
    plan: Plan | None = None
    planned: Mapping[str, Any] = field(default_factory=dict)
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


def keep_fields() -> None:
    """Holds what was typed while another page is shown: Streamlit forgets the widgets that a page does not have."""
    for key in list(st.session_state):
        if str(key).startswith((f"{current().edition}/", QUICK)):
            st.session_state[key] = st.session_state[key]


def open_document(document: Mapping[str, Any], name: str) -> None:
    """Fills the fields from the raw tables of a case, and tells at once what is wrong with them.

    A value that is none of a field's choices, and a key that no field has, would otherwise vanish without a word.
    """
    counts = {}
    for section in SECTIONS.values():
        if section.many:
            listed = document.get(section.name)
            counts[section.name] = len(listed) if isinstance(listed, list) else 0
    try:
        case_from_document(document, file=name)
    except CaseError as error:
        mistakes = error.mistakes
    else:
        mistakes = ()
    keep(Draft(name=name, counts=counts, mistakes=mistakes, edition=current().edition + 1))
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
    """The raw tables of the case as it stands in the fields; empty fields are left out, needed sections are not."""
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
        elif not section.many and (tables[0] or section.required):
            found[section.name] = tables[0]
    return found


def change_count(name: str, by: int) -> None:
    """One table more or less of a repeated section; the last one goes."""
    draft = current()
    count = max(draft.counts.get(name, 0) + by, 0)
    keep(replace(draft, counts={**draft.counts, name: count}))


def make_plan(progress: Progress | None = None) -> None:
    """The explicit act: the fields become a case and a plan, or the mistakes that stand beside them."""
    draft, fields = current(), document()
    try:
        case = case_from_document(fields, file=draft.name)
    except CaseError as error:
        keep(replace(draft, mistakes=error.mistakes, plan=None))
        return
    keep(replace(draft, mistakes=(), plan=plan(case, progress=progress), planned=fields))


def is_edited() -> bool:
    """Whether the fields have changed since the plan was made."""
    return document() != current().planned
