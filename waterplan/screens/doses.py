"""The page of doses: one into a water, one into a fish by weight, and the cards of the open case."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import partial

import streamlit as st

from waterplan.case.describing import Key
from waterplan.dose.conflicts import conflict_things
from waterplan.dose.substances import HOSE, Kind, kind_of, uses_of
from waterplan.papers.drawings import Drawings
from waterplan.papers.whole_set import page_names
from waterplan.plan.quick_doses import quick_dose, quick_injection
from waterplan.plan.record import Plan
from waterplan.screens import kept, planning
from waterplan.screens.answers import answer, ask
from waterplan.screens.downloads import hand_out
from waterplan.screens.field import grid, keys_of, text
from waterplan.screens.quick_sums import answered
from waterplan.screens.reader import say, speaker, titled

_CARDS = "dose-cards.html"
_CHART_PX = 300
# What the sum of one dose asks of the water and of the fish; their other keys belong to a case.
_WATER = ("temperature", "ph", "oxygen", "tan", "alkalinity", "salinity", "chlorine", "disinfectant")
_FISH, _BY_WEIGHT = ("species", "eaten", "wound"), ("species", "weight", "length", "eaten")
_NOT_HERE = frozenset({"patient", "water", "at"})
# What is not always known stands folded away.
_MORE = frozenset({"scale", "syringe", "drop", "opened", "expires", "again"})
_FOLDED = frozenset({"more", "mains_water"})


def page() -> None:
    """A tab for each of the two sums; what the doses of a case came to stands in its plan."""
    titled("doses")
    kept = answer(planning.CASE)
    has_cards = kept.plan is not None and _CARDS in page_names(kept.plan)
    tabs = st.tabs([say(f"doses.{name}") for name in ("water", "fish", *(["case"] if has_cards else []))])
    with tabs[0]:
        _dose()
    with tabs[1]:
        fields = _folded("injections", _keys("injections"), {"patients": _keys("patients", _BY_WEIGHT)})
        _sum("injection", fields, lambda texts, _: quick_injection(texts))
    if kept.plan is not None and has_cards:
        with tabs[2]:
            st.caption(say("doses.of case"))
            hand_out(_CARDS, kept.plan, old=kept.is_old(planning.inputs()), key=planning.CASE)


def _keys(section: str, wanted: Iterable[str] = ()) -> list[Key]:
    """The keys of a section that a sum of its own asks for."""
    return [key for key in keys_of(section) if (key.key in wanted if wanted else key.key not in _NOT_HERE)]


def _folded(section: str, keys: Sequence[Key], others: dict[str, list[Key]]) -> dict[str, list[Key]]:
    """The fields of a sum by the drawers that they stand in."""
    return {
        section: [key for key in keys if key.key not in _MORE],
        **others,
        "more": [key for key in keys if key.key in _MORE],
    }


def _dose() -> None:
    substance, use = (text(f"{kept.QUICK}dose/{key}") for key in ("substance", "use"))
    uses = tuple(uses_of(substance)) if substance else ()
    kind = kind_of(substance, use=use) if use in uses else None
    keys = [_of_substance(key, uses) for key in _keys("doses") if _is_asked(key.key, substance, use, kind)]
    fields = _folded("doses", keys, {"patients": _keys("patients", _FISH)})
    things = {one.replace("_", " "): one for one in sorted(conflict_things())}

    def make(texts: dict[str, str], there: list[str]) -> Plan:
        return quick_dose(texts, already=[things[one] for one in there if one in things])

    _sum("dose", fields | {"mains_water": _keys("mains_water", _WATER)}, make, list(things))


def _of_substance(key: Key, uses: tuple[str, ...]) -> Key:
    """A key of a dose as this page asks for it: litres, a level or what has gone in, and the uses that the substance has."""
    if key.key == "into":
        return replace(key, words=say("doses.into"), example=say("doses.litres"))
    if key.key == "strength":
        return replace(key, words=say("doses.strength"))
    return replace(key, choices=uses) if key.key == "use" and uses else key


def _is_asked(key: str, substance: str, use: str, kind: Kind | None) -> bool:
    """What only some substances and uses ask for."""
    asked = {
        "buffer": substance == "tricaine",
        "grade": kind is Kind.SALT,
        "changed": kind is Kind.SALT,
        "washed": kind in {Kind.THINGS, Kind.IODINE} and use != "fish",
        "added": use == HOSE,
        "overflowed": use == HOSE,
        "went_in": False,  # the unit of the level says so
    }
    return asked.get(key, True)


def _sum(
    name: str,
    fields: dict[str, list[Key]],
    make: Callable[[dict[str, str], list[str]], Plan],
    there: Sequence[str] = (),
) -> None:
    """The fields of one sum, its button, and the answer with its picture and its card."""

    def place(key: str) -> str:
        return f"{kept.QUICK}{name}/{key}"

    found = answer(name)
    texts = {key.key: typed for keys in fields.values() for key in keys if (typed := text(place(key.key)))}
    already = list(st.session_state.get(place("already"), ()))
    given = {**texts, "already": already}
    mistakes, tried = found.wrong(given), {one.where for one in found.mistakes}
    left, right = st.columns(2, gap="large")
    with left:
        for section, keys in fields.items():
            wrong = tried & {key.key for key in keys}
            with st.expander(say(f"doses.{section}"), expanded=bool(wrong) or section not in _FOLDED):
                grid(keys, place, mistakes=mistakes, across=2)
        if there:
            st.multiselect(say("doses.there"), there, key=place("already"), select_all=False)
        if st.button(say("sum.work out"), type="primary", key=f"work {name}", width="stretch"):
            ask(name, given, partial(make, texts, already))
            st.rerun()  # so that each mistake stands beside its field
    with right:
        if not found.asked:
            st.info(say("doses.none"))
        answered(name, given, below=partial(_pictures, name))


def _pictures(name: str, plan: Plan, *, old: bool) -> None:
    """A dose to the eye, and its card."""
    drawings = Drawings(speaker(plan))
    for one in plan.actions:
        for chart in drawings.dose_charts(one.id, width=_CHART_PX):
            st.vega_lite_chart(chart, width="content", theme=None)
    hand_out(_CARDS, plan, old=old, key=name)
