"""Salt that an earlier plan had put in, of which nobody tells and that was not read since, is read before any more goes in."""

from datetime import UTC, datetime, timedelta
from functools import cache

import pytest

from tests.actions.made import EXACT
from waterplan.actions.record import Action, Kind
from waterplan.case import read_case
from waterplan.hazards.record import Hazard, Judgement
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.stay.record import Origin

TANK = "hospital-1"
OPERATED = datetime(2026, 5, 14, 10, tzinfo=UTC)
CASE = (
    EXACT.replace('filled_with = "mains water"', 'filled_with = "mains water"\nsalinity = "0.2 ± 0 g/L"')
    + 'salt = "2 g/L"\n'
)
TOLD = '\n[[done]]\nwhat = "salt"\nat = 2026-05-14T12:00:00\nwater = "long tank"\nsubstance = "salt"\n'


@cache
def made(hours: float, text: str = CASE, salt: str = "0.2 ± 0 g/L", read_at: str = "") -> Plan:
    """A plan so many hours after the operation; the tank's salt was read once, at its filling where nothing else is said."""
    taken = f"\ntaken = {read_at}" if read_at else ""
    text = text.replace('salinity = "0.2 ± 0 g/L"\nair', f'salinity = "{salt}"{taken}\nair')
    return plan(read_case(text), as_of=OPERATED + timedelta(hours=hours), draws=64)


def salting(of: Plan) -> Action | None:
    """The salt for the level that is meant for the tank."""
    return next((one for one in of.actions if one.id == f"hospital/salt/{TANK}"), None)


def grams(of: Plan) -> float:
    """What it orders."""
    action = salting(of)
    return 0.0 if action is None or not action.is_open else of.figures[action.amounts["salt"]].act_on or 0.0


def judged(of: Plan) -> Judgement:
    return next(one for one in of.judgements if one.hazard is Hazard.SALT and one.water == TANK)


@pytest.mark.longer
def test_before_the_first_part_is_due_the_whole_is_ordered() -> None:
    """1,000 L from 0.2 to 2 g/L: 1,000 x 1.8 = 1,800 g."""
    assert grams(made(-2.0)) == pytest.approx(1800.0)


@pytest.mark.longer
@pytest.mark.parametrize("hours", [4.0, 20.0, 48.0])
def test_it_is_not_ordered_again_but_read_first(hours: float) -> None:
    """The first part was due as the fish went in. A part is at most 1 g/L: 1,000 L x 1 g/L = 1,000 g for each that is missing."""
    plan = made(hours)
    refused = salting(plan)
    assert refused is not None
    assert [one.code for one in refused.refused_because] == ["salt-may-be-in-already"]
    assert [way.kind for way in refused.instead] == [Kind.MEASURE]
    first = next(one for one in plan.actions if one.kind is Kind.MEASURE and one.water == TANK)
    missing = next(one for one in first.cautions if one.code == "then-dissolve-what-is-missing")
    assert plan.figures[missing.figures["each"]].act_on == 1000.0
    assert plan.figures[missing.figures["level"]].act_on == 2.0
    assert not [one for one in plan.actions if one.kind is Kind.SALT and one.water == TANK and one.is_open]


@pytest.mark.longer
def test_the_level_is_judged_both_ways() -> None:
    """None of it in: 0.2 g/L. All of it in: 2 g/L, and never more: of its own salt none is added to that."""
    plan = made(48.0)
    salt = next(one for one in plan.waters if one.id == TANK).states[0].quantities["salt"]
    assert salt.origin is Origin.ASSUMED
    assert (plan.figures[salt.figure].low, plan.figures[salt.figure].high) == (0.2, 2.0)
    judgement = judged(plan)
    assert plan.figures[judgement.figure or ""].high == pytest.approx(2.0, abs=0.1)  # what evaporates leaves its salt
    assert judgement.whatever  # both are below the ceiling


@pytest.mark.longer
def test_what_was_read_since_is_what_is_there() -> None:
    """1.9 g/L on the second day: 1,000 L x 0.1 g/L = 100 g."""
    assert grams(made(48.0, salt="1.9 ± 0 g/L", read_at="2026-05-16T08:00:00")) == pytest.approx(100.0)


@pytest.mark.longer
def test_a_reading_between_two_parts_knows_nothing_of_the_second() -> None:
    """Read 6 h after the operation, half of it in; the second part was due after that: is it in or not?"""
    assert grams(made(10.0, salt="1.1 ± 0 g/L", read_at="2026-05-14T16:00:00")) == pytest.approx(900.0)
    late = salting(made(30.0, salt="1.1 ± 0 g/L", read_at="2026-05-14T16:00:00"))
    assert late is not None
    assert late.refused_because


@pytest.mark.longer
def test_what_is_told_in_grams_is_counted_and_what_is_told_without_is_not() -> None:
    """1,800 g told: nothing is missing. "Salt in", and nobody knows how much: it is read first."""
    assert grams(made(48.0, CASE + TOLD + 'amount = "1800 g"\n')) == 0.0
    told = salting(made(48.0, CASE + TOLD))
    assert told is not None
    assert told.refused_because


def test_salt_of_a_plan_that_was_refused_is_in_no_water() -> None:
    """4 g/L is above what an orfe may ever have: no plan ever ordered it, so the tank has what it was filled with."""
    plan = made(48.0, CASE.replace('"koi"', '"orfe"').replace('salt = "2 g/L"', 'salt = "4 g/L"'))
    refused = salting(plan)
    assert refused is not None
    assert [one.code for one in refused.refused_because] == ["salt-above-ceiling"]
    assert plan.figures[judged(plan).figure or ""].high == pytest.approx(0.2, abs=0.02)


def test_salt_that_went_in_is_told_with_the_time_at_which_it_did() -> None:
    """It was told as done at the time of the plan."""
    plan = made(20.0, CASE + TOLD + 'amount = "900 g"\n')
    (there,) = [one for one in plan.actions if one.id == f"hospital/salt/{TANK}/went-in"]
    assert there.done == datetime(2026, 5, 14, 12, tzinfo=UTC)
