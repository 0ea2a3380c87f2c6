"""An event in a water whose course no event enters is told, never taken in silence."""

import pytest

from waterplan.actions.record import Kind
from waterplan.case import read_case
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.words.terminal import full_page

CASE = """waterplan_case = 1
[patient]
species = "goldfish"
weight = "0.5 kg, scales"
[home_pond]
volume = "6000 L, marked tub"
[home_water]
tan = "0.1 mg/L as N, photometer"
[[vessels]]
name = "long tank"
use = "hospital"
volume = "400 L, marked tub"
[intended]
operation_at = 2026-06-04T10:00:00
[[events]]
at = 2026-06-05T09:00:00
what = "water change"
water = "{water}"
volume = "200 L, marked tub"
"""


def told(water: str) -> tuple[Plan, list[str | None]]:
    made = plan(read_case(CASE.format(water=water)), draws=32)
    return made, [one.water for one in made.actions if one.kind is Kind.MEANT and "not followed" in one.words]


def test_an_event_at_home_is_told() -> None:
    made, waters = told("home pond")
    assert waters == ["home-pond"]
    assert "water change at 2026-06-05" in full_page(made)


@pytest.mark.parametrize("water", ["", "long tank"])
def test_an_event_of_the_tank_counts_and_is_not_told(water: str) -> None:
    assert told(water)[1] == []
