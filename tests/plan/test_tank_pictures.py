"""What the sheet at the tank and the pictures of its days are made of, by hand arithmetic and against the findings."""

import math

import pytest

from tests.plans import DEMO_PONDS, DEMOS, FEW, SMALLEST, case_of, demo_plan, plan_of
from waterplan.findings import Verdict
from waterplan.first_plan.first_case.schema import Use
from waterplan.first_plan.tank_ahead import ahead, clocks
from waterplan.first_plan.tank_events import WhatIf

HERON = (DEMO_PONDS / "heron_goldfish.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", DEMOS)
def test_the_sheet_is_that_of_the_hospital_tank(name):
    plan = demo_plan(name)
    sheet, (tank, *_) = plan.pictures.sheet, plan.case.vessels_for(Use.HOSPITAL)
    assert sheet.tank == tank.name
    assert sheet.holds_l == pytest.approx(plan.finding(f"volume: {tank.name}").value)
    named = {(one.state, one.name) for one in sheet.levels}
    assert {(state, name) for state in ("oxygen", "nh3", "nitrite", "ph") for name in ("alarm", "emergency")} <= named


def test_without_a_hospital_tank_there_is_no_sheet():
    assert plan_of(SMALLEST).pictures.sheet is None


def test_salt_over_its_ceiling_is_not_wanted():
    # 3 g/L for a sturgeon, whose ceiling for days is 1 g/L in the table.
    assert demo_plan("sturgeon_fin").pictures.sheet.intended_salt_g_per_l is None
    assert demo_plan("heron_goldfish").pictures.sheet.intended_salt_g_per_l == 2.0


def test_a_meal_is_its_share_of_the_days_food():
    fed = plan_of(HERON.replace('feed = "0 %/day"', 'feed = "0.5 %/day"')).pictures.sheet
    assert (fed.meals, fed.meal_g) == (2, pytest.approx(0.005 * 620.0 / 2))
    fasted = demo_plan("heron_goldfish").pictures.sheet
    assert (fasted.meals, fasted.meal_g) == (0, None)


def test_a_stuck_heater_is_no_faster_than_if_no_heat_were_lost():
    stuck = demo_plan("heron_goldfish").pictures.sheet.stuck
    assert (stuck.from_temp_c, stuck.heater_w) == (21.0, 300.0)
    # 4.18 kJ/L/K: 3,600 s of 300 W are 1,080 kJ, so that 470 L less a fish warm by 0.55 K an hour at the most; the walls
    # of the tank are known to a few per cent, and the low end of the draws has a few litres less.
    fastest = 470.0 * 4.18 * (stuck.ceiling_temp_c - 21.0) / 1080.0
    assert 0.9 * fastest < stuck.hours.low < stuck.hours.best < stuck.hours.high


@pytest.mark.parametrize("name", DEMOS)
def test_a_heater_that_may_stick_stays_under_the_ceiling_while_nobody_looks(name):
    plan = demo_plan(name)
    sheet = plan.pictures.sheet
    if sheet.stuck is not None and plan.finding("heater most").verdict is Verdict.PASS:
        assert sheet.stuck.hours.low >= sheet.unattended_h


def test_a_tank_without_a_heater_has_none_to_stick():
    assert demo_plan("orfe_in_a_heatwave").pictures.sheet.stuck is None


def test_a_course_is_that_of_the_plan_and_of_what_goes_wrong():
    plan = plan_of(HERON)
    planned, stuck = (ahead(plan, what_if=one, draws=FEW).course for one in (WhatIf.NOTHING, WhatIf.HEATER_STICKS))
    assert (planned.seed, planned.begin) == (plan.seed, plan.case.intended.operation_at)
    assert max(stuck.state("water_temp_c").high) > max(planned.state("water_temp_c").high) + 1.0
    assert [what for _, what in stuck.happened].count("heater sticks on") == 1


def test_another_case_may_be_tried_with_the_plans_draws():
    plan = plan_of(HERON)
    other = case_of(HERON.replace('days = "14 days"', 'days = "5 days"'))
    course = ahead(plan, case=other, draws=FEW).course
    assert course.until_h == 120.0
    assert plan.case.intended.days.measured.best == 14 * 1440.0


def test_progress_goes_from_nothing_to_all():
    told = []
    ahead(plan_of(HERON), draws=FEW, progress=told.append)
    assert told == sorted(told)
    assert told[-1] == pytest.approx(1.0)
    assert all(0.0 <= share <= 1.0 for share in told)


@pytest.mark.parametrize("name", DEMOS)
def test_no_state_of_a_course_is_ever_less_than_nothing(name):
    course = ahead(demo_plan(name), draws=FEW).course
    for one in course.states:
        if one.state.endswith("_per_l"):
            assert min(one.low) >= -1e-9, one.state
        assert all(math.isfinite(value) for value in (*one.low, *one.best, *one.high))


def test_a_tub_without_a_temperature_has_no_clock():
    assert clocks(plan_of(SMALLEST)) == ()


def test_the_temperatures_to_phone_at_are_a_healthy_fishs_steps_from_what_is_intended():
    # 21 °C intended, 3 °C colder and 5 °C warmer (TSchV, Annex 2, table 7).
    levels = demo_plan("heron_goldfish").pictures.sheet.levels
    found = {one.floor: one.value for one in levels if (one.state, one.name) == ("temperature", "emergency")}
    assert found == {True: pytest.approx(18.0), False: pytest.approx(26.0)}


def test_the_owner_is_told_the_hours_of_the_bag_rounded_down_to_a_half():
    plan = demo_plan("heron_goldfish")
    lasts = plan.finding("transport hours").low
    (step,) = [step.what for moment in plan.moments for step in moment.steps if step.what.startswith("Open the bag")]
    assert f"⟦{math.floor(2 * lasts) / 2:g}|h⟧" in step
