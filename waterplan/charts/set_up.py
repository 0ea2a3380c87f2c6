"""A tank from above and from the side, to one scale: the fish at its length, the room it is to have, water line and kit."""

from collections.abc import Sequence
from typing import Any

from waterplan.charts.above import IN_ORDER, closed, ellipse, measured_bar, to_scale
from waterplan.charts.grammar import Chart, layer, of, table
from waterplan.charts.style import EMERGENCY, GREY, INK, LEAST_PX, UNSTRETCHED, WATER, WATER_LINE, finish

# Shares of the tank's longer side: its margins, a bar's distance, a piece of kit.
_MARGIN, _BAR, _PIECE = 0.08, 0.09, 0.05
_Corners = Sequence[tuple[float, float]]


class _Scene:
    """Shapes and words on one scale of metres."""

    def __init__(
        self, low: tuple[float, float], high: tuple[float, float], *, factor: float, unit: str, width: int
    ) -> None:
        self.factor, self.width = factor, width
        self.height = round(width * (high[1] - low[1]) / (high[0] - low[0]))
        axis = {"grid": False, "tickCount": 5, "labelExpr": f"datum.label + ' {unit}'"}
        self.at = {
            name: of(name, scale=to_scale(a * factor, b * factor), title=None, axis=axis)
            for name, a, b in zip("xy", low, high, strict=True)
        }
        self.layers: list[Chart] = []

    def shape(self, corners: _Corners, **mark: Any) -> None:
        """A closed shape."""
        self.layers.append(closed(corners, self.factor, self.at, **mark))

    def line(self, start: tuple[float, float], end: tuple[float, float], **mark: Any) -> None:
        """A line from a point to a point."""
        rows = [(x * self.factor, y * self.factor, n) for n, (x, y) in enumerate((start, end))]
        self.layers.append(layer(table("x y order", rows), "line", self.at | IN_ORDER, **mark))

    def words(self, at: tuple[float, float], text: str, *, align: Any = "center", colour: str = INK) -> None:
        """Words at a point."""
        rows = table("x y words", [(at[0] * self.factor, at[1] * self.factor, text)])
        look = {"baseline": "middle", "fontSize": LEAST_PX, "fontWeight": "bold"}
        self.layers.append(layer(rows, "text", self.at, align=align, color=colour, **look))

    def chart(self, title: str, description: str) -> Chart:
        """All of it as one chart."""
        return finish(
            *self.layers,
            title=title,
            width=self.width,
            height=self.height,
            autosize=UNSTRETCHED,
            description=description,
        )


