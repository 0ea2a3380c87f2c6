"""A plan's bands against what comes to pass with simulated patients; the table in `DEVELOPERS.md` is made of the same."""

import math

import pytest

from tests.plan.patients_covered import PATIENTS, UNSAFE, covered, parts, seen
from tests.plan.simulated_patients import FIGURES

LEAST, MOST_BEYOND = 0.85, 0.10


def _by_chance(share: float) -> float:
    """Three standard errors of a share counted in so many patients."""
    return 3.0 * math.sqrt(share * (1.0 - share) / PATIENTS)


@pytest.mark.slow
@pytest.mark.parametrize("numbers", parts(), ids=str)
def test_every_patient_has_all_figures(numbers: range) -> None:
    """What the next ones count."""
    assert {name: len(rows) for name, rows in seen(numbers).items()} == dict.fromkeys(FIGURES, len(numbers))


@pytest.mark.slow
@pytest.mark.parametrize("name", FIGURES)
def test_the_band_holds_what_comes_to_pass(name: str) -> None:
    """85 % lie in the band, and no more than 10 % beyond the end that harms, but for chance."""
    found = covered()[name]
    assert found.patients > PATIENTS / 2
    assert found.inside >= LEAST - _by_chance(LEAST)
    if name in UNSAFE:
        assert found.beyond(UNSAFE[name]) <= MOST_BEYOND + _by_chance(MOST_BEYOND)
