"""Cold tap water that is warmed for a tank: what was in balance with the air is too much then."""

from waterplan.actions.record import Kind
from waterplan.case import read_case
from waterplan.hazards.record import Verdict
from waterplan.plan.whole import plan

CASE = """waterplan_case = 1
[patient]
species = "goldfish"
weight = "0.5 kg, scales"
[mains_water]
temperature = "{tap} ± 0 °C"
gas_pressure = "100 ± 0 %"
chlorine = "0 ± 0 mg/L"
[[vessels]]
name = "tank"
use = "hospital"
volume = "500 ± 5 L"
filled_with = "mains water"
temperature = "19 ± 0 °C"
[intended]
operation_at = 2026-06-04T10:00:00
temperature = "19 °C"
"""


def test_water_of_9_degrees_for_a_tank_of_19_holds_a_fifth_too_much() -> None:
    # Oxygen that the air keeps in fresh water (Benson & Krause): 11.5 mg/L at 9.3 °C, 9.3 at 19: 1.24 times as much as
    # it can hold; nitrogen 1.19 times (its solubility falls by 1.7 % a degree). A fifth of the air is oxygen:
    # 0.21 x 1.24 + 0.79 x 1.19 = 1.20.
    made = plan(read_case(CASE.format(tap=9.3)), draws=16)
    (before,) = (one for one in made.judgements if one.id == "mains/gas pressure")
    assert before.figure is not None
    best = made.figures[before.figure].best
    assert best is not None
    assert abs(best - 120.0) < 2.0
    assert before.verdict is Verdict.ACT_NOW
    assert [one.water for one in made.actions if one.kind is Kind.DEGAS and not one.refused_because] == ["mains"]


def test_water_that_is_as_warm_as_the_tank_holds_what_it_held() -> None:
    made = plan(read_case(CASE.format(tap=19)), draws=16, actions=False)
    (before,) = (one for one in made.judgements if one.id == "mains/gas pressure")
    assert before.figure is not None
    best = made.figures[before.figure].best
    assert best is not None
    assert abs(best - 100.0) < 0.2
