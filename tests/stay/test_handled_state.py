"""The handled state wears off by the table: in full for an hour, by a third for twice as long, wherever the plan begins."""

from datetime import UTC, datetime, timedelta

import pytest

from tests.actions.made import EXACT
from waterplan.case import read_case
from waterplan.plan.whole import plan
from waterplan.spread import Draws
from waterplan.stay.course import Scenario
from waterplan.stay.effects import Effects
from waterplan.stay.ground import WaterStay
from waterplan.stay.happenings import meal_hours
from waterplan.stay.quantities import Q
from waterplan.stay.record import FishState
from waterplan.stay.standing import _states_of_fish
from waterplan.stay.whole import lay_out, stay
from waterplan.tank.fish_events import Handled

# The case has no tub for the anaesthetic: revived for 2 h, the fish goes into the tank then.
WENT_IN_H = 2.0
OPERATED = datetime(2026, 5, 14, 10, tzinfo=UTC)
CASE = EXACT.replace('"1000 ± 0 L"', '"60 ± 0 L"') + 'days = "5 days"\nfeed = "1 %/day"\n'


def tank_at(hours: float) -> WaterStay:
    """The hospital tank of a plan that is made so many hours after its fish went in."""
    as_of = OPERATED + timedelta(hours=WENT_IN_H + hours)
    ground = lay_out(read_case(CASE), as_of=as_of, draws=Draws(count=8))
    return stay(ground, Effects())["hospital-1"]


@pytest.mark.parametrize(
    ("hours", "in_full_h", "by_a_third_h"),
    [(0.0, 1.0, 3.0), (0.5, 0.5, 2.5), (1.0, 0.0, 2.0), (2.0, 0.0, 1.0)],
)
def test_what_is_left_of_it_is_counted(hours: float, in_full_h: float, by_a_third_h: float) -> None:
    """60 min in full, then 120 min by a third: half an hour after it went in 30 min and 2 h 30 min are left."""
    water = tank_at(hours)
    (event,) = _states_of_fish(water, water.place.stretches[0], 100.0)
    assert isinstance(event, Handled)
    assert water.place.stretches[0].present[0].state is FishState.RECOVERING
    assert event.times_h() == pytest.approx((0.0, in_full_h, by_a_third_h), abs=0.02)


@pytest.mark.parametrize("hours", [3.1, 20.0, 48.0])
def test_after_three_hours_it_is_at_rest(hours: float) -> None:
    water = tank_at(hours)
    assert {one.state for one in water.place.stretches[0].present} == {FishState.AT_REST}
    assert not list(_states_of_fish(water, water.place.stretches[0], 100.0))


def test_the_clock_grows_as_it_wears_off_and_says_which_state_it_counts() -> None:
    """The sooner after the operation the power fails, the less time there is."""
    waters = [tank_at(hours) for hours in (0.0, 0.5, 1.5, 4.0)]
    times = [
        float(water.course(water.place.stretches[0], Scenario.POWER_OFF).hours_until(Q.OXYGEN, 3.0, falls=True)[0])
        for water in waters
    ]
    assert times == sorted(times)
    assert times[0] < times[-1]
    made = plan(read_case(CASE), as_of=OPERATED - timedelta(hours=2), draws=16, actions=False)
    told = {
        one.water: why.words["state"]
        for one in made.judgements
        for why in one.why
        if why.code == "clock-counts-the-fish-as" and one.id.endswith("power off")
    }
    assert told["hospital-1"] == told["revival-1"] == FishState.RECOVERING
    assert FishState.AT_REST in told["home-pond"]


def test_no_meal_comes_sooner_for_a_plan_that_is_made_later() -> None:
    """The first meal is a day after it went in at the soonest, whenever the plan is made."""
    for hours in (0.0, 2.0, 6.0, 20.0):
        water = tank_at(hours)
        first = min(meal_hours(water, water.place.stretches[0]))
        assert first >= WENT_IN_H + 24.0 - 0.02
