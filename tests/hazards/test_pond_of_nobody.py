"""A pond whose fish are in hospital, and of which nobody says which others live there: by the kind that goes back there."""

from functools import cache

import pytest

from waterplan import tables
from waterplan.case import read_case
from waterplan.hazards.record import Hazard, Verdict
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan

CASE = """waterplan_case = 1
[patient]
species = "{species}"
weight = "2.3 kg, scales"
[home_water]
taken = "2026-05-18T09:00"
temperature = "{temperature} °C, thermometer"
chlorine = "{chlorine} mg/L, drop kit"
[[vessels]]
name = "tank"
use = "hospital"
volume = "900 L, marked tub"
[intended]
operation_at = "2026-05-16T10:00"
days = "3 days"
{end}
"""
TOLD = "which-fish-are-there"


@cache
def of(end: str = "", *, species: str = "koi", temperature: float = 15.5, chlorine: float = 0.0) -> Plan:
    case = read_case(CASE.format(species=species, temperature=temperature, chlorine=chlorine, end=end))
    at = case.intended.operation_at
    assert at is not None
    return plan(case, as_of=at.replace(day=18), draws=64)


@pytest.mark.parametrize(
    ("species", "temperature"),
    [("koi", 15.5), *(pytest.param(one, 12.0, marks=pytest.mark.longer) for one in ("goldfish", "rainbow trout"))],
)
def test_the_limits_are_those_of_the_kind_that_goes_back_there(species: str, temperature: float) -> None:
    found = {one.id: one for one in of(species=species, temperature=temperature).judgements}
    now, back = found["home-pond/temperature/call"], found["home-pond/temperature/home"]
    row = tables.row("species_ranges", species=species, range="care temperature")
    assert now.limit is not None
    assert now.limit == back.limit
    assert (now.limit.value, now.limit.upper) == (row.low, row.high)
    assert now.verdict is Verdict.WITHIN_LIMIT
    for hazard in ("ammonia", "oxygen"):
        assert found[f"home-pond/{hazard}/call"].limit == found[f"home-pond/{hazard}/home"].limit


@pytest.mark.parametrize("more", [{}, {"temperature": 0.5}, {"temperature": 38.0}, {"chlorine": 2.0}])
def test_no_alarm_for_fish_that_nobody_says_are_there_and_which_there_are_is_asked(more: dict[str, float]) -> None:
    nobody = [one for one in of(**more).judgements if one.id.startswith("home-pond/") and one.id.endswith("/call")]
    nobody += [one for one in of(**more).judgements if one.id.startswith("home-pond/") and "/call/" in one.id]
    assert nobody
    assert not [one.id for one in nobody if one.verdict is Verdict.ACT_NOW]
    asked = [one.hazard for one in nobody if TOLD in {why.code for why in one.why}]
    assert Hazard.STOCKING in asked


@pytest.mark.parametrize("count", [0, 3])
def test_where_the_others_are_stated_nothing_is_asked(count: int) -> None:
    stated = of(f'[[other_fish]]\nspecies = "koi"\ncount = {count}\nweight = "1 kg, scales"', chlorine=2.0)
    assert not [one.id for one in stated.judgements if TOLD in {why.code for why in one.why}]
    alarmed = {one.id for one in stated.judgements if one.verdict is Verdict.ACT_NOW}
    assert "home-pond/chlorine/call" in alarmed
