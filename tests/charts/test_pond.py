"""The pond from above: to scale, with its soundings where they were taken and its depth between them."""

import pytest

from tests.charts.reading import layers, of_mark, words
from waterplan.charts.above import pond_chart
from waterplan.plan.quick_volume import quick_volume, shore_so_far
from waterplan.stay.record import VolumeFound

SHORE = ((0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0))
MAPPED = {
    "by": "soundings",
    "unit": "m",
    "outline": "0 0 0.8\n4 0 0.8\n4 3 0.8\n0 3 0.8",
    "soundings": "1 1 0.8\n2 1 0.8\n3 1 0.8\n1 2 0.8\n2 2 0.8\n3 2 0.8",
}


def pond(outline=SHORE, soundings=((1.0, 1.0, 0.8), (3.0, 2.0, 0.9))):
    return VolumeFound(water="home-pond", figure="", ways=(), outline_m=outline, soundings_m=soundings)


def drawn(found, factor=1.0, unit="m", width=520, tallest=560):
    return pond_chart(found, factor=factor, unit=unit, depth_title=f"depth [{unit}]", width=width, tallest=tallest)


def spans(chart):
    """Pixels for a metre across and up."""
    domains = [layers(chart)[0]["encoding"][axis]["scale"]["domain"] for axis in ("x", "y")]
    return [chart[side] / (high - low) for side, (low, high) in zip(("width", "height"), domains, strict=True)]


@pytest.mark.parametrize("width", [300, 520])
def test_it_is_to_scale(width):
    across, up = spans(drawn(pond(), width=width))
    assert across == pytest.approx(up, rel=0.01)


def test_a_long_narrow_pond_does_not_pass_the_height():
    tall = pond(((0.0, 0.0), (1.0, 0.0), (1.0, 30.0), (0.0, 30.0)), ((0.5, 9.0, 0.4),))
    chart = drawn(tall, tallest=400)
    assert chart["height"] <= 400
    across, up = spans(chart)
    assert across == pytest.approx(up, rel=0.05)


def test_the_shore_is_closed_and_the_depths_are_written():
    chart = drawn(pond())
    (shore,) = of_mark(chart, "line")
    assert [(row["x"], row["y"]) for row in shore["rows"]] == [*SHORE, SHORE[0]]
    assert {"0.80", "0.90"} == set(words(chart))


def test_another_unit_is_a_factor():
    chart = drawn(pond(), factor=1 / 0.3048, unit="ft")
    (shore,) = of_mark(chart, "line")
    assert max(row["x"] for row in shore["rows"]) == pytest.approx(4.0 / 0.3048)
    assert f"{0.8 / 0.3048:.2f}" in words(chart)


def test_the_map_covers_the_pond_and_shows_its_depth():
    (found,) = quick_volume(MAPPED).volumes
    (floor,) = of_mark(drawn(found), "rect")
    assert {row["depth"] for row in floor["rows"]} == {0.8}
    # The cells stand for the whole 12 m2.
    assert len(floor["rows"]) * found.cell_m**2 == pytest.approx(12.0, rel=0.03)


def test_what_lies_outside_the_shore_is_drawn_too():
    domain = layers(drawn(pond(soundings=((9.0, 1.0, 0.8),))))[0]["encoding"]["x"]["scale"]["domain"]
    assert domain[0] <= 0.0
    assert domain[1] >= 9.0


def test_of_a_loggers_soundings_as_many_are_drawn_as_leave_the_depth_to_be_seen():
    many = pond(soundings=tuple((0.001 * n, 1.0, 0.5) for n in range(4000)))
    (dots,) = of_mark(drawn(many), "point")
    assert len(dots["rows"]) == 500


def test_a_shore_is_drawn_while_it_is_typed():
    assert shore_so_far({"unit": "m", "outline": "0 0\n4 0"}) is None
    assert shore_so_far({"outline": "0 0\n4 0\n4 3"}) is None
    (found,) = shore_so_far({"unit": "ft", "outline": "0 0\n4 0\n4 3\n0", "soundings": "1 1 2\n2 1"}).volumes
    assert max(x for x, _ in found.outline_m) == pytest.approx(4 * 0.3048)
    assert found.soundings_m[0] == pytest.approx((0.3048, 0.3048, 0.6096))
    assert len(found.soundings_m) == 1
