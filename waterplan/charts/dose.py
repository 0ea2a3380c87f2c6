"""A dose to the eye: amounts as boxes that can be counted, and what is drawn up in its syringe."""

import math
from collections.abc import Sequence

import altair as alt
import pandas as pd

from waterplan.charts.style import GREY, INK, LEAST_PX, WATER, WATER_LINE, WEIGHED, finish

_BOXES, _ROW, _HALF = 10, 38, 0.22
_SYRINGES_ML = (0.3, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 500.0)


def box_size(amount: float) -> float:
    """The power of ten of which an amount fills at least one box and fewer than ten."""
    return 10.0 ** math.floor(math.log10(amount)) if amount > 0.0 else 1.0


def boxes_chart(rows: Sequence[tuple[str, str, float, bool]], *, width: int) -> alt.LayerChart:
    """Each amount as boxes of one, ten or a hundred: a slip of ten looks like one.

    Parameters
    ----------
    rows : sequence of str, str, float and bool
        Each amount from the top down: its words, what a box is, how many it fills, and whether it is a liquid.
    width : int
        Width of the drawing [pixels].

    Returns
    -------
    altair.LayerChart
        The drawing.
    """
    boxes, fills, words = [], [], []
    for number, (said, each, filled, liquid) in enumerate(rows):
        bottom, top = -number - _HALF, -number + _HALF
        words.append((0.0, top + 0.24, f"{said} ({each})"))
        for box in range(_BOXES):
            part = min(max(filled - box, 0.0), 1.0)
            boxes.append({"x": box + 0.06, "x2": box + 0.94, "y": bottom, "y2": top})
            if part > 0.0:
                colour = WATER_LINE if liquid else WEIGHED
                fills.append({**boxes[-1], "y2": bottom + 2.0 * _HALF * part, "colour": colour})
    x = alt.X("x:Q", axis=None, scale=alt.Scale(domain=[0, _BOXES], nice=False))
    y = alt.Y("y:Q", axis=None, scale=alt.Scale(domain=[-len(rows) + 0.7, 0.75], nice=False))
    outline = alt.Chart(pd.DataFrame(boxes)).mark_rect(fill=None, stroke=GREY, strokeWidth=1)
    text = alt.Chart(pd.DataFrame(words, columns=["x", "y", "words"]))
    return finish(
        alt.Chart(pd.DataFrame(fills))
        .mark_rect()
        .encode(x=x, x2=alt.X2("x2:Q"), y=y, y2=alt.Y2("y2:Q"), color=alt.Color("colour:N", scale=None, legend=None)),
        outline.encode(x=x, x2=alt.X2("x2:Q"), y=y, y2=alt.Y2("y2:Q")),
        text.mark_text(align="left", color=INK, fontSize=LEAST_PX, fontWeight="bold").encode(
            x=x, y=y, text=alt.Text("words:N")
        ),
        width=width,
        height=_ROW * len(rows),
    )


def syringe_ml(draw_ml: float) -> float | None:
    """The smallest syringe that holds a draw [mL]; None where no syringe does."""
    return next((size for size in _SYRINGES_ML if size >= draw_ml * (1.0 - 1e-9)), None)


def syringe_chart(draw_ml: float, size_ml: float, *, axis_title: str, width: int) -> alt.LayerChart:
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
    altair.LayerChart
        The drawing.
    """
    scale = alt.Scale(domain=[0, size_ml], nice=False)
    x = alt.X("from:Q", title=axis_title, scale=scale, axis=alt.Axis(tickCount=10, grid=False))
    barrel, drawn = (alt.Chart(pd.DataFrame([{"from": 0.0, "to": to}])) for to in (size_ml, draw_ml))
    return finish(
        barrel.mark_rect(fill=WATER, stroke=INK, strokeWidth=2).encode(x=x, x2=alt.X2("to:Q")),
        drawn.mark_rect(color=WATER_LINE).encode(x=x, x2=alt.X2("to:Q")),
        width=width,
        height=46,
    )
