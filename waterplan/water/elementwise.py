"""One way of writing an equation for floats and for arrays: `math` for a float, `numpy` in cache-sized blocks otherwise."""

import math
from collections.abc import Callable

import numpy as np

from waterplan.published import Numbers

# 64 KiB an array: the handful of temporaries of an equation stay in the second-level cache of a common processor.
_BLOCK = 8192


def exp(value: Numbers) -> Numbers:
    """The exponential."""
    return math.exp(value) if isinstance(value, float) else np.exp(value)


def log(value: Numbers) -> Numbers:
    """The natural logarithm."""
    return math.log(value) if isinstance(value, float) else np.log(value)


def sqrt(value: Numbers) -> Numbers:
    """The square root."""
    return math.sqrt(value) if isinstance(value, float) else np.sqrt(value)


def pow10(value: Numbers) -> Numbers:
    """Ten to the power of `value`; through the exponential, which numpy does several times faster than a power."""
    return exp(value * math.log(10.0))


def log10(value: Numbers) -> Numbers:
    """The decimal logarithm."""
    return math.log10(value) if isinstance(value, float) else np.log10(value)


def larger(value: Numbers, other: Numbers) -> Numbers:
    """The larger of two, element by element."""
    if isinstance(value, float) and isinstance(other, float):
        return max(value, other)
    return np.maximum(value, other)


def smaller(value: Numbers, other: Numbers) -> Numbers:
    """The smaller of two, element by element."""
    if isinstance(value, float) and isinstance(other, float):
        return min(value, other)
    return np.minimum(value, other)


def in_blocks(kernel: Callable[..., Numbers], *arguments: Numbers) -> Numbers:
    """The kernel of the arguments: at once for floats, block by block for arrays, which are broadcast.

    The kernel must be elementwise and must take floats and arrays alike. The only memory of the size of the result is
    the result.
    """
    is_float = [isinstance(argument, float) for argument in arguments]
    if all(is_float):
        return kernel(*arguments)
    arrays = [argument for argument, single in zip(arguments, is_float, strict=True) if not single]
    iterator = np.nditer(
        [*arrays, None],
        flags=["external_loop", "buffered", "zerosize_ok"],
        op_flags=[*([["readonly"]] * len(arrays)), ["writeonly", "allocate"]],
        op_dtypes=[np.float64] * (len(arrays) + 1),
        buffersize=_BLOCK,
    )
    with iterator:
        for *blocks, result in iterator:
            block = iter(blocks)
            given = [argument if single else next(block) for argument, single in zip(arguments, is_float, strict=True)]
            result[...] = kernel(*given)
        return np.asarray(iterator.operands[-1])
