"""After the fish has gone home, what was is done and not due: no moment of the stay is open, refused or to be measured."""

from datetime import datetime, timedelta
from functools import cache

import pytest

from tests.demos import DEMO_PONDS
from waterplan.case import read_case
from waterplan.hazards.record import Verdict
from waterplan.plan.record import Plan, Readiness
from waterplan.plan.whole import plan
from waterplan.stay.record import Moment, WaterKind

# Operated on 4 June, ten days in the tank: home on 14 June.
OF, HOME_ON = "ordinary_goldfish.toml", datetime.fromisoformat("2026-06-14T11:40+02:00")
STAY = (Moment.PROCEDURE, Moment.REVIVAL, Moment.HOSPITAL)


@cache
def made(days: int, of: str = OF) -> Plan:
    return plan(read_case(DEMO_PONDS / of), as_of=HOME_ON + timedelta(days=days), draws=64)


def states(of: Plan) -> dict[Moment, Readiness]:
    return {one.moment: one.state for one in of.moments}


def test_the_stay_is_over_once_its_last_stretch_is() -> None:
    assert {states(made(28))[one] for one in STAY} == {Readiness.OVER}
    assert states(made(-3))[Moment.HOSPITAL] is not Readiness.OVER
    assert states(made(-3))[Moment.REVIVAL] is Readiness.OVER
    assert states(made(28))[Moment.HOME] is not Readiness.OVER


@pytest.mark.parametrize("of", [OF, "orfe_in_a_heatwave.toml"])
def test_nothing_of_it_is_due_or_refused(of: str) -> None:
    """The orfe's barrel is full of things that are wrong; a month later nobody can put them right."""
    plan = made(60, of)
    past = [one.moment for one in plan.moments if one.state is Readiness.OVER]
    assert set(STAY) <= set(past)
    assert not [one.id for one in plan.actions if one.moment in STAY and one.done is None]
    tubs = {one.id for one in plan.waters if one.kind is not WaterKind.HOME}
    assert not [one.id for one in plan.judgements if one.water == "mains"]
    measured = {path for one in plan.actions if one.kind == "measure" for path in one.words}
    assert not measured & {one for one in tubs if one != "hospital-1"}


def test_what_it_was_stands_in_the_record() -> None:
    """An `act now` that was is still told; it makes nothing of today so."""
    plan = made(60, "orfe_in_a_heatwave.toml")
    assert [one for one in plan.judgements if one.moment in STAY and one.verdict is Verdict.ACT_NOW]
    assert not {one.id for one in plan.judgements if one.moment in STAY} & {
        path for moment in plan.moments for path in moment.because
    }
