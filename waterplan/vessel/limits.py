"""Refusals that compare one size with another."""

import numpy as np

from waterplan.errors import ImpossibleInput

_ROUNDING = 1e-9


def require_not_above(argument: str, value: object, limit_name: str, limit: object) -> None:
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
    given, most = np.broadcast_arrays(np.asarray(value, dtype=np.float64), np.asarray(limit, dtype=np.float64))
    fits = given <= most * (1.0 + _ROUNDING)
    if fits.all():
        return
    first = np.unravel_index(int(np.argmin(fits)), fits.shape)
    many = f" ({int((~fits).sum())} of {fits.size} values)" if fits.size > 1 else ""
    raise ImpossibleInput(argument, f"{given[first]:g}", f"0 to {most[first]:g} ({limit_name})", many=many)
