"""A level far from all that is told of looks like a slip of the decimal point: it is refused until it is written twice."""

from waterplan import tables
from waterplan.errors import Refused
from waterplan.first_plan.first_case.values import Reading


def far_above(value: float, highest: float) -> bool:
    """Whether a level is so far above the highest that is told of that it looks like a slip."""
    return value > highest * tables.row("dose_rules", rule="slip").value


def far_below(value: float, lowest: float) -> bool:
    """Whether a level is so far below the lowest that is told of that it looks like a slip."""
    return value < lowest / tables.row("dose_rules", rule="slip").value


def require_twice(value: Reading, again: Reading | None, *, key: str, why: str) -> None:
    """Refuses a level that nothing stands beside, unless whoever wants it has written it a second time, the same."""
    if again is None:
        raise Refused(f"{why}: if {value.text} is meant, write it a second time ({key})")
    if again.measured.best != value.measured.best:
        raise Refused(f"{why}, and it was written as {value.text} and then as {again.text} ({key})")
