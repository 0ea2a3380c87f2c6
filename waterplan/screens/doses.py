"""Doses: what to weigh or draw up, into what, in which order, beside what is told of; and a card to print."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import streamlit as st

from waterplan.charts.doses import level_chart, measure_chart, syringe_chart
from waterplan.dose import anaesthesia
from waterplan.dose.substances import HOSE, Kind, kind_of, known_substances, substance, uses_of
from waterplan.errors import CaseError, ImpossibleInput
from waterplan.findings import Finding, Verdict
from waterplan.first_plan.dose_cards import DoseCard, InjectionCard
from waterplan.first_plan.first_case.schema import BUFFERS, GRADES, KNOWN_THINGS, SECTIONS
from waterplan.first_plan.quick_dose import quick_dose, quick_injection
from waterplan.first_plan.whole import Plan
from waterplan.fish.species import known_species
from waterplan.papers.doses import ShownDose, dose_cards, shown_dose, stop_words
from waterplan.papers.sheet import DEFER, Line, line
from waterplan.screens import draft
from waterplan.screens.draft import QUICK
from waterplan.screens.look import plain, small
from waterplan.screens.units_choice import display_choice
from waterplan.units import Display

_HERE = "litres given here"
_CASE = "the open case"
_WATER = ("temperature", "ph", "oxygen", "tan", "alkalinity", "salinity", "chlorine")
# A level of which nothing is told, or that is far from what is, is written twice.
_WRITTEN_TWICE = {Kind.UNLISTED, Kind.THINGS, Kind.IODINE}
# A chart as wide as its column counts legend and axis into its height.
_LEVEL_PX = 210
_SYRINGE_PX = 150
# Findings whose words stand in full on the sheet of an anaesthetic.
_ON_THE_SHEET = ("not dead", "breathing stops")
_TONES: Mapping[Verdict, Callable[[str], object]] = {
    Verdict.ACT: st.error,
    Verdict.REFUSED: st.error,
    Verdict.QUESTION: st.info,
    Verdict.WATCH: st.warning,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kept:
    """An answer with the values that it belongs to, since the fields beside it may have been changed after it."""

    given: str
    card: DoseCard | None = None
    findings: tuple[Finding, ...] = ()
    injection: InjectionCard | None = None
    wrong: tuple[str, ...] = ()


def page() -> None:
    """One dose into a water, a drug by weight, and the doses of the open case."""
    st.title("Doses")
    st.html(small(DEFER))
    display = display_choice()
    plan = draft.current().plan
    titles = ["Into a water", "Into the fish, by weight"]
    of_case = plan is not None and bool(plan.dose_cards or plan.injection_cards)
    if of_case:
        titles.append("Of the open case")
    tabs = st.tabs(titles)
    with tabs[0]:
        _water(display)
    with tabs[1]:
        _injection(display)
    if plan is not None and of_case:
        with tabs[2]:
            _of_case(plan, display)


def _of_case(plan: Plan, display: Display) -> None:
    """The doses and injections of the open case, one at a time."""
    doses = {f"{card.number}. {card.title}": card for card in plan.dose_cards}
    injections = {f"Injection {card.number}. {card.title}": card for card in plan.injection_cards}
    names = [*doses, *injections]
    chosen = st.selectbox("Dose", names, key="dose of case")
    if chosen in injections:
        _show_injection(injections[chosen], display, key="case")
    else:
        card = doses.get(chosen) or plan.dose_cards[0]
        _show(card, card.findings, display, key="case")


def _water(display: Display) -> None:
    left, right = st.columns([2, 3], gap="large")
    with left:
        texts, already, from_case = _fields()
        if st.button("Work it out", type="primary", key="work dose", width="stretch"):
            _work(texts, already, from_case=from_case)
    with right:
        kept: _Kept | None = st.session_state.get("dose answer")
        if kept is None:
            st.info("Choose what goes in and press “Work it out”. The level is the veterinarian's: none is offered.")
            return
        st.html(small(f"For {kept.given}:"))
        for wrong in kept.wrong:
            st.error(plain(wrong))
        if kept.card is not None:
            _show(kept.card, kept.findings, display, key="dose")


def _fields() -> tuple[dict[str, str], list[str], bool]:
    """What goes in, into what, from which bottle; and in a drawer what is known of the water and the fish."""
    texts = {"substance": _choice("Substance", known_substances(), "tricaine")}
    uses = tuple(uses_of(texts["substance"]))
    if st.session_state.get(f"{QUICK}dose/Use") not in uses:
        st.session_state[f"{QUICK}dose/Use"] = uses[0]
    texts["use"] = _choice("Use", uses, uses[0])
    from_case = _water_field(texts)
    unit = substance(texts["substance"]).unit.replace("uL", "µL")
    texts["strength"] = _text(
        "Level that the veterinarian wants", "", f"such as 100 {unit}" if unit != "g/L" else "3 g/L"
    )
    kind = kind_of(texts["substance"], use=texts["use"])
    if kind in _WRITTEN_TWICE:
        texts["again"] = _text("The level once more, where it is far from all that is told of", "", "the same again")
    texts["went_in"] = _text("Or what has gone in, to find its level", "", "5 g, 20 mL, 4 tablets")
    texts["bottle"] = _text("What the label of the bottle says", "", "powder, 10 mg/mL, 5 % w/v, 10 % PVP-I")
    one, two = st.columns(2)
    with one:
        texts["scale"] = _text("The scale shows", "0.1 g", "0.1 g")
    with two:
        texts["syringe"] = _text("The syringe shows", "1 mL", "1 mL")
    _fields_of_use(texts, kind)
    already: list[str] = []
    if not from_case:
        texts["eaten"] = _choice("May it, or a fish from its water, be eaten?", ("", "no", "yes"), "")
        texts["species"] = _choice("Species", known_species(), "goldfish")
        if kind.with_fish:
            texts["wound"] = _choice("Has it a wound?", ("", "none", "closed", "open"), "")
    with st.expander("The water, the filter, the bottle's age"):
        if not from_case:
            for number, key in enumerate(_WATER):
                if number % 2 == 0:
                    columns = st.columns(2)
                field = SECTIONS["home_water"].field(key)
                assert field is not None  # by construction of the schema
                label = f"{field.words[0].upper() if key != 'ph' else 'p'}{field.words[1:]}"
                with columns[number % 2]:
                    texts[key] = _text(label, "", field.example)
            with columns[1]:
                texts["disinfectant"] = _choice(
                    "What the water company uses", ("", "chlorine", "chloramine", "none"), ""
                )
        one, two = st.columns(2)
        with one:
            texts["opened"] = _text("Opened or made up on", "", "2026-05-02")
        with two:
            texts["expires"] = _text("Not to be used after (label)", "", "2026-10-31")
        texts["drop"] = _text("Size of a drop, to count drops", "", "0.05 mL")
        key = f"{QUICK}dose/already"
        st.session_state.setdefault(key, [])
        already = list(st.multiselect("There already: in the water, the filter or the fish", KNOWN_THINGS, key=key))
    return texts, already, from_case


def _fields_of_use(texts: dict[str, str], kind: Kind) -> None:
    """What only some substances and uses ask for."""
    if texts["substance"] == "tricaine":
        texts["buffer"] = _choice("Bicarbonate", ("", *BUFFERS), "")
    if kind is Kind.SALT:
        texts["grade"] = _choice("Which salt", ("", *GRADES), "")
        if texts["use"] == "prolonged":
            texts["changed"] = _text("Water changed each day", "", "60 L")
    if kind in {Kind.THINGS, Kind.IODINE} and texts["use"] != "fish":
        texts["washed"] = _choice("Are the things clean?", ("", "yes", "in doubt", "no"), "")
    if texts["use"] == HOSE:
        texts["added"] = _text("Water that the hose brought, at the most", "", "800 L, owner's word")
        texts["overflowed"] = _choice("Did as much run over?", ("", "no", "yes"), "")


def _water_field(texts: dict[str, str]) -> bool:
    """The water: of the open case, where there is one, or litres; gives whether it is the case's."""
    plan = draft.current().plan
    if plan is not None:
        source = st.radio("Water of", (_CASE, _HERE), horizontal=True, key=f"{QUICK}dose/source")
        if source == _CASE:
            names = [vessel.name for vessel in plan.case.vessels]
            names += ["home pond"] if plan.case.home_pond is not None else []
            key = f"{QUICK}dose/vessel"
            if st.session_state.get(key) not in names:
                st.session_state[key] = names[0]
            texts["into"] = str(st.selectbox("Into", names, key=key))
            return True
    texts["into"] = _text("Water, and how its volume was found", "40 L, marked tub", "40 L, marked tub")
    return False


