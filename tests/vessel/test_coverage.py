"""The stated 90 % band against the truth, over a seeded family of simulated ponds.

The full table: `python -m pytest tests/vessel/test_coverage.py -m slow -s`.
"""

from collections.abc import Sequence

import numpy as np
import pytest

from tests.vessel.simulated_ponds import FAMILY, pond
from tests.vessel.simulated_surveys import METHODS
from waterplan.spread import Draws, band

DRAWS = Draws(count=400)
SEED = 20260514


def coverage(method: str, trials: int) -> dict[str, tuple[float, float, float]]:
    """For each kind of pond: share of trials whose band holds the truth, mean error, median half-width of the band."""
    table = {}
    for number, kind in enumerate(FAMILY):
        rng = np.random.default_rng([SEED, number])
        rows = []
        for _ in range(trials):
            made = pond(kind, rng)
            low, best, high = band(METHODS[method](made, rng, DRAWS).litres)
            rows.append((low <= made.litres <= high, best / made.litres - 1.0, (high - low) / 2.0 / made.litres))
        held, error, half = np.asarray(rows, dtype=float).T
        table[kind] = (float(held.mean()), float(error.mean()), float(np.median(half)))
    return table


def _mean(values: Sequence[float]) -> float:
    return float(np.mean(values))


@pytest.mark.slow
@pytest.mark.parametrize("method", METHODS)
def test_band_covers_over_the_family(method: str) -> None:
    table = coverage(method, 200)
    print(f"\n{method}: of 2000 trials")
    for kind, (held, error, half) in table.items():
        print(f"| {kind} | {held:.1%} | {error:+.1%} | ±{half:.1%} |")
    share = _mean([row[0] for row in table.values()])
    worst = min(table, key=lambda kind: table[kind][0])
    print(f"| all | {share:.1%} | worst: {worst}, {table[worst][0]:.1%} |")
    assert 0.85 <= share <= 0.95


@pytest.mark.parametrize("method", METHODS)
def test_band_covers_in_a_short_run(method: str) -> None:
    """60 trials: with a true coverage of 90 % fewer than 46 or all of them happen once in 250 runs; the seed is fixed."""
    table = coverage(method, 6)
    held = sum(row[0] for row in table.values()) * 6
    assert 46 <= held <= 60
    assert abs(_mean([row[1] for row in table.values()])) < 0.04
