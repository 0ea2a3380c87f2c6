"""The volume of a pond or tub: enter a survey, a tracer test or sizes, see the sketch, get the answer with its band."""

from dataclasses import dataclass

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from waterplan.charts.pond import pond_chart
from waterplan.errors import CaseError, Mistake
from waterplan.findings import Finding
from waterplan.first_plan.first_case.fields import Field, Kind
from waterplan.first_plan.first_case.measuring_needs import corrections_of, keys_of, needed_of
from waterplan.first_plan.first_case.schema import SECTIONS, By
from waterplan.first_plan.first_case.writing import document_to_text
from waterplan.first_plan.quick_tracer import quick_tracer_salt
from waterplan.first_plan.quick_volume import WHERE, QuickVolume, quick_volume, sketch_so_far
from waterplan.fish.species import known_species
from waterplan.papers.sheet import DEFER, line
from waterplan.papers.write import certificate_page
from waterplan.screens import draft
from waterplan.screens.draft import QUICK
from waterplan.screens.look import plain, small, told
from waterplan.screens.units_choice import display_choice
from waterplan.units import Display

_FORM = f"{QUICK}volume/"
_KEPT = "volume answer"
_SALT = "tracer salt answer"
_UPLOAD, _TROUBLE = "soundings file", "soundings trouble"
_WORDS = {
    By.SHAPE: "its shape and sizes",
    By.SOUNDINGS: "a traced shore with soundings anywhere",
    By.GRID: "soundings in a grid",
    By.LINES: "soundings along lines",
    By.CONTOURS: "areas at several depths",
    By.TRACER: "weighed salt, read before and after",
    By.TIMED: "the time a hose took to fill it",
    By.METER: "a water meter",
    By.DRAWN: "the fall of the level when water is let out",
}
# This page measures one water in one way; the parts of a pond are put together in the case.
_HIDDEN = frozenset({"of", "by", "part", "takes_place"})
# Where the rows of a field come from a spreadsheet or a logger, a long box.
_TALL = {"soundings": 260, "outline": 200}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kept:
    """An answer, or what was wrong, with the fields that it belongs to."""

    table: dict[str, str]
    found: QuickVolume | None = None
    mistakes: tuple[Mistake, ...] = ()


def page() -> None:
    """One way of measuring at a time: fields, sketch, answer, certificate, and the way into the open case."""
    st.title("Volume")
    st.html(small(DEFER))
    display = display_choice()
    by = By(_select("by", "How it was measured", tuple(By), By.SOUNDINGS, _WORDS))
    left, right = st.columns([3, 2])
    with left:
        _fields(by)
    table = _table(by)
    with right:
        if by is By.TRACER:
            _salt_to_weigh(display)
        _sketch(table, display)
    if st.button("Work out the volume", type="primary"):
        st.session_state[_KEPT] = _work_out(table, st.progress(0.0))
        st.rerun()  # so that each mistake stands beside its field
    kept: _Kept | None = st.session_state.get(_KEPT)
    if kept is not None and kept.table.get("by") == by:
        _answer(kept, table, display)


def _salt_to_weigh(display: Display) -> None:
    """Before the test: how much salt for a wanted certainty."""
    with st.form("salt to weigh"):
        st.subheader("How much salt to weigh")
        pond = {
            "volume": _short("guess", "Water as far as it is known, and how", "9000 L, owner's word"),
            "wanted_within": _short("within", "How near it is wanted, ±", "5 %"),
        }
        salinity = _short("salinity", "Salt in it now", "0.1 g/L, conductivity meter")
        species = st.selectbox("The species in it that bears the least salt", known_species(), key=f"{_FORM}species")
        for key, label in (("plants", "There are plants in it"), ("zeolite", "There is zeolite in its filter")):
            pond[key] = "yes" if st.checkbox(label, key=f"{_FORM}salt {key}") else "no"
        if st.form_submit_button("How much salt?"):
            try:
                st.session_state[_SALT] = quick_tracer_salt(species=str(species), pond=pond, salinity=salinity)
            except CaseError as error:
                st.session_state[_SALT] = error
        found: Finding | CaseError | None = st.session_state.get(_SALT)
        if isinstance(found, CaseError):
            for mistake in found.mistakes:
                where = mistake.where.rpartition(".")[2].replace("_", " ")
                st.error(plain(f"{where}: read {mistake.read}; {mistake.would_do}."))
        elif found is not None:
            shown = line(found, display)
            st.markdown(plain(shown.answer))
            for caution in shown.cautions:
                st.warning(plain(caution.text))
            st.html(small(f"Founded on ({shown.status}): {shown.sources}"))


