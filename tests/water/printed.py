"""Printed values: rows of tests/published_values, each a call and what its source says it should give."""

import csv
import importlib
from pathlib import Path

import pytest

_FOLDER = Path(__file__).parent.parent / "published_values"
_NOT_INPUT = {"function", "expected", "tolerance", "why", "source", "locator", "status"}


def rows(name):
    """The rows of one file as dictionaries."""
    with (_FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def params(name):
    """The rows of one file as parameters of a test."""
    found = []
    for row in rows(name):
        inputs = ", ".join(f"{key}={value}" for key, value in row.items() if key not in _NOT_INPUT and value)
        found.append(pytest.param(row, id=f"{row['function']}({inputs})"))
    return found


def _value(text):
    if text in {"True", "False"}:
        return text == "True"
    try:
        return float(text)
    except ValueError:
        return text


def check(row):
    """Calls the function of a row with its inputs and compares with what is printed."""
    module, function = row["function"].split(".")
    call = getattr(importlib.import_module(f"waterplan.water.{module}"), function)
    inputs = {key: _value(value) for key, value in row.items() if key not in _NOT_INPUT and value}
    assert float(row["tolerance"]) > 0.0
    assert call(**inputs) == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]), rel=0.0)
