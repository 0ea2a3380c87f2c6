"""The hospital tank from the side: one scale, the fish at its length, the water at its depth."""

import re
from dataclasses import replace

import pytest

from tests.charts.reading import layers, of_mark, words
from tests.plans import DEMOS, METRIC, US, demo_plan
from waterplan.charts import style
from waterplan.charts.svg import svg
from waterplan.charts.tank_view import tank_chart
from waterplan.first_plan.pictures import TankScene

SCENE = TankScene(
    name="vat",
    length_m=1.6,
    depth_m=0.5,
    rim_m=0.7,
    fish_cm=48.0,
    side_view="slender",
    has_lid=True,
    has_heater=True,
    outlets=3,
)
FEET = 1 / 0.3048  # the international foot is exactly 0.3048 m
SCENES = {name: demo_plan(name).pictures.tank for name in DEMOS} | {"vat": SCENE}
# Tall and narrow, low and wide, and a fish as long as its tank.
SCENES |= {
    "barrel": replace(SCENE, length_m=0.5, depth_m=1.1, rim_m=1.2, fish_cm=30.0),
    "raceway": replace(SCENE, length_m=6.0, depth_m=0.3, rim_m=0.35),
    "too small": replace(SCENE, length_m=0.6, fish_cm=60.0),
}


@pytest.mark.parametrize("width", [320, 520, 640])
@pytest.mark.parametrize("scene", SCENES)
def test_both_axes_have_one_scale(scene, width):
    made = tank_chart(SCENES[scene], METRIC, width=width).to_dict()
    x, y = (made["layer"][0]["encoding"][axis]["scale"] for axis in "xy")
    per_pixel_x = (x["domain"][1] - x["domain"][0]) / made["width"]
    per_pixel_y = (y["domain"][1] - y["domain"][0]) / made["height"]
    # The height is a whole number of pixels.
    assert per_pixel_y == pytest.approx(per_pixel_x, rel=0.6 / made["height"])
    assert x.get("nice") is y.get("nice") is False


@pytest.mark.parametrize(("display", "factor"), [(METRIC, 1.0), (US, FEET)], ids=["metric", "us"])
@pytest.mark.parametrize("scene", SCENES)
def test_the_fish_has_its_length_and_lies_in_the_water(scene, display, factor):
    of = SCENES[scene]
    (fish,) = of_mark(tank_chart(of, display), "line", fill=style.FISH)
    along = [row["x"] for row in fish["rows"]]
    up = [row["y"] for row in fish["rows"]]
    assert max(along) - min(along) == pytest.approx(of.fish_cm / 100 * factor)
    assert (max(along) + min(along)) / 2 == pytest.approx(of.length_m / 2 * factor)
    assert (max(up) + min(up)) / 2 == pytest.approx(of.depth_m / 2 * factor)
    assert 0.1 < (max(up) - min(up)) / (max(along) - min(along)) < 0.8


@pytest.mark.parametrize(("display", "factor"), [(METRIC, 1.0), (US, FEET)], ids=["metric", "us"])
@pytest.mark.parametrize("scene", SCENES)
def test_the_water_stands_at_its_depth_between_the_walls(scene, display, factor):
    of, chart = SCENES[scene], tank_chart(SCENES[scene], display)
    (water,) = of_mark(chart, "rect")
    box = water["rows"][0]
    assert (box["x"], box["y"]) == (0.0, 0.0)
    assert (box["x2"], box["y2"]) == pytest.approx((of.length_m * factor, of.depth_m * factor))
    (line,) = of_mark(chart, "line", color=style.WATER_LINE)
    assert [row["y"] for row in line["rows"]] == pytest.approx([of.depth_m * factor] * 2)
    (walls,) = of_mark(chart, "line", color=style.INK)
    assert max(row["y"] for row in walls["rows"]) == pytest.approx(of.rim_m * factor)
    assert of.rim_m >= of.depth_m


@pytest.mark.parametrize("name", DEMOS)
def test_the_scene_is_the_cases_own(name):
    case, scene = demo_plan(name).case, SCENES[name]
    tank = next(vessel for vessel in case.vessels if vessel.use == "hospital")
    across = tank.body.diameter or tank.body.length
    assert scene.fish_cm == case.patient.length.measured.best
    assert scene.length_m == across.measured.best
    assert scene.depth_m == tank.body.depth.measured.best
    assert scene.outlets == (tank.outlets or 0)
    assert scene.has_lid == (tank.lid == "yes")


def test_equipment_is_drawn_and_named_only_where_it_is():
    bare = tank_chart(replace(SCENE, has_lid=False, has_heater=False, outlets=0), METRIC)
    full = tank_chart(SCENE, METRIC)
    assert {"heater", "air", "lid"} <= set(words(full))
    assert {"heater", "air", "lid"} & set(words(bare)) == set()
    assert len(of_mark(full, "point")) == 3
    assert of_mark(bare, "point") == []
    assert len(layers(full)) == len(layers(bare)) + 5


def test_sizes_are_written_in_the_readers_units():
    assert "vat: water 1.6 m long, 50 cm deep" in words(tank_chart(SCENE, METRIC))
    assert "fish 48 cm" in words(tank_chart(SCENE, METRIC))
    # 1.6 m is 5.249 ft, 0.5 m is 1.640 ft, 48 cm is 18.90 in.
    assert "vat: water 5.25 ft long, 1.64 ft deep" in words(tank_chart(SCENE, US))
    assert "fish 18.9 in" in words(tank_chart(SCENE, US))
    for display, unit in ((METRIC, "m"), (US, "ft")):
        axis = layers(tank_chart(SCENE, display))[0]["encoding"]["x"]["axis"]
        assert axis["labelExpr"] == f"datum.label + ' {unit}'"


def test_a_name_cannot_leave_its_drawing():
    drawn = svg(tank_chart(replace(SCENE, name="</text><script>alert(1)</script>"), METRIC))
    assert "<script" not in drawn
    assert "&lt;script" in drawn


def test_the_drawing_is_an_svg_of_the_size_asked_for():
    drawn = svg(tank_chart(SCENE, METRIC, width=640))
    assert drawn.startswith("<svg")
    assert float(re.search(r'width="([\d.]+)"', drawn)[1]) >= 640
