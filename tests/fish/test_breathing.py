"""Breathing of a goldfish at rest against the means of the source and hand arithmetic."""

import csv
from pathlib import Path

import numpy as np
import pytest

from waterplan.fish.breathing import goldfish_breaths_per_min

VALUES = Path(__file__).parents[1] / "published_values" / "fish_breathing.csv"


@pytest.mark.parametrize(
    "row", list(csv.DictReader(VALUES.open(encoding="utf-8"))), ids=lambda row: row["water_temp_c"]
)
def test_published(row: dict[str, str]) -> None:
    beats = goldfish_breaths_per_min(float(row["water_temp_c"]))
    assert beats == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_warmer_is_faster_between_the_means() -> None:
    temps = np.linspace(10.0, 30.0, 41)
    beats = np.asarray(goldfish_breaths_per_min(temps))
    assert np.all(np.diff(beats) > 0.0)
    assert beats[10] == pytest.approx(float(goldfish_breaths_per_min(15.0)))
