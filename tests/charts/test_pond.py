"""The pond from above: to scale, with its soundings where they were taken and its depth between them."""

import pytest

from tests.charts.reading import layers, of_mark, words
from tests.plans import METRIC, US, demo_plan
from waterplan.charts.pond import pond_chart
from waterplan.first_plan.certificates import Sketch
from waterplan.first_plan.quick_volume import quick_volume

BOX = Sketch(shore=((0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0)), soundings=((1.0, 1.0, 0.8), (3.0, 2.0, 0.9)))
MAPPED = {
    "by": "soundings",
    "unit": "m",
    "outline": "0 0 0.8\n4 0 0.8\n4 3 0.8\n0 3 0.8",
    "soundings": "1 1 0.8\n2 1 0.8\n3 1 0.8\n1 2 0.8\n2 2 0.8\n3 2 0.8",
}


def spans(chart):
    """Pixels for a metre across and up."""
    made = chart.to_dict()
    domains = [layers(chart)[0]["encoding"][axis]["scale"]["domain"] for axis in ("x", "y")]
    return [made[side] / (high - low) for side, (low, high) in zip(("width", "height"), domains, strict=True)]


@pytest.mark.parametrize("width", [300, 520])
def test_it_is_to_scale(width):
    across, up = spans(pond_chart(BOX, METRIC, width=width))
    assert across == pytest.approx(up, rel=0.01)


def test_a_long_narrow_pond_does_not_pass_the_height():
    tall = Sketch(shore=((0.0, 0.0), (1.0, 0.0), (1.0, 30.0), (0.0, 30.0)), soundings=((0.5, 9.0, 0.4),))
    chart = pond_chart(tall, METRIC, tallest=400)
    assert chart.to_dict()["height"] <= 400
    across, up = spans(chart)
    assert across == pytest.approx(up, rel=0.05)


def test_the_shore_is_closed_and_the_depths_are_written():
    chart = pond_chart(BOX, METRIC)
    (shore,) = of_mark(chart, "line")
    assert [(row["x"], row["y"]) for row in shore["rows"]] == [*BOX.shore, BOX.shore[0]]
    assert {"0.80", "0.90"} == set(words(chart))


def test_a_us_reader_sees_feet():
    chart = pond_chart(BOX, US)
    (shore,) = of_mark(chart, "line")
    assert max(row["x"] for row in shore["rows"]) == pytest.approx(4.0 / 0.3048)
    assert f"{0.8 / 0.3048:.2f}" in words(chart)


def test_the_map_covers_the_pond_and_shows_its_depth():
    sketch = quick_volume(MAPPED).certificate.sketch
    (floor,) = of_mark(pond_chart(sketch, METRIC), "rect")
    assert {row["depth"] for row in floor["rows"]} == {0.8}
    # The cells stand for the whole 12 m2.
    assert len(floor["rows"]) * sketch.cell_m**2 == pytest.approx(12.0, rel=0.03)


def test_what_lies_outside_the_shore_is_drawn_too():
    astray = Sketch(shore=BOX.shore, soundings=((9.0, 1.0, 0.8),))
    domain = layers(pond_chart(astray, METRIC))[0]["encoding"]["x"]["scale"]["domain"]
    assert domain[0] <= 0.0
    assert domain[1] >= 9.0


def test_the_invented_pond_has_one():
    (certificate,) = demo_plan("heron_goldfish").pictures.certificates
    assert len(certificate.sketch.soundings) == 28
    assert of_mark(pond_chart(certificate.sketch, METRIC), "rect")


def test_of_a_loggers_soundings_as_many_are_drawn_as_leave_the_depth_to_be_seen():
    many = Sketch(shore=BOX.shore, soundings=tuple((0.001 * n, 1.0, 0.5) for n in range(4000)))
    chart = pond_chart(many, METRIC)
    (dots,) = of_mark(chart, "point")
    assert len(dots["rows"]) == 500
    assert "one sounding in 8 is drawn" in str(chart.to_dict()["title"])
    assert "title" not in pond_chart(BOX, METRIC).to_dict()
