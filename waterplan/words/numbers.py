"""Numbers as a person reads them; what the record rounded is never rounded again, only written."""

from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal

from waterplan.stay.record import ActEnd
from waterplan.units import System, in_us_units

_DIGITS = 3
_ROUNDING = {ActEnd.LOW: ROUND_FLOOR, ActEnd.HIGH: ROUND_CEILING, ActEnd.BEST: ROUND_HALF_EVEN}
# Unit of the record -> from which size on, the unit that is read instead, and its factor: exact in decimals.
_STEPS: dict[str, tuple[tuple[float, str, Decimal], ...]] = {
    "kg": ((0.999999999, "kg", Decimal(1)), (0.0, "g", Decimal(1000))),
    "g": ((1_000.0, "kg", Decimal("0.001")),),
    "m": ((1.0, "m", Decimal(1)), (0.0, "cm", Decimal(100))),
    "mL": ((1000.0, "L", Decimal("0.001")),),
}
_HOURS_FROM_MIN = 120.0
MINUTES = {"min": 1.0, "h": 60.0, "days": 1440.0}


def plain(value: Decimal | float) -> str:
    """A number with all its digits, thousands set apart by a comma, no exponent and no zeros at the end."""
    text = f"{value if isinstance(value, Decimal) else Decimal(repr(float(value))):,f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def rounded(value: Decimal | float, end: ActEnd = ActEnd.BEST) -> Decimal:
    """Three significant digits, whole ones at least; the low end downwards, the high end upwards."""
    # Binary noise in the tenth digit must not carry a whole number over its own edge.
    exact = Decimal(f"{float(value):.9e}")
    step = Decimal(1).scaleb(min(exact.adjusted() - _DIGITS + 1, 0))
    return exact.quantize(step, rounding=_ROUNDING[end]) if exact else Decimal(0)


def at_most_three_digits(value: Decimal, end: ActEnd) -> Decimal:
    """A number as it is, or to three digits by its end where it has decimals beyond them."""
    return rounded(value, end) if len(value.as_tuple().digits) > _DIGITS and value % 1 else value


def rounded_as(value: Decimal | float, beside: Decimal | None, end: ActEnd) -> Decimal:
    """The end of a band, to the last digit of the figure that it stands behind; never a small number to none."""
    if not beside:
        return rounded(value, end)
    step = min(beside.normalize().as_tuple().exponent, beside.adjusted() - 1)
    exact = Decimal(f"{float(value):.9e}")
    found = exact.quantize(Decimal(1).scaleb(int(step)), rounding=_ROUNDING[end])
    return found if found or not exact else exact.quantize(Decimal(1).scaleb(exact.adjusted()), rounding=_ROUNDING[end])


def read_in(
    value: float, unit: str, system: System, *, end: ActEnd = ActEnd.BEST, like: float | None = None
) -> tuple[Decimal, str]:
    """A value of the record in the reader's unit: exact in metric units, converted and rounded by its end in US ones.

    Parameters
    ----------
    value : float
        As the record has it [its unit].
    unit : str
        The record's unit.
    system : System
        The reader's units.
    end : ActEnd
        Which way a conversion is rounded.
    like : float or None
        The value beside it, whose unit it is to share [its unit].

    Returns
    -------
    tuple of Decimal and str
        The number and the unit it is read in.
    """
    exact = Decimal(repr(float(value)))
    guide = abs(value if like is None else like)
    if system is System.US and unit not in MINUTES:
        converted, label = in_us_units(value, unit, like=guide)
        return (exact, unit) if label == unit else (rounded(converted, end), label)
    for least, label, factor in _STEPS.get(unit, ()):
        if guide >= least:
            return exact * factor, label
    return exact, unit


def clock_time(minutes: float, *, like: float | None = None) -> str | None:
    """Minutes as hours and minutes, `4:42`, where that reads better; None where minutes are read."""
    guide = minutes if like is None else like
    if guide < _HOURS_FROM_MIN or guide != int(guide):
        return None
    return f"{int(minutes) // 60}:{int(minutes) % 60:02d}"
