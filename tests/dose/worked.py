"""Reading the worked examples of the room."""

import csv
from pathlib import Path

VALUES = Path(__file__).parents[1] / "published_values"


def worked(name: str, **keys: str) -> list[dict[str, str]]:
    """The rows of a file of published values whose columns are as given; at least one."""
    with (VALUES / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        found = [row for row in csv.DictReader(file) if all(row[key] == value for key, value in keys.items())]
    assert found, f"{name}: no row for {keys}"
    return found
