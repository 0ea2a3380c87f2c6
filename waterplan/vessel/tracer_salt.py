"""How much salt to weigh for a tracer test, and when not to."""

import math
from enum import StrEnum
from typing import NamedTuple

from waterplan.errors import ImpossibleInput, Refused
from waterplan.published import published
from waterplan.spread import Band
from waterplan.vessel.limits import require_above_0

# The half-width of a 90 % band in standard deviations.
_HALF_BAND = 1.644854


class Keeps(StrEnum):
    """What else is in the water that salt does not agree with."""

    PLANTS = "plants"
    ZEOLITE = "zeolite"
    STURGEON = "sturgeon"
    TREATMENT = "another treatment"


class SaltToWeigh(NamedTuple):
    """Salt for a tracer test, and what it will do.

    Attributes
    ----------
    salt_g : float
        Salt to weigh in [g].
    rise_g_per_l : float
        Rise to expect, at the high end of the volume [g/L].
    salinity_g_per_l : float
        Most salt there will be in the water, at the low end of the volume [g/L].
    """

    salt_g: float
    rise_g_per_l: float
    salinity_g_per_l: float


@published(source="jcgm_100", locator="5.1.6: relative variances add in a quotient", status="from memory")
def expected_sd(rise_g_per_l: float, *, rise_error_g_per_l: float, fixed_error: float) -> float:
    """Standard deviation of a tracer volume, as a fraction of it, before the test is made.

    Parameters
    ----------
    rise_g_per_l : float
        Rise to expect [g/L].
    rise_error_g_per_l : float
        One standard deviation of the rise from the errors of single readings [g/L].
    fixed_error : float
        One standard deviation of what does not shrink with more salt: meter, calibration, weighing [fraction].

    Returns
    -------
    float
        One standard deviation [fraction].

    Raises
    ------
    ImpossibleInput
        The rise is not above 0.

    Notes
    -----
    Root of the sum of squares.

    Examples
    --------
    >>> round(expected_sd(0.2, rise_error_g_per_l=0.006, fixed_error=0.04), 3)
    0.05
    """
    require_above_0("rise_g_per_l", rise_g_per_l, unit="g/L")
    return math.hypot(rise_error_g_per_l / rise_g_per_l, fixed_error)


def salt_to_weigh(
    volume_l: Band,
    *,
    half_band: float,
    reading_error: float,
    fixed_error: float,
    readings: int,
    salt_now_g_per_l: float,
    ceiling_g_per_l: float,
) -> SaltToWeigh:
    """The salt that makes a tracer volume as sure as wanted, if the fish bear it.

    Parameters
    ----------
    volume_l : Band
        The volume as far as it is known: low, best, high [L].
    half_band : float
        Wanted half-width of the 90 % band, as a fraction (0.05 for ±5 %).
    reading_error : float
        One standard deviation of a reading [g/L].
    fixed_error : float
        One standard deviation of what more salt does not improve, as a fraction.
    readings : int
        How many readings will be taken before the salt, and as many after it.
    salt_now_g_per_l, ceiling_g_per_l : float
        Salt in the water now, and the most that the most sensitive inhabitant bears for as long as it stays [g/L].

    Returns
    -------
    SaltToWeigh
        The weight, the rise, and the salinity at the low end of the volume.

    Raises
    ------
    Refused
        No amount of salt gives that certainty, or the amount that does would pass the ceiling if the volume is at its
        low end.
    ImpossibleInput
        The volume is not above 0, or its ends are out of order.

    Notes
    -----
    The rise is found for the high end of the volume, so that the certainty is reached whatever the volume is; the
    ceiling is held at the low end.

    Examples
    --------
    >>> plan = salt_to_weigh(
    ...     Band(8000.0, 10000.0, 13000.0), half_band=0.05, reading_error=0.002, fixed_error=0.01, readings=5,
    ...     salt_now_g_per_l=0.1, ceiling_g_per_l=1.0,
    ... )
    >>> round(plan.salt_g)
    573
    """
    if not 0 < volume_l.low <= volume_l.best <= volume_l.high:
        raise ImpossibleInput("volume_l", tuple(volume_l), "low, best, high in order and above 0", unit="L")
    wanted = half_band / _HALF_BAND
    if wanted <= fixed_error:
        figures = {"best": (100.0 * _HALF_BAND * fixed_error, "%")}
        raise Refused("no amount of salt makes it that sure", code="tracer-cannot-be-that-sure", figures=figures)
    error = reading_error * math.sqrt(2.0 / readings)
    rise = error / math.sqrt(wanted**2 - fixed_error**2)
    salt = rise * volume_l.high
    salinity = salt_now_g_per_l + salt / volume_l.low
    if salinity > ceiling_g_per_l:
        room = max(ceiling_g_per_l - salt_now_g_per_l, 0.0)
        least = room * volume_l.low / volume_l.high
        figures = {"salt": (salt, "g"), "level": (salinity, "g/L"), "ceiling": (ceiling_g_per_l, "g/L")}
        if least > 0:
            best = _HALF_BAND * expected_sd(least, rise_error_g_per_l=error, fixed_error=fixed_error)
            figures |= {"may go in": (room * volume_l.low, "g"), "gives": (100.0 * best, "%")}
        raise Refused("more salt than the fish bear", code="tracer-above-salt-ceiling", figures=figures)
    return SaltToWeigh(salt_g=salt, rise_g_per_l=rise, salinity_g_per_l=salinity)
