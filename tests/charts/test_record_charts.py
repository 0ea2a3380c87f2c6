"""Charts of the record: they hold what they are given, to scale, and draw without words of their own."""

import math
import re
from datetime import datetime

import altair as alt
import pytest
from jsonschema import ValidationError

from tests.charts.reading import layers
from waterplan.charts.above import plan_view
from waterplan.charts.course import clock_chart, course_chart
from waterplan.charts.dose import box_size, boxes_chart, syringe_chart, syringe_ml
from waterplan.charts.set_up import tank_above, tank_side
from waterplan.charts.style import LEAST_PX, svg
from waterplan.stay.record import Series

GIVEN = {
    "water": "hospital-1",
    "quantity": "oxygen",
    "unit": "mg/L",
    "start": None,
    "hours": (0.0, 1.0, 2.0),
    "low": (5.0, 4.0, 3.0),
    "best": (6.0, 5.0, 4.0),
    "high": (7.0, 6.0, 5.0),
    "limit": 4.5,
}


def course(width="container", over=None, **more):
    words = {"title": "T", "value_title": "V", "time_title": "H", "limit_words": "L"}
    return course_chart(Series(**(GIVEN | more)), **words, over=over, width=width)


def values(chart):
    return list(chart["datasets"].values())


def test_a_course_holds_its_band_and_its_limit():
    chart = course(width=300)
    found = values(chart)
    assert {"hour": 1.0, "low": 4.0, "best": 5.0, "high": 6.0} in [row for rows in found for row in rows]
    assert any(row.get("words") == "L" and row["low"] == 4.5 for rows in found for row in rows)
    assert "<svg" in svg(chart)


def test_the_limit_lies_in_the_picture_and_without_one_none_is_drawn():
    low, high = layers(course(limit=20.0))[0]["encoding"]["y"]["scale"]["domain"]
    assert low <= 3.0
    assert high > 20.0
    assert len(layers(course(limit=None))) == 2


def test_another_course_over_it_lies_in_the_picture_too():
    drawn = layers(course(over=Series(**(GIVEN | {"best": (9.0, 12.0, 9.0)}))))
    low, high = drawn[0]["encoding"]["y"]["scale"]["domain"]
    assert low <= 3.0
    assert 12.0 < high < 14.0
    assert len(drawn) == len(layers(course())) + 1


def test_a_value_that_moves_a_little_changes_the_tables_alone():
    before, after = (course(low=(low, 4.0, 3.0)) for low in (5.0, 4.99))
    assert [one.pop("datasets")["table 0"][0]["low"] for one in (before, after)] == [5.0, 4.99]
    assert before == after


def test_a_known_start_gives_the_clock():
    axis = layers(course(start=datetime(2026, 5, 14, 11, 40)))[0]["encoding"]["x"]["axis"]
    assert "'12:00'" in axis["labelExpr"]
    assert axis["values"][0] == pytest.approx(1 / 3)


@pytest.mark.parametrize("minute", [0, 7, 20, 40])
def test_every_day_that_has_a_tick_is_written(minute):
    hours = tuple(float(hour) for hour in range(337))
    flat = {"low": (1.0,) * 337, "best": (2.0,) * 337, "high": (3.0,) * 337, "limit": None}
    chart = course(width=400, start=datetime(2026, 5, 14, 11, minute), hours=hours, **flat)
    assert all(f">{day}.5.</text>" in svg(chart) for day in (15, 19, 23, 27))


def test_axes_are_written_as_large_as_the_rest():
    drawn = svg(course(width=300))
    written = re.findall(r'<text[^>]*font-size="([\d.]+)px"[^>]*>[^<]', drawn)
    assert len(written) > 5
    assert {float(size) for size in written} == {LEAST_PX}


