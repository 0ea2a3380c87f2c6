"""The recovery and the hospital tank of one patient: the case, the plan, the pages to print."""

from dataclasses import dataclass
from functools import partial

import streamlit as st

from waterplan import tables
from waterplan.charts.oxygen import decline_chart, saturation_chart
from waterplan.charts.tank_view import tank_chart
from waterplan.errors import CaseError
from waterplan.first_plan.first_case.reading import document_from_text, read_document
from waterplan.first_plan.first_case.writing import document_to_text
from waterplan.first_plan.tank_ahead import ahead
from waterplan.first_plan.whole import Plan
from waterplan.papers.sheet import DEFER, TITLES, sheet
from waterplan.papers.tank_papers import contingency_page, hospital_page
from waterplan.papers.write import fragment, owner_page, plan_page, tub_cards, volume_page
from waterplan.screens import draft
from waterplan.screens.case_form import case_form
from waterplan.screens.look import plain, small, told
from waterplan.screens.units_choice import display_choice
from waterplan.units import Display

_MADE = "papers with the days of the tank"
# Of the time that these papers take, the course of the tank takes about so much; the rest is drawing.
_COURSE_SHARE = 0.6


@dataclass(frozen=True, slots=True, kw_only=True)
class _Made:
    """Papers that took a while, and what they were made for."""

    plan: Plan
    display: Display
    paper: str
    texts: dict[str, tuple[str, str]]


def page() -> None:
    """Open, edit and save a case; make its plan; see and print it."""
    st.title("Recovery and hospital tank")
    st.html(small(DEFER))
    _open()
    now = draft.current()
    with st.expander("The case", expanded=now.plan is None):
        case_form()
        act, save, _ = st.columns([1, 1, 2])
        wanted = act.button("Make the plan", type="primary", width="stretch")
        text = document_to_text(draft.document())
        save.download_button("Save the case (TOML)", text, file_name=now.name, mime="application/toml", width="stretch")
    if wanted:
        bar = st.progress(0.0)
        draft.make_plan(lambda share: told(bar, share))
        st.rerun()  # so that each mistake stands beside its field, and the case is folded away
    if now.mistakes:
        st.error(f"{len(now.mistakes)} to put right before there is a plan; each stands beside its field.")
        for mistake in now.mistakes:
            st.markdown(f"- **{plain(mistake.where)}**: read {plain(mistake.read)}; {plain(mistake.would_do)}")
    if now.plan is not None:
        if draft.is_edited():
            st.warning("The case was edited after this plan was made. Press “Make the plan” for a new one.")
        _plan(now.plan, display_choice())


def _open() -> None:
    demos = sorted(tables.shipped("demo_ponds").glob("*.toml"))
    one, two = st.columns(2)
    with one:
        names = ["", *(path.name for path in demos)]
        st.selectbox(
            "Open an invented case",
            names,
            key="demo",
            format_func=lambda name: name or "none chosen",
            on_change=_open_demo,
        )
    with two:
        st.file_uploader("Open a case file", type="toml", key="upload", on_change=_open_upload, max_upload_size=1)
    if "trouble" in st.session_state:
        st.error(plain(st.session_state.pop("trouble")))


def _open_demo() -> None:
    name = st.session_state.get("demo")
    if name:
        draft.open_document(read_document(tables.shipped("demo_ponds") / name), name)


def _open_upload() -> None:
    upload = st.session_state.get("upload")
    if upload is not None:
        open_file(upload.name, upload.getvalue())


def open_file(name: str, content: bytes) -> None:
    """Opens a case file that was handed over; one that cannot be read leaves the open case as it is."""
    try:
        draft.open_document(document_from_text(content.decode("utf-8"), file=name), name)
    except UnicodeDecodeError:
        st.session_state["trouble"] = f"{name}: not UTF-8 text; save the case as UTF-8."
    except CaseError as error:
        st.session_state["trouble"] = str(error)
    else:
        st.session_state["demo"] = ""


