"""When to look at a tub whose air has stopped."""

import itertools
from datetime import datetime

import pytest

from tests.charts.reading import of_mark, words
from tests.plans import DEMOS, METRIC, demo_plan
from waterplan.charts.clocks import clock_chart, when
from waterplan.first_plan.first_case.schema import Use
from waterplan.first_plan.tank_ahead import Clock, clocks
from waterplan.spread import Band


def clock(look=13.0, alarm=26.0, emergency=44.0, begin=datetime(2026, 5, 14, 10, 0), name="white basin"):
    return Clock(
        vessel=name,
        use=Use.INDUCTION,
        look_min=look,
        alarm_min=Band(alarm, 2 * alarm, 4 * alarm),
        emergency_min=Band(emergency, 2 * emergency, 4 * emergency),
        alarm_mg_per_l=6.0,
        emergency_mg_per_l=4.0,
        begin=begin,
        back_up="",
    )


def parts(chart):
    (bar,) = of_mark(chart, "rect")
    return [(row["from"], row["to"]) for row in bar["rows"]]


def test_the_bar_changes_where_its_times_are():
    chart = clock_chart(clock(), METRIC)
    assert parts(chart) == [(0.0, 13.0), (13.0, 26.0), (26.0, 44.0), (44.0, pytest.approx(55.0))]
    assert [word for word in words(chart) if ":" in word] == [
        "1  look again: 13 min = 10:13",
        "2  alarm 6 mg/L: 26 min = 10:26",
        "3  emergency 4 mg/L: 44 min = 10:44",
    ]


def test_each_part_differs_in_grey_too():
    (bar,) = of_mark(clock_chart(clock(), METRIC), "rect")

    def grey(colour):
        red, green, blue = bytes.fromhex(colour[1:])
        return 0.299 * red + 0.587 * green + 0.114 * blue  # ITU-R BT.601, as greyscale printing weighs them

    shades = [grey(row["colour"]) for row in bar["rows"]]
    assert all(light - dark > 40 for light, dark in itertools.pairwise(shades))


def test_long_times_are_in_hours_and_the_next_day_is_named():
    chart = clock_chart(clock(look=300.0, alarm=610.0, emergency=960.0), METRIC)
    assert parts(chart)[1] == (5.0, pytest.approx(610 / 60))
    assert "3  emergency 4 mg/L: 16 h 00 min = Fri 02:00" in words(chart)


def test_a_tub_that_is_short_already_says_at_once():
    chart = clock_chart(clock(look=0.0, alarm=0.0, emergency=0.4), METRIC)
    assert [word.partition(": ")[2] for word in words(chart) if ":" in word] == ["at once"] * 3


def test_without_a_start_there_are_minutes_only():
    assert when(44.9, clock(begin=None), METRIC) == "44 min"
    assert clock_chart(clock(begin=None), METRIC).to_dict()["title"]["subtitle"] == [
        "induction; the fish handled; early ends"
    ]


def test_a_long_name_is_cut():
    assert len(clock_chart(clock(name="n" * 60), METRIC).to_dict()["title"]["text"]) < 50


@pytest.mark.parametrize("name", DEMOS)
def test_a_clock_says_what_the_plan_says(name):
    plan = demo_plan(name)
    made = {one.vessel: one for one in clocks(plan)}
    assert made
    for vessel, one in made.items():
        assert one.look_min == plan.finding(f"check-by: {vessel}").value
        assert one.alarm_min.low == plan.finding(f"alarm: {vessel}").low
        assert one.emergency_min.low == plan.finding(f"emergency: {vessel}").low
        assert one.look_min <= one.alarm_min.low <= one.emergency_min.low
