"""The closed forms of chained decay against their definition, in 90 digits."""

from decimal import Decimal, localcontext

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterplan.tank.balance.exponentials import chain, decay, overlap, overlap_from_source, settling

_RATE = st.one_of(st.just(0.0), st.floats(0.0, 1e-6), st.floats(0.0, 0.02), st.floats(0.0, 20.0))


def _chain(*rates: float) -> float:
    """The divided difference of e^-x at some rates, made positive; rates that coincide are set apart by 1e-18."""
    with localcontext() as context:
        context.prec = 90
        apart = [Decimal(rate) + index * Decimal("1e-18") for index, rate in enumerate(rates)]
        total = Decimal(0)
        for index, rate in enumerate(apart):
            product = Decimal(1)
            for other, second in enumerate(apart):
                product *= 1 if other == index else second - rate
            total += (-rate).exp() / product
        return float(total)


def _through(x: float, y: float, z: float) -> tuple[float, ...]:
    a, b, c = (np.array([rate]) for rate in (x, y, z))
    first_a, first_b, first_c = (decay(rate)[1] for rate in (a, b, c))
    together = overlap(a, b)
    from_source = overlap_from_source(a, b, first_a, first_b, together)
    found = chain(a, b, c, first_a, first_b, first_c, together, from_source)
    return tuple(float(one[0]) for one in (together, from_source, *found))


@given(x=_RATE, y=_RATE, z=_RATE)
@settings(max_examples=200)
def test_chains(x: float, y: float, z: float) -> None:
    together, from_source, x_z, y_z, x_y_z, source_x_z, source_y_z, source_x_y_z = _through(x, y, z)
    assert together == pytest.approx(_chain(x, y), rel=1e-10)
    assert x_z == pytest.approx(_chain(x, z), rel=1e-10)
    assert y_z == pytest.approx(_chain(y, z), rel=1e-10)
    assert x_y_z == pytest.approx(_chain(x, y, z), rel=1e-9)
    assert from_source == pytest.approx(_chain(0.0, x, y), rel=1e-9)
    assert source_x_z == pytest.approx(_chain(0.0, x, z), rel=1e-9)
    assert source_y_z == pytest.approx(_chain(0.0, y, z), rel=1e-9)
    assert source_x_y_z == pytest.approx(_chain(0.0, x, y, z), rel=1e-9)


@pytest.mark.parametrize("rate", [1e-12, 1e-5, 0.002, 0.004, 0.3, 5.0, 300.0])
def test_rates_that_coincide(rate: float) -> None:
    same = np.array([rate])
    assert overlap(same, same)[0] == pytest.approx(np.exp(-rate), rel=1e-12)
    assert _through(rate, rate, rate)[4] == pytest.approx(np.exp(-rate) / 2.0, rel=1e-9)


@given(x=_RATE)
@settings(max_examples=100)
def test_settling(x: float) -> None:
    found = settling(np.array([x]))
    assert found.left[0] == pytest.approx(np.exp(-x), rel=1e-12, abs=1e-15)
    for order, value in enumerate((found.first, found.second, found.third), start=1):
        # phi_n(-x) is the divided difference at x and n zeros.
        assert value[0] == pytest.approx(_chain(x, *([0.0] * order)), rel=1e-9)
    assert decay(np.array([x]))[1][0] == found.first[0]


def test_mixed_arrays_take_the_series_and_the_closed_form_together() -> None:
    x = np.array([0.0, 1e-4, 2.9e-3, 3.1e-3, 0.5, 30.0])
    found = settling(x)
    alone = [settling(x[index : index + 1]) for index in range(x.size)]
    for part in ("left", "first", "second", "third"):
        assert getattr(found, part) == pytest.approx([getattr(one, part)[0] for one in alone], rel=1e-10)
