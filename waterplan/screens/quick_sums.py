"""The page of sums that need no case: choose one, fill in a few values, read the answer beside them; and what all sums share."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import streamlit as st

from waterplan.case.choices import Filter
from waterplan.dose.substances import uses_of
from waterplan.errors import CaseError, ImpossibleInput, Mistake
from waterplan.fish.species import known_species
from waterplan.plan import quick
from waterplan.plan.quick_doses import quick_dose
from waterplan.plan.record import Plan
from waterplan.plan.sums import tub, water
from waterplan.screens.answers import answer, ask, dated, list_mistakes, mistake_words, mistakes_of
from waterplan.screens.field import known_as
from waterplan.screens.going import asked_for
from waterplan.screens.kept import QUICK, keep_sums
from waterplan.screens.reader import say, show, titled
from waterplan.words.short import of_which_fish, shown_figures

# A fish of a kind that nobody knows has the strictest of all limits.
_WHICH, _DAY, _STRICTEST = "sum", "day", "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sum:
    """A sum: its function, its fields by their names with an example each, and those that it cannot do without.

    Of the fields in `one_of` one is enough. A choice has its options instead of an example.
    """

    make: Callable[..., Plan]
    fields: Mapping[str, str | tuple[str, ...]]
    needs: tuple[str, ...]
    one_of: tuple[str, ...] = ()


def _fish(**more: str) -> dict[str, str | tuple[str, ...]]:
    fields = {"litres": "200 L, marked tub", **more, "weight": "2.4 kg, scales", "count": "1"}
    return {"species_name": known_species(), **fields, "temperature": "18 °C, thermometer"}


def _of(substance: str) -> Callable[..., Plan]:
    """The sum of a dose of one substance."""
    return lambda **texts: quick_dose({"substance": substance, **texts})


_KIND: dict[str, str | tuple[str, ...]] = {"species_name": known_species()}
_TUB = ("litres", "weight", "temperature")
_SUMS: Mapping[str, _Sum] = {
    "ammonia": _Sum(
        make=water.quick_ammonia,
        fields={"tan": "1.2 mg/L as N, drop kit", "ph": "8.2, pH meter", "temperature": "18 °C, thermometer"} | _KIND,
        needs=("tan", "ph", "temperature"),
    ),
    "oxygen": _Sum(
        make=quick.quick_oxygen,
        fields={"temperature": "18 °C", "altitude": "640 m", "salinity": "3 g/L"} | _KIND,
        needs=("temperature",),
    ),
    "power cut": _Sum(
        make=tub.quick_power_cut, fields=_fish() | {"oxygen": "8 mg/L, oxygen meter", "altitude": "640 m"}, needs=_TUB
    ),
    "air": _Sum(make=tub.quick_air, fields=_fish() | {"altitude": "640 m"}, needs=_TUB),
    "tank": _Sum(
        make=quick.quick_tank,
        fields={
            "species_name": known_species(),
            "weight": "0.6 kg",
            "length": "31 cm, tape",
            "temperature": "20 °C",
            "ph": "7.8",
            "filter_state": tuple(map(str, Filter)),
        },
        needs=(),
        one_of=("weight", "length"),
    ),
    "heater": _Sum(
        make=tub.quick_heater,
        fields={"litres": "200 L, marked tub", "temperature": "20 °C", "room": "12 °C"} | _KIND,
        needs=("litres", "temperature"),
    ),
    "salt": _Sum(
        make=_of("salt"),
        fields={
            "use": tuple(uses_of("salt")),
            "strength": "2 g/L",
            "into": "200 L, marked tub",
            "salinity": "0.3 g/L, conductivity meter",
            "species": known_species(),
            "again": "2 g/L",
        },
        needs=("strength", "into"),
    ),
    "iodine": _Sum(
        make=_of("povidone-iodine"),
        fields={"use": tuple(uses_of("povidone-iodine")), "into": "2 L", "bottle": "10 % PVP-I"},
        needs=("into",),
    ),
    "mix": _Sum(
        make=water.quick_mix,
        fields={
            "litres": "200 L",
            "temperature": "18 °C",
            "salinity": "3 g/L",
            "first_temperature": "12 °C",
            "first_salinity": "0.2 g/L",
            "second_temperature": "45 °C",
            "second_salinity": "0.2 g/L",
        },
        needs=("litres",),
        one_of=("temperature", "salinity"),
    ),
    "step": _Sum(
        make=water.quick_step,
        fields={"temperature": "12 °C", "other": "18 °C", "situation": water.SITUATIONS},
        needs=("temperature", "other"),
    ),
    "gas": _Sum(
        make=water.quick_gas,
        fields={"temperature": "8 °C", "warmed_to": "20 °C", "altitude": "640 m", "depth": "45 cm, tape"},
        needs=("temperature", "warmed_to"),
    ),
    "bag": _Sum(make=tub.quick_bag, fields=_fish(oxygen="40 L"), needs=_TUB),
    "stitches": _Sum(
        make=water.quick_stitches, fields={_DAY: "", "temperature": "18 °C, thermometer"}, needs=(_DAY, "temperature")
    ),
}


def page() -> None:
    """One sum at a time, each with an address of its own; the answer stands beside its fields and follows them."""
    titled("sum")
    key, (asked,) = f"{QUICK}{_WHICH}", asked_for(_WHICH)
    if asked in _SUMS:
        st.session_state[key] = asked
    st.session_state.setdefault(key, next(iter(_SUMS)))
    which = st.pills(say("sum.which"), list(_SUMS), key=key, format_func=lambda one: say(f"sum.{one}"), required=True)
    _live(str(which))


@st.fragment
def _live(which: str) -> None:
    """The fields of a sum, and its answer as soon as all that it needs is there."""
    one = _SUMS[which]
    st.header(say(f"sum.{which}"), anchor=False)
    left, right = st.columns([2, 3], gap="large")
    with left:
        given = {name: _asked(which, name, of) for name, of in one.fields.items()}
    keep_sums()
    with right:
        made, mistakes = _worked_out(one, given)
        for each in mistakes:
            label = say(f"sum.fields.{each.where}") if each.where in one.fields else each.where
            st.error(f"**{label}**: {mistake_words(each)}")
        if made is not None:
            shown(made)
        elif not mistakes:
            lacking = [name for name in (*one.needs, *one.one_of[:1]) if not given[name]]
            st.info(say("sum.fill", fields=", ".join(say(f"sum.fields.{name}") for name in lacking)))
        st.caption(say(f"sum.notes.{which}"))


def _asked(which: str, name: str, of: str | tuple[str, ...]) -> str:
    """A field of a sum: a choice, a day from a picker, or a short text."""
    label, place = say(f"sum.fields.{name}"), f"{which}/{name}"
    if isinstance(of, tuple):
        return choice(place, label, of, _STRICTEST if _STRICTEST in of else of[0])
    if name == _DAY:
        day = st.date_input(label, value=None, key=f"{QUICK}{place}", format="DD/MM/YYYY")
        return day.isoformat() if day else ""
    return short(place, label, example=of)


def _worked_out(one: _Sum, given: Mapping[str, str]) -> tuple[Plan | None, tuple[Mistake, ...]]:
    """The answer, or what is wrong; neither while something is still to be filled in."""
    if not all(given[name] for name in one.needs) or (one.one_of and not any(given[name] for name in one.one_of)):
        return None, ()
    try:
        return one.make(**given), ()
    except (CaseError, ImpossibleInput) as error:
        return None, mistakes_of(error)


def short(name: str, label: str, at_first: str = "", *, example: str = "") -> str:
    """A field for a short text, kept while other pages are shown."""
    key = f"{QUICK}{name}"
    st.session_state.setdefault(key, at_first)
    return str(st.text_input(label, key=key, placeholder=example or None) or "").strip()


def choice(name: str, label: str, options: Sequence[str], at_first: str, *, say_of: str = "") -> str:
    """A choice, its options by their own words or by the phrases under `say_of`."""
    key = f"{QUICK}{name}"
    options = list(map(str, options))  # Streamlit wants enumerations or texts, and not both
    if st.session_state.get(key) not in options:
        st.session_state[key] = str(at_first)
    named = (lambda one: say(f"{say_of}.{one}")) if say_of else known_as
    return str(st.selectbox(label, options, key=key, format_func=named))


def species(name: str, label: str) -> str:
    """One of the species that are known."""
    return choice(name, label, list(known_species()), _STRICTEST)


def worked(name: str, given: Mapping[str, Any], make: Callable[[], Plan]) -> None:
    """The button of a sum, and under it the answer of the last time with what it rests on."""
    if st.button(say("sum.work out"), type="primary", key=f"work {name}"):
        ask(name, given, make)
    answered(name, given)


def answered(name: str, given: Mapping[str, Any], *, below: Callable[..., None] | None = None) -> None:
    """The last answer under a name, grey where its values have changed; `below` draws what belongs to its plan."""
    kept = answer(name)
    if not kept.asked:
        return
    list_mistakes(kept.wrong(given))
    with dated(name, given) as old:
        if kept.plan is not None:
            shown(kept.plan)
            if below:
                below(kept.plan, old=old)


def shown(plan: Plan) -> None:
    """What a sum came to: what to do, how it is judged, its figures as cards, its sources."""
    told = {path for one in plan.actions for path in one.amounts.values()}
    past = {one.before for one in plan.judgements}
    judged = [one for one in plan.judgements if one.id not in past]
    beside = [path for path in shown_figures(plan) if path not in told]
    show("sum", plan, judged=judged, of_which_fish=of_which_fish, figures=beside)