def _short(key: str, label: str, at_first: str) -> str:
    st.session_state.setdefault(f"{_FORM}salt {key}", at_first)
    return str(st.text_input(label, key=f"{_FORM}salt {key}") or "").strip()


def _work_out(table: dict[str, str], bar: DeltaGenerator) -> _Kept:
    try:
        return _Kept(table=table, found=quick_volume(table, progress=lambda share: told(bar, share)))
    except CaseError as error:
        return _Kept(table=table, mistakes=error.mistakes)


def _fields(by: By) -> None:
    section, extra = SECTIONS["volumes"], corrections_of(by)
    shown = [section.field(key) for key in keys_of(by) if key not in {*_HIDDEN, *extra}]
    shape = {key: str(st.session_state.get(f"{_FORM}{key}") or "") for key in ("plan", "profile", "shelves")}
    for group in _grouped([one for one in shown if one is not None and _wanted(one, by, shape)]):
        if group[0].kind is Kind.ROWS:
            _field(group[0], by)
            continue
        for first in range(0, len(group), 3):
            for column, one in zip(st.columns(3), group[first : first + 3], strict=False):
                with column:
                    _field(one, by)
    if extra:
        with st.expander("What stands in the water, hangs on to it, or has changed since"):
            for first in range(0, len(extra), 3):
                for column, key in zip(st.columns(3), extra[first : first + 3], strict=False):
                    found = section.field(key)
                    if found is not None:
                        with column:
                            _field(found, by)


def _wanted(one: Field, by: By, shape: dict[str, str]) -> bool:
    """Whether a field is asked for: of a shape, only the sizes that its plan and profile take."""
    return by is not By.SHAPE or one.key in needed_of(by, shape)


def _grouped(fields: list[Field]) -> list[list[Field]]:
    """Short fields together, each box of rows by itself, in the schema's order."""
    groups: list[list[Field]] = []
    for one in fields:
        if one.kind is not Kind.ROWS and groups and groups[-1][0].kind is not Kind.ROWS:
            groups[-1].append(one)
        else:
            groups.append([one])
    return groups


def _field(one: Field, by: By) -> None:
    key = f"{_FORM}{one.key}"
    words = f"{one.words[0].upper()}{one.words[1:]}"
    label = words if one.key not in needed_of(by, {}) else f"{words} (needed)"
    help_text = f"In a case file: {one.key}. {one.kind}, such as {one.example}."
    if one.kind is Kind.CHOICE:
        st.selectbox(label, ["", *one.choices], key=key, format_func=lambda text: text or "not said", help=help_text)
    elif one.kind is Kind.ROWS:
        if one.key == "soundings":
            _from_a_logger(key)
        hint = f"{one.example}\n(one to a line; spaces, commas or tabs between; pasted from a spreadsheet will do)"
        st.text_area(label, key=key, height=_TALL.get(one.key, 140), placeholder=hint, help=help_text)
    else:
        st.text_input(label, key=key, placeholder=one.example, help=help_text)
    kept: _Kept | None = st.session_state.get(_KEPT)
    if kept is not None and kept.table.get("by") == by:
        for mistake in kept.mistakes:
            if mistake.where == f"{WHERE}.{one.key}":
                st.error(plain(f"Read {mistake.read}; {mistake.would_do}."))


def _from_a_logger(key: str) -> None:
    """The soundings of a logger, from its file into the box."""
    st.file_uploader(
        "Soundings from a logger's file (CSV: x, y, depth)",
        type=("csv", "txt"),
        key=_UPLOAD,
        on_change=_read_upload,
        args=(key,),
        max_upload_size=2,
    )
    if _TROUBLE in st.session_state:
        st.error(plain(st.session_state.pop(_TROUBLE)))


