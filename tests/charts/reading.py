"""How the tests read a chart: its layers with their data, from the same dictionary that is drawn."""

import altair as alt


def layers(chart):
    """The layers of a chart, each with its mark, encoding and rows."""
    alt.LayerChart.from_dict(chart)  # held against the grammar
    datasets = chart["datasets"]
    return [
        {
            "mark": layer["mark"],
            "encoding": layer["encoding"],
            "rows": datasets[layer["data"]["name"]],
        }
        for layer in chart["layer"]
    ]


def of_mark(chart, kind, **settings):
    """The layers of a mark with such settings."""
    return [
        layer
        for layer in layers(chart)
        if layer["mark"]["type"] == kind and all(layer["mark"].get(key) == value for key, value in settings.items())
    ]


def words(chart):
    """All that is written in a chart."""
    return [row["words"] for layer in of_mark(chart, "text") for row in layer["rows"]]
