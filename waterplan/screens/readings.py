"""Readings taken since: typed beside the tub, or from a file that is shown before it is taken; kept with the case."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

import streamlit as st

from waterplan.case import read_case
from waterplan.case.log import COLUMNS, Log, read_log, written_log
from waterplan.case.model import Case, Logged
from waterplan.case.waters import WATER_KEYS
from waterplan.errors import CaseError
from waterplan.screens import draft, going, kept, planning
from waterplan.screens.answers import answer, digest, list_mistakes, mistake_words
from waterplan.screens.case_form import save_log
from waterplan.screens.field import keys_of, tell_trouble, text, upload
from waterplan.screens.going import WATER, WHAT, asked_for
from waterplan.screens.quick_sums import choice
from waterplan.screens.reader import plain, say, show, table, titled
from waterplan.words.speaker import capital

_NAME, _WAITS, _REFUSED, _GONE = "readings", "readings wait", "reading refused", "reading gone"
_MOST = 40


def page() -> None:
    """What to write down, a file, what is written down already, and what has changed in the plan since."""
    titled(_NAME)
    try:
        case = read_case(planning.document(), file=draft.current().name)
    except CaseError as error:
        st.error(say("readings.case first"))
        list_mistakes(error.mistakes)
        going.link("case", say("case.title"))
        return
    left, right = st.columns(2, gap="large")
    with left:
        _typed(case)
    with right:
        _file(case)
    _written(case)
    plan = answer(planning.CASE).plan
    if plan is not None and plan.changes is not None:
        show("since", plan)


def _typed(case: Case) -> None:
    """One reading, with its day and time from a picker; what is wrong with it stands under it."""
    keys = {one.key: one for one in keys_of("home_water") if one.key in WATER_KEYS}
    st.header(say("readings.type"), anchor=False)
    water, what = asked_for(WATER, WHAT)
    named = {case.names.water(name): name for name in case.names.known}
    if water in named:
        st.session_state[_place("water")] = named[water]
    if what in keys:
        st.session_state[_place("what")] = what
    choice(f"{_NAME}/water", say("readings.water"), case.names.known, case.names.known[0])
    one, two = st.columns(2)
    with one:
        what = st.selectbox(
            say("readings.what"), list(keys), key=_place("what"), format_func=lambda key: capital(keys[key].name)
        )
    with two:
        st.text_input(say("readings.value"), key=_place("value"), placeholder=keys[what].example)
    now = datetime.now(case.zone).replace(second=0, microsecond=0)
    one, two = st.columns(2)  # a row of its own, so that on a phone the value stands under what it is of
    with one:
        st.session_state.setdefault(_place("day"), now.date())
        st.date_input(say("readings.day"), key=_place("day"), format="DD/MM/YYYY")
    with two:
        st.session_state.setdefault(_place("time"), now.time())
        st.time_input(say("readings.time"), key=_place("time"), step=300)
    st.button(say("readings.write"), type="primary", key="write reading", on_click=_write, args=(case,))
    for mistake in st.session_state.pop(_REFUSED, ()):
        st.error(mistake_words(mistake))


def _place(name: str) -> str:
    return f"{kept.QUICK}{_NAME}/{name}"


def _write(case: Case) -> None:
    """Takes the reading that was typed, unless it cannot be read."""
    day, at = (st.session_state.get(_place(name)) for name in ("day", "time"))
    taken = datetime.combine(day, at).isoformat(timespec="minutes") if day and at else ""
    cells = (taken, text(_place("water")), text(_place("what")), text(_place("value")))
    quoted = ",".join('"' + cell.replace('"', '""') + '"' for cell in cells)
    try:
        log = read_log(f"{','.join(COLUMNS)}\n{quoted}\n", case=case, leniently=True)
    except CaseError as error:
        st.session_state[_REFUSED] = error.mistakes
        return
    if log.left_out or not log.rows:
        st.session_state[_REFUSED] = log.left_out
        return
    _take(case, log)
    st.session_state[_place("value")] = ""


def _take(case: Case, log: Log) -> None:
    """Adds readings to those that there are; the same reading counts once."""
    there = _there(case)
    _keep(written_log(dict.fromkeys((*there.rows, *log.rows))), draft.current().log_name or "readings.csv")


def _keep(content: str, name: str) -> None:
    """Puts readings in place of those that the open case has."""
    draft.keep(replace(draft.current(), log=content, log_name=name))


def _there(case: Case) -> Log:
    log = draft.current().log
    return read_log(log, case=case, leniently=True) if log.strip() else Log()


def _file(case: Case) -> None:
    """A file, and before any of it is taken what would be."""
    st.header(say("readings.file"), anchor=False)
    upload(say("open.log"), ("csv",), "log", _wait, what="log", mb=4)
    tell_trouble()
    waiting = st.session_state.get(_WAITS, "")
    if not waiting:
        return
    try:
        log = read_log(waiting, case=case, leniently=True)
    except CaseError as error:
        list_mistakes(error.mistakes)
        return
    st.markdown(say("readings.taken", n=len(log.rows)))
    _table(case, log)
    if log.left_out:
        st.markdown(say("readings.refused", n=len(log.left_out)))
        why = {one.where: say("mistake", read=one.read, would_do=one.would_do) for one in log.left_out[:_MOST]}
        table([{say("readings.row"): row, say("readings.why"): told} for row, told in why.items()])
    if log.rows:
        st.button(say("readings.take", n=len(log.rows)), key="take readings", on_click=_take_waiting, args=(case, log))


def _wait(content: str, name: str) -> None:
    st.session_state[_WAITS] = content.rstrip("\n") + "\n" if name else ""


def _take_waiting(case: Case, log: Log) -> None:
    _take(case, log)
    st.session_state.pop(_WAITS, None)


def _written(case: Case) -> None:
    """What is written down, the last first, and the file of it."""
    log = _there(case)
    if gone := st.session_state.pop(_GONE, ""):
        st.success(say("readings.gone", named=plain(gone)))
    if not log.rows:
        st.info(say("readings.none"))
        return
    st.header(say("readings.there", n=len(log.rows)), anchor=False)
    _table(case, log)
    save_log(key="save readings")
    with st.container(horizontal=True, vertical_alignment="bottom"):
        named = [" · ".join(cells.values()) for cells in _cells(case, log.rows)]
        number = st.selectbox(
            say("readings.which"),
            range(len(named))[::-1],
            format_func=named.__getitem__,
            key=f"away of {digest(written_log(log))}",
        )
        st.button(say("readings.drop"), key="drop reading", on_click=_drop, args=(log, number, named[number]))


def _drop(log: Log, number: int, named: str) -> None:
    rest = [row for other, row in enumerate(log.rows) if other != number]
    _keep(written_log(rest) if rest else "", draft.current().log_name)
    st.session_state[_GONE] = named


def _table(case: Case, log: Log) -> None:
    table(_cells(case, log.rows[-_MOST:])[::-1])
    if len(log.rows) > _MOST:
        st.caption(say("changes more", n=len(log.rows) - _MOST))


def _cells(case: Case, rows: Sequence[Logged]) -> list[dict[str, str]]:
    """Readings in words, by the heads of the table."""
    words = {one.key: capital(one.name) for one in keys_of("home_water")}
    names = {case.names.need_water(name): name for name in case.names.known}
    heads = [say(f"readings.{head}") for head in ("when", "water", "what", "value")]
    told = (
        (f"{row.taken:%d %b %H:%M}", names.get(row.water, row.water), words[row.key], row.reading.text) for row in rows
    )
    return [dict(zip(heads, cells, strict=True)) for cells in told]
