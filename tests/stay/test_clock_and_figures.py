"""Hours against the wall clock, and numbers rounded once in the safe direction."""

from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from waterplan.stay.clock import Clock
from waterplan.stay.course import Course
from waterplan.stay.figures import Figures, rounded, step_of
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd

OPERATION = datetime(2026, 5, 14, 10, 0, tzinfo=UTC)


def test_the_clock_counts_from_the_operation() -> None:
    clock = Clock.of(OPERATION, datetime(2026, 5, 14, 8, 30, tzinfo=UTC), lead_h=2.0)
    assert clock.now_h == -1.5
    assert clock.at(26.25) == datetime(2026, 5, 15, 12, 15, tzinfo=UTC)
    assert clock.hour_of_day(-1.5) == 8.5
    # the change at 10 in the morning after hour 2.5 (12:30) is that of the next day
    assert clock.next_hour_of_day(10.0, after_h=2.5) == 24.0


def test_without_a_time_of_the_operation_nothing_is_dated() -> None:
    clock = Clock.of(None, None, lead_h=2.0)
    assert clock.at(3.0) is None
    assert clock.hours(OPERATION) is None


@pytest.mark.parametrize(
    ("value", "unit", "end", "acted"),
    [
        (24.6, "min", ActEnd.LOW, 24.0),
        (108.2, "min", ActEnd.LOW, 105.0),
        (10.9, "h", ActEnd.LOW, 10.0),
        (5.02, "L/min", ActEnd.HIGH, 5.5),
        (12.34, "g", ActEnd.HIGH, 13.0),
        (7.0, "mg/L", ActEnd.LOW, 7.0),
        (0.30000000000000004, "g", ActEnd.HIGH, 0.3),
    ],
)
def test_rounding_is_on_the_safe_side(value: float, unit: str, end: ActEnd, acted: float) -> None:
    assert rounded(value, unit=unit, end=end) == pytest.approx(acted)


@given(
    value=st.floats(min_value=0.0, max_value=1e6),
    unit=st.sampled_from(["min", "h", "L", "g", "mL", "mg/L", "W", "L/min", "kg"]),
)
def test_rounding_never_leaves_its_side_nor_a_step(value: float, unit: str) -> None:
    step = step_of(value, unit=unit)
    down, up = rounded(value, unit=unit, end=ActEnd.LOW), rounded(value, unit=unit, end=ActEnd.HIGH)
    assert down <= value + 1e-8 * max(step, value)
    assert up >= value - 1e-8 * max(step, value)
    assert up - down <= 1.001 * step


def test_a_time_that_never_comes_says_in_how_many_draws() -> None:
    figures = Figures()
    path = figures.put(
        "tub/oxygen/until-alarm", np.array([40.0, 30.0, 50.0, np.inf, 35.0]), unit="min", act_end=ActEnd.LOW
    )
    figure = figures.record(path)
    assert figure.never == 0.25
    assert figure.high is None
    assert figure.act_on == 30.0


def test_first_crossings_are_between_the_records() -> None:
    # two draws fall from 8 to 4 in two hours and from 8 to 7: the first passes 5 after an hour and a half
    values = np.array([[8.0, 8.0], [6.0, 7.5], [4.0, 7.0]], dtype=np.float32)
    course = Course(start_h=10.0, until_h=11.0, hours=np.array([10.0, 11.0, 12.0]), values={Q.OXYGEN: values})
    assert course.hours_until(Q.OXYGEN, 5.0, falls=True) == pytest.approx([1.5, np.inf])
    assert course.least(Q.OXYGEN) == pytest.approx([6.0, 7.5])
    assert course.hours_until(Q.OXYGEN, 7.9, falls=False) == pytest.approx([0.0, 0.0])
