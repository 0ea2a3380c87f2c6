"""Readings of a pond that go up and down with the day are not put together across hours in silence."""

import pytest

from waterplan.case import read_case, read_log
from waterplan.hazards.record import Judgement, Verdict
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan

_CASE = """
waterplan_case = 1
[patient]
species = "koi"
weight = "2 ± 0 kg"
length = "50 ± 0 cm"
[home_pond]
volume = "10000 ± 0 L"
[home_water]
taken = 2026-06-04T06:30:00
temperature = "20 ± 0 °C"
ph = "{ph} ± 0.1"
alkalinity = "100 ± 0 mg/L as CaCO3"
carbon_dioxide = "{co2} ± 2 mg/L"
[intended]
operation_at = 2026-06-04T21:00:00
days = "5 days"
[[vessels]]
name = "tank"
use = "hospital"
volume = "600 ± 0 L"
"""
_LATER = "taken,water,what,reading\n2026-06-04T16:00:00,home water,ph,8.6 ± 0\n"


def made(*, ph: float = 7.2, co2: float = 12.0, later: str = "") -> Plan:
    case = read_case(_CASE.format(ph=ph, co2=co2))
    return plan(case, readings=read_log(later, case=case) if later else (), draws=64, actions=False)


def of(plan: Plan, path: str) -> Judgement:
    return next(one for one in plan.judgements if one.id == path)


def clash(plan: Plan) -> bool:
    return any(one.id == "home-pond/contradiction/call/carbon dioxide" for one in plan.judgements)


def codes(plan: Plan, path: str) -> set[str]:
    return {why.code for why in of(plan, path).why}


@pytest.mark.longer
def test_carbon_dioxide_of_the_morning_does_not_contradict_the_ph_of_the_afternoon() -> None:
    """Alkalinity 2.0 meq/L, pK 6.38 at 20 °C. pH 7.2: 2.0 / 10^0.82 = 0.30 mmol/L, 13 mg/L: the 12 that were read. pH 8.6
    of the afternoon: 2.0 / 10^2.22 = 0.012, 0.5 mg/L: another hour, and no contradiction; at one hour it is one."""
    assert not clash(made())
    assert not clash(made(later=_LATER))
    assert clash(made(ph=8.6))


def test_carbon_dioxide_that_was_read_in_the_morning_is_judged_as_it_was_read() -> None:
    """35 mg/L, over the 20 that are borne and the 30 that harm; by the pH alone it would be 13."""
    assert of(made(co2=35.0), "home-pond/carbon dioxide/call").verdict is Verdict.ACT_NOW


def test_carbon_dioxide_that_was_read_in_a_tank_is_not_lost_in_its_course() -> None:
    """By its pH the tank holds some 13 mg/L; 35 were read, which harms."""
    read = 'carbon_dioxide = "35 ± 2 mg/L"\nph = "7.2 ± 0.1"\nalkalinity = "100 ± 0 mg/L as CaCO3"\n'
    case = read_case(f"{_CASE.format(ph=7.2, co2=12)}temperature = '20 ± 0 °C'\n{read}")
    judged = of(plan(case, draws=64, actions=False), "hospital-1/carbon dioxide")
    assert judged.verdict is Verdict.ACT_NOW


@pytest.mark.longer
def test_the_hour_of_carbon_dioxide_and_of_the_ph_that_the_fish_meets_is_told() -> None:
    plan = made()
    assert "carbon-dioxide-of-the-hour" in codes(plan, "home-pond/carbon dioxide/call")
    assert "ph-of-the-hour-read" in codes(plan, "home-pond/ph change/home")
