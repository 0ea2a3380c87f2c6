"""Reading the printed values of the room."""

import csv
from pathlib import Path

import pytest

VALUES = Path(__file__).parents[1] / "published_values"


def number_or_numbers(text: str) -> float | list[float]:
    numbers = [float(part) for part in text.split("|")]
    return numbers[0] if len(numbers) == 1 else numbers


def rows(name: str) -> list[dict[str, str]]:
    with (VALUES / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def printed(name: str) -> list[object]:
    """The rows of a file as test parameters: the name of the function, its first argument, the others, and the row."""
    found = []
    for row in rows(name):
        pairs = [part.split("=") for part in row["inputs"].split("; ")]
        values = {key: number_or_numbers(text) for key, text in pairs}
        first, *others = values
        rest = {key: int(values[key]) if key == "sides" else values[key] for key in others}  # type: ignore[arg-type]
        label = f"{row['function']} {row['inputs'][:40]} {row['locator'][:20]}"
        found.append(pytest.param(row["function"], values[first], rest, row, id=label))
    return found
