"""Gas disease: a pump that draws air or bubbles in the fins is a suspicion of total gas, and nothing is warmed meanwhile."""

from functools import cache

import pytest

from waterplan.actions.record import Kind
from waterplan.case import read_case
from waterplan.hazards.record import Hazard, Verdict
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan

CASE = """waterplan_case = 1
[patient]
species = "koi"
weight = "1 kg, scales"
[home_pond]
volume = "8000 ± 80 L"
[home_water]
temperature = "15 ± 0.1 °C"
oxygen = "9.5 ± 0.1 mg/L"
{home}
[[vessels]]
name = "long tank"
use = "hospital"
volume = "500 ± 5 L"
temperature = "15 ± 0.1 °C"
air = "10 L/min"
outlets = 2
{tank}
[intended]
operation_at = 2026-05-14T10:00
temperature = "19 °C"
days = "3 days"
room = "18 °C, thermometer"
[[seen]]
sign = "{sign}"
[[meant]]
what = "warm the water"
"""
SIGNS = ("bubbles in the fins", "pump draws air")


@cache
def made(sign: str, *, home: str = "", tank: str = "") -> Plan:
    return plan(read_case(CASE.format(sign=sign, home=home, tank=tank)), draws=32)


def warmed(made: Plan) -> list[str]:
    """Why the tank is not warmed to what it is to be kept at."""
    (one,) = [one for one in made.actions if one.kind is Kind.WARM and one.id.endswith("/kept")]
    return [why.code for why in one.refused_because]


@pytest.mark.parametrize("sign", SIGNS)
def test_it_is_aired_and_total_gas_is_measured(sign: str) -> None:
    found = made(sign)
    (seen,) = [one for one in found.judgements if one.hazard is Hazard.SIGN and one.before is None]
    assert seen.verdict is Verdict.ACT_NOW
    assert "gas pressure" in {one.quantity for one in seen.inputs}
    at_home = {one.kind for one in found.actions if one.water == "home-pond" and not one.refused_because}
    assert {Kind.AIR, Kind.SOURCE_OFF, Kind.FIRST_AID} <= at_home
    (aid,) = [one for one in found.actions if one.kind is Kind.FIRST_AID]
    told = {why.code for why in (*aid.steps, *aid.cautions)}
    assert {"aid-measure-total-gas", "aid-find-the-leak", "never-warm-gassed-water"} <= told


@pytest.mark.parametrize("sign", SIGNS)
def test_warming_that_is_meant_is_refused_for_it(sign: str) -> None:
    (one,) = [one for one in made(sign).actions if one.kind is Kind.MEANT]
    assert "meant-gas" in {why.code for why in one.refused_because}


@pytest.mark.longer
def test_a_tank_is_not_warmed_until_its_gas_is_known_to_be_well() -> None:
    """A tank at 115 % of the air's pressure passes 76 mmHg, which is 110 % at sea level (table `water_limits`)."""
    gassed = 'gas_pressure = "115 ± 0.5 %"'
    assert "gas-out-before-warming" in warmed(made("pump draws air", tank=gassed))
    assert "gas-out-before-warming" not in warmed(made("pump draws air", tank='gas_pressure = "100 ± 0.5 %"'))
    assert "gas-out-before-warming" not in warmed(made("nothing yet", tank=gassed))
