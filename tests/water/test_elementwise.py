import math

import numpy as np
import pytest

from waterplan.water import elementwise
from waterplan.water.elementwise import Polynomial, choose


@pytest.mark.parametrize("name", ["exp", "log", "pow10", "sqrt"])
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
