"""Oxygen for several tubs from one cylinder: how long it lasts for all of them, and how many it takes."""

from functools import cache

import pytest

from waterplan.actions.record import Action
from waterplan.case import read_case
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan

# High up in warm water air cannot hold what a sturgeon needs: the trough, the vat and the tank are each given oxygen.
CASE = """
waterplan_case = 1
[patient]
species = "sturgeon"
weight = "1.9 ± 0 kg"
eaten = false
[place]
altitude = "1400 ± 0 m"
[home_pond]
volume = "20000 ± 0 L"
[home_water]
temperature = "23 ± 0 °C"
oxygen = "6.3 ± 0 mg/L"
chlorine = "0 ± 0 mg/L"
[[vessels]]
name = "trough"
use = "induction"
volume = "120 ± 0 L"
filled_with = "home water"
air = "8 L/min"
[[vessels]]
name = "vat"
use = "revival"
volume = "300 ± 0 L"
filled_with = "home water"
air = "15 L/min"
[[vessels]]
name = "tank"
use = "hospital"
volume = "2200 ± 0 L"
filled_with = "home water"
air = "25 L/min"
[intended]
operation_at = 2026-07-15T08:00:00
days = "2 days"
"""
CYLINDER = '[oxygen_cylinder]\nvolume = "5 ± 0 L"\npressure = "150 ± 0 bar"\n'


@cache
def made(text: str) -> Plan:
    return plan(read_case(text), draws=64)


def ordered(found: Plan) -> list[Action]:
    return [one for one in found.actions if one.is_open and "oxygen flow" in one.amounts]


def act_on(found: Plan, path: str) -> float:
    value = found.figures[path].act_on
    assert value is not None
    return value


def test_all_the_orders_share_one_cylinder() -> None:
    """5 L x (150 - 10) bar / 1.01325 = 691 L. What each tub takes is its flow for as long as its fish is in it; the fish
    goes from one into the next, so that the cylinder is at one of them at a time.
    """
    found = made(CASE + CYLINDER)
    orders = ordered(found)
    assert [one.water for one in orders] == ["induction-1", "revival-1", "hospital-1"]
    inside = {one.water: next(each.occupants for each in found.waters if each.id == one.water) for one in orders}
    runs = []
    for one in orders:
        minutes = sum((each.until - each.start).total_seconds() / 60 for each in inside[one.water or ""])  # type: ignore[operator]
        runs.append((act_on(found, one.amounts["oxygen flow"]), minutes))
    litres, held = sum(flow * minutes for flow, minutes in runs), 5.0 * 140.0 / 1.01325
    lasts, left = 0.0, held
    for flow, minutes in runs:
        spent = min(minutes, left / flow)
        lasts, left = lasts + spent, left - spent * flow
    assert litres > held
    assert len({(one.amounts["cylinder lasts"], one.amounts["cylinders"]) for one in orders}) == 1
    shared = orders[0].amounts
    assert found.figures[shared["cylinder lasts"]].best == pytest.approx(lasts, rel=1e-3)
    assert found.figures[shared["cylinders"]].best == pytest.approx(litres / held, rel=1e-3)
    assert act_on(found, shared["cylinders"]) >= litres / held
    told = [why for one in orders for why in one.costs if why.code == "oxygen-in-all"]
    assert len(told) == len(orders)
    assert [found.figures[path].best for path in {why.figures["litres"] for why in told}] == [
        pytest.approx(litres, rel=1e-3)
    ]
    loaded = [(one.what, one.waters) for one in found.van if one.part == "oxygen" and one.what != "oxygen"]
    assert loaded == [("cylinder lasts", ()), ("cylinders", ())]


def test_more_than_the_flow_that_is_stated_is_told() -> None:
    for flow, told in (("", False), ('flow = "1 L/min"\n', True)):
        codes = [[why.code for why in one.costs] for one in ordered(made(CASE + CYLINDER + flow))]
        assert codes
        assert all(("more-flow-than-stated" in each) is told for each in codes)


def test_without_a_cylinder_the_litres_are_told() -> None:
    found = made(CASE)
    for one in ordered(found):
        assert "cylinders" not in one.amounts
        assert "oxygen-in-all" in {why.code for why in one.costs}
        assert "no-cylinder-named" in {why.code for why in one.cautions}
