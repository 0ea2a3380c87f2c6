import math
import tracemalloc

import numpy as np
import pytest

from waterplan import published
from waterplan.errors import ImpossibleInput
from waterplan.published import in_blocks
from waterplan.water import elementwise
from waterplan.water.elementwise import Polynomial, choose
from waterplan.water.oxygen import saturation_mg_per_l


@pytest.mark.parametrize("name", ["exp", "log", "log10", "pow10", "sqrt"])
def test_floats_and_arrays_get_the_same_function(name):
    function = getattr(elementwise, name)
    theirs = {"pow10": lambda x: 10.0**x}.get(name) or getattr(math, name)
    assert type(function(2.5)) is float
    assert function(2.5) == pytest.approx(theirs(2.5), rel=1e-14)
    assert function(np.array([2.5, 0.5])) == pytest.approx([theirs(2.5), theirs(0.5)], rel=1e-14)


def test_the_larger_the_smaller_and_the_chosen():
    assert (elementwise.larger(1.0, 2.0), elementwise.smaller(1.0, 2.0)) == (2.0, 1.0)
    assert elementwise.larger(np.array([1.0, 3.0]), 2.0).tolist() == [2.0, 3.0]
    assert elementwise.smaller(np.array([1.0, 3.0]), 2.0).tolist() == [1.0, 2.0]
    assert (choose(True, 1.0, 2.0), choose(False, 1.0, 2.0)) == (1.0, 2.0)
    assert choose(np.array([True, False]), 1.0, np.array([5.0, 6.0])).tolist() == [1.0, 6.0]


def test_a_polynomial_is_numpys_and_leaves_its_argument_alone():
    coefficients = (3.0, -2.0, 0.5, 7.0)
    values = np.array([0.0, 1.5, -2.0])
    theirs = np.polynomial.polynomial.polyval(values, coefficients)
    assert Polynomial(*coefficients)(values) == pytest.approx(theirs, rel=1e-14)
    assert Polynomial(*coefficients)(1.5) == pytest.approx(theirs[1], rel=1e-14)
    assert values.tolist() == [0.0, 1.5, -2.0]


def _kernel(one, other):
    return one * 2.0 + other


@pytest.mark.parametrize("shape", [(0,), (5,), (3, 50_000), (1, 7, 1)])
def test_blocks_broadcast_and_cover_every_element(shape):
    one = np.arange(math.prod(shape), dtype=float).reshape(shape)
    other = np.arange(shape[-1], dtype=float)
    assert np.array_equal(in_blocks(_kernel, one=one, other=other), _kernel(one, other))
    assert np.array_equal(in_blocks(_kernel, one=one.T, other=1.5), _kernel(one.T, 1.5))
    assert in_blocks(_kernel, one=2.0, other=1.0) == 5.0


def test_an_impossible_value_in_a_late_block_is_found_and_counted():
    temps = np.full((2, 40_000), 20.0)
    temps[1, 30_000:30_003] = np.nan
    with pytest.raises(ImpossibleInput, match=r"water_temp_c = nan \(3 of 80000 values, the first at \[1, 30000\]\)"):
        saturation_mg_per_l(temps)


def test_saturation_takes_less_memory_than_three_times_its_result():
    rng = np.random.default_rng(7)
    size = 400_000
    t, s, p = rng.uniform(0, 35, size), rng.uniform(0, 35, size), rng.uniform(80, 105, size)
    tracemalloc.start()
    result = saturation_mg_per_l(t, salinity_g_per_kg=s, air_pressure_kpa=p)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 3 * result.nbytes
    assert size > 4 * published._BLOCK
