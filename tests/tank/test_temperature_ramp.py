"""Steps that keep an hourly and a daily cap."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from waterplan.errors import ImpossibleInput
from waterplan.tank.temperature_ramp import RampStep, temperature_ramp


def points(steps: tuple[RampStep, ...]) -> list[tuple[float, float]]:
    return [(step.at_h, step.water_temp_c) for step in steps]


def test_worked_ramp() -> None:
    # 14 to 22 °C at 2 °C a day: four days' shares, and 8 h of change at 1 °C an hour.
    steps = temperature_ramp(14.0, target_temp_c=22.0, per_hour_c=1.0, per_day_c=2.0)
    changing = sum(
        after.at_h - before.at_h for before, after in pairwise(steps) if after.water_temp_c != before.water_temp_c
    )
    assert changing == pytest.approx(8.0)
    assert {step.at_h // 24 for step in steps} == {0.0, 1.0, 2.0, 3.0}
    assert points(steps)[-1] == (74.0, 22.0)


def test_down_as_well_as_up() -> None:
    assert points(temperature_ramp(24.0, target_temp_c=21.5, per_hour_c=1.0, per_day_c=2.0)) == [
        (0.0, 24.0),
        (1.0, 23.0),
        (2.0, 22.0),
        (24.0, 22.0),
        (24.5, 21.5),
    ]


def test_nothing_to_change() -> None:
    assert temperature_ramp(20.0, target_temp_c=20.0, per_hour_c=1.0, per_day_c=2.0) == ()


temps = st.floats(0.0, 35.0).map(lambda temp: round(temp, 2))
caps = st.floats(0.2, 6.0).map(lambda cap: round(cap, 2))


@given(start=temps, target=temps, per_hour=caps, per_day=caps)
def test_both_caps_hold_at_every_moment(start: float, target: float, per_hour: float, per_day: float) -> None:
    steps = temperature_ramp(start, target_temp_c=target, per_hour_c=per_hour, per_day_c=per_day)
    if start == target:
        assert steps == ()
        return
    hours, degrees = np.array([step.at_h for step in steps]), np.array([step.water_temp_c for step in steps])
    assert np.all(np.diff(hours) > 0)
    assert hours[0] == 0.0
    assert degrees[0] == start
    assert degrees[-1] == pytest.approx(target, abs=1e-5)
    ahead = 1.0 if target > start else -1.0
    assert np.all(ahead * np.diff(degrees) >= -1e-9), "it never turns back"
    # The water may follow the straight line between two steps; no window of an hour or of a day may see too much.
    for window, cap in ((1.0, per_hour), (24.0, per_day)):
        begin = np.concatenate([hours, np.maximum(hours - window, 0.0)])
        change = np.interp(begin + window, hours, degrees) - np.interp(begin, hours, degrees)
        assert np.all(np.abs(change) <= cap + 1e-5)


@pytest.mark.parametrize(
    ("change", "argument"),
    [
        ({"start_temp_c": math.nan}, "start_temp_c"),
        ({"target_temp_c": 90.0}, "target_temp_c"),
        ({"per_hour_c": 0.0}, "per_hour_c"),
        ({"per_day_c": -2.0}, "per_day_c"),
        ({"per_day_c": math.nan}, "per_day_c"),
    ],
)
def test_impossible(change: dict[str, float], argument: str) -> None:
    given_ = {"start_temp_c": 18.0, "target_temp_c": 20.0, "per_hour_c": 1.0, "per_day_c": 2.0} | change
    with pytest.raises(ImpossibleInput, match=argument):
        temperature_ramp(given_.pop("start_temp_c"), **given_)
