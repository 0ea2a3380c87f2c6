"""Four sums that need no case."""

from collections.abc import Callable
from dataclasses import dataclass

import streamlit as st

from waterplan.errors import CaseError, ImpossibleInput
from waterplan.findings import Finding
from waterplan.first_plan import quick
from waterplan.first_plan.first_case.schema import Filter
from waterplan.fish.species import known_species
from waterplan.papers.sheet import DEFER, line
from waterplan.screens.draft import QUICK
from waterplan.screens.look import plain, small
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
        temperature = _text("oxygen", "Temperature", "18 °C")
        altitude = _text("oxygen", "Altitude", "0 m")
        species = _species("oxygen")
        if st.form_submit_button("Work it out"):
            _work(
                "oxygen answer",
                (temperature, altitude, species),
                lambda: (quick.quick_oxygen(temperature=temperature, altitude=altitude, species=species),),
            )
        _show("oxygen answer", display)


def _tank(display: Display) -> None:
    with st.form("tank"):
        st.subheader("Hospital tank")
        species = _species("tank")
        weight = _text("tank", "Weight", "0.6 kg")
        length = _text("tank", "Length, if measured", "")
        temperature = _text("tank", "Temperature", "20 °C")
        ph = _text("tank", "pH", "7.8")
        state = _choice("tank", "Filter", tuple(Filter), Filter.UNSEEDED)
        if st.form_submit_button("Work it out"):
            _work(
                "tank answer",
                (species, weight, length, temperature, f"pH {ph}" if ph else "", f"filter {state}"),
                lambda: quick.quick_tank(
                    species=species, weight=weight, length=length, temperature=temperature, ph=ph, filter_state=state
                ),
            )
        _show("tank answer", display)


def _salt(display: Display) -> None:
    with st.form("salt"):
        st.subheader("Salt")
        exposure = _choice("salt", "For a", tuple(_SALT), "level for days")
        strength = _text("salt", "Strength", "2 g/L")
        volume = _text("salt", "Water, and how its volume was found", "200 L, marked tub")
        present = _text("salt", "Salt that is in it already", "0 ± 0 g/L")
        species = _species("salt")
        if st.form_submit_button("Work it out"):
            _work(
                "salt answer",
                (exposure, strength, volume, f"{present} in it already", species),
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
        use = _choice("iodine", "For", quick.IODINE_USES, "instruments")
        volume = _text("iodine", "Finished solution", "1 L")
        stock = _text("iodine", "The bottle", "10 % PVP-I")
        if st.form_submit_button("Work it out"):
            _work(
                "iodine answer",
                (use, volume, stock),
                lambda: (quick.quick_iodine(use=use, volume=volume, stock=stock),),
            )
        _show("iodine answer", display)


def _text(form: str, label: str, at_first: str) -> str:
    key = f"{QUICK}{form}/{label}"
    st.session_state.setdefault(key, at_first)
    return str(st.text_input(label, key=key))


def _choice(form: str, label: str, options: tuple[str, ...], at_first: str) -> str:
    key = f"{QUICK}{form}/{label}"
    st.session_state.setdefault(key, at_first)
    return str(st.selectbox(label, options, key=key))


def _species(form: str) -> str:
    return _choice(form, "Species", known_species(), "goldfish")


def _work(name: str, given: tuple[str, ...], work_out: Callable[[], tuple[Finding, ...]]) -> None:
    """Keeps what a sum answered, or what was wrong with its values, until the next time it is worked out."""
    found: tuple[Finding | str, ...]
    try:
        found = work_out()
    except CaseError as error:
        found = tuple(f"{one.where}: read {one.read}; {one.would_do}." for one in error.mistakes)
    except ImpossibleInput as error:
        found = (str(error),)
    st.session_state[name] = _Kept(given="; ".join(text for text in given if text), found=found)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kept:
    """An answer with the values that it belongs to, since the fields beside it may have been changed after it."""

    given: str
    found: tuple[Finding | str, ...]


def _show(name: str, display: Display) -> None:
    kept: _Kept | None = st.session_state.get(name)
    if kept is None:
        return
    st.html(small(f"For {kept.given}:"))
    findings = [one for one in kept.found if isinstance(one, Finding)]
    for one in kept.found:
        if isinstance(one, str):
            st.error(plain(one))
    for finding in findings:
        shown = line(finding, display)
        st.markdown(f"**{plain(shown.sign)} {shown.title}** ({shown.verdict}): {plain(shown.answer)}")
        if shown.footing:
            st.html(small(shown.footing))
    lines = [line(finding, display) for finding in findings]
    for text in dict.fromkeys(caution.text for shown in lines for caution in shown.cautions):
        st.warning(plain(text))
    sources = dict.fromkeys(source for shown in lines for source in shown.sources.split("; ") if source)
    if sources:
        weakest = max((finding.status for finding in findings), key=lambda status: status.rank)
        st.html(small(f"Founded on ({weakest}): {'; '.join(sources)}"))
