"""How often the stated 90 % band of a volume holds the truth, by method and basin, over seeds and basins of no tuning.

`python -m tests.vessel.coverage [trials]` writes the table of `DEVELOPERS.md` anew (60 a cell: 15 minutes).
"""

import functools
import sys
from collections.abc import Mapping
from pathlib import Path

import numpy as np

from tests.vessel.other_ponds import OTHERS
from tests.vessel.simulated_ponds import FAMILY, pond
from tests.vessel.simulated_surveys import METHODS
from waterplan.spread import Draws, band

_PAGE = Path(__file__).parents[2] / "DEVELOPERS.md"
_BEGIN, _END = "<!-- coverage: begin (made by a test) -->", "<!-- coverage: end -->"
DRAWS, TRIALS = Draws(count=400), 60
# Basins and seed of each run. The methods were looked at with other seeds; with the ten others six things were: that the step
# along the lines is in doubt for all lines together, that the values tell how steeply the ends run out, and no more steeply than
# a round bank, that whoever sounds a pond is asked for its ledges, that whoever traces it walks to its corners, and that
# whoever takes contours may say how far down the sides are upright.
RUNS = {
    "first seed": (FAMILY, 20260514),
    "second seed": (FAMILY, 77001),
    "third seed": (FAMILY, 31415),
    "ten others": (OTHERS, 20260514),
    "ten others, second seed": (OTHERS, 424242),
}


@functools.cache
def coverage(method: str, run: str, trials: int = TRIALS) -> Mapping[str, tuple[float, float, float]]:
    """For each basin of a run: share of trials whose band holds the truth, mean error, median half-width of the band."""
    basins, seed = RUNS[run]
    table = {}
    for number, (kind, made_of) in enumerate(basins.items()):
        rng = np.random.default_rng([seed, number])
        rows = []
        for _ in range(trials):
            made = pond(made_of, rng)
            low, best, high = band(METHODS[method](made, rng, DRAWS).litres)
            rows.append((low <= made.litres <= high, best / made.litres - 1.0, (high - low) / 2.0 / made.litres))
        held, error, half = np.asarray(rows, dtype=float).T
        table[kind] = (float(held.mean()), float(error.mean()), float(np.median(half)))
    return table


def made(trials: int = TRIALS) -> str:
    """The table of all runs: a cell has the share held in percent, and the half-width of the band in the median."""
    lines = [f"| basin | {' | '.join(METHODS)} |", "| --- |" + " --- |" * len(METHODS)]
    for run, (basins, _) in RUNS.items():
        tables = {method: coverage(method, run, trials) for method in METHODS}
        for kind in basins:
            cells = (f"{100.0 * one[kind][0]:.0f} (± {100.0 * one[kind][2]:.1f})" for one in tables.values())
            lines.append(f"| {run}: {kind} | {' | '.join(cells)} |")
        means = (f"{100.0 * np.mean([row[0] for row in one.values()]):.1f}" for one in tables.values())
        lines.append(f"| **{run}: all** | {' | '.join(means)} |")
    return "\n".join(lines)


if __name__ == "__main__":
    found = made(int(sys.argv[1]) if len(sys.argv) > 1 else TRIALS)
    before, _, rest = _PAGE.read_text(encoding="utf-8").partition(_BEGIN)
    _PAGE.write_text(f"{before}{_BEGIN}\n\n{found}\n\n{_END}{rest.partition(_END)[2]}", encoding="utf-8")
