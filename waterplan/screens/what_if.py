"""What if: one tank with something otherwise, over the plan's own line and in words; never the plan."""

from collections.abc import Mapping, Sequence
from typing import Any

import streamlit as st

from waterplan.errors import CaseError
from waterplan.papers.drawings import Drawings
from waterplan.plan.record import Plan
from waterplan.plan.what_if import (
    CHANGES,
    STOPS,
    Planned,
    alike,
    as_ordered,
    farthest_at,
    otherwise,
    planned,
    stopped,
    told,
)
from waterplan.screens import draft
from waterplan.screens.answers import digest, mistake_words
from waterplan.screens.field import keys_of
from waterplan.screens.kept import QUICK
from waterplan.screens.planning import AS_OF, log_and_time
from waterplan.screens.reader import at_work, say, show, speaker
from waterplan.words.speaker import Speaker

_TRIED, _MOST = "what ifs", 3
# What is said in words before it stands in the table, and what is drawn; of water that nobody changes something else.
_SAID, _DRAWN = ("oxygen/lowest", "oxygen/until-alarm"), "oxygen"
_OF_CHANGES = ("un-ionised ammonia/highest", "nitrite/highest"), "un-ionised ammonia"
_HOURS, _USUAL_H, _DAY_H = (0.0, 1.0, 2.0, 4.0, 8.0, 12.0, 24.0, 48.0, 72.0), 4.0, 24.0


@st.fragment
def what_if(case: Mapping[str, Any], water: str, plan: Plan) -> None:
    """Fields for what may be otherwise, and what that does to the tank of the plan in hand."""
    with st.expander(say("what if.title")):
        st.caption(say("what if.never"))
        _answered(case, water, plan, _fields(water))


@st.fragment
def _answered(case: Mapping[str, Any], water: str, plan: Plan, texts: Mapping[str, str]) -> None:
    """What stops, and what that and what is typed do: a slider draws this and leaves the fields alone."""
    stops = _stops(water)
    if not texts and not stops:
        return
    try:
        now = then = _tried(case)
        if texts:
            then = as_ordered(_tried(otherwise(case, water, texts)), water, now)
    except CaseError as error:
        st.error("; ".join(map(mistake_words, error.mistakes)))
        return
    would = stopped(then, water, **stops) if stops else then.plan
    _compare(plan, now.plan, would, water, *(_OF_CHANGES if stops.get("stops") == "change" else (_SAID, _DRAWN)))


def _fields(water: str) -> dict[str, str]:
    """What is typed to be otherwise."""
    columns, same, texts = st.columns(3), say("what if.same"), {}
    for number, (name, (section, key)) in enumerate(CHANGES.items()):
        of = next(each for each in keys_of(section) if each.key == key)
        label, place = say(f"what if.{name}"), f"{QUICK}what if/{water}/{name}"
        with columns[number % 3]:
            if of.choices:
                text = st.selectbox(label, ["", *of.choices], key=place, format_func=lambda one: one or same)
            else:
                text = st.text_input(label, key=place, placeholder=of.example)
        if text:
            texts[name] = str(text)
    return texts


def _stops(water: str) -> dict[str, Any]:
    """What stops, when and for how long."""
    at = f"{QUICK}what if/{water}"
    stops = st.pills(
        say("what if.stops"), list(STOPS), key=f"{at}/stops", format_func=lambda each: say(f"what if.{each}")
    )
    if not stops:
        return {}
    one, two = st.columns(2)
    after = one.select_slider(say("what if.after"), _HOURS, key=f"{at}/after")
    # A change is missed for a day at least; anything else for a few hours.
    usual = _DAY_H if stops == "change" else _USUAL_H
    lasts = two.select_slider(say("what if.for"), _HOURS[1:], value=usual, key=f"{at}/for {usual:g}")
    return {"stops": stops, "after_h": after, "for_h": lasts}


def _tried(case: Mapping[str, Any]) -> Planned:
    """A plan with few draws, or the one that was made of the same: what stops moves one tank of it, and plans nothing anew."""
    tried: dict[str, Planned] = st.session_state.setdefault(_TRIED, {})
    key = digest({"case": case, "log": draft.current().log, AS_OF: draft.typed("", AS_OF)})
    if key not in tried:
        with at_work():
            tried[key] = planned(case, log_and_time)
    tried[key] = made = tried.pop(key)
    for old in list(tried)[:-_MOST]:
        del tried[old]
    return made


def _when(spoken: Speaker, water: str, quantity: str) -> str:
    """At which hour the oxygen is lowest, or something else highest, in words."""
    clock, hours = farthest_at(spoken.plan, water, quantity) or (None, None)
    if hours is None:
        return ""
    return say("what if.says.at", clock=spoken.clock(clock)) if clock else say("what if.says.hours", n=f"{hours:g}")


def _compare(plan: Plan, now: Plan, then: Plan, water: str, said: Sequence[str], drawn: str) -> None:
    """The figures side by side, some of them in words, and one course of both over one another.

    What few draws tell apart is shown; what they do not is as the plan in hand has it.
    """
    before, few, after = speaker(plan), speaker(now), speaker(then)
    planned, was, would = (told(one, water) for one in (plan, now, then))
    both = {
        name: few.figure(was[name]) == after.figure(would[name]) for name in was if name in would and name in planned
    }
    so = {name: before.figure(planned[name]) if same else after.figure(would[name]) for name, same in both.items()}
    lines = [
        say(
            f"what if.says.{name}",
            so=so[name],
            so_at=_when(before if both[name] else after, water, name.partition("/")[0]),
            planned=before.figure(planned[name]),
            planned_at=_when(before, water, name.partition("/")[0]),
        )
        for name in said
        if name in both
    ]
    rows = [(before.figure_name(name), before.figure(planned[name]), so[name]) for name in both]
    of_water = [path for path, one in plan.series.items() if one.water == water and one.as_planned]
    told_alike = was.keys() == would.keys() and all(both.values())
    if told_alike and all(path in then.series and alike(now.series[path], then.series[path]) for path in of_water):
        lines.insert(0, say("what if.says.no difference"))
    show("what_if", plan, lines=lines, rows=rows)
    for path in (one for one in of_water if one in then.series and plan.series[one].quantity == drawn):
        chart = Drawings(after).course(then.series[path], over=plan.series[path], width="container", height=240)
        st.vega_lite_chart(chart, width="stretch", theme=None)
        st.caption(say("what if.lines"))
