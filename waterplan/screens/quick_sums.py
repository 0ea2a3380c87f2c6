"""Four sums that need no case."""

from collections.abc import Callable

import streamlit as st

from waterplan.case.schema import Filter
from waterplan.errors import CaseError, ImpossibleInput
from waterplan.findings import Finding
from waterplan.fish.species import known_species
from waterplan.papers.sheet import DEFER, line
from waterplan.plan import quick
from waterplan.screens.look import small
from waterplan.screens.units_choice import display_choice
from waterplan.units import Display

_SALT = {"level for days": "prolonged", "bath": "bath", "dip": "dip"}


def page() -> None:
    """Oxygen, hospital tank, salt, povidone-iodine: a few values in, a short answer out."""
    st.title("Quick sums")
    st.html(small(DEFER))
    display = display_choice()
    left, right = st.columns(2)
    with left:
        _oxygen(display)
        _salt(display)
    with right:
        _tank(display)
        _iodine(display)


def _oxygen(display: Display) -> None:
    with st.form("oxygen"):
        st.subheader("Oxygen")
        temperature = st.text_input("Temperature", "18 °C")
        altitude = st.text_input("Altitude", "0 m")
        species = st.selectbox("Species", known_species(), index=known_species().index("goldfish"))
        if st.form_submit_button("Work it out"):
            _work(
                "oxygen answer",
                lambda: (quick.quick_oxygen(temperature=temperature, altitude=altitude, species=species),),
            )
        _show("oxygen answer", display)


def _tank(display: Display) -> None:
    with st.form("tank"):
        st.subheader("Hospital tank")
        species = st.selectbox("Species", known_species(), index=known_species().index("goldfish"))
        weight = st.text_input("Weight", "0.6 kg")
        length = st.text_input("Length, if measured", "")
        temperature = st.text_input("Temperature", "20 °C")
        ph = st.text_input("pH", "7.8")
        state = st.selectbox("Filter", tuple(Filter), index=1)
        if st.form_submit_button("Work it out"):
            _work(
                "tank answer",
                lambda: quick.quick_tank(
                    species=species,
                    weight=weight,
                    length=length,
                    temperature=temperature,
                    ph=ph,
                    filter_state=state or "",
                ),
            )
        _show("tank answer", display)


def _salt(display: Display) -> None:
    with st.form("salt"):
        st.subheader("Salt")
        exposure = st.selectbox("For a", tuple(_SALT))
        strength = st.text_input("Strength", "2 g/L")
        volume = st.text_input("Water, and how its volume was found", "200 L, marked tub")
        present = st.text_input("Salt that is in it already", "0 ± 0 g/L")
        species = st.selectbox("Species", known_species(), index=known_species().index("goldfish"))
        if st.form_submit_button("Work it out"):
            _work(
                "salt answer",
                lambda: (
                    quick.quick_salt(
                        exposure=_SALT[exposure], strength=strength, volume=volume, species=species, present=present
                    ),
                ),
            )
        _show("salt answer", display)


def _iodine(display: Display) -> None:
    with st.form("iodine"):
        st.subheader("Povidone-iodine")
        use = st.selectbox("For", quick.IODINE_USES)
        volume = st.text_input("Finished solution", "1 L")
        stock = st.text_input("The bottle", "10 % PVP-I")
        if st.form_submit_button("Work it out"):
            _work("iodine answer", lambda: (quick.quick_iodine(use=use, volume=volume, stock=stock),))
        _show("iodine answer", display)


def _work(name: str, work_out: Callable[[], tuple[Finding, ...]]) -> None:
    """Keeps what a sum answered, or what was wrong with its values, until the next time it is worked out."""
    try:
        st.session_state[name] = work_out()
    except CaseError as error:
        st.session_state[name] = tuple(f"{one.where}: read {one.read}; {one.would_do}." for one in error.mistakes)
    except ImpossibleInput as error:
        st.session_state[name] = (str(error),)


def _show(name: str, display: Display) -> None:
    kept: tuple[Finding | str, ...] = st.session_state.get(name, ())
    findings = [one for one in kept if isinstance(one, Finding)]
    for one in kept:
        if isinstance(one, str):
            st.error(one)
    for finding in findings:
        shown = line(finding, display)
        st.markdown(f"**{shown.sign} {shown.title}** ({shown.verdict}): {shown.answer}")
        if shown.footing:
            st.html(small(shown.footing))
    lines = [line(finding, display) for finding in findings]
    for text in dict.fromkeys(caution.text for shown in lines for caution in shown.cautions):
        st.warning(text)
    sources = dict.fromkeys(source for shown in lines for source in shown.sources.split("; ") if source)
    if sources:
        weakest = max((finding.status for finding in findings), key=lambda status: status.rank)
        st.html(small(f"Founded on ({weakest}): {'; '.join(sources)}"))
