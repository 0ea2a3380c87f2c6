"""The volume of a pond or tub: enter a survey, a test or sizes, see the shore, get the answer and its certificate."""

from functools import partial
from typing import Any

import streamlit as st

from waterplan.case import write_case
from waterplan.case.describing import Key
from waterplan.case.volume.measurement import By, Measurement, Stood, Surfaced
from waterplan.case.volume.sizes import SIZE_KEYS, sizes_needed
from waterplan.errors import ImpossibleInput
from waterplan.papers.drawings import Drawings
from waterplan.plan.quick_volume import WHERE, quick_tracer_salt, quick_volume, shore_so_far
from waterplan.plan.record import Plan
from waterplan.screens import draft
from waterplan.screens.answers import answer, ask, dated, list_mistakes
from waterplan.screens.downloads import hand_out
from waterplan.screens.field import grid, keys_of, tell_trouble, text, upload
from waterplan.screens.quick_sums import choice, short, species, worked
from waterplan.screens.reader import at_work, say, show, speaker, titled
from waterplan.vessel.forms import Plan as Outlined
from waterplan.vessel.forms import Profile

_NAME = "volume"
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
    left, right = st.columns([3, 2])
    with left:
        if by is By.SOUNDINGS:
            upload(say("volume.logger"), ("csv", "txt"), "soundings file", _take_soundings, what="survey", mb=2)
            tell_trouble()
        shown = partial(grid, place=_place, where=WHERE, mistakes=kept.mistakes)
        shown([key for key in keys if key.key not in _CORRECTIONS])
        further = [key for key in keys if key.key in _CORRECTIONS]
        if further:
            with st.expander(say("volume.corrections")):
                shown(further)
    table = {"by": by.value} | {key.key: typed for key in keys if (typed := text(_place(key.key)))}
    with right:
        if by is By.TRACER:
            _salt_to_weigh()
        _shore(table, None if kept.is_old(table) else kept.plan)
    if st.button(say("volume.work out"), type="primary", key="work volume"):
        with at_work() as told:
            ask(_NAME, table, partial(quick_volume, table, progress=told))
        st.rerun()  # so that each mistake stands beside its field
    if kept.asked:
        with dated(_NAME, table) as old:
            list_mistakes(kept.mistakes, leave_out=f"{WHERE}.")
            if kept.plan is not None:
                _answer(kept.plan, table, old=old)


def _place(key: str) -> str:
    return f"{draft.QUICK}{_NAME}/{key}"


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
    """The soundings of a logger, from its file into the box."""
    if name:
        st.session_state[_place("soundings")] = content.replace("\r\n", "\n")


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
    show(_NAME, plan)
    measured = {"of": "home pond", **table}
    one, two, _ = st.columns(3)
    with one:
        hand_out("volume.html", plan, old=old)
    # A further table of [[volumes]] in the open case, for its home pond.
    put = partial(draft.add, "volumes", measured)
    two.button(say("volume.into case"), on_click=put, width="stretch", disabled=old, key="into case")
    with st.expander(say("volume.as a file")):
        st.code(write_case({"volumes": [measured]}).partition("\n\n")[2], language="toml")
