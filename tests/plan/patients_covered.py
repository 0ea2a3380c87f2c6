"""How often the 90 % bands of a plan hold what comes to pass with simulated patients.

`python -m tests.plan.patients_covered [patients]` writes the table of `DEVELOPERS.md` anew (200: 8 minutes).
"""

import functools
import math
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tests.kept import kept
from tests.plan.simulated_patients import FIGURES, bands_of, case_of, comes_to_pass, true_of

_PAGE = Path(__file__).parents[2] / "DEVELOPERS.md"
_BEGIN, _END = "<!-- patients: begin (made by a test) -->", "<!-- patients: end -->"
SEED, PATIENTS, PART, REVIVAL_H = 20261128, 200, 50, 2.0
UNSAFE = {
    "oxygen lowest in the revival tub": "below",
    "minutes to the alarm without air": "below",
    "ammonia highest in the hospital": "above",
    "un-ionised ammonia highest in the hospital": "above",
    "heater": "above",
    "carbon dioxide highest in the bag": "above",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """Of one figure, the shares of patients whose truth lay in, under and over the band, and its half-width."""

    patients: int
    inside: float
    under: float
    over: float
    half: float

    def beyond(self, side: str) -> float:
        """The share beyond one end."""
        return self.under if side == "below" else self.over


Rows = Mapping[str, list[tuple[bool, bool, float]]]


def seen(numbers: range, seed: int = SEED) -> Rows:
    """Of each figure: whether a patient's truth lay under or over the band, and half of its width; made by whoever asks first."""
    return kept(f"patients-{seed}-{numbers.start}-{numbers.stop}", lambda: _seen(numbers, seed))


def _seen(numbers: range, seed: int) -> Rows:
    rows: dict[str, list[tuple[bool, bool, float]]] = {name: [] for name in FIGURES}
    for number in numbers:
        rng = np.random.default_rng([seed, number])
        true = true_of(rng)
        made, bands = bands_of(case_of(true, rng))
        limit = next(one.limit for one in made.judgements if one.id == "revival-1/oxygen")
        assert limit is not None
        truth = comes_to_pass(true, alarm_mg_l=limit.value, revival_h=REVIVAL_H)
        for name, (low, high) in bands.items():
            half = (high - low) / 2.0 / truth[name] if math.isfinite(high) and math.isfinite(truth[name]) else math.nan
            rows[name].append((truth[name] < low, truth[name] > high, half))
    return rows


def parts(patients: int = PATIENTS) -> list[range]:
    """The patients in parts of which each takes minutes."""
    return [range(begin, min(begin + PART, patients)) for begin in range(0, patients, PART)]


@functools.cache
def covered(patients: int = PATIENTS, seed: int = SEED) -> Mapping[str, Held]:
    """The coverage of each figure."""
    some = [seen(numbers, seed) for numbers in parts(patients)]
    found = {}
    for name in FIGURES:
        each = [row for rows in some for row in rows[name]]
        under, over, half = np.asarray(each, dtype=float).T
        found[name] = Held(
            patients=len(each),
            inside=float(1.0 - under.mean() - over.mean()),
            under=float(under.mean()),
            over=float(over.mean()),
            half=float(np.nanmedian(half)),
        )
    return found


def made(patients: int = PATIENTS) -> str:
    """The table."""
    lines = ["| figure | held | below | above | half-width |", "| --- | --- | --- | --- | --- |"]
    for name, one in covered(patients).items():
        shares = " | ".join(f"{100.0 * share:.0f}" for share in (one.inside, one.under, one.over, one.half))
        lines.append(f"| {name} | {shares} |")
    return "\n".join(lines)


if __name__ == "__main__":
    found = made(int(sys.argv[1]) if len(sys.argv) > 1 else PATIENTS)
    before, _, rest = _PAGE.read_text(encoding="utf-8").partition(_BEGIN)
    _PAGE.write_text(f"{before}{_BEGIN}\n\n{found}\n\n{_END}{rest.partition(_END)[2]}", encoding="utf-8")
