"""The case on the screen while it is edited: texts as typed, and the plan that an act makes of them."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any

import streamlit as st

from waterplan.case import read_case, read_log
from waterplan.case.describing import Key
from waterplan.case.document import folded
from waterplan.case.kinds import Flag, Whole
from waterplan.case.reading import SECTIONS, VERSION, VERSION_KEY
from waterplan.case.times import parse_when
from waterplan.case.values import BadValue
from waterplan.errors import CaseError, Mistake
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.screens import answers
from waterplan.screens.field import NO, YES, keys_of, text
from waterplan.spread import DEFAULT_DRAWS

_KEY, CASE, QUICK, DRAWS, AS_OF = "draft", "case", "quick/", "draws", "as_of"
_ALONE = ("patient", "transport")  # sections that a file may give once, in the singular


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


def where(section: str, number: int) -> str:
    """The name of one table of the case as mistakes call it; nothing at the top of the file."""
    return f"{section}[{number}]" if section and SECTIONS[section][1] else section


def place_of(table: str) -> Callable[[Key], str]:
    """The session key of each field of a table; a newly opened case gets new widgets."""
    edition = current().edition
    return lambda key: f"{edition}/{table}.{key.key}"


def as_of_place() -> str:
    """The session key of the time at which the plan is made."""
    return f"{current().edition}/{AS_OF}"


def keep_fields() -> None:
    """Holds what was typed while another page is shown: Streamlit forgets the widgets that a page does not have."""
    draft = current()
    for key in list(st.session_state):
        if str(key).startswith(f"{draft.edition}/"):
            draft.texts[str(key)] = str(st.session_state[key] or "")
        elif str(key).startswith(QUICK):
            st.session_state[key] = st.session_state[key]


def typed(table: str, key: Key) -> str:
    """What stands in a field of the case, shown or not."""
    return _stands(place_of(table)(key))


def _stands(place: str) -> str:
    return text(place) if place in st.session_state else current().texts.get(place, "").strip()


def fill(places: Iterable[str]) -> None:
    """Puts the texts of the case into fields that are about to be shown."""
    texts = current().texts
    for place in places:
        if place not in st.session_state and texts.get(place):
            st.session_state[place] = texts[place]


def put(table: str, values: Mapping[str, str]) -> None:
    """Fills one table of the case."""
    place, section, draft = place_of(table), table.partition("[")[0], current()
    new = {place(key): values.get(key.key, "") for key in keys_of(section)}
    keep(replace(draft, texts=draft.texts | new))


def tables() -> list[tuple[str, str]]:
    """Every table of the form as it stands: its section, and its name in mistakes."""
    return _tables(current().counts)


def _tables(counts: Mapping[str, int]) -> list[tuple[str, str]]:
    found = [("", "")]
    for section, (_, many) in SECTIONS.items():
        found += [(section, where(section, number + 1)) for number in range(counts.get(section, 0) if many else 1)]
    return found


def open_document(raw: Mapping[str, Any], name: str) -> None:
    """Fills the fields from the raw tables of a case, and tells at once what is wrong with them.

    A key that no field has would otherwise vanish without a word.
    """
    found = folded(raw)[0]
    for one in _ALONE:
        if one in found:
            found[f"{one}s"] = found[one] if isinstance(found[one], list) else [found[one]]
            del found[one]
    counts = {
        section: len(found[section])
        for section, (_, many) in SECTIONS.items()
        if many and isinstance(found.get(section), list)
    }
    edition = current().edition + 1
    texts: dict[str, str] = {}
    for section, table in _tables(counts):
        given = found if not section else found.get(section, {})
        if isinstance(given, list):
            given = given[int(table.rpartition("[")[2].rstrip("]")) - 1]
        given = folded(given)[0] if isinstance(given, Mapping) else {}
        texts |= {f"{edition}/{table}.{key.key}": _as_typed(given.get(key.key, "")) for key in keys_of(section)}
    keep(Draft(name=name, counts=counts, texts=texts, edition=edition))
    try:
        read_case(found, file=name)
    except CaseError as error:
        answers.keep(CASE, answers.Answer(asked="", mistakes=error.mistakes))
    else:
        answers.keep(CASE, None)


def open_log(content: str, name: str) -> None:
    """Takes the readings of a file for the open case."""
    keep(replace(current(), log=content, log_name=name))


def document() -> dict[str, Any]:
    """The raw tables of the case as it stands in the fields; empty fields and tables are left out."""
    found: dict[str, Any] = {VERSION_KEY: VERSION}
    for section, table in tables():
        given = {key.key: _raw(key, typed(table, key)) for key in keys_of(section)}
        given = {key: value for key, value in given.items() if value != ""}
        if not section:
            found |= given
        elif SECTIONS[section][1]:
            found.setdefault(section, []).append(given)
        elif given:
            found[section] = given
    return found


def change_count(section: str, by: int) -> None:
    """One table more or less of a repeated section; the last one goes."""
    draft = current()
    count = max(draft.counts.get(section, 0) + by, 0)
    keep(replace(draft, counts={**draft.counts, section: count}))


def inputs() -> dict[str, Any]:
    """All that a plan of this case is made from."""
    return {
        "case": document(),
        "log": current().log,
        AS_OF: _stands(as_of_place()),
        DRAWS: st.session_state.get(DRAWS, DEFAULT_DRAWS),
    }


def is_empty() -> bool:
    """Whether nothing was opened or typed yet."""
    return not any(typed(table, key) for section, table in tables() for key in keys_of(section))


def make_plan(progress: Callable[[float], None] | None = None) -> None:
    """The explicit act: the fields become a plan, or the mistakes that stand beside them."""
    given, draft = inputs(), current()

    def make() -> Plan:
        case = read_case(given["case"], file=draft.name)
        as_of = _time(given[AS_OF], case.zone) if given[AS_OF] else None
        log = read_log(draft.log, case=case, as_of=as_of, file=draft.log_name) if draft.log.strip() else ()
        return plan(case, readings=tuple(log), as_of=as_of, draws=given[DRAWS], progress=progress)

    answers.ask(CASE, given, make)


def _time(wanted: str, zone: Any) -> datetime:
    try:
        return parse_when(wanted, zone)
    except BadValue as bad:
        raise CaseError(AS_OF, [Mistake(where=AS_OF, read=bad.read, would_do=bad.would_do)]) from None


def _as_typed(value: Any) -> str:
    """A value of a file as a person would type it into its field."""
    if isinstance(value, bool):
        return YES if value else NO
    if isinstance(value, datetime):
        return value.isoformat(timespec="minutes")
    if isinstance(value, list):
        return ", ".join(map(str, value))
    return value.isoformat() if isinstance(value, date) else str(value)


def _raw(key: Key, given: str) -> Any:
    """What was typed as a file would have it."""
    if key.kind == Flag.words and given in {YES, NO}:
        return given == YES
    return int(given) if key.kind == Whole.words and given.isascii() and given.isdecimal() and len(given) < 9 else given
