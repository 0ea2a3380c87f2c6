"""Oxygen falling in a tub after the air stops."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from waterplan.errors import ImpossibleInput
from waterplan.fish.uptake import cyprinid_routine_mg_per_kg_h
from waterplan.tank.decline import do_after_hours_mg_per_l, hours_to_level
from waterplan.water.oxygen import saturation_mg_per_l

VALUES = Path(__file__).parents[1] / "published_values"
PRINTED = list(csv.DictReader((VALUES / "tank_tub_times.csv").open(encoding="utf-8")))
DIRECT = [row for row in PRINTED if not row["water_temp_c"]]
TUBS = [row for row in PRINTED if row["water_temp_c"]]
# The two rows without a temperature: oxygen at the start and demand as their own words give them.
GIVEN = {"2.728": (9.092, 300.0), "6.667": (8.0, 600.0)}


@pytest.mark.parametrize("row", DIRECT, ids=lambda row: row["why"])
def test_worked_times(row: dict[str, str]) -> None:
    start, demand = GIVEN[row["expected"]]
    hours = hours_to_level(
        float(row["volume_l"]),
        start_do_mg_per_l=start,
        level_do_mg_per_l=float(row["level_do_mg_per_l"]),
        demand_mg_per_h=demand,
    )
    assert hours == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize(
    "row", TUBS, ids=lambda row: f"{row['volume_l']} L {row['weight_kg']} kg {row['water_temp_c']} °C x{row['stress']}"
)
def test_the_worked_table_of_tubs(row: dict[str, str]) -> None:
    # The table starts at 95 % of saturation, takes the routine rate, and does not take the fish off the volume.
    weight, temp = float(row["weight_kg"]), float(row["water_temp_c"])
    rate = cyprinid_routine_mg_per_kg_h(weight, water_temp_c=temp)
    hours = hours_to_level(
        float(row["volume_l"]),
        start_do_mg_per_l=0.95 * saturation_mg_per_l(temp),
        level_do_mg_per_l=float(row["level_do_mg_per_l"]),
        demand_mg_per_h=rate * weight * float(row["fish"]) * float(row["stress"]),
    )
    assert hours == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


amounts = st.floats(0.5, 5000.0)


@given(volume_l=amounts, demand=amounts, start=st.floats(4.0, 15.0), level=st.floats(0.5, 4.0))
def test_the_level_is_reached_at_the_time(volume_l: float, demand: float, start: float, level: float) -> None:
    hours = hours_to_level(volume_l, start_do_mg_per_l=start, level_do_mg_per_l=level, demand_mg_per_h=demand)
    there = do_after_hours_mg_per_l(volume_l, hours=hours, start_do_mg_per_l=start, demand_mg_per_h=demand)
    assert there == pytest.approx(level, abs=1e-9)
    # Another way about: what the water gave is what the fish took.
    assert volume_l * (start - level) == pytest.approx(demand * hours)


@given(volume_l=amounts, demand=amounts, more=st.floats(1.0, 10.0))
def test_more_water_and_a_calmer_fish_last_longer(volume_l: float, demand: float, more: float) -> None:
    given_ = {"start_do_mg_per_l": 8.0, "level_do_mg_per_l": 5.0}
    here = hours_to_level(volume_l, demand_mg_per_h=demand, **given_)
    assert hours_to_level(volume_l * more, demand_mg_per_h=demand, **given_) >= here
    assert hours_to_level(volume_l, demand_mg_per_h=demand * more, **given_) <= here


def test_at_or_below_the_level_there_is_no_time_at_all() -> None:
    for start in (5.0, 4.0, 0.0):
        assert hours_to_level(100.0, start_do_mg_per_l=start, level_do_mg_per_l=5.0, demand_mg_per_h=100.0) == 0.0
    assert hours_to_level(100.0, start_do_mg_per_l=4.0, level_do_mg_per_l=5.0, demand_mg_per_h=0.0) == 0.0


def test_where_nothing_breathes_it_never_falls() -> None:
    assert hours_to_level(100.0, start_do_mg_per_l=8.0, level_do_mg_per_l=5.0, demand_mg_per_h=0.0) == math.inf
    both = hours_to_level(100.0, start_do_mg_per_l=8.0, level_do_mg_per_l=5.0, demand_mg_per_h=np.array([0.0, 300.0]))
    assert np.asarray(both).tolist() == [math.inf, 1.0]


def test_oxygen_does_not_go_below_nothing() -> None:
    gone = do_after_hours_mg_per_l(10.0, hours=100.0, start_do_mg_per_l=9.0, demand_mg_per_h=100.0)
    assert gone == 0.0


def test_impossible() -> None:
    with pytest.raises(ImpossibleInput, match="demand_mg_per_h"):
        hours_to_level(100.0, start_do_mg_per_l=8.0, level_do_mg_per_l=5.0, demand_mg_per_h=-1.0)
    with pytest.raises(ImpossibleInput, match="start_do_mg_per_l"):
        hours_to_level(100.0, start_do_mg_per_l=math.nan, level_do_mg_per_l=5.0, demand_mg_per_h=10.0)
    with pytest.raises(ImpossibleInput, match="volume_l"):
        do_after_hours_mg_per_l(0.0, hours=0.0, start_do_mg_per_l=9.0, demand_mg_per_h=0.0)
