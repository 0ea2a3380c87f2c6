"""A chart as SVG text, for papers that are read without a network."""

import altair as alt
import vl_convert


def svg(chart: alt.LayerChart) -> str:
    """The chart drawn once, as an SVG element."""
    return str(vl_convert.vegalite_to_svg(chart.to_json()))
