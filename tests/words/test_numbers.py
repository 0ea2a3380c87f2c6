"""Numbers as a person reads them: written, never rounded again; converted ones to the safe side."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from waterplan.stay.record import ActEnd
from waterplan.units import System
from waterplan.words import numbers


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (6480.0, "6,480"),
        (0.000012, "0.000012"),
        (1234567.5, "1,234,567.5"),
        (2.0, "2"),
        (0.0, "0"),
        (1e22, "10,000,000,000,000,000,000,000"),
    ],
)
def test_a_number_is_written_without_an_exponent(value, text):
    assert numbers.plain(value) == text


@given(st.floats(1e-6, 1e6))
def test_a_metric_number_is_written_with_all_its_digits(value):
    number, unit = numbers.read_in(value, "mg/L", System.METRIC)
    assert unit == "mg/L"
    assert Decimal(numbers.plain(number).replace(",", "")) == Decimal(repr(value))


def test_small_units_are_read_in_their_own_names():
    assert numbers.read_in(0.62, "kg", System.METRIC) == (Decimal("620.00"), "g")
    assert numbers.read_in(11_800.0, "g", System.METRIC) == (Decimal("11.8000"), "kg")
    assert numbers.read_in(1180.0, "g", System.METRIC) == (Decimal("1.1800"), "kg")
    assert numbers.read_in(995.0, "g", System.METRIC) == (Decimal("995.0"), "g")
    assert numbers.read_in(0.48, "m", System.METRIC) == (Decimal("48.00"), "cm")
    assert numbers.read_in(1500.0, "mL", System.METRIC) == (Decimal("1.5000"), "L")


# One US gallon is 231 cubic inches, 3.785411784 L.
@given(st.floats(0.5, 1e5))
def test_a_converted_number_is_rounded_to_its_safe_side(litres):
    exact = litres / 3.785411784
    low = float(numbers.read_in(litres, "L", System.US, end=ActEnd.LOW)[0])
    high = float(numbers.read_in(litres, "L", System.US, end=ActEnd.HIGH)[0])
    assert low <= exact * (1 + 1e-9)
    assert high >= exact * (1 - 1e-9)
    assert high - low <= 0.0101 * exact + 1e-9


def test_a_whole_number_is_not_carried_over_its_edge():
    # 3.785411784 L are one gallon and neither 0.99 nor 1.01.
    for end in ActEnd:
        assert numbers.read_in(3.785411784, "L", System.US, end=end) == (Decimal("1.00"), "US gal")


def test_hours_are_read_from_two_hours_on():
    assert numbers.clock_time(119.0) is None
    assert numbers.clock_time(282.0) == "4:42"
    assert numbers.clock_time(282.5) is None
    assert numbers.clock_time(100.0, like=282.0) == "1:40"
