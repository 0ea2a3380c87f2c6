"""Refusals that compare one size with another."""

import numpy as np

from waterplan.errors import ImpossibleInput
from waterplan.published import Numbers

_ROUNDING = 1e-9


def require_not_above(argument: str, value: Numbers, limit_name: str, limit: Numbers) -> None:
    """Raises ImpossibleInput where `value` is above `limit`, beyond rounding.

    Parameters
    ----------
    argument, limit_name : str
        The two names, for the message.
    value, limit : float or array
        What was given, and what it may be at most; the two broadcast.

    Raises
    ------
    ImpossibleInput
        A value lies above its limit, or a pair cannot be compared (a NaN).

    Examples
    --------
    >>> require_not_above("depth_m", 1.0, "brim_m", 1.2)
    """
    fits = np.less_equal(value, np.multiply(limit, 1.0 + _ROUNDING))
    if np.all(fits):
        return
    given, most, good = np.broadcast_arrays(np.asarray(value, float), np.asarray(limit, float), fits)
    first = np.unravel_index(int(np.argmin(good)), good.shape)
    many = f" ({int((~good).sum())} of {good.size} values)" if good.size > 1 else ""
    raise ImpossibleInput(argument, f"{given[first]:g}", f"0 to {most[first]:g} ({limit_name})", many=many)
