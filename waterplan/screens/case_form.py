"""The page of the case: open it, edit it section by section with each mistake beside its field, make its plan, save it."""

from dataclasses import replace
from functools import partial

import streamlit as st

from waterplan import tables
from waterplan.case import write_case
from waterplan.case.document import read_text
from waterplan.case.reading import SECTIONS
from waterplan.errors import Mistake
from waterplan.screens import draft, going, planning
from waterplan.screens.answers import answer, digest, list_mistakes
from waterplan.screens.field import beside, grid, keys_of, tell_trouble, upload
from waterplan.screens.going import TAB, asked_for
from waterplan.screens.reader import plain, say, titled

_TABS = {
    "fish": ("patients", "other_fish"),
    "place": ("place", "home_pond"),
    "water": ("home_water", "mains_water", "seen"),
    "tubs": ("vessels",),
    "volumes": ("volumes",),
    "intended": ("intended", "transports", "oxygen_cylinder", "events", "meant"),
    "treatments": ("doses", "injections", "already", "given", "done", "notes"),
    "file": ("",),
}
# The few things that a plan or a tank can begin with; all else is assumed, in sight.
_LEAST = {"patients[1]": ("species", "weight", "length"), "home_water": ("temperature",)}
_FILE, _DEMO = "file", "demo"
_NAMES = ("name", "substance", "drug", "what", "action", "species", "by")


def open_another(drawer: str) -> None:
    """An invented case, a case file, or a file of readings for the open case, in the drawer of this name.

    Opening a case leaves the drawer open: what stands under it would move up.
    """
    st.session_state.setdefault(drawer, planning.is_empty())
    with st.expander(say("open.title"), key=drawer, on_change="rerun"):
        one, two, three = st.columns(3)
        names = ["", *(path.name for path in sorted(tables.shipped("demo_ponds").glob("*.toml")))]
        one.selectbox(
            say("open.invented"), names, key=_DEMO, format_func=lambda name: name or say("open.none"), on_change=_demo
        )
        with two:
            upload(say("open.file"), ("toml",), "upload", open_file, what="case", mb=1)
        with three:
            going.link("readings", say("open.readings"))
            if draft.current().log:
                st.caption(plain(say("open.log is", name=draft.current().log_name)))
    tell_trouble()


def _demo() -> None:
    if name := st.session_state.get(_DEMO):
        planning.open_text(read_text(tables.shipped("demo_ponds") / name), name)


def open_file(content: str, name: str) -> None:
    """Opens a case file that was handed over; one that cannot be read leaves the open case as it is."""
    if name:
        planning.open_text(content, name)
        st.session_state[_DEMO] = ""


def the_least(mistakes: tuple[Mistake, ...]) -> None:
    """The fields of the few things that a plan or a tank can begin with."""
    for section, table in draft.tables():
        if wanted := _LEAST.get(table):
            keys = [key for key in keys_of(section) if key.key in wanted]
            draft.fill(table, wanted)
            grid(keys, partial(draft.place, table), where=table, mistakes=mistakes, across=len(keys))


def as_of() -> None:
    """The time that the plan is made for."""
    draft.fill("", [planning.AS_OF])
    place = draft.place("", planning.AS_OF)
    st.text_input(say("as of"), key=place, placeholder="2026-05-14T09:30", help=say("as of help"))
    beside(planning.AS_OF, answer(planning.CASE).wrong(planning.inputs()))


def page() -> None:
    """All sections in tabs; above them stands on which something is wrong, for a title that changes would lose the focus."""
    titled("case")
    open_another("drawer of the case")
    as_of()
    kept = answer(planning.CASE)
    mistakes = kept.wrong(planning.inputs())
    titles = {tab: say(f"case.tabs.{tab}") for tab in _TABS}
    now, when_tried = _wrong(mistakes), _wrong(kept.mistakes)
    wrong = [titles[tab] for tab in _TABS if tab in now]
    st.caption(say("case.wrong", n=len(wrong), tabs=", ".join(wrong)))
    # The first tab in which something was wrong opens, and stays open while that is put right, else the one that was open;
    # only the open one is made.
    last = f"case tab {draft.current().edition}"
    first = next((tab for tab in _TABS if tab in when_tried), st.session_state.get(last, "fish"))
    place, (asked,) = f"case tabs {digest(kept.tried)}", asked_for(TAB)
    if asked in titles or place not in st.session_state:
        st.session_state[place] = titles.get(asked, titles[first])
    tabs = st.tabs(list(titles.values()), key=place, on_change="rerun")
    for tab, (title, names) in zip(tabs, _TABS.items(), strict=True):
        if tab.open:
            st.session_state[last] = title
            with tab:
                for name in names:
                    _section(name, mistakes)
    list_mistakes(mistakes)
    save(say("case.save"), key="save")


