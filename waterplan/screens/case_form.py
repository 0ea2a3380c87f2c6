"""The page of the case: open it, edit it section by section with each mistake beside its field, make its plan, save it."""

import streamlit as st

from waterplan.case import write_case
from waterplan.case.describing import Key
from waterplan.case.reading import SECTIONS
from waterplan.errors import Mistake
from waterplan.screens import draft, planning
from waterplan.screens.answers import answer, list_mistakes
from waterplan.screens.case_bar import act, open_another
from waterplan.screens.field import beside, grid, keys_of
from waterplan.screens.look import plain, titled
from waterplan.screens.reader import say

_TABS = {
    "fish": ("patients", "other_fish"),
    "place": ("place", "home_pond"),
    "water": ("home_water", "mains_water"),
    "tubs": ("vessels",),
    "volumes": ("volumes",),
    "intended": ("intended", "transports", "oxygen_cylinder", "events"),
    "treatments": ("doses", "injections", "already", "done"),
    "file": ("",),
}
_FILE = "file"
_NAMES = ("name", "substance", "drug", "what", "action", "species", "by")


def page() -> None:
    """All sections in tabs; the tab of a section with a mistake says so."""
    titled("case")
    open_another()
    act()
    kept = answer(planning.CASE)
    mistakes = kept.mistakes if kept else ()
    wrong = {one.where.split(".")[0].split("[")[0] for one in mistakes}
    titles = [
        say("case.tab wrong" if wrong & {*names, *_top(names)} else "case.tab", name=say(f"case.tabs.{tab}"))
        for tab, names in _TABS.items()
    ]
    for tab, names in zip(st.tabs(titles), _TABS.values(), strict=True):
        with tab:
            for name in names:
                _section(name, mistakes)
    list_mistakes(mistakes)
    now = draft.current()
    st.download_button(
        say("case.save"),
        write_case(planning.document()),
        file_name=now.name,
        mime="application/toml",
        on_click="ignore",
    )


def _top(names: tuple[str, ...]) -> tuple[str, ...]:
    """The keys at the top of a file, on the tab that has them."""
    return tuple(key.key for key in keys_of("")) if "" in names else ()


def _section(section: str, mistakes: tuple[Mistake, ...]) -> None:
    st.markdown(f"**{say(f'case.sections.{section or _FILE}')}**")
    if section:
        beside(section, mistakes)
    if not section or not SECTIONS[section][1]:
        _fields(section, section, mistakes)
        return
    tables = [table for name, table in draft.tables() if name == section]
    for number, table in enumerate(tables, 1):
        wrong = any(one.where.startswith(table) for one in mistakes)
        with st.expander(_name(section, table, number), expanded=len(tables) == 1 or wrong):
            beside(table, mistakes)
            _fields(section, table, mistakes)
    name, buttons = say(f"case.one of.{section}"), st.container(horizontal=True)
    buttons.button(say("case.add", name=name), key=f"add {section}", on_click=draft.change_count, args=(section, 1))
    if tables:
        buttons.button(
            say("case.drop", name=name), key=f"drop {section}", on_click=draft.change_count, args=(section, -1)
        )


def _name(section: str, table: str, number: int) -> str:
    """What a table is called: as its fields name it, with its number."""
    keys = {key.key: key for key in keys_of(section)}
    named = (draft.typed(table, keys[one]) for one in _NAMES if one in keys)
    kind = say(f"case.one of.{section}")
    return plain(say("case.numbered", kind=kind, n=number, name=next(filter(None, named), "")))


def _fields(section: str, table: str, mistakes: tuple[Mistake, ...]) -> None:
    place = draft.place_of(table)
    keys = [key for key in keys_of(section) if _is_asked(key, table)]
    draft.fill(map(place, keys))
    # What a tub shares with the home water was measured in it.
    shared = {key.key for key in keys_of("home_water")} if section == "vessels" else set()
    grid([key for key in keys if key.key not in shared], place, where=table, mistakes=mistakes)
    if shared:
        st.caption(say("case.measured in it"))
        grid([key for key in keys if key.key in shared], place, where=table, mistakes=mistakes)


def _is_asked(key: Key, table: str) -> bool:
    """Whether a field is shown: a volume's way decides what else is asked, but what was filled in never hides."""
    if not key.by:
        return True
    by = next(one for one in keys_of(key.section) if one.key == "by")
    return draft.typed(table, by) in key.by or bool(draft.typed(table, key))
