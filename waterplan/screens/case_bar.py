"""What stands over a case on each page that shows it: open another, add readings, make the plan."""

import streamlit as st

from waterplan import tables
from waterplan.case.document import decoded, document_from_text, read_text
from waterplan.errors import CaseError
from waterplan.screens import draft, planning
from waterplan.screens.answers import answer
from waterplan.screens.look import at_work, plain
from waterplan.screens.reader import say

_DEMO, _UPLOAD, _LOG, _TROUBLE = "demo", "upload", "log", "trouble"


def open_another() -> None:
    """An invented case, a case file, or a file of readings for the open case."""
    with st.expander(say("open.title"), expanded=planning.is_empty()):
        one, two, three = st.columns(3)
        names = ["", *(path.name for path in sorted(tables.shipped("demo_ponds").glob("*.toml")))]
        one.selectbox(
            say("open.invented"), names, key=_DEMO, format_func=lambda name: name or say("open.none"), on_change=_demo
        )
        two.file_uploader(say("open.file"), type="toml", key=_UPLOAD, on_change=_file, max_upload_size=1)
        three.file_uploader(say("open.log"), type="csv", key=_LOG, on_change=_readings, max_upload_size=4)
        if draft.current().log:
            three.caption(plain(say("open.log is", name=draft.current().log_name)))
    if _TROUBLE in st.session_state:
        st.error(plain(st.session_state.pop(_TROUBLE)))


def act() -> None:
    """The time that the plan is made for, and the button that makes it."""
    one, two = st.columns([2, 1], vertical_alignment="bottom")
    draft.fill([planning.as_of_place()])
    one.text_input(say("as of"), key=planning.as_of_place(), placeholder="2026-05-14T09:30", help=say("as of help"))
    if two.button(say("make the plan"), type="primary", width="stretch", key="make"):
        with at_work() as told:
            planning.make_plan(told)
        st.rerun()  # so that each mistake stands beside its field
    kept = answer(planning.CASE)
    if kept is not None and kept.plan is not None and kept.is_old(planning.inputs()):
        st.warning(say("edited"))


def open_file(name: str, content: bytes) -> None:
    """Opens a case file that was handed over; one that cannot be read leaves the open case as it is."""
    try:
        planning.open_document(document_from_text(decoded(content, file=name), file=name), name)
    except CaseError as error:
        st.session_state[_TROUBLE] = str(error)
    else:
        st.session_state[_DEMO] = ""


def _demo() -> None:
    name = st.session_state.get(_DEMO)
    if name:
        path = tables.shipped("demo_ponds") / name
        planning.open_document(document_from_text(read_text(path), file=name), name)


def _file() -> None:
    upload = st.session_state.get(_UPLOAD)
    if upload is not None:
        open_file(upload.name, upload.getvalue())


def _readings() -> None:
    upload = st.session_state.get(_LOG)
    try:
        content = decoded(upload.getvalue(), file=upload.name, what="log") if upload is not None else ""
    except CaseError as error:
        st.session_state[_TROUBLE] = str(error)
        return
    planning.open_log(content, upload.name if upload is not None else "")
