"""Litres against weight: the areas, and this tank and fish among them."""

import math

import pytest

from tests.charts.reading import of_mark, words
from tests.plans import METRIC, US, demo_plan
from waterplan.charts.safe_region import region_chart
from waterplan.first_plan.safe_region import SafeRegion

REGION = SafeRegion(
    weights_kg=(0.2, 0.5, 1.0, 2.0),
    best_l=(100.0, 250.0, 500.0, 1000.0),
    safe_l=(200.0, 500.0, 1000.0, math.inf),
    ruled_by=("turning room", "turning room", "ammonia", "ammonia"),
    not_counted=("oxygen",),
    temp_c=20.0,
    here_kg=0.5,
    here_l=300.0,
)


def changed(**fields):
    return SafeRegion(**({name: getattr(REGION, name) for name in SafeRegion.__dataclass_fields__} | fields))


def test_three_areas_meet_along_the_two_lines():
    chart = region_chart(REGION, METRIC)
    (areas,) = of_mark(chart, "area")
    of = {name: [row for row in areas["rows"] if row["area"] == name] for name in {r["area"] for r in areas["rows"]}}
    assert set(of) == {"serves in 95 % of the draws", "serves by the best figures only", "too small"}
    assert [row["to"] for row in of["too small"]] == [100.0, 250.0, 500.0, 1000.0]
    middle = of["serves by the best figures only"]
    assert [row["from"] for row in middle] == [100.0, 250.0, 500.0, 1000.0]
    assert [row["to"] for row in middle][:3] == [200.0, 500.0, 1000.0]
    # Where no size is sure to serve, the area of doubt goes to the top.
    top = of["serves in 95 % of the draws"][-1]
    assert top["from"] == top["to"]


def test_this_tank_and_this_fish_are_marked_where_they_are():
    chart = region_chart(REGION, METRIC)
    (point,) = of_mark(chart, "point")
    assert (point["rows"][0]["weight"], point["rows"][0]["level"]) == (0.5, 300.0)
    assert {"this fish, 500 g", "this tank, 300 L"} <= set(words(chart))


def test_what_rules_and_what_is_not_counted_is_said():
    assert region_chart(REGION, METRIC).to_dict()["title"]["subtitle"] == [
        "turning room rules; from 1 kg on ammonia",
        "not counted: oxygen",
    ]


def test_us_readers_see_pounds_and_gallons():
    chart = region_chart(REGION, US)
    (point,) = of_mark(chart, "point")
    # 0.45359237 kg to the pound, 3.785411784 L to the US gallon.
    assert point["rows"][0]["weight"] == pytest.approx(0.5 / 0.45359237)
    assert point["rows"][0]["level"] == pytest.approx(300.0 / 3.785411784)
    assert chart.to_dict()["title"]["text"] == "Water against weight, at 68 °F"


def test_without_a_tank_only_the_fish_is_marked():
    chart = region_chart(changed(here_l=None), METRIC)
    assert of_mark(chart, "point") == []
    assert "this fish, 500 g" in words(chart)


def test_where_no_tank_serves_there_is_no_picture():
    assert region_chart(changed(best_l=(math.inf,) * 4, safe_l=(math.inf,) * 4), METRIC) is None
    assert region_chart(demo_plan("hooked_tench").pictures.region, METRIC) is None


def test_the_plans_own_region_passes_through_its_own_answer():
    plan = demo_plan("heron_goldfish")
    region = plan.pictures.region
    number = region.weights_kg.index(pytest.approx(region.here_kg))
    assert region.best_l[number] == pytest.approx(plan.finding("tank").value, rel=0.02)