def tank_above(
    size_m: tuple[float, float],
    *,
    is_round: bool,
    fish_m: float,
    room_m: float,
    stones: int,
    words: dict[str, str],
    factor: float,
    unit: str,
    width: int,
) -> Chart:
    """A tank from above: the fish, a bar of the room that it is to have, stones, heater and inflow.

    Parameters
    ----------
    size_m : pair of float
        Length and width of the water [m].
    is_round : bool
        Whether its outline is an ellipse.
    fish_m, room_m : float
        Length of the fish, and of the room that it is to have [m].
    stones : int
        How many air stones lie in it.
    words : dict of str to str
        `title`, `says`, and labels: `room`, `fish`, `stone`, `heater`, `inflow`; one that is empty or lacks is not drawn.
    factor, unit
        From metres to the reader's unit, and that unit.
    width : int
        Width of the drawing [pixels].

    Returns
    -------
    Chart
        The drawing, with one scale for both axes.
    """
    long, wide = size_m
    reach = max(long, room_m)
    margin, bar, piece = _MARGIN * reach, _BAR * reach, _PIECE * reach
    scene = _Scene((-margin, -3.0 * bar), (reach + margin, wide + 2.0 * bar), factor=factor, unit=unit, width=width)
    outline = ellipse(long, wide) if is_round else [(0.0, 0.0), (long, 0.0), (long, wide), (0.0, wide)]
    scene.shape(outline, fill=WATER, stroke=INK, strokeWidth=3)
    scene.shape(measured_bar(fish_m, long / 2.0, wide / 2.0), fill=INK, stroke=INK)
    scene.words((long / 2.0, wide / 2.0 - max(0.16 * fish_m, piece)), words["fish"])
    # The bar is red and ends outside the wall where the fish has less room than it is to have.
    colour = INK if room_m <= long else EMERGENCY
    for start, end in (((0.0, -bar), (room_m, -bar)), *(((x, -1.4 * bar), (x, -0.6 * bar)) for x in (0.0, room_m))):
        scene.line(start, end, color=colour, strokeWidth=3)
    scene.words((0.0, -2.0 * bar), words["room"], align="left", colour=colour)
    for number in range(stones):
        x = long * (number + 1) / (stones + 1)
        ring = [(x - piece / 2.0 + a, 0.7 * wide + b) for a, b in ellipse(piece, piece)]
        scene.shape(ring, fill="white", stroke=WATER_LINE, strokeWidth=3)
    if stones:
        scene.words((long / 2.0, 0.92 * wide), words["stone"])
    if words.get("heater"):
        scene.shape(_box(0.92 * long, 0.06 * wide, piece / 2.0, 0.28 * wide), fill=EMERGENCY, stroke=INK)
        scene.words((0.91 * long, 0.1 * wide), words["heater"], align="right", colour=EMERGENCY)
    if words.get("inflow"):
        scene.line((0.04 * long, wide + bar), (0.04 * long, 0.85 * wide), color=WATER_LINE, strokeWidth=5)
        scene.words((0.07 * long, wide + bar), words["inflow"], align="left", colour=GREY)
    return scene.chart(words["title"], words["says"])


def tank_side(
    size_m: tuple[float, float],
    *,
    rim_m: float | None,
    fish_m: float,
    lid: bool,
    words: dict[str, str],
    factor: float,
    unit: str,
    width: int,
) -> Chart:
    """A tank from the side: water line, depth, fish, wall and lid.

    Parameters
    ----------
    size_m : pair of float
        Length and depth of the water [m].
    rim_m : float or None
        Height of its wall; the water's depth and a margin without it, drawn as a broken line [m].
    fish_m : float
        Length of the fish [m].
    lid : bool
        Whether it is covered.
    words : dict of str to str
        `title`, `says`, `water line`, `lid`, `wall`.
    factor, unit
        From metres to the reader's unit, and that unit.
    width : int
        Width of the drawing [pixels].

    Returns
    -------
    Chart
        The drawing, with one scale for both axes.
    """
    long, deep = size_m
    margin, bar = _MARGIN * long, _BAR * long
    rim = rim_m or deep + bar
    scene = _Scene((-margin, -bar), (long + margin, rim + 2.0 * bar), factor=factor, unit=unit, width=width)
    scene.shape(_box(0.0, 0.0, long, deep), fill=WATER, stroke=WATER_LINE)
    wall: dict[str, Any] = {"color": INK, "strokeWidth": 3, "strokeDash": [1, 0] if rim_m else [5, 4]}
    for start, end in (((0.0, 0.0), (long, 0.0)), ((0.0, 0.0), (0.0, rim)), ((long, 0.0), (long, rim))):
        scene.line(start, end, **wall)
    scene.shape(measured_bar(fish_m, long / 2.0, deep / 2.0), fill=INK, stroke=INK)
    scene.words((long / 2.0, deep - 0.35 * bar), words["water line"], colour=WATER_LINE)
    if lid:
        scene.line((-margin / 2.0, rim + 0.3 * bar), (long + margin / 2.0, rim + 0.3 * bar), color=GREY, strokeWidth=6)
    scene.words((long / 2.0, rim + bar), words["lid"] if lid else words["wall"], colour=GREY)
    return scene.chart(words["title"], words["says"])


def _box(left: float, bottom: float, wide: float, high: float) -> _Corners:
    return [(left, bottom), (left + wide, bottom), (left + wide, bottom + high), (left, bottom + high)]
