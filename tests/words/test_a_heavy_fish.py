"""No figure comes from a fish over 10 kg (table `water_limits`): whatever is worked out for one says so, and of no other."""

import pytest

from tests.demos import one_paper
from waterplan.case import read_case
from waterplan.plan.quick import quick_tank
from waterplan.plan.sums.tub import quick_air
from waterplan.plan.whole import plan
from waterplan.words.short import short_answer
from waterplan.words.terminal import first_page

SAID = "no figure in this plan comes from one so heavy"
CASE = """waterplan_case = 1
[patient]
species = "koi"
weight = "{weight} kg, scales"
[home_pond]
volume = "20000 ± 0 L"
"""


@pytest.mark.parametrize(("weight", "is_said"), [("15", True), ("9.9", False)])
def test_a_plan_says_of_a_fish_that_none_so_heavy_is_behind_it(weight: str, is_said: bool) -> None:
    found = plan(read_case(CASE.format(weight=weight)), draws=16)
    assert (SAID in " ".join(first_page(found).split())) is is_said
    assert (SAID in one_paper(found, "plan.html")) is is_said


@pytest.mark.parametrize(("weight", "is_said"), [("15 kg", True), ("9.9 kg", False), ("33 lb", True)])
def test_so_does_a_sum(weight: str, is_said: bool) -> None:
    for made in (
        quick_tank(species_name="koi", weight=weight),
        quick_air(litres="2000 L", weight=weight, temperature="20 °C", species_name="koi"),
    ):
        assert (SAID in short_answer(made)) is is_said
