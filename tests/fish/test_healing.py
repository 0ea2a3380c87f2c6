"""Degree-days."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from waterplan.errors import ImpossibleInput
from waterplan.fish.healing import days_to_degree_days

VALUES = Path(__file__).parents[1] / "published_values"
PRINTED = list(csv.DictReader((VALUES / "fish_degree_days.csv").open(encoding="utf-8")))


@pytest.mark.parametrize("row", PRINTED, ids=lambda row: f"{row['degree_days']} at {row['water_temp_c']} °C")
def test_worked_days(row: dict[str, str]) -> None:
    days = days_to_degree_days(float(row["degree_days"]), water_temp_c=float(row["water_temp_c"]))
    assert days == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@given(st.floats(1.0, 1000.0), st.floats(0.5, 40.0))
def test_the_days_sum_to_the_degree_days(degree_days: float, water_temp_c: float) -> None:
    assert days_to_degree_days(degree_days, water_temp_c=water_temp_c) * water_temp_c == pytest.approx(degree_days)


def test_ice_water_never_gets_there_but_what_is_reached_is_reached() -> None:
    assert days_to_degree_days(300.0, water_temp_c=0.0) == math.inf
    assert days_to_degree_days(300.0, water_temp_c=-1.0) == math.inf
    assert days_to_degree_days(0.0, water_temp_c=0.0) == 0.0
    both = days_to_degree_days(np.array([0.0, 10.0]), water_temp_c=np.array([0.0, 0.0]))
    assert np.asarray(both).tolist() == [0.0, math.inf]


def test_impossible() -> None:
    with pytest.raises(ImpossibleInput, match="degree_days"):
        days_to_degree_days(-1.0, water_temp_c=20.0)
    with pytest.raises(ImpossibleInput, match="water_temp_c"):
        days_to_degree_days(300.0, water_temp_c=math.nan)