def _work(texts: dict[str, str], already: list[str], *, from_case: bool) -> None:
    """Keeps what a dose came to, or what was wrong with its values, until the next time it is worked out."""
    given = "; ".join(text for text in texts.values() if text)
    document = dict(draft.current().planned) if from_case else None
    try:
        card, findings = quick_dose(texts, already=already, document=document)
    except CaseError as error:
        wrong = tuple(f"{one.where}: read {one.read}; {one.would_do}." for one in error.mistakes)
        st.session_state["dose answer"] = _Kept(given=given, wrong=wrong)
    except ImpossibleInput as error:
        st.session_state["dose answer"] = _Kept(given=given, wrong=(str(error),))
    else:
        st.session_state["dose answer"] = _Kept(given=given, card=card, findings=findings)


def _show(card: DoseCard, findings: tuple[Finding, ...], display: Display, *, key: str) -> None:
    """A card: the answer, the picture of the amounts, the order, the level, and what must not meet."""
    shown = shown_dose(card, display)
    if shown.stop:
        st.markdown(f"### {plain(shown.stop)}")
    _answer(shown)
    if card.portions:
        for portion in shown.portions:
            st.markdown(f"### {plain(portion)}")
        st.altair_chart(measure_chart(card, display, width="container"), width="stretch", theme=None)
        st.markdown("**In this order**")
        st.markdown("\n".join(f"{number}. {plain(text)}" for number, text in enumerate(shown.order, 1)))
    level = level_chart(card, width="container", height=_LEVEL_PX)
    if level is not None:
        st.markdown("**The level, over the error of the volume, and what is told of**")
        st.altair_chart(level, width="stretch", theme=None)
    if shown.ledger:
        st.markdown("**The salt, day by day**")
        rows = "\n".join(f"| {' | '.join(plain(cell) for cell in row)} |" for row in shown.ledger)
        st.markdown(f"| When | Done | Salt in it | Level |\n| --- | --- | --- | --- |\n{rows}")
    _conflicts(shown)
    _cautions(shown.answer)
    told = {card.finding.key, *_ON_THE_SHEET}
    rest = [
        line(finding, display)
        for finding in findings
        if finding.key not in told and not finding.key.startswith("conflicts: ")
    ]
    if rest:
        with st.expander("The bath, the filter, the drain, the law", expanded=any(one.needs_someone for one in rest)):
            for one in rest:
                _finding(one)
    if card.anaesthetic:
        _sheet(card, display)
    st.html(small(shown.founded))
    page = dose_cards((card,), display, heading=f"Dose, {card.water}", made_with="waterplan")
    name = "Card for the tub" if card.portions else "Card that says so"
    st.download_button(name, page, "dose-card.html", "text/html", key=f"card {key}")


