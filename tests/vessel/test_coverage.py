"""The stated 90 % band against the truth, over seeded families of simulated ponds.

The table in `DEVELOPERS.md`: `python -m tests.vessel.coverage`.
"""

import math
from collections.abc import Mapping

import numpy as np
import pytest

from tests.demos import longer_but_for
from tests.kept import kept
from tests.vessel.coverage import RUNS, TRIALS, coverage
from tests.vessel.simulated_surveys import METHODS

LEAST = 0.85
# Two and a half standard errors of a share of 85 % counted in so many trials.
BY_CHANCE = 2.5 * math.sqrt(LEAST * (1.0 - LEAST) / TRIALS)


def whole(method: str, run: str) -> Mapping[str, tuple[float, float, float]]:
    """All trials of a method in a run, made by whoever asks first."""
    return kept(f"coverage-{method}-{run}", lambda: coverage(method, run))


@pytest.mark.slow
@pytest.mark.parametrize("run", RUNS)
@pytest.mark.parametrize("method", METHODS)
def test_the_band_covers_each_basin(method: str, run: str) -> None:
    """No basin falls short of 85 % beyond chance, nor does a run in the mean.

    What is covered too often is in the table.
    """
    table = whole(method, run)
    assert not [kind for kind, row in table.items() if row[0] < LEAST - BY_CHANCE]
    assert np.mean([row[0] for row in table.values()]) >= LEAST
    assert abs(np.mean([row[1] for row in table.values()])) < 0.03


@pytest.mark.slow
@pytest.mark.parametrize("method", METHODS)
def test_the_band_covers_each_basin_of_the_family_over_its_seeds(method: str) -> None:
    seeds = [whole(method, run) for run in RUNS if run.endswith("seed") and "others" not in run]
    assert len(seeds) == 3
    held = {kind: np.mean([one[kind][0] for one in seeds]) for kind in seeds[0]}
    assert not [kind for kind, share in held.items() if share < LEAST]


@pytest.mark.parametrize("method", longer_but_for(("grid", "contours"), METHODS))
def test_band_covers_in_a_short_run(method: str) -> None:
    """60 trials: with a true coverage of 85 % fewer than 43 happen once in 400 runs; the seed is fixed."""
    table = coverage(method, "first seed", 6)
    held = sum(row[0] for row in table.values()) * 6
    assert 43 <= held <= 60
    assert abs(np.mean([row[1] for row in table.values()])) < 0.04
