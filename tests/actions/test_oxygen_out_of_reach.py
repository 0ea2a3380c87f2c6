"""Oxygen that air cannot reach here: told in mg/L and % of saturation, with what does and the gas it makes."""

import pytest

from waterplan.actions.record import Action, Kind
from waterplan.case import read_case
from waterplan.hazards.record import Verdict, Why
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.words.lines import action_line
from waterplan.words.speaker import Speaker

CASE = """
waterplan_case = 1
[patient]
species = "koi"
weight = "1 ± 0 kg"
eaten = "no"
wound = "none"
[place]
altitude = "{altitude} ± 0 m"
[home_pond]
volume = "6000 ± 0 L"
[home_water]
temperature = "27 ± 0 °C"
ph = "7.6 ± 0"
oxygen = "6 ± 0 mg/L"
tan = "0.05 ± 0 mg/L as N"
alkalinity = "120 ± 0 mg/L as CaCO3"
chlorine = "0 ± 0 mg/L"
[[vessels]]
name = "tank"
use = "hospital"
volume = "400 ± 0 L"
filter = "unseeded"
air = "10 L/min"
outlets = 2
temperature = "27 ± 0 °C"
ph = "7.6 ± 0"
oxygen = "6 ± 0 mg/L"
[intended]
operation_at = 2026-06-04T10:00:00
days = "5 days"
oxygen = "{wanted} ± 0 mg/L"
"""


def actions(found: Plan, part: str) -> Action:
    return next(one for one in found.actions if one.kind is Kind.AIR and one.id.endswith(part))


def best(found: Plan, why: Why, name: str) -> float:
    value = found.figures[why.figures[name]].best
    assert value is not None
    return value


def test_nine_milligrams_in_the_heat_and_high_up_are_beyond_air() -> None:
    """Benson and Krause print 7.97 mg/L at 27 °C under 101.325 kPa, 3.57 kPa of it vapour.

    The standard atmosphere at 1,500 m is 101.325 x (1 - 0.0000225577 x 1,500) ^ 5.25588 = 84.56 kPa. Saturation there is
    7.97 x (84.56 - 3.57) / (101.325 - 3.57) = 6.60 mg/L; 9 mg/L is 9 / 6.60 = 136 %. What is over, 36 % of the oxygen of
    80.99 kPa of dry air, is 0.36 x 0.2095 x 80.99 = 6.2 kPa: 6.2 / 84.56 = 7.3 % above the air, 107 % of total gas.
    """
    found = plan(read_case(CASE.format(altitude=1500, wanted=9)), draws=64)
    by_air, oxygen = actions(found, "air/hospital-1"), actions(found, "hospital-1/oxygen")
    (why,) = (why for why in by_air.costs if why.code == "air-cannot-reach")
    assert best(found, why, "wanted") == pytest.approx(9.0)
    assert best(found, why, "share") == pytest.approx(136.0, abs=1.5)
    assert best(found, why, "reachable") < 6.6
    # 6.5 of 6.60 that the water can hold are no share of the 9 that are wanted: of what is reached the level is told alone.
    told = Speaker(found).why(why)
    assert told.count("%") == 1
    assert told.index("%") < told.index("Even unlimited air")
    assert "keep-the-air-on" not in {one.code for one in by_air.cautions}  # what runs is not enough
    assert not oxygen.refused_because
    assert "oxygen flow" in oxygen.amounts
    (gas,) = (why for why in oxygen.costs if why.code == "oxygen-makes-gas-pressure")
    assert best(found, gas, "gas") == pytest.approx(107.3, abs=1.0)


def test_the_same_level_in_reach_is_told_without_gas() -> None:
    """At sea level 5.5 mg/L is 5.5 / 7.97 = 69 % of saturation: air reaches it, and no oxygen is asked for."""
    found = plan(read_case(CASE.format(altitude=0, wanted=5.5)), draws=64)
    told = {why.code for one in found.actions for why in one.costs}
    assert "oxygen-makes-gas-pressure" not in told
    assert not [one for one in found.actions if one.id.endswith("hospital-1/oxygen")]


BASIN = """
waterplan_case = 1
[[patients]]
species = "goldfish"
count = 4
weight = "0.18 ± 0 kg"
eaten = false
[home_pond]
volume = "2500 ± 0 L"
[home_water]
temperature = "19 ± 0 °C"
oxygen = "7.4 ± 0 mg/L"
chlorine = "0 ± 0 mg/L"
[[vessels]]
name = "basin"
use = "induction"
volume = "20 ± 0 L"
filled_with = "home water"
air = "3 L/min"
outlets = 1
[intended]
operation_at = 2026-06-15T10:00:00
days = "0 days"
"""


def test_no_clock_without_power_counts_on_bottled_oxygen() -> None:
    """Four goldfish of 0.18 kg take 100 to 300 mg/kg/h handled at 19 °C (from memory), 72 to 216 mg/h together.

    From 7.4 mg/L to a help level about 3 there are 20 x 4.4 = 88 mg: 25 to 75 min. A cylinder that bubbled on would have
    made it never.
    """
    found = plan(read_case(BASIN), draws=64)
    assert not actions(found, "induction-1/oxygen").refused_because
    (line,) = (one for one in found.judgements if one.id == "induction-1/oxygen/power off/after")
    assert "clock-counts-no-bottled-oxygen" in {why.code for why in line.why}
    clock = found.figures[line.figure or ""]
    assert (clock.never, clock.unit) == (0.0, "min")
    assert clock.best is not None
    assert 15.0 < clock.best < 90.0


def test_oxygen_that_is_ordered_is_set_by_a_meter_and_makes_no_bubbles() -> None:
    """What the worst draw needs would drive a small bath far over its gas: the order says to set it by what is read."""
    orfe = CASE.replace('species = "koi"\nweight = "1 ± 0 kg"', 'species = "orfe"\nweight = "0.62 kg"')
    tank = 'use = "hospital"\nvolume = "400 ± 0 L"\nfilter = "unseeded"\nair = "10 L/min"\noutlets = 2\n'
    small = orfe.replace(tank, 'use = "induction"\nvolume = "12 ± 0 L"\n')
    found = plan(read_case(small.format(altitude=1500, wanted=7)), draws=256)
    oxygen = actions(found, "induction-1/oxygen")
    assert "oxygen-by-the-meter" in {one.code for one in oxygen.cautions}
    assert "oxygen meter" in action_line(Speaker(found), oxygen)
    (gas,) = (one for one in found.judgements if one.id == "induction-1/gas pressure/after")
    assert gas.verdict.rank < Verdict.ACT_NOW.rank
