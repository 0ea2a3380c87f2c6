"""The case on the screen while it is edited: which tables it has, and their texts as typed."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

import streamlit as st

from waterplan.case.reading import SECTIONS
from waterplan.screens import kept
from waterplan.screens.field import keys_of

_KEY = "draft"


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """What is open: the file's name, how many tables of each repeated section, the texts of the fields, the log.

    `edition` makes widgets new. The texts are put in place as one, since Streamlit may break off a run at each touch of
    its state; a field that was typed into since is newer than they are. `saved` are the texts as they were opened or
    saved last, without the edition, and `saved_log` the readings.
    """

    name: str = "case.toml"
    counts: Mapping[str, int] = field(default_factory=lambda: {"patients": 1})
    texts: Mapping[str, str] = field(default_factory=dict)
    log: str = ""
    log_name: str = ""
    edition: int = 0
    saved: Mapping[str, str] = field(default_factory=dict)
    saved_log: str = ""


def current() -> Draft:
    """The draft of this session."""
    found: Draft = st.session_state.setdefault(_KEY, Draft())
    return found


def keep(draft: Draft) -> None:
    """Puts a draft in place of the one before."""
    st.session_state[_KEY] = draft
    kept.put(_KEY, draft)


def place(table: str, key: str) -> str:
    """The session key of a field of a table; a newly opened case gets new widgets."""
    return _place(current(), table, key)


def _place(draft: Draft, table: str, key: str) -> str:
    return f"{draft.edition}/{table}.{key}"


def keep_fields() -> None:
    """Holds what was typed while another page is shown, and takes over what another tab of the same draft typed.

    Streamlit forgets the widgets that a page does not have.
    """
    mine = current()
    draft = kept.get(_KEY) or mine
    shown = {str(key): str(text or "") for key, text in st.session_state.items() if _is_of(str(key), mine)}
    new = {key: text for key, text in shown.items() if text != mine.texts.get(key, "") and _is_of(key, draft)}
    for key in shown.keys() - new.keys():
        if _is_of(key, draft) and draft.texts.get(key, "") != shown[key]:
            st.session_state[key] = draft.texts.get(key, "")
    if new or draft is not mine:
        keep(replace(draft, texts={**draft.texts, **new}))
    st.session_state.update(kept.keep_sums())


def _is_of(key: str, draft: Draft) -> bool:
    return key.startswith(f"{draft.edition}/")


def typed(table: str, key: str) -> str:
    """What stood in a field of the case when this run began, shown or not."""
    return current().texts.get(place(table, key), "").strip()


def texts_of(section: str, table: str) -> dict[str, str]:
    """What stood in each filled field of a table; Streamlit's state, which is slow to ask, is asked once for all of them."""
    now = current()
    typed_in = {key.key: now.texts.get(_place(now, table, key.key), "") for key in keys_of(section)}
    return {key: text.strip() for key, text in typed_in.items() if text.strip()}


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


def add(section: str, values: Mapping[str, str]) -> bool:
    """One more table of a repeated section, filled; not where one says the same already."""
    filled = {key: text for key, text in values.items() if text}
    for name, table in tables():
        if name == section and texts_of(name, table) == filled:
            return False
    change_count(section, 1)
    table = f"{section}[{current().counts[section]}]"
    new = {place(table, key.key): values.get(key.key, "") for key in keys_of(section)}
    keep(replace(current(), texts={**current().texts, **new}))
    return True
