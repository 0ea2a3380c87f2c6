"""The volume of a pond or tub: enter a survey, a test or sizes, see the shore, get the answer and its certificate."""

from functools import partial
from typing import Any

import streamlit as st

from waterplan.case import write_case
from waterplan.case.describing import Key
from waterplan.case.document import decoded
from waterplan.case.volume.measurement import By, Measurement, Stood, Surfaced
from waterplan.case.volume.sizes import SIZE_KEYS, sizes_needed
from waterplan.errors import CaseError, ImpossibleInput
from waterplan.papers.drawings import Drawings
from waterplan.papers.whole_set import paper
from waterplan.plan.quick_volume import WHERE, quick_tracer_salt, quick_volume, shore_so_far
from waterplan.plan.record import Plan
from waterplan.screens import draft
from waterplan.screens.answers import answer, ask, dated, list_mistakes
from waterplan.screens.downloads import hand_out
from waterplan.screens.field import grid, keys_of, text
from waterplan.screens.look import at_work, plain, show, titled
from waterplan.screens.quick import choice, short, species, worked
from waterplan.screens.reader import say, speaker
from waterplan.vessel.forms import Plan as Outlined
from waterplan.vessel.forms import Profile

_FORM, _NAME = f"{draft.QUICK}volume/", "volume"
_UPLOAD, _TROUBLE = "soundings file", "soundings trouble"
# This page measures one water in one way; the parts of a pond are put together in the case.
_HIDDEN = frozenset(Measurement.known_keys()) | {"by"}
_CORRECTIONS = (frozenset(Stood.known_keys()) | frozenset(Surfaced.known_keys())) - _HIDDEN
_SIZES = frozenset(SIZE_KEYS.values())


def page() -> None:
    """One way of measuring at a time: fields, shore, answer, certificate, and the way into the open case."""
    titled(_NAME)
    by = By(choice(f"{_FORM}by", say("volume.by"), tuple(By), By.SOUNDINGS, say_of="volume.ways"))
    keys = _asked(by)
    kept = answer(_NAME)
    mistakes = kept.mistakes if kept else ()
    left, right = st.columns([3, 2])
    with left:
        if by is By.SOUNDINGS:
            _from_a_logger()
        shown = partial(grid, place=_place, where=WHERE, mistakes=mistakes)
        shown([key for key in keys if key.key not in _CORRECTIONS])
        further = [key for key in keys if key.key in _CORRECTIONS]
        if further:
            with st.expander(say("volume.corrections")):
                shown(further)
    table = {"by": by.value} | {key.key: typed for key in keys if (typed := text(_place(key)))}
    with right:
        if by is By.TRACER:
            _salt_to_weigh()
        _shore(table, kept.plan if kept and not kept.is_old(table) else None)
    if st.button(say("volume.work out"), type="primary", key="work volume"):
        with at_work() as told:
            ask(_NAME, table, partial(quick_volume, table, progress=told))
        st.rerun()  # so that each mistake stands beside its field
    if kept is not None:
        with dated(_NAME, table) as old:
            list_mistakes(kept.mistakes, leave_out=f"{WHERE}.")
            if kept.plan is not None:
                _answer(kept.plan, table, old=old)


def _place(key: Key) -> str:
    return f"{_FORM}{key.key}"


def _asked(by: By) -> list[Key]:
    """The fields of a way; of a shape only the sizes that its outline and profile take."""
    keys = [key for key in keys_of("volumes") if key.key not in _HIDDEN and (not key.by or by in key.by)]
    if by is not By.SHAPE:
        return keys
    try:
        plan, profile = (text(f"{_FORM}{key}") for key in ("plan", "profile"))
        sizes = sizes_needed(Outlined(plan), Profile(profile), shelves=bool(text(f"{_FORM}shelves")))
    except (ValueError, ImpossibleInput):
        sizes = ()
    return [key for key in keys if key.key not in _SIZES or key.key in sizes]


def _from_a_logger() -> None:
    """The soundings of a logger, from its file into the box."""
    st.file_uploader(say("volume.logger"), type=("csv", "txt"), key=_UPLOAD, on_change=_read_upload, max_upload_size=2)
    if _TROUBLE in st.session_state:
        st.error(plain(st.session_state.pop(_TROUBLE)))


def _read_upload() -> None:
    upload = st.session_state.get(_UPLOAD)
    if upload is None:
        return
    try:
        content = decoded(upload.getvalue(), file=upload.name, what="survey")
        st.session_state[f"{_FORM}soundings"] = content.replace("\r\n", "\n")
    except CaseError as error:
        st.session_state[_TROUBLE] = str(error)


def _salt_to_weigh() -> None:
    """Before the test: how much salt for a wanted certainty."""
    with st.container(border=True):
        st.subheader(say("volume.salt.title"))
        given: dict[str, Any] = {
            "volume": short("tracer/volume", say("volume.salt.volume"), "9000 L, owner's word"),
            "within": short("tracer/within", say("volume.salt.within"), "5 %"),
            "salinity": short("tracer/salinity", say("volume.salt.salinity"), "0.1 g/L, conductivity meter"),
            "species_name": species("tracer/species", say("volume.salt.species")),
        }
        for key in ("plants", "zeolite"):
            given[key] = st.checkbox(say(f"volume.salt.{key}"), key=f"{draft.QUICK}tracer/{key}")
        worked("tracer", given, partial(quick_tracer_salt, **given))


def _shore(table: dict[str, str], plan: Plan | None) -> None:
    """The shore of the answer, or as it has been typed so far."""
    drawn = plan if plan is not None and any(one.outline_m for one in plan.volumes) else shore_so_far(table)
    if drawn is not None:
        chart = Drawings(speaker(drawn)).pond(drawn.volumes[0], width=300, tallest=420)
        st.altair_chart(chart, width="content", theme=None)
        st.caption(say("volume.shore"))
    elif any(key.key == "outline" for key in _asked(By(table["by"]))):
        st.info(say("volume.no shore"))


def _answer(plan: Plan, table: dict[str, str], *, old: bool) -> None:
    marked = speaker(plan, marked=True)
    show("volume", marked)
    one, two, _ = st.columns(3)
    hand_out("volume.html", partial(paper, "volume.html", Drawings(marked)), old=old, into=one)
    two.button(
        say("volume.into case"), on_click=_into_case, args=(table,), width="stretch", disabled=old, key="into case"
    )
    with st.expander(say("volume.as a file")):
        written = write_case({"volumes": [{"of": "home pond", **table}]}).partition("\n\n")[2]
        st.code(written, language="toml")


def _into_case(table: dict[str, str]) -> None:
    """A further table of [[volumes]] in the open case, for its home pond."""
    draft.add("volumes", {"of": "home pond", **table})
