"""Ammonia that a fish gives to the water."""

import pytest

from waterplan import tables
from waterplan.fish.excretion import excretion_at_temperature_mg_n_per_kg_h


def test_starved_pikeperch_at_two_temperatures() -> None:
    # Zakes & Karpinski 1999: 1.4 at 20 °C and 2.0 at 24 °C, a Q10 of (2.0/1.4)^(10/4) = 2.44.
    q10 = (2.0 / 1.4) ** 2.5
    assert excretion_at_temperature_mg_n_per_kg_h(1.4, water_temp_c=24.0, q10=q10) == pytest.approx(2.0)
    row = tables.row("temperature_effect", process="ammonia excretion Q10")
    assert row.low < q10 < row.high


@pytest.mark.parametrize(("water_temp_c", "factor"), [(20.0, 1.0), (10.0, 0.5), (30.0, 2.0), (0.0, 0.25)])
def test_q10_of_two_halves_and_doubles(water_temp_c: float, factor: float) -> None:
    assert excretion_at_temperature_mg_n_per_kg_h(3.0, water_temp_c=water_temp_c) == pytest.approx(3.0 * factor)


def test_the_range_carried_for_a_fed_fish_holds_the_measured_and_the_designed() -> None:
    # Pikeperch measured 0.011-0.012 (Zakes & Karpinski 1999); the design equation at 35 % protein gives 0.032.
    row = tables.row("feed_nitrogen", basis="ammonia nitrogen per feed")
    assert row.low <= 0.011
    assert row.high >= 0.35 * 0.092
    assert row.low < row.value < row.high


def test_the_range_carried_for_a_fasted_fish_holds_all_that_is_printed() -> None:
    # Corrections to the facts: carry 1.4 to 10 mg N/kg/h at 20 °C; starved walleye gave 0.9, starved flounder 2.3.
    row = tables.row("excretion", state="fasted")
    assert row.low <= 1.4
    assert row.high >= 10.0
    assert row.low < row.value < row.high