TANK = {"fish_m": 0.31, "factor": 1.0, "unit": "m", "width": 300}
SAID = dict.fromkeys(("title", "says", "room", "fish", "stone", "heater", "inflow", "water line", "lid", "wall"), "W")
EACH_KIND = {
    "a course": lambda: course(over=Series(**GIVEN), start=datetime(2026, 5, 14, 11, 40)),
    "a clock": lambda: clock_chart([("a", 24.0, "#aa0")], title="T", minutes_title="M", hours_title="H", width=300),
    "boxes": lambda: boxes_chart([("W", "E", 2.6, False)], width=300),
    "a syringe": lambda: syringe_chart(0.12, 0.3, axis_title="S", width=300),
    "a tank from above": lambda: tank_above((1.4, 0.7), is_round=True, room_m=1.6, stones=2, words=SAID, **TANK),
    "a tank from the side": lambda: tank_side((1.4, 0.5), rim_m=None, lid=True, words=SAID, **TANK),
}


@pytest.mark.parametrize("kind", EACH_KIND)
def test_a_chart_is_of_the_grammar(kind):
    chart = EACH_KIND[kind]()
    alt.LayerChart.from_dict(chart)
    chart["layer"][0]["mark"]["kind"] = "of no such grammar"
    with pytest.raises(ValidationError):
        alt.LayerChart.from_dict(chart)


def test_a_flat_course_can_be_drawn():
    assert "<svg" in svg(course(low=(1.0,) * 3, best=(1.0,) * 3, high=(1.0,) * 3, limit=None))


def test_the_fish_is_drawn_to_scale():
    chart = plan_view(
        ((0.0, 0.0), (1.4, 0.0), (1.4, 0.7), (0.0, 0.7)), 0.31, title="T", axis_title="m", factor=1.0, width=300
    )
    (tub, fish) = values(chart)
    assert max(row["x"] for row in fish) - min(row["x"] for row in fish) == pytest.approx(0.31)
    assert max(row["x"] for row in tub) == 1.4
    across, up = (layers(chart)[0]["encoding"][axis]["scale"]["domain"] for axis in "xy")
    assert (across[1] - across[0]) / chart["width"] == pytest.approx((up[1] - up[0]) / chart["height"], rel=0.01)


def test_a_clock_begins_each_stage_at_its_time():
    words = {"title": "T", "minutes_title": "M", "hours_title": "H", "width": 300}
    chart = clock_chart([("a", 24.0, "#aa0"), ("e", 41.0, "#a00")], **words)
    parts = values(chart)[0]
    assert [row["from"] for row in parts] == [0.0, 24.0, 41.0]
    hours = clock_chart([("a", 565.0, "#aa0")], **words)
    assert values(hours)[0][1]["from"] == pytest.approx(565.0 / 60.0)


@pytest.mark.parametrize(("amount", "size"), [(2.6, 1.0), (0.12, 0.1), (1180.0, 1000.0), (10.0, 10.0)])
def test_a_slip_of_ten_changes_the_boxes(amount, size):
    assert box_size(amount) == pytest.approx(size)
    rows = [("W", "E", amount / size, False)]
    boxes, fills = sorted(values(boxes_chart(rows, width=300))[:2], key=len, reverse=True)
    assert len(boxes) == 10
    assert len(fills) == math.ceil(amount / size - 1e-9)


def test_a_syringe_is_the_smallest_that_holds_the_draw():
    assert syringe_ml(0.12) == 0.3
    assert syringe_ml(1.0) == 1.0
    assert syringe_ml(900.0) is None
    drawn = [row for rows in values(syringe_chart(0.12, 0.3, axis_title="S", width=300)) for row in rows]
    assert {row["to"] for row in drawn} == {0.3, 0.12}


def test_the_barrel_of_a_syringe_is_not_pressed_flat_by_its_scale():
    drawn = svg(syringe_chart(0.12, 0.3, axis_title="S", width=300))
    heights = re.findall(r'aria-roledescription="rect mark"[^>]* d="M[-\d.,]+h[\d.]+v([\d.]+)', drawn)
    assert [float(height) for height in heights] == [46.0, 46.0]
