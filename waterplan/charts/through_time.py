"""A state of the hospital tank against time: its band, its levels, and what happened, each kind of event on its line."""

import math
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import cast

import altair as alt
import pandas as pd

from waterplan import tables
from waterplan.charts.style import ALARM, BAND, EMERGENCY, GREY, INK, finish, rimmed, titled
from waterplan.first_plan.tank_course import Level, StateCourse, TankCourse
from waterplan.units import Display

# The line on which an event stands, by its words; what is not named here stands on the last.
_LANES = {
    "water change": "change",
    "feed": "meal",
    "salt dose": "salt",
    "bicarbonate dose": "buffer",
    "ice": "ice",
    "thermostat set": "heater",
    "heater sticks on": "heater",
    "heater mended": "heater",
    "power fails": "power",
    "power returns": "power",
    "air stops": "air",
    "air returns": "air",
    "lid on": "lid",
    "lid off": "lid",
    "handling": "fish",
    "sedation": "fish",
    "fish in": "fish",
    "fish out": "fish",
    "filter damaged": "filter",
    "paired test": "filter",
}
_OTHER = "other"
# What lasts from one event to another, and the word for it.
_SPANS = {
    "power fails": ("power returns", "no power"),
    "air stops": ("air returns", "no air"),
    "heater sticks on": ("heater mended", "heater stuck"),
}
_ENDS = frozenset(end for end, _ in _SPANS.values())
# What is told by a word on the picture itself, beside its mark on the line below.
_TOLD = {
    "fish in": "fish in",
    "fish out": "fish out",
    "filter damaged": "filter damaged",
    "ice": "ice",
    "handling": "fish handled",
    "sedation": "sedated",
    "paired test": "filter tested",
}
# States that can be nothing: their axis begins there.
_FROM_ZERO = ("_per_l",)
_LANE_PX, _LEFT_PX, _LEFT_BARE_PX, _TICKS = 17, 62, 46, 5
# Less than this is what the sums leave over, not something that a kit or a fish could tell from nothing.
_NOTHING, _LEAST_PER_L, _NONE_TOP = 6, 1e-3, 1.0
# The share of the time that two words along it must be apart, and the pixels that two levels must be; how far off a
# level may lie, as a share of what the state does, to be drawn.
_APART, _LEVELS_APART_PX, _IN_REACH = 0.055, 32.0, 0.7
_SPAN_FILL = "#e4e7e9"
_LEAST_SPAN = {"water_temp_c": 2.0, "ph": 0.6, "volume_l": 10.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Frame:
    """The picture's ends in the reader's units: the plot from `floor` to `top`, the lines of the events below it."""

    unit: str
    floor: float
    top: float
    lane: float
    lanes: tuple[str, ...]
    until_h: float

    def at(self, lane: str) -> float:
        """The height of the line of a kind of event."""
        return self.floor - self.lane * (self.lanes.index(lane) + 0.8)

    @property
    def bottom(self) -> float:
        """The lower edge of all."""
        return self.floor - self.lane * (len(self.lanes) + 0.4) if self.lanes else self.floor


def course_chart(
    made: TankCourse,
    state: str,
    display: Display,
    *,
    width: int | str = "container",
    height: int = 210,
    lanes: bool = True,
) -> alt.LayerChart:
    """One state against time: band, best line, levels, outages as shades, and below it a line for each kind of event.

    Parameters
    ----------
    made : TankCourse
        The course of the stay.
    state : str
        Which state, by its name in the glossary.
    display : Display
        The reader's units.
    width, height : int or str
        Width of the drawing, and the height of the plot without the lines of the events [pixels].
    lanes : bool
        Whether the lines of the events are drawn, and words for what is rare; a small picture does without.
    """
    one = _without_residue(made.state(state))
    happened = {_lane(words) for _, words in made.happened} if lanes else set()
    kinds = tuple(lane for lane in dict.fromkeys([*_LANES.values(), _OTHER]) if lane in happened)
    frame, unseen = _frame(one, display, kinds, made.until_h, height)
    x = alt.X("hour:Q", axis=_time_axis(made), scale=alt.Scale(domain=[0.0, made.until_h], nice=False))
    y = _height("low", frame)
    rows = pd.DataFrame(
        {
            "hour": one.hours,
            "low": [display.convert(value, _unit(state))[0] for value in one.low],
            "best": [display.convert(value, _unit(state))[0] for value in one.best],
            "high": [display.convert(value, _unit(state))[0] for value in one.high],
            "order": range(len(one.hours)),
        }
    )
    layers = _spans(made, frame, x, y)
    layers.append(alt.Chart(rows).mark_area(color=BAND, opacity=0.7).encode(x=x, y=y, y2="high:Q"))
    layers.append(
        cast(
            alt.Chart,
            alt.Chart(rows).mark_line(color=INK, strokeWidth=2).encode(x=x, y=_height("best", frame), order="order:Q"),
        )
    )
    layers += _levels(one, frame, display, x, y)
    layers += _events(made, frame, x, y)
    return finish(*layers, width=width, height=height + _LANE_PX * len(kinds)).properties(
        title=titled(f"{_capital(tables.glossary()[state].words)}{f' [{frame.unit}]' if frame.unit else ''}", *unseen)
    )


def _without_residue(one: StateCourse) -> StateCourse:
    low, best, high = (
        tuple(round(value, _NOTHING) + 0.0 for value in values) for values in (one.low, one.best, one.high)
    )
    return replace(one, low=low, best=best, high=high)


def states_of(made: TankCourse) -> dict[str, str]:
    """The states that a course shows and their words, in its order; the litres only where they change."""
    shown = [one.state for one in made.states if one.state != "volume_l" or min(one.low) < max(one.low) * 0.99]
    return {state: _capital(tables.glossary()[state].words) for state in shown}


def _capital(words: str) -> str:
    return words if words.startswith("pH") else f"{words[:1].upper()}{words[1:]}"


def _unit(state: str) -> str:
    return tables.glossary()[state].unit


def _lane(words: str) -> str:
    return _LANES.get(words, _OTHER)


# -- the frame ------------------------------------------------------------------------------------------------------


def _frame(
    one: StateCourse, display: Display, lanes: tuple[str, ...], until_h: float, height: int
) -> tuple[_Frame, list[str]]:
    """The ends of the picture, and in words the levels that lie too far off to be drawn."""
    low, high = min(one.low), max(one.high)
    if one.state.endswith(_FROM_ZERO):
        low = 0.0
    least = _LEAST_SPAN.get(one.state, _LEAST_PER_L)
    if high - low < least and one.state.endswith(_FROM_ZERO):
        high = least if high > 0.0 else _NONE_TOP
    elif high - low < least:
        middle = (low + high) / 2.0
        low, high = middle - least / 2.0, middle + least / 2.0
    reach = _IN_REACH * max(high - low, least)
    near = [level for level in one.levels if low - reach <= level.value <= high + reach]
    far = [level for level in one.levels if level not in near]
    low, high = min([low, *(level.value for level in near)]), max([high, *(level.value for level in near)])
    unit = _unit(one.state)
    floor, top = (display.convert(value, unit)[0] for value in (low, high))
    margin = 0.08 * (top - floor or 1.0)
    if low > 0.0 or one.state == "water_temp_c":
        floor -= margin
    top += 1.6 * margin
    frame = _Frame(
        unit=display.unit(unit),
        floor=floor,
        top=top,
        lane=(top - floor) * _LANE_PX / height,
        lanes=lanes,
        until_h=until_h,
    )
    told = [f"{level.words} {display.number(level.value, unit)}: {_side(level, high)} this picture" for level in far]
    if not any(one.high) and one.state.endswith(_FROM_ZERO):
        told = ["none throughout", *told]
    return frame, told


def _side(level: Level, high: float) -> str:
    return "above" if level.value > high else "below"


def _height(field: str, frame: _Frame) -> alt.Y:
    scale = alt.Scale(domain=[frame.bottom, frame.top], nice=False, zero=False)
    return alt.Y(f"{field}:Q", axis=_value_axis(frame), scale=scale)


def _value_axis(frame: _Frame) -> alt.Axis:
    """Round values in the plot, and beside the lines of the events what they are."""
    left = _LEFT_PX if frame.lanes else _LEFT_BARE_PX
    values = _round_values(frame.floor, frame.top)
    labels = [f"{value:,.6g}" for value in values]
    for lane in frame.lanes:
        values.append(frame.at(lane))
        labels.append(lane)
    return alt.Axis(
        values=values,
        labelExpr=_labels(values, labels),
        labelLimit=_LEFT_PX,
        minExtent=left,
        maxExtent=left,
        labelOverlap=False,
        title=None,
        domain=False,
        ticks=False,
    )


def _labels(values: list[float], labels: list[str]) -> str:
    """The words that a value of an axis is written as."""
    quoted = ", ".join(f"'{label}'" for label in labels)
    return f"[{quoted}][indexof([{', '.join(repr(value) for value in values)}], datum.value)]"


def _round_values(low: float, high: float) -> list[float]:
    step = 10.0 ** math.floor(math.log10((high - low) / _TICKS))
    step *= next(times for times in (1.0, 2.0, 5.0, 10.0) if (high - low) / (step * times) <= _TICKS)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [round(number * step, 10) for number in range(first, last + 1)]


def _time_axis(made: TankCourse) -> alt.Axis:
    """Midnights by their dates where the start is known, else days since the start; hours where the stay is short."""
    short = made.until_h <= 72.0
    every = next(hours for hours in (6, 12, 24, 48, 96, 168, 336, 8760) if made.until_h / hours <= 7)
    if made.begin is None:
        values = [float(hour) for hour in range(0, int(made.until_h) + 1, every)]
        words = [f"{hour:g} h" if short else f"day {hour / 24:g}" for hour in values]
    else:
        past = made.begin.hour + made.begin.minute / 60.0
        first = -past % min(every, 24) if every < 24 else 24.0 - past
        values = [first + every * number for number in range(int((made.until_h - first) // every) + 1)]
        times = [made.begin + timedelta(hours=value) for value in values]
        words = [f"{at:%a %H:%M}" if every < 24 else f"{at.day} {at:%b}" for at in times]
    return alt.Axis(
        values=values,
        labelExpr=_labels(values, words),
        labelOverlap="greedy",
        labelSeparation=9,
        labelBound=True,
        title=None,
        grid=True,
        tickColor=INK,
        domainColor=INK,
    )


# -- what is drawn over it ------------------------------------------------------------------------------------------


def _levels(one: StateCourse, frame: _Frame, display: Display, x: alt.X, y: alt.Y) -> list[alt.Chart]:
    """A broken line and its words for each level in the picture, the words of two near ones above and below."""
    unit = _unit(one.state)
    inside = sorted(
        (level for level in one.levels if frame.floor <= display.convert(level.value, unit)[0] <= frame.top),
        key=lambda level: level.value,
    )
    layers: list[alt.Chart] = []
    heights = [display.convert(level.value, unit)[0] for level in inside]
    for number, level in enumerate(inside):
        up_px = (
            (heights[number + 1] - heights[number]) / frame.lane * _LANE_PX if number + 1 < len(inside) else math.inf
        )
        crowded = up_px < _LEVELS_APART_PX
        rows = pd.DataFrame(
            [
                {
                    "hour": frame.until_h,
                    "low": heights[number],
                    "words": f"{level.words} {display.number(level.value, unit)}",
                }
            ]
        )
        colour = EMERGENCY if level.serious else ALARM
        dash = [2, 3] if level.serious else [7, 4]
        layers.append(alt.Chart(rows).mark_rule(color=colour, strokeWidth=2, strokeDash=dash).encode(y=y))
        layers += rimmed(rows, x, y, colour, size=12, align="right", dx=-4, dy=11 if crowded else -8)
    return layers


def _spans(made: TankCourse, frame: _Frame, x: alt.X, y: alt.Y) -> list[alt.Chart]:
    """What lasts, shaded through the plot."""
    rows = [
        {"hour": begin, "to": end, "low": frame.bottom, "high": frame.top, "what": word}
        for begin, end, word, _ in _lasting(made)
    ]
    if not rows:
        return []
    drawn = alt.Chart(pd.DataFrame(rows)).mark_rect(color=_SPAN_FILL, stroke=GREY, strokeWidth=0.5, strokeDash=[2, 2])
    return [cast(alt.Chart, drawn.encode(x=x, x2="to:Q", y=y, y2="high:Q", tooltip=alt.Tooltip("what:N")))]


def _lasting(made: TankCourse) -> list[tuple[float, float, str, str]]:
    """From when to when something was amiss, its word, and its line."""
    found = []
    for number, (begin, words) in enumerate(made.happened):
        if words in _SPANS:
            ending, word = _SPANS[words]
            later = (at for at, what in made.happened[number + 1 :] if what == ending)
            found.append((begin, next(later, made.until_h), word, _lane(words)))
    return found


def _events(made: TankCourse, frame: _Frame, x: alt.X, y: alt.Y) -> list[alt.Chart]:
    """Marks on the lines of the events, bars for what lasts, and words in the plot for what is rare."""
    layers: list[alt.Chart] = []
    if frame.lanes:
        marks = [
            {"hour": at, "low": frame.at(_lane(words)), "what": words}
            for at, words in made.happened
            if words not in _SPANS and words not in _ENDS
        ]
        bars = [
            {"hour": begin, "to": end, "low": frame.at(lane), "what": word} for begin, end, word, lane in _lasting(made)
        ]
        edge = pd.DataFrame([{"low": frame.floor}])
        layers.append(alt.Chart(edge).mark_rule(color=INK, strokeWidth=1).encode(y=y))
        if marks:
            drawn = alt.Chart(pd.DataFrame(marks)).mark_tick(color=INK, thickness=2, size=12, orient="vertical")
            layers.append(cast(alt.Chart, drawn.encode(x=x, y=y, tooltip=alt.Tooltip("what:N"))))
        if bars:
            drawn = alt.Chart(pd.DataFrame(bars)).mark_bar(color=INK, size=8, minBandSize=3)
            layers.append(cast(alt.Chart, drawn.encode(x=x, x2="to:Q", y=y, tooltip=alt.Tooltip("what:N"))))
    told = _told(made, frame)
    if told:
        rows = pd.DataFrame(told)
        rule = alt.Chart(rows).mark_rule(color=GREY, strokeWidth=1, strokeDash=[1, 2])
        layers.append(cast(alt.Chart, rule.encode(x=x, y=_height("floor", frame), y2="low:Q")))
        if frame.lanes:  # a small picture has no room for words among its lines
            layers += rimmed(rows, x, y, size=12, angle=270, align="right", baseline="bottom", dx=-2, dy=-2)
    return layers


def _told(made: TankCourse, frame: _Frame) -> list[dict[str, float | str]]:
    """The words that stand upright in the plot, as many as there is room for; what lasts comes first."""
    wanted = [(begin, word) for begin, _, word, _ in _lasting(made)]
    wanted += [(at, _TOLD[words]) for at, words in made.happened if words in _TOLD and at > 0.0]
    found: list[dict[str, float | str]] = []
    for at, words in wanted:
        apart = _APART * made.until_h
        if at >= apart / 2.0 and all(abs(at - float(one["hour"])) >= apart for one in found):
            found.append({"hour": at, "low": frame.top, "floor": frame.floor, "words": words})
    return found
