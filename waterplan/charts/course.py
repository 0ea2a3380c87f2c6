"""What changes: a quantity against time, and the clock of a tub after its air stops."""

import math
from collections.abc import Sequence
from datetime import timedelta

from waterplan.charts.grammar import COLOURED, Channel, Chart, layer, of, table
from waterplan.charts.style import BAND, EMERGENCY, GREY, INK, LEAST_PX, UNSTRETCHED, WATER_LINE, finish, in_lines
from waterplan.stay.record import Series

_TICKS = 6
_STEPS_H = (0.25, 0.5, 1.0, 2.0, 4.0, 6.0, 12.0, 24.0, 48.0, 96.0, 168.0, 336.0)
_UNSURE = [7, 4]
_LONG_MIN, _CLOCK_PX, _LINE_PX = 180.0, 58, 14


def course_chart(
    course: Series,
    *,
    title: str,
    value_title: str,
    time_title: str,
    limit_words: str,
    over: Series | None = None,
    **size: int | str,
) -> Chart:
    """The band of a quantity, its best line, and its limit as a broken line.

    Parameters
    ----------
    course : Series
        The values and the limit, in the reader's unit.
    title, value_title, time_title, limit_words : str
        Words over the drawing, beside its axes and at the limit.
    over : Series, optional
        Another course of the same, whose best line lies over the drawing, broken and grey.
    **size
        Its `width` and `height` [pixels], or `"container"` for what holds it.

    Returns
    -------
    Chart
        The drawing.
    """
    limit = [] if course.limit is None else [course.limit]
    domain = _domain([*course.low, *course.high, *limit, *(over.best if over else ())])
    on = {"title": value_title, "scale": {"domain": domain, "nice": False, "zero": False}}
    x = of("hour", title=time_title or None, scale={"nice": False}, axis=_time_axis(course))
    y, best = of("low", **on, axis={"tickCount": 5}), of("best", **on)
    rows = table("hour low best high", zip(course.hours, course.low, course.best, course.high, strict=True))
    dash = [1, 0] if course.as_planned else _UNSURE
    band = {"x": x, "y": y, "y2": {"field": "high"}}
    layers = [
        layer(rows, "area", band, color=BAND, fillOpacity=0.7, stroke=WATER_LINE, strokeWidth=0.8),
        layer(rows, "line", {"x": x, "y": best}, color=WATER_LINE, strokeWidth=3, strokeDash=dash),
    ]
    if limit:
        rows = table("hour low words", [(course.hours[-1], course.limit, limit_words)])
        look = {"align": "right", "dx": -4, "dy": -8, "fontSize": LEAST_PX, "fontWeight": "bold"}
        layers += [
            layer(rows, "rule", {"y": y}, color=EMERGENCY, strokeWidth=2, strokeDash=_UNSURE),
            layer(rows, "text", {"x": x, "y": y}, color=EMERGENCY, **look),
        ]
    if over:
        rows = table("hour low", zip(over.hours, over.best, strict=True))
        layers.append(layer(rows, "line", {"x": x, "y": y}, color=GREY, strokeWidth=2, strokeDash=[3, 3]))
    if isinstance(width := size.get("width"), int) and isinstance(height := size.get("height"), int):
        size["height"] = height + _LINE_PX * (len(in_lines(title, width)) - 1)  # the drawing keeps its own
    return finish(*layers, title=title, **size)


def _domain(values: Sequence[float]) -> list[float]:
    """The ends of an axis with some room to spare; a value that moves a little leaves them, so that no axis jumps."""
    bottom, top = min(values), max(values)
    margin = 0.08 * (top - bottom) or 1.0
    step = 2.0 ** math.floor(math.log2(margin))
    floor = 0.0 if 0.0 <= bottom < 0.6 * top else step * math.floor((bottom - margin) / step)
    return [floor, step * math.ceil((top + margin) / step)]


def _time_axis(course: Series) -> Channel:
    """Hours from the start, or the clock and the day of the month where the start is known."""
    last = course.hours[-1]
    every = next((step for step in _STEPS_H if last / step <= _TICKS), _STEPS_H[-1])
    if course.start is None or not course.as_planned:
        return {"values": [every * n for n in range(int(last / every) + 1)], "labelOverlap": "greedy", "format": "~g"}
    past = course.start.hour + course.start.minute / 60.0
    first = -past % min(every, 24.0)
    values = [first + every * n for n in range(int(max(last - first, 0.0) / every) + 1)]
    times = [course.start + timedelta(hours=value) for value in values]
    labels = ", ".join(f"'{at:%H:%M}'" if every < 24.0 else f"'{at.day}.{at.month}.'" for at in times)
    # By the place of a value in the row: the drawing engine reads a number back off by its last digit.
    written = f"[{labels}][round((datum.value - {first!r}) / {every!r})]"
    look = {"labelOverlap": "greedy", "tickColor": INK, "domainColor": INK}
    return {"values": values, "labelExpr": written, **look}


def clock_chart(
    stages: Sequence[tuple[str, float, str]], *, title: str, minutes_title: str, hours_title: str, width: int
) -> Chart:
    """The time after the air stops as a bar: each stage from its early end on, darker as it gets worse.

    Parameters
    ----------
    stages : sequence of str, float and str
        What begins, after how long [min], and its colour; one at least, in order.
    title, minutes_title, hours_title : str
        Words over the drawing, and under its axis by the unit it is drawn in.
    width : int
        Width of the drawing [pixels].

    Returns
    -------
    Chart
        The drawing.
    """
    end = 1.5 * max(stages[-1][1], 1.0)
    scale, axis_title = (1.0 / 60.0, hours_title) if end > _LONG_MIN else (1.0, minutes_title)
    ends = [*(minutes for _, minutes, _ in stages[1:]), end]
    parts = [
        (begin * scale, to * scale, colour)
        for (_, begin, colour), to in zip([("", 0.0, "#ffffff"), *stages], [stages[0][1], *ends], strict=True)
        if to > begin
    ]
    x = of("from", title=axis_title, scale={"domain": [0.0, end * scale], "nice": False})
    bar = {"x": x, "x2": {"field": "to"}, "y": {"value": 2 * _LINE_PX + 2}, "y2": {"value": _CLOCK_PX}, **COLOURED}
    # A line for each word: an alarm and an emergency may be minutes apart.
    said = [(minutes * scale, (row % 2 + 0.5) * _LINE_PX, text) for row, (text, minutes, _) in enumerate(stages)]
    words, whole = table("from top words", said), [0.0, _CLOCK_PX]
    at = {"x": x, "y": of("top", axis=None, scale={"domain": whole, "range": whole})}
    return finish(
        layer(table("from to colour", parts), "rect", bar, stroke=INK, strokeWidth=1),
        layer(words, "rule", {"x": x}, color=GREY),
        layer(words, "text", at, align="left", dx=2, fontSize=LEAST_PX, fontWeight="bold", color=INK),
        title=title,
        width=width,
        height=_CLOCK_PX,
        autosize=UNSTRETCHED,
    )
