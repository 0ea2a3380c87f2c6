"""The closed bag: a worked journey, and what limits it."""

from dataclasses import replace

import pytest

from waterplan import tables
from waterplan.errors import ImpossibleInput
from waterplan.tank.bag import Bag, bag_after
from waterplan.tank.occupants import Fish
from waterplan.tank.water_body import Water

_KOI = Fish(
    name="koi", biomass_kg=1.0, uptake_mg_per_kg_h=60.0, excretion_mg_n_per_kg_h=1.5, rates_at_temp_c=15.0
)  # fmt: skip
_BAG = Bag(
    volume_l=20.0 / 3.0,
    gas_l=40.0 / 3.0,
    water=Water(water_temp_c=15.0, do_mg_per_l=9.0, alkalinity_mg_caco3_per_l=100.0, ph=7.6),
    fish=(_KOI,),
)


def test_worked_journey() -> None:
    """1 kg koi, 20 L bag of which a third water, 15 °C, 60 mg/kg/h, 24 h; worked by hand to the digits printed."""
    opened = bag_after(_BAG, 24.0)
    assert opened.co2_mg_per_l[0] == pytest.approx(90.0, abs=5.0)
    assert opened.tan_mg_n_per_l[0] == pytest.approx(5.4, abs=0.05)
    assert opened.ph[0] == pytest.approx(6.5, abs=0.1)
    assert opened.nh3_mg_n_per_l[0] == pytest.approx(0.005, abs=0.001)


def test_carbon_is_shared_and_none_is_lost() -> None:
    without_gas, with_gas = (bag_after(replace(_BAG, gas_l=gas), 6.0) for gas in (0.001, 40.0))
    assert with_gas.co2_mg_per_l[0] < without_gas.co2_mg_per_l[0]
    # Without gas all that is breathed out stays: 6 h x 60 mg x 0.9 x 44.01/32.00 over 6.667 L, above what was there.
    start = bag_after(replace(_BAG, gas_l=0.001), 0.0)
    assert start.ph[0] == pytest.approx(7.6, abs=0.01)


def test_oxygen_runs_out_and_never_below_nothing() -> None:
    tight = replace(_BAG, gas_l=0.5, stress_factor=4.0)
    opened = bag_after(tight, 48.0)
    assert opened.do_mg_per_l[0] == 0.0


def test_farm_loadings_fit_on_oxygen_and_not_on_carbon_dioxide() -> None:
    """Printed farm maxima: oxygen for the stated hours is there, while carbon dioxide passes any patient's limit."""
    for row in tables.rows("bag_loading", stage="fingerling 1-2 in"):
        hours, weight = float(row["hours"]), row.low / 1000.0 * 5.0
        fish = replace(_KOI, biomass_kg=weight, uptake_mg_per_kg_h=150.0, rates_at_temp_c=18.3)
        bag = replace(_BAG, volume_l=5.0, gas_l=15.0, fish=(fish,), water=replace(_BAG.water, water_temp_c=18.3))
        opened = bag_after(bag, hours)
        assert opened.do_mg_per_l[0] > 5.0, hours
        if hours >= 12.0:
            assert opened.co2_mg_per_l[0] > 40.0, hours


def test_a_bag_with_less_than_no_gas_is_impossible() -> None:
    with pytest.raises(ImpossibleInput, match="gas_l"):
        replace(_BAG, gas_l=-1.0)
