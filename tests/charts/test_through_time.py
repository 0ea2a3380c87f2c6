"""A state of the tank against time: the band, the levels, the events, and what is out of sight."""

import itertools
import re
from dataclasses import replace

import pytest

from tests.charts.courses import OXYGEN, course
from tests.charts.reading import layers, of_mark, words
from tests.plans import METRIC, US
from waterplan.charts import style
from waterplan.charts.through_time import course_chart, states_of
from waterplan.first_plan.tank_course import Level


def title_of(chart):
    made = chart.to_dict()["title"]
    return made["text"], made.get("subtitle", [])


def axis_words(chart, axis, number=-1):
    """The words beside an axis and the values at which they stand."""
    encoded = next(layer["encoding"][axis] for layer in layers(chart) if "axis" in layer["encoding"].get(axis, {}))
    quoted = re.match(r"\[(.*?)\]\[", encoded["axis"]["labelExpr"])[1]
    return dict(zip(re.findall(r"'([^']*)'", quoted), encoded["axis"]["values"], strict=True))


def test_band_and_best_line_are_the_courses_own():
    chart = course_chart(course(), "do_mg_per_l", METRIC)
    (band,) = of_mark(chart, "area")
    assert [row["best"] for row in band["rows"]] == [9.0, 8.0, 8.5, 3.5, 8.0]
    assert [row["low"] for row in band["rows"]] == pytest.approx([8.1, 7.2, 7.65, 3.15, 7.2])
    assert [row["hour"] for row in band["rows"]] == [0.0, 24.0, 24.0, 48.0, 96.0]
    (line,) = of_mark(chart, "line")
    # Two rows stand at the time of a change: before and after it, in that order.
    assert line["encoding"]["order"]["field"] == "order"
    assert title_of(chart)[0] == "Dissolved oxygen [mg/L]"


def test_each_level_in_sight_has_its_line_and_its_words_and_the_grave_one_another_dash():
    chart = course_chart(course(), "do_mg_per_l", METRIC)
    assert {"alarm 5 mg/L", "emergency 3 mg/L"} <= set(words(chart))
    (alarm,) = of_mark(chart, "rule", color=style.ALARM)
    (emergency,) = of_mark(chart, "rule", color=style.EMERGENCY)
    assert alarm["rows"][0]["low"] == 5.0
    assert emergency["rows"][0]["low"] == 3.0
    assert alarm["mark"]["strokeDash"] != emergency["mark"]["strokeDash"]


def test_the_words_of_two_near_levels_stand_on_either_side():
    near = (Level(words="alarm", value=5.0, floor=True), Level(words="emergency", value=4.7, floor=True, serious=True))
    crowded = course(states=(replace(OXYGEN, levels=near),))
    for levels, sides in ((crowded, {"alarm": -8, "emergency": 11}), (course(), {"alarm": -8, "emergency": -8})):
        placed = of_mark(course_chart(levels, "do_mg_per_l", METRIC), "text", align="right", dx=-4)
        assert {layer["rows"][0]["words"].split()[0]: layer["mark"]["dy"] for layer in placed} == sides


def test_a_level_out_of_sight_is_told_of():
    text, under = title_of(course_chart(course(), "water_temp_c", METRIC))
    assert text == "Water temperature [°C]"
    assert under == ["tolerated at most 41 °C: above this picture"]
    # 41 °C are 105.8 °F.
    text, under = title_of(course_chart(course(), "water_temp_c", US))
    assert (text, under) == ("Water temperature [°F]", ["tolerated at most 106 °F: above this picture"])


def test_us_readers_see_degrees_fahrenheit():
    (band,) = of_mark(course_chart(course(), "water_temp_c", US), "area")
    assert band["rows"][0]["best"] == pytest.approx(18.0 * 9 / 5 + 32)


def test_each_kind_of_event_has_its_line_below_the_plot():
    chart = course_chart(course(), "do_mg_per_l", METRIC)
    beside = axis_words(chart, "y")
    (ticks,) = of_mark(chart, "tick")
    lane = {row["what"]: row["low"] for row in ticks["rows"]}
    assert lane == {
        "lid on": beside["lid"],
        "salt dose": beside["salt"],
        "water change": beside["change"],
        "feed": beside["meal"],
        "handling": beside["fish"],
    }
    assert all(height < 0.0 for height in lane.values())  # the plot of oxygen begins at nothing
    low, _ = layers(chart)[0]["encoding"]["y"]["scale"]["domain"]
    assert low < min(lane.values())


def test_what_lasts_is_a_bar_from_its_beginning_to_its_end_and_a_shade():
    chart = course_chart(course(), "do_mg_per_l", METRIC)
    (bars,) = of_mark(chart, "bar")
    assert [(row["hour"], row["to"], row["what"]) for row in bars["rows"]] == [
        (40.0, 46.5, "no power"),
        (90.0, 96.0, "no air"),  # it never came back
    ]
    (shade,) = of_mark(chart, "rect")
    assert [(row["hour"], row["to"]) for row in shade["rows"]] == [(40.0, 46.5), (90.0, 96.0)]
    assert {"no power", "no air", "fish handled"} <= set(words(chart))


def test_words_in_the_plot_never_stand_on_one_another():
    crowd = tuple((1.0 + hour, "handling") for hour in range(90))
    chart = course_chart(course(happened=crowd), "do_mg_per_l", METRIC)
    upright = of_mark(chart, "text", angle=270)[0]
    at = [row["hour"] for row in upright["rows"]]
    assert len(at) > 5
    assert min(b - a for a, b in itertools.pairwise(at)) >= 0.05 * 96.0
    assert len(of_mark(chart, "tick")[0]["rows"]) == 90  # all of them are on their line


def test_midnights_are_named_by_their_dates():
    dates = axis_words(course_chart(course(), "do_mg_per_l", METRIC), "x")
    # The stay begins at 10:00: the first midnight is 14 hours on.
    assert dates == {"15 May": 14.0, "16 May": 38.0, "17 May": 62.0, "18 May": 86.0}


def test_without_a_start_days_are_counted():
    days = axis_words(course_chart(course(begin=None), "do_mg_per_l", METRIC), "x")
    assert days == {"day 0": 0.0, "day 1": 24.0, "day 2": 48.0, "day 3": 72.0, "day 4": 96.0}


def test_a_short_stay_has_hours_of_the_clock():
    short = course(until_h=24.0, happened=())
    assert axis_words(course_chart(short, "do_mg_per_l", METRIC), "x") == {
        "Thu 12:00": 2.0,
        "Thu 18:00": 8.0,
        "Fri 00:00": 14.0,
        "Fri 06:00": 20.0,
    }


def test_nothing_is_shown_as_nothing_and_never_as_less():
    chart = course_chart(course(), "nitrate_mg_no3_per_l", METRIC)
    (band,) = of_mark(chart, "area")
    assert {str(row["low"]) for row in band["rows"]} == {"0.0"}
    assert title_of(chart)[1] == ["none throughout"]


def test_without_lines_for_events_the_picture_is_lower():
    tall, low = (course_chart(course(), "do_mg_per_l", METRIC, lanes=lanes).to_dict() for lanes in (True, False))
    assert tall["height"] > low["height"]


def test_every_state_that_a_course_shows_has_its_words():
    assert states_of(course()) == {
        "do_mg_per_l": "Dissolved oxygen",
        "water_temp_c": "Water temperature",
        "nitrate_mg_no3_per_l": "Nitrate",
    }
