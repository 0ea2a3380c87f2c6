"""From a file to the fields, and from the fields to a plan."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date, datetime
from typing import Any

import streamlit as st

from waterplan.case import read_case, read_log
from waterplan.case.describing import Key
from waterplan.case.document import document_from_text, folded
from waterplan.case.kinds import Flag, Whole
from waterplan.case.model import Case
from waterplan.case.reading import ALONE, SECTIONS, VERSION, VERSION_KEY
from waterplan.case.times import parse_when
from waterplan.case.values import BadValue
from waterplan.errors import CaseError, Mistake
from waterplan.plan.record import Plan
from waterplan.plan.since import since
from waterplan.plan.whole import plan
from waterplan.screens import answers, draft
from waterplan.screens.draft import Draft
from waterplan.screens.field import NO, YES, keys_of
from waterplan.spread import DEFAULT_DRAWS

CASE, AS_OF, DRAWS, WAITING = "case", "as_of", "draws", "waits to be opened"


def open_text(content: str, name: str) -> None:
    """Opens a case file; where something is typed that is in no file, only once the question is answered."""
    found = folded(document_from_text(content, file=name))[0]
    if is_saved():
        _fill(found, name)
    else:
        st.session_state[WAITING] = (found, name)


def new_case() -> None:
    """An empty form; where something is typed that is in no file, only once the question is answered."""
    if is_saved():
        _empty()
    else:
        st.session_state[WAITING] = ({}, "")


def answer_waiting(*, overwrite: bool) -> None:
    """What was typed goes for the case that waits, or stays."""
    found, name = st.session_state.pop(WAITING, ({}, ""))
    if overwrite and name:
        _fill(found, name)
    elif overwrite:
        _empty()


def is_saved() -> bool:
    """Whether all that was typed is in a file, or nothing was: the fields, and the readings written down."""
    return _written() == draft.current().saved and draft.current().log == draft.current().saved_log


def mark_saved() -> None:
    """Notes that what stands in the fields is in a file."""
    draft.keep(replace(draft.current(), saved=_written()))


def _written() -> dict[str, str]:
    """What stands in the fields, by table and key; a table that may stand more than once is there with nothing in it too."""
    found: dict[str, str] = {}
    for section, table in draft.tables():
        if section and SECTIONS[section][1]:
            found[table] = ""
        found |= {f"{table}.{key}" if table else key: text for key, text in draft.texts_of(section, table).items()}
    # An empty form has one patient of whom nothing is said: that is nothing.
    return {} if found == {"patients[1]": ""} else found


def _empty() -> None:
    draft.keep(Draft(edition=draft.current().edition + 1))
    answers.keep(CASE, answers.Answer())


def _fill(found: dict[str, Any], name: str) -> None:
    """Fills the fields from the tables of a case, and tells at once what is wrong with it.

    A key that no field has would otherwise vanish without a word.
    """
    for section, one in ALONE.items():
        if one in found:
            given = found.pop(one)
            found[section] = given if isinstance(given, list) else [given]
    # Each table of the form with what the file says in it; a repeated section that is no list has none.
    rows, counts = [found], {}
    for section, (_, many) in SECTIONS.items():
        given = found.get(section)
        if many:
            given = given if isinstance(given, list) else []
            counts[section] = len(given)
        rows += given if many else [given]
    edition = draft.current().edition + 1
    texts: dict[str, str] = {}
    for (section, table), row in zip(draft.tables(counts), rows, strict=True):
        given = folded(row)[0] if isinstance(row, Mapping) else {}
        texts |= {f"{edition}/{table}.{key.key}": _as_typed(given.get(key.key, "")) for key in keys_of(section)}
    draft.keep(Draft(name=name, counts=counts, texts=texts, edition=edition))
    mark_saved()
    mistakes: tuple[Mistake, ...] = ()
    try:
        read_case(found, file=name)
    except CaseError as error:
        mistakes = error.mistakes
    answers.keep(CASE, answers.Answer(mistakes=mistakes, tried=inputs()))


def document() -> dict[str, Any]:
    """The raw tables of the case as it stands in the fields; empty fields and tables are left out."""
    found: dict[str, Any] = {VERSION_KEY: VERSION}
    for section, table in draft.tables():
        texts = draft.texts_of(section, table)
        given = {key.key: _raw(key, texts[key.key]) for key in keys_of(section) if key.key in texts}
        if not section:
            found |= given
        elif SECTIONS[section][1]:
            found.setdefault(section, []).append(given)
        elif given:
            found[section] = given
    return found


def inputs() -> dict[str, Any]:
    """All that a plan of this case is made from, flat."""
    return {
        **_written(),
        "log": draft.current().log,
        AS_OF: draft.typed("", AS_OF),
        DRAWS: st.session_state.get(DRAWS, DEFAULT_DRAWS),
    }


def is_empty() -> bool:
    """Whether nothing was opened or typed yet."""
    return not any(_written().values())


def make_plan(progress: Callable[[float], None]) -> bool:
    """The explicit act: the fields become a plan, or the mistakes that stand beside them; whether it became one."""
    given, raw = inputs(), document()
    last = answers.answer(CASE).plan

    def make() -> Plan:
        case = read_case(raw, file=draft.current().name)
        made = plan(case, **log_and_time(case), draws=given[DRAWS], progress=progress)
        return made if last is None else _since(made, last)

    answers.ask(CASE, given, make)
    return not answers.answer(CASE).mistakes


def log_and_time(case: Case) -> dict[str, Any]:
    """What a plan is made from beside its case: the readings written down since, and the time of the plan."""
    now, when = draft.current(), draft.typed("", AS_OF)
    try:
        as_of = parse_when(when, case.zone) if when else None
    except BadValue as bad:
        raise CaseError.of(AS_OF, where=AS_OF, read=bad.read, would_do=bad.would_do) from None
    log = read_log(now.log, case=case, as_of=as_of, file=now.log_name) if now.log.strip() else ()
    return {"readings": tuple(log), "as_of": as_of}


def _since(made: Plan, last: Plan) -> Plan:
    """The plan with what reads differently than in the last one; by itself where that was of another fish or time."""
    try:
        return since(made, last)
    except CaseError:
        return made


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