def save(words: str, *, key: str) -> None:
    """The button that hands the case out as a file, which is written when it is pressed."""
    st.download_button(
        words,
        partial(write_case, planning.document()),
        file_name=draft.current().name,
        mime="application/toml",
        on_click=planning.mark_saved,
        key=key,
    )


def save_log(*, key: str) -> None:
    """The button that hands the readings out as a file."""
    now = draft.current()
    name, saved = now.log_name or "readings.csv", partial(draft.keep, replace(now, saved_log=now.log))
    st.download_button(say("readings.save"), now.log, file_name=name, mime="text/csv", on_click=saved, key=key)


def _wrong(mistakes: tuple[Mistake, ...]) -> set[str]:
    """The tabs that something is wrong on; the keys at the top of a file are on the tab of the whole file."""
    places = {tab: {*names, *(key.key for key in keys_of("") if "" in names)} for tab, names in _TABS.items()}
    wrong = {one.where.split(".")[0].split("[")[0] for one in mistakes}
    return {tab for tab, place in places.items() if wrong & place}


def _section(section: str, mistakes: tuple[Mistake, ...]) -> None:
    st.header(say(f"case.sections.{section or _FILE}"), anchor=False)
    if section:
        beside(section, mistakes)
    if not section or not SECTIONS[section][1]:
        _fields(section, section, mistakes)
        return
    found = [table for name, table in draft.tables() if name == section]
    tried = digest(answer(planning.CASE).tried)
    for number, table in enumerate(found, 1):
        wrong, is_new = any(one.where.startswith(table) for one in mistakes), not draft.texts_of(section, table)
        drawer = f"open {table} {draft.current().edition} {tried}"
        is_open = bool(st.session_state.get(drawer, wrong or is_new or len(found) == 1))
        # An open drawer keeps its label: with another one it would be made anew, and who types in it would lose the focus.
        label, now = f"label of {drawer}", _name(section, table, number)
        st.session_state[label] = st.session_state.get(label, now) if is_open else now
        st.session_state[drawer] = is_open
        with st.expander(st.session_state[label], key=drawer, on_change="rerun") as shown:
            if shown.open:
                beside(table, mistakes)
                _fields(section, table, mistakes)
            else:
                st.caption(say("case.opens"))
    name, buttons = say(f"case.one of.{section}"), st.container(horizontal=True)
    for word, by in {"add": 1, "drop": -1}.items():
        if found or by > 0:
            label = say(f"case.{word}", name=name)
            buttons.button(label, key=f"{word} {section}", on_click=draft.change_count, args=(section, by))


def _name(section: str, table: str, number: int) -> str:
    """What a table is called: as its fields name it, with its number."""
    name = next(filter(None, (draft.typed(table, one) for one in _NAMES)), "")
    return plain(say("case.numbered", kind=say(f"case.one of.{section}"), n=number, name=name))


def _fields(section: str, table: str, mistakes: tuple[Mistake, ...]) -> None:
    # A volume's way decides what else is asked, but what was filled in never hides.
    by = draft.typed(table, "by")
    keys = [key for key in keys_of(section) if not key.by or by in key.by or draft.typed(table, key.key)]
    draft.fill(table, [key.key for key in keys])
    # What a tub shares with the home water was measured in it.
    shared = {key.key for key in keys_of("home_water")} if section == "vessels" else set()
    shown = partial(grid, place=partial(draft.place, table), where=table, mistakes=mistakes)
    shown([key for key in keys if key.key not in shared])
    if shared:
        st.caption(say("case.measured in it"))
        shown([key for key in keys if key.key in shared])
