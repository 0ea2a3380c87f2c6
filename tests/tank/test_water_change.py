"""Ammonia without a filter."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from waterplan.errors import ImpossibleInput
from waterplan.tank.water_change import litres_per_day_to_hold, peak_tan_mg_n_per_l

VALUES = Path(__file__).parents[1] / "published_values"
PRINTED = list(csv.DictReader((VALUES / "tank_daily_change.csv").open(encoding="utf-8")))


@pytest.mark.parametrize("row", PRINTED, ids=lambda row: row["why"])
def test_worked_changes(row: dict[str, str]) -> None:
    litres = litres_per_day_to_hold(
        float(row["production_mg_n_per_day"]),
        limit_tan_mg_n_per_l=float(row["limit_tan_mg_n_per_l"]),
        source_tan_mg_n_per_l=float(row["source_tan_mg_n_per_l"]),
    )
    assert litres == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@given(
    production=st.floats(1.0, 5000.0),
    limit=st.floats(0.2, 2.0),
    source=st.floats(0.0, 0.15),
    tank_l=st.floats(50.0, 5000.0),
)
def test_day_after_day_the_peak_settles_at_the_limit(
    production: float, limit: float, source: float, tank_l: float
) -> None:
    litres = litres_per_day_to_hold(production, limit_tan_mg_n_per_l=limit, source_tan_mg_n_per_l=source)
    fraction = litres / tank_l
    if fraction > 1.0:
        return
    # A tank kept day by day: production all day long, then the change.
    level = source
    for _ in range(200 + int(12 / fraction)):
        peak = level + production / tank_l
        level = peak * (1.0 - fraction) + source * fraction
    assert peak == pytest.approx(limit, rel=1e-3)
    assert peak_tan_mg_n_per_l(
        litres, production_mg_n_per_day=production, source_tan_mg_n_per_l=source
    ) == pytest.approx(limit)


@pytest.mark.parametrize("source", [0.5, 0.6, 5.0])
def test_water_that_brings_the_limit_itself_cannot_hold_it(source: float) -> None:
    assert litres_per_day_to_hold(48.0, limit_tan_mg_n_per_l=0.5, source_tan_mg_n_per_l=source) == math.inf


def test_draws_that_can_and_cannot_be_held_stand_side_by_side() -> None:
    litres = litres_per_day_to_hold(48.0, limit_tan_mg_n_per_l=0.5, source_tan_mg_n_per_l=np.array([0.0, 0.5, 0.3]))
    assert np.asarray(litres) == pytest.approx([96.0, math.inf, 240.0])


def test_an_unchanged_tank_has_no_steady_peak_unless_nothing_is_produced() -> None:
    assert peak_tan_mg_n_per_l(0.0, production_mg_n_per_day=48.0) == math.inf
    assert peak_tan_mg_n_per_l(0.0, production_mg_n_per_day=0.0, source_tan_mg_n_per_l=0.2) == 0.2


def test_impossible() -> None:
    with pytest.raises(ImpossibleInput, match="production_mg_n_per_day"):
        litres_per_day_to_hold(-1.0, limit_tan_mg_n_per_l=0.5)
    with pytest.raises(ImpossibleInput, match="source_tan_mg_n_per_l"):
        litres_per_day_to_hold(48.0, limit_tan_mg_n_per_l=0.5, source_tan_mg_n_per_l=math.nan)
