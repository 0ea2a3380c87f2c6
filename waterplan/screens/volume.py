"""The volume of a pond or tub: enter a survey, a test or sizes, see the shore, get the answer and its certificate."""

from functools import partial
from typing import Any

import streamlit as st

from waterplan.case.describing import Key
from waterplan.case.volume.measurement import By, Measurement, Stood, Surfaced
from waterplan.case.volume.sizes import SIZE_KEYS, sizes_needed
from waterplan.errors import ImpossibleInput
from waterplan.papers.drawings import Drawings
from waterplan.plan.quick_volume import WHERE, quick_tracer_salt, quick_volume, shore_so_far
from waterplan.plan.record import Plan
from waterplan.screens import draft, kept
from waterplan.screens.answers import answer, ask, dated, list_mistakes
from waterplan.screens.downloads import hand_out
from waterplan.screens.field import grid, keys_of, question, tell_trouble, text, upload
from waterplan.screens.quick_sums import choice, short, species, worked
from waterplan.screens.reader import at_work, plain, say, show, speaker, titled
from waterplan.vessel.forms import Plan as Outlined
from waterplan.vessel.forms import Profile

_NAME, _WAITING = "volume", "soundings wait"
_SAID = "put into the case"
# This page measures one water in one way; the parts of a pond are put together in the case.
_HIDDEN = frozenset(Measurement.known_keys()) | {"by"}
_CORRECTIONS = (frozenset(Stood.known_keys()) | frozenset(Surfaced.known_keys())) - _HIDDEN
_SIZES = frozenset(SIZE_KEYS.values())


def page() -> None:
    """One way of measuring at a time: fields, shore, answer, certificate, and the way into the open case."""
    titled(_NAME)
    by = By(choice(f"{_NAME}/by", say("volume.by"), tuple(By), By.SOUNDINGS, say_of="volume.ways"))
    keys = _asked(by)
    kept = answer(_NAME)
    table = {"by": by.value} | {key.key: typed for key in keys if (typed := text(_place(key.key)))}
    mistakes = kept.wrong(table)
    left, right = st.columns([3, 2])
    with left:
        if by is By.SOUNDINGS:
            upload(say("volume.logger"), ("csv", "txt"), "soundings file", _take_soundings, what="survey", mb=2)
            tell_trouble()
            if _WAITING in st.session_state:
                question(say("volume.question"), _answer_waiting)
        shown = partial(grid, across=2, place=_place, where=WHERE, mistakes=mistakes)
        shown([key for key in keys if key.key not in _CORRECTIONS])
        further = [key for key in keys if key.key in _CORRECTIONS]
        if further:
            wrong = {one.where.rpartition(".")[2] for one in kept.mistakes} & _CORRECTIONS
            with st.expander(say("volume.corrections"), expanded=bool(wrong)):
                shown(further)
    with right:
        if by is By.TRACER:
            _salt_to_weigh()
        _shore(table, None if kept.is_old(table) else kept.plan)
    if st.button(say("volume.work out"), type="primary", key="work volume"):
        with at_work() as told:
            ask(_NAME, table, partial(quick_volume, table, progress=told))
        st.rerun()  # so that each mistake stands beside its field
    list_mistakes(mistakes)
    if kept.plan is not None:
        with dated(_NAME, table) as old:
            _answer(kept.plan, table, old=old)


def _place(key: str) -> str:
    return f"{kept.QUICK}{_NAME}/{key}"


def _asked(by: By) -> list[Key]:
    """The fields of a way; of a shape only the sizes that its outline and profile take."""
    keys = [key for key in keys_of("volumes") if key.key not in _HIDDEN and (not key.by or by in key.by)]
    if by is not By.SHAPE:
        return keys
    try:
        plan, profile = (text(_place(key)) for key in ("plan", "profile"))
        sizes = sizes_needed(Outlined(plan), Profile(profile), shelves=bool(text(_place("shelves"))))
    except (ValueError, ImpossibleInput):
        sizes = ()
    return [key for key in keys if key.key not in _SIZES or key.key in sizes]


def _take_soundings(content: str, name: str) -> None:
    """The soundings of a logger, from its file into the box; over typed ones only once the question is answered."""
    rows = content.replace("\r\n", "\n")
    if name and text(_place("soundings")) not in {"", rows.strip()}:
        st.session_state[_WAITING] = rows
    elif name:
        st.session_state[_place("soundings")] = rows


def _answer_waiting(*, overwrite: bool) -> None:
    rows = st.session_state.pop(_WAITING, "")
    if overwrite:
        st.session_state[_place("soundings")] = rows


def _salt_to_weigh() -> None:
    """Before the test: how much salt for a wanted certainty."""
    with st.container(border=True):
        st.header(say("volume.salt.title"), anchor=False)
        given: dict[str, Any] = {
            "volume": short("tracer/volume", say("volume.salt.volume"), "9000 L, owner's word"),
            "within": short("tracer/within", say("volume.salt.within"), "5 %"),
            "salinity": short("tracer/salinity", say("volume.salt.salinity"), "0.1 g/L, conductivity meter"),
            "species_name": species("tracer/species", say("volume.salt.species")),
        }
        for key in ("plants", "zeolite"):
            given[key] = st.checkbox(say(f"volume.salt.{key}"), key=f"{kept.QUICK}tracer/{key}")
        worked("tracer", given, partial(quick_tracer_salt, **given))


def _shore(table: dict[str, str], plan: Plan | None) -> None:
    """The shore of the answer, or as it has been typed so far."""
    drawn = plan if plan is not None and any(one.outline_m for one in plan.volumes) else shore_so_far(table)
    if drawn is not None:
        chart = Drawings(speaker(drawn)).pond(drawn.volumes[0], width=300, tallest=420)
        st.vega_lite_chart(chart, width="content", theme=None)
        st.caption(say("volume.shore"))
    elif any(key.key == "outline" for key in _asked(By(table["by"]))):
        st.info(say("volume.no shore"))


def _answer(plan: Plan, table: dict[str, str], *, old: bool) -> None:
    show(_NAME, plan)
    one, two, three = st.columns(3, vertical_alignment="bottom")
    with one:
        hand_out("volume.html", plan, old=old)
    tubs = [draft.typed(name, "name") for section, name in draft.tables() if section == "vessels"]
    water = two.selectbox(say("volume.of"), ["home pond", *filter(None, tubs)], key="into which")
    measured = {"of": water or "home pond", **table}
    # A further table of [[volumes]] in the open case.
    three.button(
        say("volume.into case"), on_click=_put, args=(measured,), width="stretch", disabled=old, key="into case"
    )
    if said := st.session_state.pop(_SAID, ""):
        st.success(said)


def _put(measured: dict[str, str]) -> None:
    """A measurement goes into the open case once, and it is said into which case and for which water."""
    word = "put" if draft.add("volumes", measured) else "there already"
    case = draft.typed("patients[1]", "name") or draft.current().name
    st.session_state[_SAID] = say(f"volume.{word}", case=plain(case), water=plain(measured["of"]))
