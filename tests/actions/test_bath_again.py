"""A second fish in the bath of the first: judged on the water that the first leaves, and made fresh where that will not do."""

from functools import cache

import pytest

from tests.actions.written import exactly
from waterplan.actions.record import Action, Kind
from waterplan.case import read_case
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan

POND = """
waterplan_case = 1
[home_pond]
volume = "10000 ± 0 L"
[home_water]
{water}[[vessels]]
name = "grey tub"
use = "induction"
volume = "{litres} ± 0 L"
temperature = "20 ± 0 °C"
air = "{air} L/min"
outlets = 2
[intended]
operation_at = 2026-05-14T10:00:00
"""
WATER = exactly(temperature=20, ph=7.6, oxygen=9, tan=0.2, nitrite=0.05, alkalinity=100, salinity=0.2, chlorine=0)
FISH = '[[patients]]\nspecies = "koi"\nweight = "{kg} ± 0 kg"\nlength = "{cm} ± 0 cm"\n'


@cache
def plan_of(*kg: float, litres: int, air: int = 6) -> Plan:
    fish = "".join(FISH.format(kg=one, cm=round(40.0 * one ** (1 / 3), 1)) for one in kg)
    return plan(read_case(POND.format(litres=litres, air=air, water=WATER) + fish), draws=64)


def again(found: Plan) -> dict[str, Action]:
    """What is told before each fish but the first."""
    told = [one for one in found.actions if one.kind is Kind.MEASURE and one.steps]
    return {one.words["fish"]: one for one in told}


def codes(one: Action) -> list[str]:
    return [why.code for why in one.steps]


def left(found: Plan, fish: str, quantity: str) -> float:
    best = found.figures[f"induction-1/again/{fish}/{quantity}"].best
    assert best is not None
    return best


@pytest.mark.longer
def test_ammonia_and_age_of_the_bath_by_hand() -> None:
    """By hand: 10 min of induction and 30 under: the first of 2 kg is in it for 40 min, two thirds of an hour.

    Lately fed at 20 °C it gives off 5 mg/kg/h: 2 x 5 x 2/3 = 6.67 mg of nitrogen. The tub's 40 L are 38 beside the one
    fish of 2 kg that is in it at a time: 6.67 / 38 = 0.175 mg/L, on 0.2 that were there: 0.375 mg/L.
    """
    found = plan_of(2.0, 2.0, litres=40)
    assert left(found, "patient-2", "ammonia") == pytest.approx(0.375, rel=0.01)
    assert left(found, "patient-2", "age") == 40.0


@pytest.mark.longer
def test_the_second_is_judged_on_what_the_first_left() -> None:
    """The ammonia of the stretch is that of both fish: 2 x 6.67 / 38 = 0.35 on 0.2; alone it is half of that."""
    both, alone = plan_of(2.0, 2.0, litres=40), plan_of(2.0, litres=40)
    judged = [next(one for one in found.judgements if one.id == "induction-1/ammonia/total") for found in (both, alone)]
    assert [set(one.fish) for one in judged] == [{"patient-1", "patient-2"}, {"patient-1"}]
    best = [found.figures[one.figure or ""].best for found, one in zip((both, alone), judged, strict=True)]
    assert best == pytest.approx([0.551, 0.375], rel=0.02)
    assert not again(alone)


def test_a_small_bath_is_made_fresh_and_a_large_one_is_read() -> None:
    small, large = again(plan_of(2.0, 2.0, litres=40)), again(plan_of(0.05, 0.05, litres=200, air=10))
    assert codes(small["patient-2"])[-1] == "make-it-fresh"
    assert "bath-beyond-its-limit" in codes(small["patient-2"])
    assert codes(large["patient-2"]) == ["bath-as-the-first-leaves-it", "read-the-bath-first"]


@pytest.mark.longer
def test_a_heavier_first_fish_leaves_the_second_worse_water() -> None:
    light, heavy = plan_of(0.5, 0.5, litres=60), plan_of(1.5, 0.5, litres=60)
    for quantity, worse in (("oxygen", -1), ("carbon dioxide", 1), ("ammonia", 1), ("un-ionised ammonia", 1)):
        assert (left(heavy, "patient-2", quantity) - left(light, "patient-2", quantity)) * worse > 0.0


def test_the_drugs_solution_has_an_age() -> None:
    """By hand: the limit is 4 h, 240 min; the seventh fish comes after 6 x 40 = 240 min, the eighth after 280."""
    found = again(plan_of(*[0.05] * 8, litres=400, air=10))
    assert list(found) == [f"patient-{number}" for number in range(2, 9)]
    assert "bath-too-old" not in codes(found["patient-7"])
    assert codes(found["patient-8"]) == ["bath-as-the-first-leaves-it", "bath-too-old", "make-it-fresh"]
