"""The smallest tank by each demand."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from waterplan import tables
from waterplan.errors import ImpossibleInput
from waterplan.tank.hospital_size import (
    volume_by_length_l,
    volume_for_ammonia_l,
    volume_for_density_l,
    volume_for_oxygen_l,
    volume_for_turning_l,
)

VALUES = Path(__file__).parents[1] / "published_values"
BY_LENGTH = list(csv.DictReader((VALUES / "tank_litres_by_length.csv").open(encoding="utf-8")))


@pytest.mark.parametrize("row", BY_LENGTH, ids=lambda row: f"{row['length_cm']} cm")
def test_litres_by_length_as_the_ordinance_prints_them(row: dict[str, str]) -> None:
    litres = volume_by_length_l(float(row["length_cm"]))
    assert litres == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_every_class_of_the_ordinance_is_checked_above() -> None:
    printed = [float(row["up_to_cm"]) for row in tables.table("litres_per_cm")]
    assert printed == sorted(printed)
    for low, high in zip([0.0, *printed], printed, strict=False):
        assert any(low < float(row["length_cm"]) <= high for row in BY_LENGTH)


@given(st.floats(0.1, 199.0), st.floats(1.0, 5.0))
def test_a_longer_fish_never_needs_less(length_cm: float, longer: float) -> None:
    assert volume_by_length_l(min(length_cm * longer, 500.0)) >= volume_by_length_l(length_cm)


@pytest.mark.parametrize(
    ("length_cm", "expected"),
    [
        (50.0, 1000.0),  # 2.0 m x 1.0 m x 0.5 m
        (31.0, 307.52),  # 1.24 m x 0.62 m x 0.40 m: the least depth rules
        (100.0, 8000.0),  # 4 m x 2 m x 1 m
    ],
)
def test_a_box_of_body_lengths(length_cm: float, expected: float) -> None:
    litres = volume_for_turning_l(length_cm, lengths_long=4.0, lengths_wide=2.0, lengths_deep=1.0, least_depth_m=0.4)
    assert litres == pytest.approx(expected)


def test_the_body_lengths_are_no_less_than_the_ordinance_asks() -> None:
    # TSchV 2008, Annex 2, table 8, note b: 3 body lengths long, 2 wide, 1 deep.
    for demand, least in (("lengths long", 3.0), ("lengths wide", 2.0), ("lengths deep", 1.0)):
        assert tables.row("hospital_demands", demand=demand).value >= least


def test_density() -> None:
    # 5 kg/m3 is 200 L for a kilogram with a seeded filter; half of that stocking where no filter works.
    assert volume_for_density_l(1.0, density_kg_per_m3=5.0) == pytest.approx(200.0)
    assert volume_for_density_l(1.0, density_kg_per_m3=2.5) == pytest.approx(400.0)


def test_a_damaged_filter_counts_as_none() -> None:
    damaged = tables.row("hospital_demands", demand="density damaged").value
    assert damaged == tables.row("hospital_demands", demand="density unseeded").value
    assert damaged < tables.row("hospital_demands", demand="density seeded").value


@given(demand=st.floats(10.0, 2000.0), hours=st.floats(0.1, 24.0), weight=st.floats(0.1, 10.0))
def test_the_tank_by_oxygen_lasts_just_so_long(demand: float, hours: float, weight: float) -> None:
    levels = {"start_do_mg_per_l": 8.6, "level_do_mg_per_l": 5.0}
    litres = volume_for_oxygen_l(demand, hours=hours, biomass_kg=weight, **levels)
    assert (litres - weight) * (8.6 - 5.0) / demand == pytest.approx(hours, rel=1e-6)


def test_no_tank_is_large_enough_for_water_that_starts_at_the_level() -> None:
    for start in (5.0, 4.0):
        litres = volume_for_oxygen_l(100.0, hours=2.0, start_do_mg_per_l=start, level_do_mg_per_l=5.0, biomass_kg=1.0)
        assert litres == math.inf


@given(production=st.floats(1.0, 2000.0), share=st.floats(0.05, 1.0), source=st.floats(0.0, 0.4))
def test_the_tank_by_ammonia_peaks_at_the_limit(production: float, share: float, source: float) -> None:
    litres = volume_for_ammonia_l(
        production, limit_tan_mg_n_per_l=0.5, source_tan_mg_n_per_l=source, daily_change_fraction=share
    )
    # What a day brings is what the day's change carries off at its peak.
    assert source + production / (litres * share) == pytest.approx(0.5)


def test_no_tank_is_large_enough_for_water_that_brings_the_limit() -> None:
    litres = volume_for_ammonia_l(
        48.0, limit_tan_mg_n_per_l=0.5, source_tan_mg_n_per_l=np.array([0.1, 0.5]), daily_change_fraction=0.5
    )
    assert np.asarray(litres) == pytest.approx([240.0, math.inf])


@pytest.mark.parametrize("share", [0.0, -0.1, 1.1, math.nan])
def test_a_share_of_the_tank_lies_between_nothing_and_all(share: float) -> None:
    with pytest.raises(ImpossibleInput, match="daily_change_fraction"):
        volume_for_ammonia_l(48.0, limit_tan_mg_n_per_l=0.5, source_tan_mg_n_per_l=0.0, daily_change_fraction=share)


def test_impossible() -> None:
    with pytest.raises(ImpossibleInput, match="density_kg_per_m3"):
        volume_for_density_l(1.0, density_kg_per_m3=0.0)
    with pytest.raises(ImpossibleInput, match="length_cm"):
        volume_by_length_l(-5.0)
