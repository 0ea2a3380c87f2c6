"""What cannot be: a size above another, or rows of a table, whose mistakes are told together."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np

from waterplan.errors import CaseError, ImpossibleInput, Mistake
from waterplan.published import Numbers

_ROUNDING = 1e-9
# A row as it was written: cells that are no numbers stay what they are, so that they can be told.
Row: TypeAlias = Sequence[float | str]


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


def require_above_0(argument: str, value: Numbers, *, unit: str = "") -> None:
    """Raises ImpossibleInput where a value is not above 0 (or is a NaN), and tells the least."""
    least = float(np.min(value))
    if not least > 0:
        raise ImpossibleInput(argument, least, "above 0", unit=unit)


def numbers_of(row: Row, count: int) -> tuple[float, ...] | None:
    """So many numbers of a row; None where there are more or fewer, or a cell is none."""
    try:
        found = tuple(map(float, row))
    except (TypeError, ValueError):
        return None
    return found if len(found) == count else None


def is_amount(number: float) -> bool:
    """Whether it is finite and 0 or more."""
    return 0 <= number < math.inf


@dataclass(slots=True)
class WrongRows:
    """What is wrong with the rows of one table."""

    table: str
    mistakes: list[Mistake] = field(default_factory=list)

    def add(self, where: int | str, read: str, would_do: str) -> None:
        """One mistake more, in a row by its number or at a place by its words."""
        place = f"row {where}" if isinstance(where, int) else where
        self.mistakes.append(Mistake(where=place, read=read, would_do=would_do))

    def tell(self) -> None:
        """Raises CaseError with all of them where there are any."""
        if self.mistakes:
            raise CaseError(self.table, self.mistakes)
