"""The handled state wears off by the table: in full, then by a third for twice as long, wherever the plan begins."""

from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import numpy as np
import pytest

from tests.actions.made import EXACT
from waterplan.case import read_case
from waterplan.plan.whole import plan
from waterplan.spread import Draws
from waterplan.stay.course import Scenario
from waterplan.stay.effects import Effects
from waterplan.stay.fish import on_the_way
from waterplan.stay.ground import WaterStay
from waterplan.stay.happenings import meal_hours
from waterplan.stay.inputs import Inputs
from waterplan.stay.quantities import Q
from waterplan.stay.record import FishState
from waterplan.stay.standing import _states_of_fish
from waterplan.stay.whole import lay_out, stay
from waterplan.tank.fish_events import Handled, handled_shares

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
    ("hours", "in_full", "by_a_third"), [(0.0, 0.5, 0.5), (0.25, 0.25, 0.75), (0.5, 0.0, 1.0), (1.0, 0.0, 0.5)]
)
def test_what_is_left_of_it_is_counted(hours: float, in_full: float, by_a_third: float) -> None:
    """30 min in full, then 60 min by a third: in the hour that begins when it goes in, half of each."""
    water = tank_at(hours)
    (event,) = _states_of_fish(water, water.place.stretches[0], 100.0)
    assert isinstance(event, Handled)
    assert water.place.stretches[0].present[0].state is FishState.RECOVERING
    assert event.ago_h == pytest.approx(hours, abs=0.02)
    best_h = float(np.asarray(event.handled_h)[0])
    assert handled_shares(best_h, hours, hours + 1.0) == pytest.approx((in_full, by_a_third))


@pytest.mark.parametrize("ago_h", [0.0, 0.4])
def test_every_draw_takes_in_all_what_its_own_wearing_off_makes_of_it(ago_h: float) -> None:
    """By hand, with 1.5 times more: 0.1 h in full and 0.2 h by a third are 1.5 x (0.1 + 0.2 / 3) = 0.25 hours of rest, and

    0.5 and 1.0 h are 1.25; 0.4 h later nothing is left of the first, and 1.5 x (0.1 + 1.0 / 3) = 0.65 of the other.
    """
    body = SimpleNamespace(fish={"koi": None}, effects=[])
    Handled(at_h=2.0, stress_factor=2.5, handled_h=np.array([0.5, 0.1]), ago_h=ago_h, name="koi").happen(body)
    taken = sum((np.asarray(one.uptake_factor) - 1.0) * (one.end_h - one.start_h) for one in body.effects)
    assert taken == pytest.approx([1.25, 0.25] if ago_h == 0.0 else [0.65, 0.0])


def test_a_fish_on_its_way_takes_the_more_of_its_handling_and_of_being_carried() -> None:
    """By hand with the rows' best: 2.5 times for half an hour, then 1 + 1.5 / 3 = 1.5 for an hour, then 1.4 as it is carried.

    Over 4 h that is (1.25 + 1.5 + 2.5 x 1.4) / 4 = 1.5625 times; as the bag is closed, 2.5.
    """
    inputs = Inputs(Draws(count=64))
    assert [on_the_way(inputs, hours)[0] for hours in (0.0, 4.0)] == pytest.approx([2.5, 1.5625])
    taken = np.array([hours * on_the_way(inputs, hours) for hours in (0.2, 1.0, 3.0, 9.0)])
    assert np.all(np.diff(taken, axis=0) > 0.0)


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