def _plan(plan: Plan, display: Display) -> None:
    shown = sheet(plan, display)
    st.header(plain(shown.title), divider="gray")
    st.html(small(shown.subtitle))
    st.html(fragment(shown, None))
    pictures = plan.pictures
    left, right = st.columns(2)
    with left:
        st.subheader("The hospital tank, to scale")
        if pictures.tank is None:
            st.info("Give the hospital tank's shape and sizes to see it.")
        else:
            st.altair_chart(tank_chart(pictures.tank, display, width=520), width="content", theme=None)
    with right:
        st.subheader("Oxygen against temperature")
        if pictures.saturation is None:
            st.info("Give the home water's temperature to see it.")
        else:
            st.altair_chart(saturation_chart(pictures.saturation, display), width="stretch", theme=None)
    if pictures.declines:
        st.subheader("Oxygen after the air stops")
        names = [decline.vessel for decline in pictures.declines]
        chosen = st.radio("Tub", names, horizontal=True, key="decline", format_func=plain)
        decline = pictures.declines[names.index(chosen) if chosen in names else 0]
        st.altair_chart(decline_chart(decline, display), width="stretch", theme=None)
        st.html(small("Band: 5th to 95th percentile, the fish handled and nothing counted for the surface."))
    st.subheader("The seven moments")
    for tab, part in zip(st.tabs([TITLES[part.moment] for part in shown.parts]), shown.parts, strict=True):
        with tab:
            st.html(fragment(shown, part.moment))
    with st.expander("Sources of this plan"):
        for source in shown.sources:
            st.markdown(f"{source.number}. {plain(source.words)}  \n{plain(source.used)}")
        st.html(small(shown.made_with))
    _papers(plan, display)


def _papers(plan: Plan, display: Display) -> None:
    st.subheader("Pages to print")
    paper = st.radio("Paper", ["A4", "Letter"], horizontal=True, key="paper")
    owner = owner_page(plan, display, paper=paper)
    one, two, three, four = st.columns(4)
    # Cards with drawings take a second: they are made when they are asked for, not at each touch of the page.
    cards, failing = partial(tub_cards, plan, display), partial(contingency_page, plan, display, paper=paper)
    one.download_button("Owner's page", owner, "owner.html", "text/html", on_click="ignore", width="stretch")
    two.download_button("Tub cards", cards, "tub-cards.html", "text/html", on_click="ignore", width="stretch")
    three.download_button(
        "If something fails", failing, "contingency.html", "text/html", on_click="ignore", width="stretch"
    )
    if plan.pictures.certificates:
        certificate = partial(volume_page, plan, display, paper=paper)
        four.download_button(
            "Volume certificates", certificate, "volume.html", "text/html", on_click="ignore", width="stretch"
        )
    _long_papers(plan, display, paper)
    button = '<p class="noprint"><button onclick="window.print()">Print this page</button></p>'
    st.iframe(owner.replace("<body>", f"<body>{button}"), height="content")


def _long_papers(plan: Plan, display: Display, paper: str) -> None:
    """The papers that show the days of the tank: worked out with a bar, then kept until something changes."""
    made: _Made | None = st.session_state.get(_MADE)
    if made is None or made.plan is not plan or (made.display, made.paper) != (display, paper):
        asked = st.button("Make the whole plan and the hospital sheet", key="make papers")
        st.html(small("They take some seconds: the course of the tank is worked out for them."))
        if not asked:
            return
        bar = st.progress(0.0)
        days = ahead(plan, progress=lambda share: told(bar, _COURSE_SHARE * share))
        texts = {"Whole plan": ("plan.html", plan_page(plan, display, days=days))}
        if plan.pictures.sheet is not None:
            texts["Hospital sheet"] = ("hospital.html", hospital_page(plan, days, display, paper=paper))
        st.session_state[_MADE] = _Made(plan=plan, display=display, paper=paper, texts=texts)
        st.rerun()
    for column, (label, (name, text)) in zip(st.columns(4), made.texts.items(), strict=False):
        column.download_button(label, text, name, "text/html", on_click="ignore", width="stretch")
