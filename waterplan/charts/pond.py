"""A pond from above, to scale: its shore, its soundings and a map of its depth."""

from typing import cast

import altair as alt
import pandas as pd

from waterplan.charts.style import INK, WATER, WATER_LINE, finish
from waterplan.stay.record import VolumeFound

_MARGIN = 0.06
# From shallow to deep in one hue, so that it reads in grey as well.
_DEPTHS = ["#eef6f9", "#bcd9e6", "#7fb3cb", "#3f86a8", "#1d5a7a"]
# Above the first their depths are not written, above the second not all of a logger's are drawn.
_MANY, _MOST = 60, 500


def pond_chart(
    found: VolumeFound,
    *,
    factor: float,
    unit: str,
    depth_title: str,
    width: int = 520,
    tallest: int = 560,
) -> alt.LayerChart:
    """The shore, the soundings with their depths written beside them, and the floor between them in shades.

    Parameters
    ----------
    found : VolumeFound
        The pond from above.
    factor : float
        From metres to the reader's unit.
    unit : str
        That unit, as it is written.
    depth_title : str
        What the shades show.
    width, tallest : int
        Width of the drawing, and the height that it is not to pass [pixels].

    Returns
    -------
    altair.LayerChart
        The drawing, with one scale for both axes.
    """
    everything = [*found.outline_m, *((x, y) for x, y, _ in found.soundings_m)]
    low, high = ([edge(point[axis] for point in everything) for axis in (0, 1)] for edge in (min, max))
    span = [b - a or 1.0 for a, b in zip(low, high, strict=True)]
    margin = _MARGIN * max(span)
    across, up = span[0] + 2 * margin, span[1] + 2 * margin
    height = round(width * up / across)
    if height > tallest:
        width, height = round(width * tallest / height), tallest
    scales = [
        alt.Scale(domain=[(a - margin) * factor, (b + margin) * factor], nice=False, zero=False)
        for a, b in zip(low, high, strict=True)
    ]
    written = f"datum.label + ' {unit}'"
    axis = alt.Axis(grid=False, tickCount=5, labelExpr=written)
    x = alt.X("x:Q", scale=scales[0], title=None, axis=axis)
    y = alt.Y("y:Q", scale=scales[1], title=None, axis=axis)
    ring = [*found.outline_m, found.outline_m[0]]
    shore = pd.DataFrame(
        {"x": [a * factor for a, _ in ring], "y": [b * factor for _, b in ring], "order": range(len(ring))}
    )
    layers = []
    if found.floor_m:
        layers.append(_floor(found, factor, depth_title, x, y))
    water = alt.Undefined if found.floor_m else WATER
    line = alt.Chart(shore).mark_line(stroke=INK, strokeWidth=2.5, fill=water)
    layers.append(cast(alt.Chart, line.encode(x=x, y=y, order="order:Q")))
    layers += _soundings(found, factor, x, y)
    # One scale for both axes: whoever shows it may not stretch it.
    return finish(*layers, width=width, height=height).properties(autosize=alt.AutoSizeParams(type="pad"))


def soundings_step(found: VolumeFound) -> int:
    """How many soundings stand behind each that is drawn."""
    return max(-(-len(found.soundings_m) // _MOST), 1)


def _floor(found: VolumeFound, factor: float, depth_title: str, x: alt.X, y: alt.Y) -> alt.Chart:
    half = (found.cell_m or 0.0) / 2.0 * 1.15
    frame = pd.DataFrame(
        [
            {
                "x": (a - half) * factor,
                "x2": (a + half) * factor,
                "y": (b - half) * factor,
                "y2": (b + half) * factor,
                "depth": round(depth * factor, 3),
            }
            for a, b, depth in found.floor_m
        ]
    )
    colour = alt.Color(
        "depth:Q",
        scale=alt.Scale(range=_DEPTHS, zero=True),
        legend=alt.Legend(title=depth_title, labelFontSize=13, orient="top", gradientLength=160),
    )
    return cast(alt.Chart, alt.Chart(frame).mark_rect().encode(x=x, x2="x2:Q", y=y, y2="y2:Q", color=colour))


def _soundings(found: VolumeFound, factor: float, x: alt.X, y: alt.Y) -> list[alt.Chart]:
    if not found.soundings_m:
        return []
    drawn = found.soundings_m[:: soundings_step(found)]
    frame = pd.DataFrame(
        [{"x": a * factor, "y": b * factor, "words": f"{depth * factor:.2f}"} for a, b, depth in drawn]
    )
    size = 30 if soundings_step(found) == 1 else 6
    dots = (
        alt.Chart(frame)
        .mark_point(size=size, filled=True, color="white", stroke=WATER_LINE, opacity=1)
        .encode(x=x, y=y)
    )
    if len(found.soundings_m) > _MANY:
        return [dots]
    # A white rim around the figures keeps them legible over the deep and the shallow.
    rim = alt.Chart(frame).mark_text(fontSize=11, dy=-8, stroke="white", strokeWidth=3).encode(x=x, y=y, text="words:N")
    words = alt.Chart(frame).mark_text(fontSize=11, dy=-8, color=INK).encode(x=x, y=y, text="words:N")
    return [dots, rim, words]
