"""Ends of bands and numbers rounded for a person, as every kind of action takes them."""

from waterplan import tables
from waterplan.published import Numbers
from waterplan.spread import band
from waterplan.stay.figures import rounded, step_of
from waterplan.stay.record import ActEnd


def rule(name: str) -> float:
    """The figure of a rule of `action_rules`."""
    return tables.row("action_rules", rule=name).value


def high(values: Numbers) -> float:
    """The high end of a figure's draws."""
    return float(max(band(values).high, band(values).best))


def low(values: Numbers) -> float:
    """The low end of a figure's draws."""
    return float(min(band(values).low, band(values).best))


def up(value: float, unit: str) -> float:
    """Rounded up to what a person can weigh or read."""
    return rounded(value, unit=unit, end=ActEnd.HIGH)


def down(value: float, unit: str) -> float:
    """Rounded down to what a person can weigh or read."""
    return rounded(value, unit=unit, end=ActEnd.LOW)


def in_parts(total: float, count: int, *, unit: str) -> tuple[float, ...]:
    """A rounded amount in parts that can be weighed or read, the remainder in the last: their sum is the amount.

    Examples
    --------
    >>> in_parts(100.0, 3, unit="g")
    (33.0, 33.0, 34.0)
    """
    if count <= 1:
        return (total,)
    part = down(total / count, unit)
    last = total - part * (count - 1)
    step = step_of(abs(last), unit=unit)
    return (*[part] * (count - 1), round(round(last / step * 1e6) / 1e6 * step, 9))
