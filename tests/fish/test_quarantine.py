"""Days of a quarantine, counted by hand."""

import numpy as np
import pytest

from waterplan.errors import ImpossibleInput
from waterplan.fish.quarantine import QuarantineDays, quarantine_days


def test_twenty_warm_days_and_fifteen_cold_ones_are_twenty() -> None:
    # Gilad 2003: deaths at 18, 23 and 28 °C and none at 13.
    assert quarantine_days(np.array([23.0] * 20 + [14.0] * 15)) == QuarantineDays(warm=20, cool=0, outside=15)


def test_the_ends_of_the_ranges() -> None:
    # 15.9 and 28.1 are in neither; 16 and 17.9 are cool (Yuasa 2008, 16 °C); 18 and 28 are warm.
    assert quarantine_days(np.array([15.9, 16.0, 17.9, 18.0, 28.0, 28.1])) == QuarantineDays(warm=2, cool=2, outside=2)


def test_a_temperature_that_cannot_be_is_refused() -> None:
    with pytest.raises(ImpossibleInput):
        quarantine_days(np.array([20.0, float("nan")]))
