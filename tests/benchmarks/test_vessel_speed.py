"""How fast a volume is found: shapes over a million draws, a hand survey, a logger's survey."""

import math
import time
import timeit
import tracemalloc

import numpy as np
import pytest

from tests.benchmarks.test_plan_speed import Seen
from waterplan.spread import Draws
from waterplan.vessel import shapes, solids
from waterplan.vessel.outline import Outline
from waterplan.vessel.survey import Survey, sounded_volume

RNG = np.random.default_rng(1)
A, B = RNG.uniform(1.0, 9.0, 1_000_000), RNG.uniform(1.0, 9.0, 1_000_000)
DEPTH = RNG.uniform(0.1, 1.0, 1_000_000)


def best(call: object, rounds: int = 7) -> float:
    """The least processor time of a call."""
    return min(timeit.repeat(call, timer=time.process_time, number=1, repeat=rounds))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("function", "formula"),
    [
        (lambda: shapes.rectangle_area_m2(A, width_m=B), lambda: A * B),
        (lambda: shapes.circle_area_m2(A), lambda: math.pi / 4.0 * A**2),
        (lambda: shapes.prism_volume_l(A, depth_m=B), lambda: 1000.0 * A * B),
        (
            lambda: solids.paraboloid_volume_l(DEPTH, area_m2=A, brim_m=1.0),
            lambda: 500.0 * A * DEPTH**2,
        ),
        (
            lambda: solids.frustum_volume_l(DEPTH, area_m2=A, floor_area_m2=B, brim_m=1.0),
            lambda: (
                1000.0
                / 3.0
                * DEPTH
                * (
                    B
                    + np.sqrt(B) * (np.sqrt(B) + (np.sqrt(A) - np.sqrt(B)) * DEPTH)
                    + (np.sqrt(B) + (np.sqrt(A) - np.sqrt(B)) * DEPTH) ** 2
                )
            ),
        ),
    ],
    ids=["rectangle", "circle", "prism", "soft bowl", "frustum"],
)
def test_a_shape_costs_at_most_three_times_its_formula(
    seen: Seen, request: pytest.FixtureRequest, function: object, formula: object
) -> None:
    both = [(best(function, 1), best(formula, 1)) for _ in range(15)]  # by turns, so that a busy machine slows both
    ratio = min(ours for ours, _ in both) / min(theirs for _, theirs in both)
    assert seen(f"{request.node.callspec.id}, 1,000,000 points", "its formula in numpy", 3.0, ratio) <= 3.0


@pytest.mark.parametrize(("count", "seconds"), [(100, 0.3), (10_000, 8.0)])
def test_a_survey_is_fast(count: int, seconds: float) -> None:
    angle = np.linspace(0.0, 2.0 * np.pi, 32, endpoint=False)
    outline = Outline.traced(np.column_stack([5.0 * np.cos(angle), 3.0 * np.sin(angle)]), curved=True)
    places = RNG.uniform([-5.0, -3.0], [5.0, 3.0], (2 * count, 2))
    places = places[outline.contains(places)][:count]
    depth = np.maximum(1.5 * (1.0 - (places[:, 0] / 5.0) ** 2 - (places[:, 1] / 3.0) ** 2), 0.0)
    rows = np.column_stack([places, depth])
    draws = Draws(count=500)
    assert best(lambda: sounded_volume(Survey.taken(outline, rows), draws=draws, name="pond")) < seconds
    tracemalloc.start()
    sounded_volume(Survey.taken(outline, rows), draws=draws, name="pond")
    peak_bytes = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak_bytes < 500e6
