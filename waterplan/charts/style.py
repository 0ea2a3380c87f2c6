"""The look that all charts share: dark ink on white, shapes and words beside every colour; and a chart as SVG."""

import json
import textwrap
from typing import Any

import vl_convert
from markupsafe import Markup

from waterplan.charts.grammar import Chart, layered

INK = "#1b2a33"
WATER = "#d3e6ee"
WATER_LINE = "#2f7d9c"
BAND = "#a9c8d6"
EMERGENCY = "#9c1c31"
WEIGHED = "#c9702b"
# What charts, papers and screens are written in, as a style sheet names it.
FAMILY = "DejaVu Sans, Verdana, Arial, sans-serif"
GREY = "#5c6b73"
# The least that is written in a chart [CSS px]: 9 pt where it is printed at the size it is drawn, as papers print it.
LEAST_PX = 12
# A drawing whose scale may not be stretched: its size is that of what lies between its axes.
UNSTRETCHED = {"type": "pad"}
_LETTER_PX = 8.2
# Axes and font of all charts.
_LETTERS = {"labelFontSize": LEAST_PX, "titleFontSize": LEAST_PX}
_CONFIG = {
    "axis": {"labelColor": INK, "titleColor": INK, "gridColor": "#e3e8ea"} | _LETTERS,
    "axisY": {"titleAngle": 0, "titleAlign": "left", "titleX": 0, "titleY": -10},
    "legend": _LETTERS,
    "view": {"stroke": None},
    "font": FAMILY,
    "background": "white",
}


def finish(*layers: Chart, title: str = "", **size: Any) -> Chart:
    """The layers as one chart with the project's font and axes, a title over its left edge, and its size."""
    if title:
        width = size.get("width")
        lines = in_lines(title, width) if isinstance(width, int) else title
        look = {"anchor": "start", "frame": "bounds", "fontSize": LEAST_PX, "color": INK, "offset": 6}
        size["title"] = {"text": lines, **look}
    return layered(layers, config=_CONFIG, **size)


def in_lines(title: str, width: int) -> list[str]:
    """A title in lines that a drawing of a width [pixels] has room for."""
    return textwrap.wrap(title, int(width / _LETTER_PX))


def svg(chart: Chart) -> Markup:
    """The chart drawn once, as an SVG element that may stand in HTML, for papers that are read without a network.

    Its width and height are those of the whole drawing, axes and words among them, unless the chart is one to scale.
    """
    fit = {"autosize": {"type": "fit", "contains": "padding"}}
    return Markup(vl_convert.vegalite_to_svg(json.dumps(fit | chart)))
