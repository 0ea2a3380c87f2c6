"""The hospital tank from the side, to scale, with the fish at its length."""

import math
from collections.abc import Callable
from typing import cast

import altair as alt
import pandas as pd

from waterplan.charts.style import FISH, GREY, INK, WATER, WATER_LINE, finish
from waterplan.first_plan.pictures import TankScene
from waterplan.units import Display

# Turns a path in metres into a frame in the reader's unit.
Path = Callable[[list[tuple[float, float]]], pd.DataFrame]
# Body height as a share of length, by the table's side view.
_HEIGHT = {"slender": 0.22, "deep": 0.34, "round": 0.55}
_OUTLINE_POINTS = 40


def tank_chart(scene: TankScene, display: Display, *, width: int = 640) -> alt.LayerChart:
    """A side view to scale: walls, water line, fish, air stones, heater, lid, and the sizes written beside them."""
    unit = display.unit("m", like=2.0)
    factor = display.convert(1.0, "m", like=2.0)[0]
    margin = 0.12 * scene.length_m
    below, above = 0.12 * scene.rim_m, 1.3 * scene.rim_m
    # One scale for both axes, or the fish and the tank could not be compared.
    height = round(width * (above + below) / (scene.length_m + 2 * margin))
    x_scale = alt.Scale(domain=[-margin * factor, (scene.length_m + margin) * factor], nice=False)
    y_scale = alt.Scale(domain=[-below * factor, above * factor], nice=False)

    def path(points: list[tuple[float, float]]) -> pd.DataFrame:
        return pd.DataFrame(
            {
                "x": [point[0] * factor for point in points],
                "y": [point[1] * factor for point in points],
                "order": range(len(points)),
            }
        )

    written = f"datum.label + ' {unit}'"
    x = alt.X("x:Q", scale=x_scale, title=None, axis=alt.Axis(grid=False, tickCount=6, labelExpr=written))
    y = alt.Y("y:Q", scale=y_scale, title=None, axis=alt.Axis(grid=False, tickCount=4, labelExpr=written))

    length, depth, rim = scene.length_m, scene.depth_m, scene.rim_m
    box = pd.DataFrame([{"x": 0.0, "x2": length * factor, "y": 0.0, "y2": depth * factor}])
    water = alt.Chart(box).mark_rect(color=WATER).encode(x=x, x2="x2:Q", y=y, y2="y2:Q")
    layers = [
        water,
        _line(path([(0.0, depth), (length, depth)]), x, y, WATER_LINE, 3.0),
        _line(path([(0.0, rim), (0.0, 0.0), (length, 0.0), (length, rim)]), x, y, INK, 4.0),
        _fish(path, scene, x, y),
    ]
    if scene.has_lid:
        layers.append(_line(path([(-0.02 * length, rim), (1.02 * length, rim)]), x, y, GREY, 5.0))
    if scene.has_heater:
        at = 0.95 * length
        layers.append(_line(path([(at, 0.25 * depth), (at, 0.8 * depth)]), x, y, "#9c1c31", 7.0))
    for stone in range(scene.outlets):
        at = length * (0.12 + 0.1 * stone)
        bubbles = path([(at + 0.008 * length * (step % 2), depth * (0.06 + 0.11 * step)) for step in range(8)])
        layers.append(alt.Chart(bubbles).mark_point(size=28, color=WATER_LINE, filled=False).encode(x=x, y=y))
    layers.append(_words(path, scene, display, x, y))
    # Whoever shows it may not fit it into a box: that would stretch one axis more than the other.
    return finish(*layers, width=width, height=height).properties(autosize=alt.AutoSizeParams(type="pad"))


def _line(frame: pd.DataFrame, x: alt.X, y: alt.Y, colour: str, stroke: float) -> alt.Chart:
    return cast(
        alt.Chart, alt.Chart(frame).mark_line(color=colour, strokeWidth=stroke).encode(x=x, y=y, order="order:Q")
    )


def _fish(path: Path, scene: TankScene, x: alt.X, y: alt.Y) -> alt.Chart:
    body = scene.fish_cm / 100.0
    high = body * _HEIGHT.get(scene.side_view, 0.3)
    left, mid = (scene.length_m - body) / 2.0, scene.depth_m * 0.5
    trunk = 0.8 * body
    # A lens-shaped trunk from nose to tail root, then the fork of the tail.
    top = [
        (left + trunk * t / _OUTLINE_POINTS, mid + high / 2 * math.sin(math.pi * (t / _OUTLINE_POINTS) ** 0.8) ** 0.75)
        for t in range(_OUTLINE_POINTS + 1)
    ]
    bottom = [(px, 2 * mid - py) for px, py in reversed(top)]
    root = 0.07 * high
    tail = [(left + trunk, mid + root), (left + body, mid + 0.42 * high), (left + 0.93 * body, mid)]
    tail += [(left + body, mid - 0.42 * high), (left + trunk, mid - root)]
    frame = path([*top, *tail, *bottom])
    shape = alt.Chart(frame).mark_line(stroke=INK, strokeWidth=1.5, fill=FISH)
    return cast(alt.Chart, shape.encode(x=x, y=y, order="order:Q"))


def _words(path: Path, scene: TankScene, display: Display, x: alt.X, y: alt.Y) -> alt.Chart:
    length, depth, rim = scene.length_m, scene.depth_m, scene.rim_m
    places = [
        (
            length / 2,
            rim * 1.14,
            f"{scene.name}: water {display.number(length, 'm')} long, {display.number(depth, 'm')} deep",
        ),
        (length / 2, depth * 0.12, f"fish {display.number(scene.fish_cm, 'cm')}"),
    ]
    if scene.has_heater:
        places.append((length * 0.9, depth * 0.88, "heater"))
    if scene.outlets:
        places.append((length * 0.14, depth * 0.93, "air"))
    if scene.has_lid:
        places.append((length * 0.94, rim * 1.05, "lid"))
    frame = path([(px, py) for px, py, _ in places])
    frame["words"] = [words for _, _, words in places]
    return cast(alt.Chart, alt.Chart(frame).mark_text(color=INK, fontSize=13).encode(x=x, y=y, text="words:N"))