def _read_upload(key: str) -> None:
    upload = st.session_state.get(_UPLOAD)
    if upload is None:
        return
    try:
        st.session_state[key] = upload.getvalue().decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError:
        st.session_state[_TROUBLE] = f"{upload.name}: not UTF-8 text; save the soundings as CSV in UTF-8."


def _select(key: str, label: str, options: tuple[str, ...], at_first: str, words: dict[By, str]) -> str:
    st.session_state.setdefault(f"{_FORM}{key}", at_first)
    return str(st.selectbox(label, options, key=f"{_FORM}{key}", format_func=lambda one: words[By(one)]))


def _table(by: By) -> dict[str, str]:
    shape = {key: str(st.session_state.get(f"{_FORM}{key}") or "") for key in ("plan", "profile", "shelves")}
    keys = [key for key in keys_of(by) if by is not By.SHAPE or key in {*needed_of(by, shape), *corrections_of(by)}]
    texts = {key: str(st.session_state.get(f"{_FORM}{key}") or "").strip() for key in keys if key not in _HIDDEN}
    return {"by": by.value} | {key: text for key, text in texts.items() if text}


def _sketch(table: dict[str, str], display: Display) -> None:
    kept: _Kept | None = st.session_state.get(_KEPT)
    sketch = sketch_so_far(table)
    if kept is not None and kept.table == table and kept.found is not None:
        sketch = kept.found.certificate.sketch or sketch
    if sketch is not None:
        st.altair_chart(pond_chart(sketch, display, width=300, tallest=420), width="content", theme=None)
        st.html(small("The shore as it is given so far; soundings with their depths."))
    elif "outline" in keys_of(table["by"]):
        st.info("Give the unit of length and the first points of the shore to see it drawn.")


def _answer(kept: _Kept, table: dict[str, str], display: Display) -> None:
    if kept.table != table:
        st.warning("The fields were edited after this answer. Press “Work out the volume” for a new one.")
    if kept.mistakes:
        st.error(f"{len(kept.mistakes)} to put right before there is a volume.")
        for mistake in kept.mistakes:
            where = mistake.where.removeprefix(f"{WHERE}.")
            st.markdown(f"- **{plain(where)}**: read {plain(mistake.read)}; {plain(mistake.would_do)}")
    if kept.found is None:
        return
    certificate = kept.found.certificate
    if certificate.band is not None:
        for column, (end, litres) in zip(st.columns(3), certificate.band._asdict().items(), strict=True):
            column.metric(end, display.number(litres, "L"))
        st.subheader("Use this volume for")
        rows = [
            {"for": use, "work with": display.number(litres, "L"), "because": why}
            for use, litres, why in certificate.uses
        ]
        st.table(rows)
    shown = [line(finding, display) for finding in kept.found.findings]
    for one in shown:
        if not one.key.startswith("use: "):
            st.markdown(f"**{plain(one.sign)} {plain(one.title)}** ({one.verdict}): {plain(one.answer)}")
    for text in dict.fromkeys(caution.text for one in shown for caution in one.cautions):
        st.warning(plain(text))
    st.html(
        small(
            f"Founded on ({certificate.status}): "
            + "; ".join({s: None for one in shown for s in one.sources.split("; ") if s})
        )
    )
    paper, case, _ = st.columns([1, 1, 1])
    text = certificate_page(certificate, display)
    paper.download_button("Volume certificate", text, "volume.html", "text/html", on_click="ignore", width="stretch")
    case.button("Put it into the open case", on_click=_into_case, args=(kept.table,), width="stretch")
    with st.expander("As a case file says it"):
        st.code(
            document_to_text({"volumes": [{"of": "home pond", **kept.table}]}).partition("\n\n")[2], language="toml"
        )


def _into_case(table: dict[str, str]) -> None:
    """A further table of [[volumes]] in the case on the other page, for its home pond."""
    section = SECTIONS["volumes"]
    draft.change_count(section.name, 1)
    place = draft.where(section, draft.current().counts[section.name])
    for one in section.fields:
        text = {"of": "home pond", **table}.get(one.key, "")
        st.session_state[draft.widget_key(place, one.key)] = text
