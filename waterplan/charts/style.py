"""The look that all charts share: dark ink on white, shapes and words beside every colour."""

from typing import cast

import altair as alt

INK = "#1b2a33"
WATER = "#d3e6ee"
WATER_LINE = "#2f7d9c"
BAND = "#a9c8d6"
EMERGENCY = "#9c1c31"
FISH = "#c9702b"
GREY = "#5c6b73"


def finish(*layers: alt.Chart, width: int | str = "container", height: int = 260) -> alt.LayerChart:
    """The layers as one chart with the project's font, axes and size."""
    chart = (
        alt.layer(*layers)
        .properties(width=width, height=height)
        .configure_axis(labelColor=INK, titleColor=INK, labelFontSize=13, titleFontSize=13, gridColor="#e3e8ea")
        .configure_view(stroke=None)
        .configure(font="DejaVu Sans, Verdana, sans-serif", background="white")
    )
    return cast(alt.LayerChart, chart)


def titled(text: str, *lines: str) -> alt.Title:
    """A title over the drawing's left edge, with smaller lines under it."""
    return alt.Title(
        text,
        subtitle=[line for line in lines if line],
        anchor="start",
        fontSize=14,
        subtitleFontSize=12,
        color=INK,
        subtitleColor=INK,
        offset=6,
    )