def _answer(shown: ShownDose) -> None:
    answer = shown.answer
    text = f"{answer.sign} **{plain(shown.card.title)}** ({answer.verdict}): {plain(answer.answer)}"
    _TONES.get(answer.verdict, st.success)(text)
    how = f"{answer.method[:1].upper()}{answer.method[1:]}"
    pieces = (f"Water: {shown.volume}", how, f"Status: {answer.status}")
    st.html(small(" ".join(f"{piece.rstrip('.')}." for piece in pieces if piece)))


def _conflicts(shown: ShownDose) -> None:
    if not shown.conflicts:
        return
    st.markdown("**What must not meet**")
    for grave, text in shown.conflicts:
        (st.error if grave else st.warning)(plain(f"{text[:1].upper()}{text[1:]}"))


def _cautions(one: Line) -> None:
    """What is serious by itself, and the rest in one box."""
    for caution in one.cautions:
        if caution.serious:
            st.error(plain(caution.text))
    rest = [f"- {plain(caution.text)}" for caution in one.cautions if not caution.serious]
    if rest:
        st.warning("\n".join(rest))


def _finding(one: Line) -> None:
    st.markdown(f"{plain(one.sign)} **{plain(one.title)}** ({one.verdict}): {plain(one.answer)}")
    if one.footing:
        st.html(small(one.footing))


