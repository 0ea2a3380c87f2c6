"""The case on the screen while it is edited: which tables it has, and their texts as typed."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

import streamlit as st

from waterplan.case.reading import SECTIONS
from waterplan.screens.field import keys_of

_KEY, QUICK = "draft", "quick/"


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """What is open: the file's name, how many tables of each repeated section, the texts of the fields, the log.

    `edition` makes widgets new. The texts are put in place as one, since Streamlit may break off a run at each touch of
    its state; a field that was typed into since is newer than they are.
    """

    name: str = "case.toml"
    counts: Mapping[str, int] = field(default_factory=lambda: {"patients": 1, "vessels": 1})
    texts: dict[str, str] = field(default_factory=dict)
    log: str = ""
    log_name: str = ""
    edition: int = 0


def current() -> Draft:
    """The draft of this session."""
    found: Draft = st.session_state.setdefault(_KEY, Draft())
    return found


def keep(draft: Draft) -> None:
    """Puts a draft in place of the one before."""
    st.session_state[_KEY] = draft


def place(table: str, key: str) -> str:
    """The session key of a field of a table; a newly opened case gets new widgets."""
    return f"{current().edition}/{table}.{key}"


def keep_fields() -> None:
    """Holds what was typed while another page is shown: Streamlit forgets the widgets that a page does not have."""
    draft = current()
    for key in list(st.session_state):
        if str(key).startswith(f"{draft.edition}/"):
            draft.texts[str(key)] = str(st.session_state[key] or "")
        elif str(key).startswith(QUICK):
            st.session_state[key] = st.session_state[key]


def typed(table: str, key: str) -> str:
    """What stood in a field of the case when this run began, shown or not."""
    return current().texts.get(place(table, key), "").strip()


def fill(table: str, keys: Iterable[str]) -> None:
    """Puts the texts of the case into fields that are about to be shown."""
    texts = current().texts
    for one in (place(table, key) for key in keys):
        if one not in st.session_state and texts.get(one):
            st.session_state[one] = texts[one]


def tables(counts: Mapping[str, int] | None = None) -> list[tuple[str, str]]:
    """Every table of the form as it stands, or with other counts: its section, and its name in mistakes."""
    counts = current().counts if counts is None else counts
    found = [("", "")]
    for section, (_, many) in SECTIONS.items():
        names = [f"{section}[{number + 1}]" for number in range(counts.get(section, 0))] if many else [section]
        found += [(section, name) for name in names]
    return found


def change_count(section: str, by: int) -> None:
    """One table more or less of a repeated section; the last one goes."""
    counts = current().counts
    keep(replace(current(), counts={**counts, section: max(counts.get(section, 0) + by, 0)}))


def add(section: str, values: Mapping[str, str]) -> None:
    """One more table of a repeated section, filled."""
    change_count(section, 1)
    table = f"{section}[{current().counts[section]}]"
    new = {place(table, key.key): values.get(key.key, "") for key in keys_of(section)}
    keep(replace(current(), texts=current().texts | new))
