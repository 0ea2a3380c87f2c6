"""A water from above, to scale: its shore, with its soundings and depths in it, or with the fish at its length."""

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from waterplan.charts.grammar import TO, Channel, Chart, layer, of, table
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
# The points of a line as they follow one another, and not from left to right.
IN_ORDER = {"order": of("order")}
_At = Mapping[str, Channel]


def pond_chart(found: VolumeFound, *, factor: float, unit: str, depth_title: str, width: int, tallest: int) -> Chart:
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
    Chart
        The drawing, with one scale for both axes.
    """
    scales, height = _scales((*found.outline_m, *((x, y) for x, y, _ in found.soundings_m)), factor, width)
    if height > tallest:
        width, height = round(width * tallest / height), tallest
    axis = {"grid": False, "tickCount": 5, "labelExpr": f"datum.label + ' {unit}'"}
    at = {name: of(name, scale=scale, title=None, axis=axis) for name, scale in zip("xy", scales, strict=True)}
    layers = [_floor(found, factor, depth_title, at)] if found.floor_m else []
    fill = {} if found.floor_m else {"fill": WATER}
    layers.append(closed(found.outline_m, factor, at, stroke=INK, strokeWidth=2.5, **fill))
    if found.soundings_m:
        layers += _soundings(found, factor, at, area=width * height)
    return finish(*layers, width=width, height=height, autosize=UNSTRETCHED)


def plan_view(
    outline_m: Sequence[tuple[float, float]],
    fish_m: float | None,
    *,
    title: str,
    axis_title: str,
    factor: float,
    width: int,
) -> Chart:
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
    Chart
        The drawing, with one scale for both axes.
    """
    scales, height = _scales(outline_m, factor, width)
    at = {
        "x": of("x", scale=scales[0], title=axis_title, axis={"grid": False, "tickCount": 6}),
        "y": of("y", scale=scales[1], title=None, axis={"grid": False, "tickCount": 4}),
    }
    layers = [closed(outline_m, factor, at, fill=WATER, stroke=WATER_LINE)]
    if fish_m:
        middle_x, middle_y = (sum(side) / len(side) for side in zip(*outline_m, strict=True))
        layers.append(closed(measured_bar(fish_m, middle_x, middle_y), factor, at, fill=INK, stroke=INK))
    return finish(*layers, title=title, width=width, height=max(height, _LOWEST), autosize=UNSTRETCHED)


def _scales(points: Iterable[tuple[float, float]], factor: float, width: int) -> tuple[list[Channel], int]:
    """A scale for each axis, with a margin around the points; and the height that goes with a width."""
    sides = [(min(side), max(side)) for side in zip(*points, strict=True)]
    margin = _MARGIN * max(high - low or 1.0 for low, high in sides)
    across, up = ((high - low or 1.0) + 2.0 * margin for low, high in sides)
    scales = [to_scale((low - margin) * factor, (high + margin) * factor) for low, high in sides]
    return scales, round(width * up / across)


def to_scale(low: float, high: float) -> Channel:
    """A scale from end to end."""
    return {"domain": [low, high], "nice": False, "zero": False}


def closed(points: Sequence[tuple[float, float]], factor: float, at: _At, **mark: Any) -> Chart:
    """A ring of corners as a shape."""
    ring = [(a * factor, b * factor, order) for order, (a, b) in enumerate((*points, points[0]))]
    return layer(table("x y order", ring), "line", {**at, **IN_ORDER}, **{"strokeWidth": 2, **mark})


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


def _floor(found: VolumeFound, factor: float, depth_title: str, at: _At) -> Chart:
    half = (found.cell_m or 0.0) / 2.0 * 1.15
    cells = [
        (*(factor * edge for edge in (a - half, a + half, b - half, b + half)), round(depth * factor, 3))
        for a, b, depth in found.floor_m
    ]
    legend = {"title": depth_title, "orient": "top", "gradientLength": 160}
    shades = of("depth", scale={"range": _DEPTHS, "zero": True}, legend=legend)
    return layer(table("x x2 y y2 depth", cells), "rect", {**at, **TO, "color": shades})


def _soundings(found: VolumeFound, factor: float, at: _At, *, area: int) -> list[Chart]:
    step = max(-(-len(found.soundings_m) // _MOST), 1)
    read = [(a * factor, b * factor, f"{c * factor:.2f}") for a, b, c in found.soundings_m[::step]]
    rows, size = table("x y words", read), 30 if step == 1 else 6
    dots = layer(rows, "point", at, size=size, filled=True, color="white", stroke=WATER_LINE, opacity=1)
    if len(found.soundings_m) * _ROOM**2 > area:
        return [dots]
    # A white rim around the figures keeps them legible over the deep and the shallow.
    rim = layer(rows, "text", at, fontSize=LEAST_PX, dy=-8, stroke="white", strokeWidth=3)
    return [dots, rim, layer(rows, "text", at, fontSize=LEAST_PX, dy=-8, color=INK)]