def _sheet(card: DoseCard, display: Display) -> None:
    """Stages in words, the time sheet, what trials tell of, and what is done when breathing stops."""
    with st.expander("Stages, time sheet, and if breathing stops"):
        st.markdown("**How deep**")
        for row in anaesthesia.anaesthesia_stages():
            st.markdown(
                f"- **{row['stage']}**: reacts {row['reaction']}; balance {row['balance']}; breathing {row['breathing']}"
            )
        st.markdown("**When to look**")
        for row in anaesthesia.time_sheet():
            when = f"{row['when']} min" if row["when"].isdigit() else row["when"]
            st.markdown(f"- **{when}**: {row['words']}")
        st.markdown("**Times in trials**")
        st.markdown("\n".join(f"- {plain(display.render(text))}" for text in card.times))
        st.markdown("**If breathing stops**")
        st.markdown("\n".join(f"{number}. {row['words']}" for number, row in enumerate(anaesthesia.revival_steps(), 1)))
        st.markdown("**No level and no time in a bath proves death.**")


def _injection(display: Display) -> None:
    with st.form("injection"):
        one, two, three = st.columns(3)
        with one:
            texts = {"drug": _text("Drug", "", "meloxicam", form="injection")}
            texts["dose"] = _text("Dose that the veterinarian chose", "", "1 mg/kg", form="injection")
            texts["again"] = _text(
                "The dose once more, where it is far from all that is told of", "", "the same again", form="injection"
            )
        with two:
            texts["stock"] = _text("On the vial", "", "5 mg/mL", form="injection")
            texts["syringe"] = _text("The syringe shows", "0.01 mL", "0.01 mL", form="injection")
            texts["expires"] = _text("Not to be used after (vial)", "", "2026-10-31", form="injection")
        with three:
            texts["weight"] = _text("Weight, and how it was found", "", "0.62 kg, scales", form="injection")
            texts["eaten"] = _choice("May it be eaten?", ("", "no", "yes"), "", form="injection")
        texts["species"] = _choice("Species", known_species(), "goldfish", form="injection")
        texts["weight_confirmed"] = _choice(
            "Does the veterinarian take a weight that was not weighed?", ("no", "yes"), "no", form="injection"
        )
        if st.form_submit_button("Work it out", type="primary"):
            given = "; ".join(text for text in texts.values() if text)
            try:
                kept = _Kept(given=given, injection=quick_injection(texts))
            except CaseError as error:
                kept = _Kept(
                    given=given, wrong=tuple(f"{e.where}: read {e.read}; {e.would_do}." for e in error.mistakes)
                )
            st.session_state["injection answer"] = kept
    answer: _Kept | None = st.session_state.get("injection answer")
    if answer is None:
        return
    st.html(small(f"For {answer.given}:"))
    for wrong in answer.wrong:
        st.error(plain(wrong))
    if answer.injection is not None:
        _show_injection(answer.injection, display, key="quick")


def _show_injection(card: InjectionCard, display: Display, *, key: str) -> None:
    """An injection: the answer, the syringe to scale, the order, and its card."""
    shown = line(card.finding, display)
    if card.draw_ml is None:
        st.markdown(f"### {plain(stop_words(card.finding.verdict))}")
    else:
        st.markdown(f"### {plain(card.drawn)} of {plain(card.strength)}")
    text = f"{shown.sign} **{plain(shown.title)}** ({shown.verdict}): {plain(shown.answer)}"
    _TONES.get(shown.verdict, st.success)(text)
    picture = syringe_chart(card, width="container", height=_SYRINGE_PX)
    if picture is not None:
        st.altair_chart(picture, width="stretch", theme=None)
        st.markdown("**In this order**")
        st.markdown("\n".join(f"{number}. {plain(display.render(text))}" for number, text in enumerate(card.order, 1)))
    _cautions(shown)
    st.html(small(f"Founded on ({shown.status}): {shown.sources}"))
    page = dose_cards((), display, heading="Injection", made_with="waterplan", injections=(card,))
    st.download_button("Card for the syringe", page, "injection-card.html", "text/html", key=f"injection card {key}")


def _text(label: str, at_first: str, example: str, *, form: str = "dose") -> str:
    key = f"{QUICK}{form}/{label}"
    st.session_state.setdefault(key, at_first)
    return str(st.text_input(label, key=key, placeholder=example))


def _choice(label: str, options: tuple[str, ...], at_first: str, *, form: str = "dose") -> str:
    key = f"{QUICK}{form}/{label}"
    st.session_state.setdefault(key, at_first)
    return str(st.selectbox(label, options, key=key, format_func=lambda text: text or "not said"))
