"""An event is counted where the plan follows it, in a tub, a tank or the pond; else it is told, never taken in silence."""

import pytest

from tests.actions.written import exactly
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


@pytest.mark.longer
def test_a_change_at_home_with_water_that_nobody_knows_is_told() -> None:
    made, waters = told("home pond")
    assert waters == ["home-pond"]
    assert "after Fri 5 Jun, 09:00 (water change)" in full_page(made)


@pytest.mark.longer
@pytest.mark.parametrize("water", ["", "long tank"])
def test_an_event_of_the_tank_counts_and_is_not_told(water: str) -> None:
    assert told(water)[1] == []


MAINS = f"""[mains_water]
disinfectant = "none"
{exactly(temperature=16, ph=7, tan=1.3, nitrite=0, alkalinity=90)}"""
TUB = """[[vessels]]
name = "wake tub"
use = "revival"
volume = "100 ± 0 L"
tan = "0.1 ± 0 mg/L as N"
"""


def highest(path: str, *, water: str, pond: float, litres: int, at: str) -> float | None:
    case = CASE.format(water=water).replace("[[vessels]]", f"{MAINS}{TUB}[[vessels]]", 1)
    for old, new in (
        ("6000 L, marked tub", "6000 ± 0 L"),
        ("200 L, marked tub", f"{litres} ± 0 L"),
        ("0.1 mg/L as N, photometer", f"{pond} ± 0 mg/L as N"),
        ("2026-06-05T09:00:00", at),
    ):
        case = case.replace(old, new)
    made = plan(read_case(case), draws=32)
    assert not [one for one in made.actions if "not followed" in one.words]
    return made.figures[path].low


@pytest.mark.longer
def test_a_change_at_home_is_counted() -> None:
    """Half of 6,000 L with 0.1 mg/L as N, made good with a tap of 1.3 mg/L: 0.7 mg/L in the pond of the call."""
    change = {"water": "home pond", "litres": 3000, "at": "2026-06-04T09:00:00"}
    assert highest("home-pond/ammonia/highest/call", pond=0.1, **change) == pytest.approx(0.7, abs=0.001)


def test_a_change_in_a_revival_tub_is_counted() -> None:
    """80 of 100 L with 0.1 mg/L as N made good from a pond with 1.1 mg/L: 0.2 x 0.1 + 0.8 x 1.1 = 0.9 mg/L, and what
    the fish gives off comes to that; without the change it is in the tub two hours and does not come near."""
    level = highest("revival-1/ammonia/highest", water="wake tub", pond=1.1, litres=80, at="2026-06-04T11:00:00")
    assert level is not None
    assert 0.9 <= level < 1.1
