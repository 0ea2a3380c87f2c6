"""Liner ponds against coefficients worked by hand and against a lattice."""

import numpy as np
import pytest

from waterplan.errors import ImpossibleInput
from waterplan.vessel.liner import Shelf, liner_pond


@pytest.mark.parametrize(
    ("slope", "brim", "coefficient"),
    # Volume as a share of length x width x depth of a 6 x 4 m pond, from the prismoid by hand, to two figures.
    [(0.0, 1.5, 1.00), (0.25, 1.5, 0.85), (0.5, 1.5, 0.72), (1.0, 1.2, 0.58)],
)
def test_the_coefficient_of_leaning_walls(slope: float, brim: float, coefficient: float) -> None:
    pond = liner_pond(length_m=6.0, width_m=4.0, brim_m=brim, wall_slope=slope)
    assert float(pond.volume_l(brim)) / (24000.0 * brim) == pytest.approx(coefficient, abs=0.005)


def test_a_shelf_a_step_and_a_falling_floor_against_a_lattice() -> None:
    pond = liner_pond(
        length_m=6.0,
        width_m=4.0,
        brim_m=1.5,
        corner_radius_m=0.5,
        shelves=[Shelf(depth_m=0.3, width_m=0.4), Shelf(depth_m=1.0, width_m=0.5, length_m=1.2)],
        floor_fall_m=0.6,
    )
    x, y = np.meshgrid(np.arange(-2.998, 3.0, 0.004), np.arange(-1.998, 2.0, 0.004))
    over_x, over_y = np.abs(x) - 2.5, np.abs(y) - 1.5
    inwards = 0.5 - np.hypot(np.maximum(over_x, 0), np.maximum(over_y, 0)) - np.minimum(np.maximum(over_x, over_y), 0)
    floor = 1.5 - 0.6 * (x + 2.6) / 5.2
    # The step stands half way along the long side of the inner basin, where the floor lies below it throughout.
    step = (np.abs(x) <= 0.6) & (y < -1.1) & (y > -1.6)
    depth = np.where(inwards < 0.4, 0.3, np.where(step, 1.0, floor))
    expected = 1000.0 * np.where(inwards < 0, 0.0, depth).sum() * 0.004**2
    assert float(pond.volume_l(1.5)) == pytest.approx(expected, rel=2e-3)


def test_two_shelves_all_round_are_three_boxes() -> None:
    pond = liner_pond(
        length_m=6.0,
        width_m=4.0,
        brim_m=1.5,
        shelves=[Shelf(depth_m=0.3, width_m=0.25), Shelf(depth_m=0.8, width_m=0.5)],
    )
    boxes = 6.0 * 4.0 * 0.3 + 5.5 * 3.5 * 0.5 + 4.5 * 2.5 * 0.7
    assert pond.volume_l(1.5) == pytest.approx(1000.0 * boxes)
    assert pond.volume_l(0.7) == pytest.approx(1000.0 * 4.5 * 2.5 * 0.7)


def test_sizes_may_be_draws() -> None:
    length = np.array([6.0, 6.1, 5.9])
    pond = liner_pond(
        length_m=length, width_m=4.0, brim_m=1.5, wall_slope=0.2, shelves=[Shelf(depth_m=0.3, width_m=0.3)]
    )
    alone = [
        liner_pond(length_m=one, width_m=4.0, brim_m=1.5, wall_slope=0.2, shelves=[Shelf(depth_m=0.3, width_m=0.3)])
        for one in length
    ]
    assert np.asarray(pond.volume_l(1.5)) == pytest.approx([float(one.volume_l(1.5)) for one in alone])


@pytest.mark.parametrize(
    "shelves",
    [
        [Shelf(depth_m=1.6, width_m=0.3)],
        [Shelf(depth_m=0.8, width_m=0.3), Shelf(depth_m=0.3, width_m=0.3)],
        [Shelf(depth_m=0.3, width_m=2.5)],
        [Shelf(depth_m=0.3, width_m=5.0, length_m=6.0)],
    ],
)
def test_shelves_that_cannot_be_are_refused(shelves: list[Shelf]) -> None:
    with pytest.raises(ImpossibleInput):
        liner_pond(length_m=6.0, width_m=4.0, brim_m=1.5, shelves=shelves)
