"""Reading the published values of the room."""

import csv
from pathlib import Path

_VALUES = Path(__file__).parents[1] / "published_values"


def worked(name: str, function: str) -> list[dict[str, str]]:
    """The rows of a file that are for a function; at least one."""
    with (_VALUES / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        found = [row for row in csv.DictReader(file) if row["function"] == function]
    assert found, f"{name}: no row for {function}"
    return found


def inputs(row: dict[str, str]) -> dict[str, float]:
    """The inputs of a row, written as name=value; name=value."""
    pairs = (part.split("=") for part in row["inputs"].split(";"))
    return {name.strip(): float(value) for name, value in pairs}
