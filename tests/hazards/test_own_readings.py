"""A tank that was read itself is as old as its own readings, however old its pond's are; its fish are there now."""

from datetime import UTC, datetime

import pytest

from waterplan.case import read_case
from waterplan.hazards.record import Hazard, Verdict
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan

TANK = "hospital-1"
NOW = datetime(2026, 6, 8, 9, tzinfo=UTC)
OLD, NEW = "2026-06-03T16:00", "2026-06-08T08:30"
READ = """
temperature = "18 ± 0.2 °C"
ph = "7.6 ± 0.05"
oxygen = "8.8 ± 0.2 mg/L"
tan = "0.03 ± 0.01 mg/L as N"
nitrite = "0.02 ± 0.01 mg/L as NO2"
alkalinity = "120 ± 5 mg/L as CaCO3"
salinity = "0.3 ± 0.02 g/L"
chlorine = "0 ± 0.001 mg/L"
gas_pressure = "100 ± 0.5 %"
carbon_dioxide = "3 ± 0.5 mg/L"
"""


def made(pond_at: str, tank: str) -> Plan:
    """Four days after the operation: the tank was filled from the pond."""
    return plan(
        read_case(f"""
waterplan_case = 1
[patient]
species = "goldfish"
weight = "0.1 ± 0.002 kg"
length = "17 ± 0.2 cm"
last_fed = 2026-06-01T08:00
[home_pond]
volume = "6000 ± 60 L"
[home_water]
taken = {pond_at}
{READ}
[[vessels]]
name = "tub"
use = "revival"
volume = "80 ± 1 L"
air = "4 L/min"
taken = 2026-06-04T09:00
temperature = "14 ± 0.2 °C"
ph = "6.2 ± 0.05"
[[vessels]]
name = "tank"
use = "hospital"
volume = "600 ± 6 L"
air = "8 L/min"
outlets = 2
{tank}
[intended]
operation_at = 2026-06-04T10:00
days = "6 days"
room = "18 °C, thermometer"
"""),
        as_of=NOW,
        draws=64,
        actions=False,
    )


def verdicts(of: Plan) -> dict[str, Verdict]:
    return {one.id: one.verdict for one in of.judgements if one.water == TANK}


def old(of: Plan) -> set[str]:
    found = (one for one in of.judgements if one.water == TANK)
    return {one.id for one in found if "readings-too-old" in {why.code for why in one.why}}


def test_a_tank_that_was_read_today_is_not_aged_by_its_pond() -> None:
    """The pond was read five days ago and the tank this morning: each verdict is that of a pond of this morning too."""
    tank = f"taken = {NEW}\n{READ}"
    assert old(made(OLD, tank)) == set()
    assert verdicts(made(OLD, tank)) == verdicts(made(NEW, tank))


def test_a_tank_that_nobody_read_is_as_old_as_the_pond_that_filled_it() -> None:
    """pH stands for 24 h and ammonia for 48: after five days neither does."""
    assert {f"{TANK}/ph", f"{TANK}/ammonia"} <= old(made(OLD, ""))
    assert not {f"{TANK}/ph", f"{TANK}/ammonia"} & old(made(NEW, ""))


@pytest.mark.parametrize("tank", ["", f"taken = {NEW}\n{READ}"])
def test_fish_that_are_in_it_are_judged_as_there_now(tank: str) -> None:
    """From the time of the plan, with no step from the water that they came out of days ago."""
    plan = made(NEW, tank)
    own = [one for one in plan.judgements if one.water == TANK and one.start is not None]
    assert {one.start for one in own} == {NOW}
    steps = [one for one in own if one.hazard in (Hazard.TEMPERATURE_STEP, Hazard.PH_CHANGE)]
    assert {why.code for one in steps for why in one.why} == {"stays-where-it-is"}
    assert {one.verdict for one in steps} == {Verdict.WITHIN_LIMIT}
    (water,) = (one for one in plan.waters if one.id == TANK)
    assert {(one.start, one.state.value) for one in water.occupants} == {(NOW, "at rest")}
