"""The tank through time: the days of the open case, what if something fails, the salt, the size, and each tub's clock."""

from collections.abc import Callable, Mapping
from copy import deepcopy
from dataclasses import dataclass
from typing import Any

import streamlit as st

from waterplan import tables
from waterplan.charts.clocks import clock_chart
from waterplan.charts.safe_region import region_chart
from waterplan.charts.through_time import course_chart, states_of
from waterplan.errors import CaseError
from waterplan.first_plan.first_case.model import Case
from waterplan.first_plan.first_case.reading import case_from_document
from waterplan.first_plan.first_case.schema import SECTIONS, Use
from waterplan.first_plan.first_case.writing import document_to_text
from waterplan.first_plan.tank_ahead import Ahead, ahead, clocks
from waterplan.first_plan.tank_course import TankCourse
from waterplan.first_plan.tank_events import WhatIf
from waterplan.first_plan.whole import Plan
from waterplan.papers.sheet import DEFER
from waterplan.papers.tank_papers import course_words, events_of, ledger
from waterplan.screens import draft
from waterplan.screens.draft import QUICK
from waterplan.screens.look import plain, small
from waterplan.screens.units_choice import display_choice
from waterplan.units import Display

_FORM, _KEPT, _SHOWN = f"{QUICK}tank/", "tank courses", "tank shown"
# A session keeps the bands of a few courses and what they were made of, not their draws.
_MOST_KEPT = 4
_STATES_AT_FIRST = ("do_mg_per_l", "nh3_mg_n_per_l", "water_temp_c")
# What may be tried without touching the case: section, key.
_TRIED = (
    ("vessels", "air"),
    ("intended", "temperature"),
    ("intended", "salt"),
    ("intended", "feed"),
    ("intended", "days"),
)
# A chart as wide as its column counts title and axis into its height.
_CHART_PX, _CLOCK_PX, _REGION_PX = 320, 200, 460


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shown:
    """The course on the page, what it was asked for, and what was wrong with what was tried."""

    plan: Plan
    given: str
    days: Ahead | None = None
    wrong: tuple[str, ...] = ()


def page() -> None:
    """The course of the stay and its pictures, for the case that is open on the first page."""
    st.title("Tank through time")
    st.html(small(DEFER))
    display, plan = display_choice(), draft.current().plan
    if plan is None:
        st.info(
            "Open a case on the page “Recovery and hospital tank” and press “Make the plan”: its days are shown here."
        )
        return
    st.html(small(f"The open case: {plan.case.patient.name or plan.case.patient.species}, {draft.current().name}."))
    if draft.is_edited():
        st.warning("The case was edited after its plan was made. This page shows the case as it was planned.")
    course, salt, size, air = st.tabs(["Course", "Salt", "Size of the tank", "If the air stops"])
    with course:
        _ask(plan)
    shown: _Shown | None = st.session_state.get(_SHOWN)
    if shown is not None and shown.plan is not plan:
        shown = None
    with course:
        _course(shown, display)
    with salt:
        _salt(shown, display)
    with size:
        _size(plan, display)
    with air:
        _clocks(plan, display)


# -- what is asked for ----------------------------------------------------------------------------------------------


def _ask(plan: Plan) -> None:
    key = f"{_FORM}what if"
    st.session_state.setdefault(key, WhatIf.NOTHING)
    what_if = WhatIf(st.selectbox("What happens", list(WhatIf), key=key) or WhatIf.NOTHING)
    with st.expander("Try other values; the case stays as it is"):
        changes = _tried(plan)
    if st.button("Work out the course", type="primary", key="work tank"):
        st.session_state[_SHOWN] = _work_out(plan, what_if, changes)


def _tried(plan: Plan) -> dict[tuple[str, str], str]:
    """The values that are tried, each in the case's own words where it is left empty."""
    document, found = draft.current().planned, {}
    for number, (section, key) in enumerate(_TRIED):
        if number % 3 == 0:
            columns = st.columns(3)
        field = SECTIONS[section].field(key)
        assert field is not None  # by construction of the schema
        stands = str(_table_of(document, section, plan.case).get(key, "")) or "not said"
        with columns[number % 3]:
            text = st.text_input(
                f"{field.words[:1].upper()}{field.words[1:]}",
                key=f"{_FORM}{section}.{key}",
                placeholder=f"{stands}, as in the case",
                help=f"Such as {field.example}. Empty: as in the case.",
            )
        if text.strip():
            found[section, key] = text.strip()
    return found


def _table_of(document: Mapping[str, Any], section: str, case: Case) -> Mapping[str, Any]:
    """The case's table of a section; of the vessels, that of the hospital tank."""
    if section != "vessels":
        return document.get(section, {})  # type: ignore[no-any-return]
    tanks = case.vessels_for(Use.HOSPITAL)
    named = [one for one in document.get(section, []) if tanks and one.get("name") == tanks[0].name]
    return named[0] if named else {}


