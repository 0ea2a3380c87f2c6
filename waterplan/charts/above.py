"""A water from above, to scale: its shore, with its soundings and depths in it, or with the fish at its length."""

import math
from collections.abc import Iterable, Sequence
from typing import Any, cast

import altair as alt
import pandas as pd

from waterplan.charts.style import INK, LEAST_PX, UNSTRETCHED, WATER, WATER_LINE, finish
from waterplan.stay.record import VolumeFound

_MARGIN, _LOWEST = 0.06, 60
# From shallow to deep in one hue, so that it reads in grey as well.
_DEPTHS = ["#eef6f9", "#bcd9e6", "#7fb3cb", "#3f86a8", "#1d5a7a"]
# Depths are written where each has this room [px]; above so many not all of a logger's are drawn.
_ROOM, _MOST = 40, 500
# How many points a round shore has.
_POINTS = 40
# Half the thickness of the bar that stands for a fish, the length of its feet and half their width, as shares of its length.
_THIN, _FOOT, _WIDE = 0.03, 0.04, 0.1


def pond_chart(
    found: VolumeFound, *, factor: float, unit: str, depth_title: str, width: int, tallest: int
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
    scales, height = _scales((*found.outline_m, *((x, y) for x, y, _ in found.soundings_m)), factor, width)
    if height > tallest:
        width, height = round(width * tallest / height), tallest
    axis = alt.Axis(grid=False, tickCount=5, labelExpr=f"datum.label + ' {unit}'")
    x = alt.X("x:Q", scale=scales[0], title=None, axis=axis)
    y = alt.Y("y:Q", scale=scales[1], title=None, axis=axis)
    layers = [_floor(found, factor, depth_title, x, y)] if found.floor_m else []
    fill = alt.Undefined if found.floor_m else WATER
    layers.append(closed(found.outline_m, factor, x, y, stroke=INK, strokeWidth=2.5, fill=fill))
    if found.soundings_m:
        layers += _soundings(found, factor, x, y, area=width * height)
    return finish(*layers, width=width, height=height, autosize=UNSTRETCHED)


def plan_view(
    outline_m: Sequence[tuple[float, float]],
    fish_m: float | None,
    *,
    title: str,
    axis_title: str,
    factor: float,
    width: int,
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
    scales, height = _scales(outline_m, factor, width)
    x = alt.X("x:Q", scale=scales[0], title=axis_title, axis=alt.Axis(grid=False, tickCount=6))
    y = alt.Y("y:Q", scale=scales[1], title=None, axis=alt.Axis(grid=False, tickCount=4))
    layers = [closed(outline_m, factor, x, y, fill=WATER, stroke=WATER_LINE)]
    if fish_m:
        middle_x, middle_y = (sum(side) / len(side) for side in zip(*outline_m, strict=True))
        layers.append(closed(measured_bar(fish_m, middle_x, middle_y), factor, x, y, fill=INK, stroke=INK))
    return finish(*layers, title=title, width=width, height=max(height, _LOWEST), autosize=UNSTRETCHED)


def _scales(points: Iterable[tuple[float, float]], factor: float, width: int) -> tuple[list[alt.Scale], int]:
    """A scale for each axis, with a margin around the points; and the height that goes with a width."""
    sides = [(min(side), max(side)) for side in zip(*points, strict=True)]
    margin = _MARGIN * max(high - low or 1.0 for low, high in sides)
    across, up = ((high - low or 1.0) + 2.0 * margin for low, high in sides)
    domains = [[(low - margin) * factor, (high + margin) * factor] for low, high in sides]
    return [alt.Scale(domain=domain, nice=False, zero=False) for domain in domains], round(width * up / across)


def closed(points: Sequence[tuple[float, float]], factor: float, x: alt.X, y: alt.Y, **mark: Any) -> alt.Chart:
    """A ring of corners as a shape."""
    ring = [(a * factor, b * factor, order) for order, (a, b) in enumerate((*points, points[0]))]
    shape = alt.Chart(pd.DataFrame(ring, columns=["x", "y", "order"])).mark_line(**{"strokeWidth": 2, **mark})
    return cast(alt.Chart, shape.encode(x=x, y=y, order=alt.Order("order:Q")))


def ellipse(length: float, width: float) -> list[tuple[float, float]]:
    """An ellipse whose box has its corner at the origin."""
    turns = [2.0 * math.pi * n / _POINTS for n in range(_POINTS)]
    return [(length / 2.0 * (1.0 + math.cos(turn)), width / 2.0 * (1.0 + math.sin(turn))) for turn in turns]


def measured_bar(length: float, middle_x: float, middle_y: float) -> list[tuple[float, float]]:
    """A fish as what counts of it here: a bar of its length, with a foot at each end."""
    half, thin, foot, wide = length / 2.0, _THIN * length, _FOOT * length, _WIDE * length
    right = [(half - foot, thin), (half - foot, wide), (half, wide), (half, -wide), (half - foot, -wide)]
    left = [(-x, -y) for x, y in right]
    ring = [*right, (half - foot, -thin), *left, (foot - half, thin)]
    return [(middle_x + x, middle_y + y) for x, y in ring]


def _floor(found: VolumeFound, factor: float, depth_title: str, x: alt.X, y: alt.Y) -> alt.Chart:
    half = (found.cell_m or 0.0) / 2.0 * 1.15
    edges = [(a - half, a + half, b - half, b + half) for a, b, _ in found.floor_m]
    frame = pd.DataFrame(edges, columns=["x", "x2", "y", "y2"]) * factor
    frame["depth"] = [round(depth * factor, 3) for _, _, depth in found.floor_m]
    colour = alt.Color(
        "depth:Q",
        scale=alt.Scale(range=_DEPTHS, zero=True),
        legend=alt.Legend(title=depth_title, orient="top", gradientLength=160),
    )
    return cast(
        alt.Chart, alt.Chart(frame).mark_rect().encode(x=x, x2=alt.X2("x2:Q"), y=y, y2=alt.Y2("y2:Q"), color=colour)
    )


def _soundings(found: VolumeFound, factor: float, x: alt.X, y: alt.Y, *, area: int) -> list[alt.Chart]:
    step = max(-(-len(found.soundings_m) // _MOST), 1)
    frame = pd.DataFrame(
        [{"x": a * factor, "y": b * factor, "words": f"{c * factor:.2f}"} for a, b, c in found.soundings_m[::step]]
    )
    base = alt.Chart(frame).encode(x=x, y=y)
    size = 30 if step == 1 else 6
    dots = base.mark_point(size=size, filled=True, color="white", stroke=WATER_LINE, opacity=1)
    if len(found.soundings_m) * _ROOM**2 > area:
        return [dots]
    # A white rim around the figures keeps them legible over the deep and the shallow.
    words = base.encode(text=alt.Text("words:N"))
    rim = words.mark_text(fontSize=LEAST_PX, dy=-8, stroke="white", strokeWidth=3)
    return [dots, rim, words.mark_text(fontSize=LEAST_PX, dy=-8, color=INK)]
