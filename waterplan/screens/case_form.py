"""The fields of a case, section by section, each mistake beside its field."""

import streamlit as st

from waterplan.first_plan.first_case.fields import Field, Kind, Section
from waterplan.first_plan.first_case.measuring_needs import keys_of
from waterplan.first_plan.first_case.schema import SECTIONS, WATER_KEYS
from waterplan.screens import draft
from waterplan.screens.look import plain

_TABS = (
    ("Fish", ("patient",)),
    ("Pond and place", ("place", "home_pond", "other_fish")),
    ("Water", ("home_water", "mains_water")),
    ("Tubs", ("vessels",)),
    ("Volumes", ("volumes",)),
    ("Intended", ("intended", "transport", "oxygen_cylinder", "events")),
    ("Doses", ("doses", "injections", "already")),
)


def case_form() -> None:
    """All sections in tabs; the tab of a section with a mistake says so."""
    wrong = {mistake.where.split(".")[0].split("[")[0] for mistake in draft.current().mistakes}
    titles = [f"{title} (put right)" if wrong & set(names) else title for title, names in _TABS]
    for tab, (_, names) in zip(st.tabs(titles), _TABS, strict=True):
        with tab:
            for name in names:
                _section(SECTIONS[name])


def _section(section: Section) -> None:
    if not section.many:
        st.markdown(f"**{section.words[0].upper()}{section.words[1:]}**")
        _mistakes_of(section.name)
        _fields(section, section.name)
        return
    title = section.words.split(",")[0]
    st.markdown(f"**{title[0].upper()}{title[1:]}**")
    _mistakes_of(section.name)
    count = draft.current().counts.get(section.name, 0)
    for number in range(1, count + 1):
        place = draft.where(section, number)
        named = (
            st.session_state.get(draft.widget_key(place, key)) for key in ("name", "substance", "drug", "what", "by")
        )
        name = next(filter(None, named), f"{title}, number {number}")
        if section.name == "volumes":  # its tables have no name of their own
            name = f"{name}, number {number}"
        with st.expander(plain(str(name)), expanded=count <= 1 or _has_mistake(place)):
            _mistakes_of(place)
            _fields(section, place)
    one, other, _ = st.columns([1, 1, 3])
    one.button("Add one", key=f"add {section.name}", on_click=draft.change_count, args=(section.name, 1))
    if count:
        other.button(
            "Remove the last", key=f"drop {section.name}", on_click=draft.change_count, args=(section.name, -1)
        )


def _fields(section: Section, place: str) -> None:
    plain = [one for one in section.fields if section.name != "vessels" or one.key not in (*WATER_KEYS, "taken")]
    if section.name == "volumes":
        by = str(st.session_state.get(draft.widget_key(place, "by")) or "")
        # The way of measuring decides what else is asked; what was filled in already never hides.
        plain = [
            one for one in plain if one.key in keys_of(by) or st.session_state.get(draft.widget_key(place, one.key))
        ]
        _grid(plain, place)
        return
    _grid(plain, place)
    measured = [one for one in section.fields if one not in plain]
    if measured:
        st.caption("What was measured in it")
        _grid(measured, place)


def _grid(fields: list[Field], place: str) -> None:
    # A row at a time, so that the fields keep their order on a phone and under the Tab key.
    for first in range(0, len(fields), 3):
        for column, one in zip(st.columns(3), fields[first : first + 3], strict=False):
            with column:
                _field(one, place)


def _field(one: Field, place: str) -> None:
    key = draft.widget_key(place, one.key)
    label = f"{one.words}{' (needed)' if one.required else ''}"
    help_text = f"In a case file: {one.key}. {one.kind}, such as {one.example}."
    if one.kind is Kind.ROWS:
        st.text_area(label, key=key, placeholder=one.example, help=help_text)
    elif one.kind is Kind.CHOICE:
        options = ["", *one.choices]
        st.selectbox(label, options, key=key, format_func=lambda text: text or "not said", help=help_text)
    else:
        st.text_input(label, key=key, placeholder=one.example, help=help_text)
    _mistakes_of(f"{place}.{one.key}")


def _mistakes_of(place: str) -> None:
    for mistake in draft.current().mistakes:
        if mistake.where == place:
            st.error(plain(f"Read {mistake.read}; {mistake.would_do}."))


def _has_mistake(place: str) -> bool:
    return any(mistake.where.startswith(place) for mistake in draft.current().mistakes)
