"""Rounding in the safe direction."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterplan.dose.rounding import Safe, propose_stock, round_safely
from waterplan.errors import ImpossibleInput

AMOUNT = st.floats(0.0, 1e5)
DIVISION = st.sampled_from([0.001, 0.01, 0.05, 0.1, 0.2, 0.5, 1.0, 5.0, 50.0])


@settings(max_examples=100)
@given(AMOUNT, DIVISION)
def test_never_rounds_to_the_harmful_side(amount: float, division: float) -> None:
    slack = 1e-9 * max(1.0, amount)
    lower, upper = (round_safely(amount, division=division, safe=safe) for safe in (Safe.DOWN, Safe.UP))
    down, up, division = lower.amount, upper.amount, lower.division
    assert down <= amount + slack
    assert up >= amount - slack
    assert amount - down < division + slack
    assert up - amount < division + slack
    for rounded in (down, up):
        assert rounded / division == pytest.approx(round(rounded / division), abs=1e-6)


def test_what_is_a_whole_number_of_divisions_stays() -> None:
    # 0.3 / 0.1 is 2.9999999999999996 in binary.
    assert round_safely(0.3, division=0.1, safe=Safe.DOWN).amount == 0.3
    assert round_safely(0.24, division=0.01, safe=Safe.UP).amount == 0.24


def test_many_divisions_are_read_by_coarser_ones() -> None:
    found = round_safely(1234.567, division=0.01, safe=Safe.DOWN)
    assert (found.amount, found.division) == (1234.0, pytest.approx(1.0))
    assert round_safely(12345.0, division=0.25, safe=Safe.DOWN, counted=True).division == 0.25


def test_below_the_resolution_is_said() -> None:
    tiny = round_safely(0.024, division=0.05, safe=Safe.DOWN)
    assert tiny.amount == 0.0
    assert tiny.below_resolution
    assert not round_safely(1800.0, division=1.0, safe=Safe.DOWN).below_resolution


@pytest.mark.parametrize(
    ("amount", "division", "below"),
    [
        (4.0, 1.0, True),  # half a division is an eighth of it
        (9.0, 1.0, True),
        (10.0, 1.0, False),  # a twentieth
        (1.0, 0.1, False),
        (0.4, 0.1, True),
        (0.0, 1.0, False),  # nothing is to be weighed
    ],
)
def test_too_few_divisions_cannot_be_read(amount: float, division: float, below: bool) -> None:
    assert round_safely(amount, division=division, safe=Safe.DOWN).below_resolution is below


def test_what_is_counted_is_not_read_off_a_scale() -> None:
    assert not round_safely(4.0, division=1.0, safe=Safe.DOWN, counted=True).below_resolution
    assert round_safely(1.6, division=1.0, safe=Safe.DOWN, counted=True).below_resolution


def test_impossible_division() -> None:
    for wrong in (0.0, -1.0, float("nan")):
        with pytest.raises(ImpossibleInput):
            round_safely(1.0, division=wrong, safe=Safe.DOWN)


@settings(max_examples=80)
@given(st.floats(1e-4, 5.0), st.sampled_from([0.001, 0.01, 0.1, 1.0]), st.sampled_from([0.01, 0.1, 1.0]))
def test_a_proposed_stock_holds_the_amount_and_can_be_measured(amount: float, scale: float, syringe: float) -> None:
    stock = propose_stock(amount, division_g=scale, division_ml=syringe)
    if stock is None:
        return
    assert stock.weigh_g / stock.make_up_ml * stock.draw_ml == pytest.approx(amount)
    assert not round_safely(stock.weigh_g, division=scale, safe=Safe.DOWN).below_resolution
    assert not round_safely(stock.draw_ml, division=syringe, safe=Safe.DOWN).below_resolution


def test_a_stock_that_cannot_be_made_is_none() -> None:
    # 10 g in a litre is the weakest a kitchen scale of 1 g makes; 1 mg is then 0.1 mL, one division.
    assert propose_stock(0.001, division_g=1.0, division_ml=0.1) is None
