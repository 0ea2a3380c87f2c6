"""A dose to the eye: amounts as boxes that can be counted, and what is drawn up in its syringe."""

import math
from collections.abc import Sequence

from waterplan.charts.grammar import COLOURED, TO, Chart, layer, of, table
from waterplan.charts.style import GREY, INK, LEAST_PX, WATER, WATER_LINE, WEIGHED, finish

_BOXES, _ROW, _HALF = 10, 38, 0.22
_SYRINGES_ML = (0.3, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 500.0)


def box_size(amount: float) -> float:
    """The power of ten of which an amount fills at least one box and fewer than ten."""
    return 10.0 ** math.floor(math.log10(amount)) if amount > 0.0 else 1.0


def boxes_chart(rows: Sequence[tuple[str, str, float, bool]], *, width: int) -> Chart:
    """Each amount as boxes of one, ten or a hundred: a slip of ten looks like one.

    Parameters
    ----------
    rows : sequence of str, str, float and bool
        Each amount from the top down: its words, what a box is, how many it fills, and whether it is a liquid.
    width : int
        Width of the drawing [pixels].

    Returns
    -------
    Chart
        The drawing.
    """
    boxes, fills, words = [], [], []
    for number, (said, each, filled, liquid) in enumerate(rows):
        bottom, top = -number - _HALF, -number + _HALF
        words.append((0.0, top + 0.24, f"{said} ({each})"))
        for box in range(_BOXES):
            part = min(max(filled - box, 0.0), 1.0)
            boxes.append((box + 0.06, box + 0.94, bottom, top))
            if part > 0.0:
                filled_to = bottom + 2.0 * _HALF * part
                fills.append((box + 0.06, box + 0.94, bottom, filled_to, WATER_LINE if liquid else WEIGHED))
    at = {
        "x": of("x", axis=None, scale={"domain": [0, _BOXES], "nice": False}),
        "y": of("y", axis=None, scale={"domain": [-len(rows) + 0.7, 0.75], "nice": False}),
    }
    return finish(
        layer(table("x x2 y y2 colour", fills), "rect", {**at, **TO, **COLOURED}),
        layer(table("x x2 y y2", boxes), "rect", {**at, **TO}, fill=None, stroke=GREY, strokeWidth=1),
        layer(table("x y words", words), "text", at, align="left", color=INK, fontSize=LEAST_PX, fontWeight="bold"),
        width=width,
        height=_ROW * len(rows),
    )


def syringe_ml(draw_ml: float) -> float | None:
    """The smallest syringe that holds a draw [mL]; None where no syringe does."""
    return next((size for size in _SYRINGES_ML if size >= draw_ml * (1.0 - 1e-9)), None)


def syringe_chart(draw_ml: float, size_ml: float, *, axis_title: str, width: int) -> Chart:
    """What is drawn up, to scale in its syringe.

    Parameters
    ----------
    draw_ml, size_ml : float
        What is drawn up, and what the syringe holds [mL].
    axis_title : str
        Words under the scale.
    width : int
        Width of the drawing [pixels].

    Returns
    -------
    Chart
        The drawing.
    """
    scale = {"domain": [0, size_ml], "nice": False}
    x = of("from", title=axis_title, scale=scale, axis={"tickCount": 10, "grid": False})
    span = {"x": x, "x2": {"field": "to"}}
    return finish(
        layer(table("from to", [(0.0, size_ml)]), "rect", span, fill=WATER, stroke=INK, strokeWidth=2),
        layer(table("from to", [(0.0, draw_ml)]), "rect", span, color=WATER_LINE),
        width=width,
        height=46,
        autosize={"type": "fit-x", "contains": "padding"},  # the barrel keeps its height whatever its scale takes
    )