def _work_out(plan: Plan, what_if: WhatIf, changes: Mapping[tuple[str, str], str]) -> _Shown:
    """The course of the case or of what is tried, from the few that are kept or worked out now."""
    given = "; ".join([what_if, *(f"{key} {text}" for (_, key), text in changes.items())])
    case = None
    document: dict[str, Any] = deepcopy(dict(draft.current().planned))
    if changes:
        for (section, key), text in changes.items():
            table = _table_of(document, section, plan.case) or document.setdefault(section, {})
            if isinstance(table, dict):
                table[key] = text
        try:
            case = case_from_document(document, file=draft.current().name)
        except CaseError as error:
            wrong = tuple(f"{one.where}: read {one.read}; {one.would_do}." for one in error.mistakes)
            return _Shown(plan=plan, given=given, wrong=wrong)
    kept: dict[tuple[object, ...], Ahead] = st.session_state.setdefault(_KEPT, {})
    made_of = (document_to_text(document), what_if, plan.draws, plan.seed, plan.as_of, len(plan.pictures.readings))
    if made_of not in kept:
        kept[made_of] = _with_progress(plan, case, what_if)
        while len(kept) > _MOST_KEPT:
            del kept[next(iter(kept))]
    return _Shown(plan=plan, given=given, days=kept[made_of])


def _with_progress(plan: Plan, case: Case | None, what_if: WhatIf) -> Ahead:
    bar = st.progress(0.0, text="Working out the course of the tank")
    try:
        return ahead(plan, case=case, what_if=what_if, progress=_in_steps(bar.progress))
    finally:
        bar.empty()


def _in_steps(tell: Callable[..., object]) -> Callable[[float], None]:
    """Tells every fiftieth part and not every hour of a stay: each word goes over the wire."""
    told = -1

    def progress(share: float) -> None:
        nonlocal told
        if int(share * 50) > told:
            told = int(share * 50)
            tell(min(max(share, 0.0), 1.0), text="Working out the course of the tank")

    return progress


# -- what is shown --------------------------------------------------------------------------------------------------


def _course(shown: _Shown | None, display: Display) -> None:
    if shown is None:
        st.info("Press “Work out the course” to see oxygen, ammonia, salt and the rest from the first day to the last.")
        return
    st.html(small(f"For {shown.given}:"))
    for wrong in shown.wrong:
        st.error(plain(wrong))
    if shown.days is None:
        return
    if shown.days.course is None:
        st.error(plain(f"No course: {display.render(shown.days.why_not)}"))
        return
    made = shown.days.course
    for caution in made.cautions:
        (st.error if caution.serious else st.warning)(plain(display.render(caution.text)))
    rest = course_words(shown.days, display)[len(made.cautions) :]
    st.markdown("\n".join(f"- {plain(text)}" for text in rest))
    _pictures(made, display)
    with st.expander("What happened, and when"):
        st.table(
            [{"when": when, "what": plain(words)} for when, words in events_of(made)],
            border="horizontal",
            hide_index=True,
        )
    with st.expander("What was assumed, and what it is founded on"):
        for remark in made.trail.remarks:
            st.markdown(f"- {plain(display.render(remark))}")
        who = dict.fromkeys(tables.short_source(citation.source) for citation in made.trail.citations)
        st.html(small(f"Founded on ({made.trail.status}): {'; '.join(who)}. {made.draws} draws, seed {made.seed}."))


def _pictures(made: TankCourse, display: Display) -> None:
    words = states_of(made)
    key = f"{_FORM}states"
    chosen = [one for one in st.session_state.get(key, _STATES_AT_FIRST) if one in words]
    st.session_state[key] = chosen
    states = st.multiselect("Show", list(words), key=key, format_func=lambda one: words[one])
    if not states:
        st.info("Choose at least one to see it.")
    for state in states:
        st.altair_chart(course_chart(made, state, display, height=_CHART_PX), width="stretch", theme=None)
    st.html(small("Line: best figures. Band: 5th to 95th percentile. Below, a line for each kind of event."))


def _salt(shown: _Shown | None, display: Display) -> None:
    if shown is None or shown.days is None or shown.days.course is None:
        st.info("Work out the course first: its salt is added up here, line by line.")
        return
    names = ("when", "what", "in", "out", "tank holds", "level")
    # A number keeps its unit beside it on a phone.
    rows = [
        dict(zip(names, (*line[:2], *(cell.replace(" ", "\N{NO-BREAK SPACE}") for cell in line[2:])), strict=True))
        for line in ledger(shown.days.course, display)
    ]
    st.html(
        small(f"By the best figures, for {shown.given}. In: what was weighed, and what new water brings by itself.")
    )
    st.table([{name: plain(cell) for name, cell in row.items()} for row in rows], border="horizontal", hide_index=True)


def _size(plan: Plan, display: Display) -> None:
    region = plan.pictures.region
    if region is None:
        st.info("Give the weight or length of the fish and the temperature and pH of its water to see it.")
        return
    chart = region_chart(region, display, height=_REGION_PX)
    answer = next((one for one in plan.findings if one.key == "tank"), None)
    if answer is not None:
        st.markdown(f"**{plain(answer.title)}** ({answer.verdict}): {plain(display.render(answer.answer))}")
    if chart is None:
        st.error("No tank of any size serves this fish: the water itself is at or past a limit.")
    else:
        st.altair_chart(chart, width="stretch", theme=None)


def _clocks(plan: Plan, display: Display) -> None:
    made = clocks(plan)
    if not made:
        st.info("Give the litres, the temperature and the fish's weight or length: no tub's time can be told yet.")
    for first in range(0, len(made), 2):
        for column, clock in zip(st.columns(2), made[first : first + 2], strict=False):
            with column:
                st.altair_chart(clock_chart(clock, display, height=_CLOCK_PX), width="stretch", theme=None)
                if clock.back_up:
                    st.html(small(f"Back-up: {display.render(clock.back_up)}"))
    if made:
        st.html(
            small(
                "Early ends of the bands, the fish handled, nothing counted for the surface. Signs of the fish come first."
            )
        )
