"""A quantity against time: its band, its best line and its limit."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import altair as alt
import pandas as pd

from waterplan.charts.style import BAND, EMERGENCY, FISH, INK, WATER_LINE, finish, titled

_TICKS = 6
_STEPS_H = (0.25, 0.5, 1.0, 2.0, 4.0, 6.0, 12.0, 24.0, 48.0, 96.0, 168.0, 336.0)
_UNSURE = [7, 4]


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """What is drawn: hours from the start, the band and the limit in the reader's unit, and the words beside them."""

    title: str
    value_title: str
    time_title: str
    limit_words: str
    hours: Sequence[float]
    low: Sequence[float]
    best: Sequence[float]
    high: Sequence[float]
    limit: float | None
    begin: datetime | None = None
    planned: bool = True


def course_chart(course: Course, *, width: int | str = "container", height: int = 200) -> alt.LayerChart:
    """The band of a quantity, its best line, and its limit as a broken line.

    Parameters
    ----------
    course : Course
        The values and the words.
    width, height : int or str
        Size of the drawing [pixels].

    Returns
    -------
    altair.LayerChart
        The drawing.
    """
    frame = pd.DataFrame({"hour": course.hours, "low": course.low, "best": course.best, "high": course.high})
    ends = [*course.low, *course.high, *([] if course.limit is None else [course.limit])]
    bottom, top = min(ends), max(ends)
    margin = 0.08 * (top - bottom) or 1.0
    floor = 0.0 if 0.0 <= bottom < 0.6 * top else bottom - margin
    x = alt.X("hour:Q", title=course.time_title or None, scale=alt.Scale(nice=False), axis=_time_axis(course))
    scale = alt.Scale(domain=[floor, top + margin], nice=False, zero=False)
    y = alt.Y("low:Q", title=course.value_title, scale=scale, axis=alt.Axis(tickCount=5))
    line = alt.Y("best:Q", title=course.value_title, scale=scale)
    base = alt.Chart(frame)
    dash = [1, 0] if course.planned else _UNSURE
    layers = [
        base.mark_area(color=BAND, opacity=0.7).encode(x=x, y=y, y2="high:Q"),
        base.mark_line(color=WATER_LINE, strokeWidth=3, strokeDash=dash).encode(x=x, y=line),
    ]
    if course.limit is not None:
        layers += _limit(course, x, scale)
    return finish(*layers, width=width, height=height).properties(title=titled(course.title))


def _limit(course: Course, x: alt.X, scale: alt.Scale) -> list[alt.Chart]:
    rows = pd.DataFrame([{"hour": course.hours[-1], "low": course.limit, "words": course.limit_words}])
    y = alt.Y("low:Q", title=course.value_title, scale=scale)
    text = alt.Chart(rows).mark_text(align="right", dy=-8, dx=-4, color=EMERGENCY, fontSize=13, fontWeight="bold")
    return [
        alt.Chart(rows).mark_rule(color=EMERGENCY, strokeWidth=2, strokeDash=_UNSURE).encode(y=y),
        text.encode(x=x, y=y, text="words:N"),
    ]


def _time_axis(course: Course) -> alt.Axis:
    """Hours from the start, or the clock and the day of the month where the start is known."""
    last = course.hours[-1]
    every = next((step for step in _STEPS_H if last / step <= _TICKS), _STEPS_H[-1])
    if course.begin is None:
        return alt.Axis(values=[every * n for n in range(int(last / every) + 1)], labelOverlap="greedy", format="~g")
    past = course.begin.hour + course.begin.minute / 60.0
    first = -past % min(every, 24.0)
    values = [first + every * n for n in range(int(max(last - first, 0.0) / every) + 1)]
    times = [course.begin + timedelta(hours=value) for value in values]
    labels = ", ".join(f"'{at:%H:%M}'" if every < 24.0 else f"'{at.day}.{at.month}.'" for at in times)
    written = f"[{labels}][indexof([{', '.join(map(repr, values))}], datum.value)]"
    return alt.Axis(values=values, labelExpr=written, labelOverlap="greedy", tickColor=INK, domainColor=INK)


@dataclass(frozen=True, slots=True, kw_only=True)
class Curves:
    """One line for each row of a small table: what is drawn against the columns."""

    title: str
    x_title: str
    y_title: str
    legend_title: str
    columns: Sequence[float]
    lines: dict[str, Sequence[float]]
    here: tuple[float, float, str] | None = None


def region_chart(curves: Curves, *, width: int | str = "container", height: int = 240) -> alt.LayerChart:
    """The most that a water may hold against its pH, a line for each temperature; under a line is within the limit.

    Parameters
    ----------
    curves : Curves
        The table and the words.
    width, height : int or str
        Size of the drawing [pixels].

    Returns
    -------
    altair.LayerChart
        The drawing.
    """
    rows = [
        {"x": column, "y": value, "line": name}
        for name, values in curves.lines.items()
        for column, value in zip(curves.columns, values, strict=True)
        if value > 0.0
    ]
    x = alt.X("x:Q", title=curves.x_title, scale=alt.Scale(nice=False, zero=False))
    y = alt.Y("y:Q", title=curves.y_title, scale=alt.Scale(type="log", nice=False), axis=alt.Axis(tickCount=6))
    names = list(curves.lines)
    dash = alt.StrokeDash(
        "line:N",
        sort=names,
        scale=alt.Scale(domain=names, range=[[1, 0], [8, 3], [3, 3], [1, 3], [8, 3, 1, 3]][: len(names)]),
        legend=alt.Legend(title=curves.legend_title, orient="right", labelFontSize=13, titleFontSize=13),
    )
    layers = [
        alt.Chart(pd.DataFrame(rows)).mark_line(color=WATER_LINE, strokeWidth=2.5).encode(x=x, y=y, strokeDash=dash)
    ]
    if curves.here is not None:
        at = pd.DataFrame([{"x": curves.here[0], "y": curves.here[1], "words": curves.here[2]}])
        base = alt.Chart(at)
        layers += [
            base.mark_point(shape="diamond", size=180, filled=True, color=FISH, stroke=INK, opacity=1).encode(x=x, y=y),
            base.mark_text(align="left", dx=11, fontSize=13, fontWeight="bold", color=INK).encode(
                x=x, y=y, text="words:N"
            ),
        ]
    return finish(*layers, width=width, height=height).properties(title=titled(curves.title))
