"""A tub: from above with the fish in it at its length, and its clock after the air stops."""

import math
from collections.abc import Sequence
from typing import cast

import altair as alt
import pandas as pd

from waterplan.charts.style import FISH, GREY, INK, WATER, WATER_LINE, finish, titled

# Body width as a share of length, seen from above, and how many points its outline has.
_WIDTH, _POINTS, _TRUNK = 0.2, 40, 0.8
_LONG_MIN = 180.0


def plan_view(
    outline_m: Sequence[tuple[float, float]],
    fish_m: float | None,
    *,
    title: str,
    axis_title: str,
    factor: float = 1.0,
    width: int = 420,
) -> alt.LayerChart:
    """A tub or pond from above, to scale, with the fish at its length.

    Parameters
    ----------
    outline_m : sequence of pairs
        The shore's corners, in order [m].
    fish_m : float or None
        Length of the fish; None draws none [m].
    title, axis_title : str
        Words over the drawing and beside its axes.
    factor : float
        From metres to the unit of the axes.
    width : int
        Width of the drawing [pixels].

    Returns
    -------
    altair.LayerChart
        The drawing, with one scale for both axes.
    """
    xs, ys = ([point[n] for point in outline_m] for n in (0, 1))
    margin = 0.06 * max(max(xs) - min(xs), max(ys) - min(ys))
    left, right, low, high = min(xs) - margin, max(xs) + margin, min(ys) - margin, max(ys) + margin
    height = max(round(width * (high - low) / (right - left)), 60)
    x_scale = alt.Scale(domain=[left * factor, right * factor], nice=False)
    y_scale = alt.Scale(domain=[low * factor, high * factor], nice=False)
    x = alt.X("x:Q", scale=x_scale, title=axis_title, axis=alt.Axis(grid=False, tickCount=6))
    y = alt.Y("y:Q", scale=y_scale, title=None, axis=alt.Axis(grid=False, tickCount=4))
    layers = [_closed(outline_m, factor, x, y, fill=WATER, stroke=WATER_LINE)]
    if fish_m:
        middle = (sum(xs) / len(xs), sum(ys) / len(ys))
        layers.append(_closed(_from_above(fish_m, middle), factor, x, y, fill=FISH, stroke=INK))
    drawn = finish(*layers, width=width, height=height)
    return drawn.properties(title=titled(title), autosize=alt.AutoSizeParams(type="pad"))


def _closed(
    points: Sequence[tuple[float, float]], factor: float, x: alt.X, y: alt.Y, *, fill: str, stroke: str
) -> alt.Chart:
    path = [*points, points[0]]
    frame = pd.DataFrame(
        {"x": [px * factor for px, _ in path], "y": [py * factor for _, py in path], "order": range(len(path))}
    )
    shape = alt.Chart(frame).mark_line(stroke=stroke, strokeWidth=2, fill=fill)
    return cast(alt.Chart, shape.encode(x=x, y=y, order="order:Q"))


def _from_above(length: float, middle: tuple[float, float]) -> list[tuple[float, float]]:
    """A fish seen from above: a slender drop and the fin of its tail."""
    left, mid = middle[0] - length / 2.0, middle[1]
    trunk, half = _TRUNK * length, _WIDTH * length / 2.0
    steps = [n / _POINTS for n in range(_POINTS + 1)]
    top = [(left + trunk * t, mid + half * math.sin(math.pi * t**0.6) ** 0.9 if 0.0 < t < 1.0 else mid) for t in steps]
    tail = [(left + length, mid + 0.25 * half), (left + length, mid - 0.25 * half)]
    return [*top, *tail, *[(px, 2.0 * mid - py) for px, py in reversed(top)]]


def clock_chart(
    stages: Sequence[tuple[str, float, str]],
    *,
    title: str,
    minutes_title: str,
    hours_title: str,
    width: int | str = "container",
    height: int = 44,
) -> alt.LayerChart | None:
    """The time after the air stops as a bar: each stage from its early end on, darker as it gets worse.

    Parameters
    ----------
    stages : sequence of str, float and str
        What begins, after how long [min], and its colour, in order.
    title, minutes_title, hours_title : str
        Words over the drawing, and under its axis by the unit it is drawn in.
    width, height : int or str
        Size of the drawing [pixels].

    Returns
    -------
    altair.LayerChart or None
        The drawing; None where no stage ever begins.
    """
    if not stages:
        return None
    end = 1.3 * max(stages[-1][1], 1.0)
    scale, axis_title = (1.0 / 60.0, hours_title) if end > _LONG_MIN else (1.0, minutes_title)
    edges = [0.0, *(minutes for _, minutes, _ in stages), end]
    colours = ["#ffffff", *(colour for _, _, colour in stages)]
    parts = pd.DataFrame(
        [
            {"from": begin * scale, "to": to * scale, "colour": colour}
            for begin, to, colour in zip(edges[:-1], edges[1:], colours, strict=True)
            if to > begin
        ]
    )
    x = alt.X("from:Q", title=axis_title, scale=alt.Scale(domain=[0.0, end * scale], nice=False))
    bar = alt.Chart(parts).mark_rect(stroke=INK, strokeWidth=1)
    colour = alt.Color("colour:N", scale=None, legend=None)
    words = pd.DataFrame([{"from": minutes * scale, "words": text} for text, minutes, _ in stages])
    text = alt.Chart(words).mark_text(align="left", dx=2, fontSize=12, fontWeight="bold", color=INK)
    marks = alt.Chart(words).mark_rule(color=GREY)
    layers = [
        cast(alt.Chart, bar.encode(x=x, x2="to:Q", color=colour, y=alt.value(16), y2=alt.value(height))),
        cast(alt.Chart, marks.encode(x=x)),
        cast(alt.Chart, text.encode(x=x, y=alt.value(7), text="words:N")),
    ]
    return finish(*layers, width=width, height=height).properties(title=titled(title))
