"""The look that all charts share: dark ink on white, shapes and words beside every colour; and a chart as SVG."""

import json
import textwrap
from contextlib import AbstractContextManager
from functools import cache
from typing import Any, cast

import altair as alt
import vl_convert
from altair.utils.schemapi import debug_mode
from markupsafe import Markup

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
UNSTRETCHED = alt.AutoSizeParams(type="pad")
_LETTER_PX = 8.2


def finish(*layers: alt.Chart, title: str = "", **size: Any) -> alt.LayerChart:
    """The layers as one chart with the project's font and axes, a title over its left edge, and its size."""
    if title:
        width = size.get("width")
        lines = in_lines(title, width) if isinstance(width, int) else title
        size["title"] = alt.Title(lines, anchor="start", frame="bounds", fontSize=LEAST_PX, color=INK, offset=6)
    return cast(alt.LayerChart, alt.layer(*layers, config=_config(), **size))


def in_lines(title: str, width: int) -> list[str]:
    """A title in lines that a drawing of a width [pixels] has room for."""
    return textwrap.wrap(title, int(width / _LETTER_PX))


@cache
def _config() -> alt.Config:
    """Axes and font of all charts; told to a chart as it is made, for each later word to it copies all of it."""
    return alt.Config(
        axis=alt.AxisConfig(
            labelColor=INK, titleColor=INK, labelFontSize=LEAST_PX, titleFontSize=LEAST_PX, gridColor="#e3e8ea"
        ),
        axisY=alt.AxisConfig(titleAngle=0, titleAlign="left", titleX=0, titleY=-10),
        legend=alt.LegendConfig(labelFontSize=LEAST_PX, titleFontSize=LEAST_PX),
        view=alt.ViewConfig(stroke=None),
        font=FAMILY,
        background="white",
    )


def svg(chart: alt.LayerChart) -> Markup:
    """The chart drawn once, as an SVG element that may stand in HTML, for papers that are read without a network.

    Its width and height are those of the whole drawing, axes and words among them, unless the chart is one to scale.
    """
    if chart.autosize is alt.Undefined:
        chart = chart.properties(autosize=alt.AutoSizeParams(type="fit", contains="padding"))
    return Markup(vl_convert.vegalite_to_svg(json.dumps(chart.to_dict(validate=False))))


def unchecked() -> AbstractContextManager[None]:
    """Charts made within are not held against the grammar part by part: the tests hold those of every kind against it."""
    return debug_mode(False)


def in_parts(chart: alt.LayerChart) -> dict[str, Any]:
    """The chart with its tables apart and by their place: one of whose values alone have changed need not be built anew.

    It is not held against the grammar either.
    """
    names: dict[int, str] = {}
    tables: dict[str, Any] = {}  # each is kept, so that no other ever has its identity
    for one in (chart, *chart.layer):
        if one.data is not alt.Undefined:
            name = names.setdefault(id(one.data), f"table {len(names)}")
            tables[name], one.data = one.data, alt.NamedData(name=name)
    return {**chart.to_dict(validate=False), "datasets": tables}
