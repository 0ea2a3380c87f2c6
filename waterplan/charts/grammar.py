"""Charts as the grammar of Vega-Lite writes them: plain data, that `vl_convert` draws for papers and a browser for screens."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, TypeAlias

# A drawing or a layer of one, and what one channel of a layer shows.
Chart: TypeAlias = dict[str, Any]
Channel: TypeAlias = dict[str, Any]
Table: TypeAlias = Sequence[Mapping[str, object]]

# Each row in the colour that it names.
COLOURED: Mapping[str, Channel] = {"color": {"field": "colour", "scale": None, "legend": None}}
# The other corner of a rectangle.
TO: Mapping[str, Channel] = {"x2": {"field": "x2"}, "y2": {"field": "y2"}}


def table(columns: str, rows: Iterable[Sequence[object]]) -> Table:
    """What layers show: rows by the names of their columns."""
    names = columns.split()
    return [dict(zip(names, row, strict=True)) for row in rows]


def of(field: str, **more: Any) -> Channel:
    """A channel that shows the numbers of a column."""
    return {"field": field, "type": "quantitative", **more}


def layer(rows: Table, kind: str, channels: Mapping[str, Channel], **mark: Any) -> Chart:
    """Each row as a mark of one kind; as a text it is the `words` of the row."""
    text = {"text": {"field": "words"}} if kind == "text" else {}
    return {"data": rows, "mark": {"type": kind, **mark}, "encoding": {**channels, **text}}


def layered(layers: Sequence[Chart], **more: Any) -> Chart:
    """Layers over one another, their tables apart and by their place.

    So one of whose values alone have changed need not be built anew on a screen.
    """
    tables = list({id(one["data"]): one["data"] for one in layers}.values())
    names = {id(rows): f"table {n}" for n, rows in enumerate(tables)}
    drawn = [one | {"data": {"name": names[id(one["data"])]}} for one in layers]
    return {"layer": drawn, "datasets": dict(zip(names.values(), tables, strict=True)), **more}
