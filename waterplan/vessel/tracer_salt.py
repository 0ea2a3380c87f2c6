"""How much salt to weigh for a tracer test, and when not to."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from waterplan import tables
from waterplan.errors import ImpossibleInput, Refused
from waterplan.published import published
from waterplan.spread import Band
from waterplan.vessel.dilution import salt_from_chloride_g_per_l, salt_from_conductance_g_per_l
from waterplan.vessel.tracer import Signal

# The half-width of a 90 % band in standard deviations.
_HALF_BAND = 1.644854


class Keeps(StrEnum):
    """What else is in the water that salt does not agree with."""

    PLANTS = "plants"
    ZEOLITE = "zeolite"
    STURGEON = "sturgeon"
    TREATMENT = "another treatment"


_WARNING = {
    Keeps.PLANTS: "Plants: many suffer from salt that stays; use the least that will do, or another method.",
    Keeps.ZEOLITE: "Zeolite: salt makes it give back the ammonia it holds, and takes salt out of the reading. Remove it first.",
    Keeps.STURGEON: "Sturgeon: sensitive to salt. Use another method unless the level is known to be borne.",
    Keeps.TREATMENT: "Another treatment is running: salt may act together with it. Wait until it is out of the water.",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class SaltToWeigh:
    """Salt for a tracer test, and what it will do.

    Parameters
    ----------
    salt_g : float
        Salt to weigh in [g].
    rise_g_per_l : float
        Rise to expect, at the high end of the volume [g/L].
    salinity_g_per_l : float
        Most salt there will be in the water, at the low end of the volume [g/L].
    half_band : float
        Half-width of the 90 % band of the volume to expect, as a fraction.
    cautions : tuple of str
        What speaks against it.
    """

    salt_g: float
    rise_g_per_l: float
    salinity_g_per_l: float
    half_band: float
    cautions: tuple[str, ...]


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
    if not rise_g_per_l > 0:
        raise ImpossibleInput("rise_g_per_l", rise_g_per_l, "above 0", unit="g/L")
    return float(np.hypot(rise_error_g_per_l / rise_g_per_l, fixed_error))


def _in_salt(reading_error: float, signal: Signal, now: float) -> float:
    """An error of reading as salt [g/L], at what the water reads now."""
    if signal is Signal.CONDUCTIVITY:
        return float(salt_from_conductance_g_per_l(now + reading_error, conductance_before_ms_per_cm=now))
    if signal is Signal.CHLORIDE:
        return float(salt_from_chloride_g_per_l(reading_error, chloride_before_mg_per_l=0.0))
    return reading_error


def salt_to_weigh(
    volume_l: Band,
    *,
    half_band: float,
    signal: Signal,
    reads_now: float,
    reading_error: float,
    fixed_error: float,
    readings_before: int,
    readings_after: int,
    salt_now_g_per_l: float,
    ceiling_g_per_l: float,
    salt_purity: float = 1.0,
    keeps: frozenset[Keeps] = frozenset(),
) -> SaltToWeigh:
    """The salt that makes a tracer volume as sure as wanted, if the fish bear it.

    Parameters
    ----------
    volume_l : Band
        The volume as far as it is known: low, best, high [L].
    half_band : float
        Wanted half-width of the 90 % band, as a fraction (0.05 for ±5 %).
    signal : Signal
        What will be read.
    reads_now : float
        What the water reads now, in the unit of the signal.
    reading_error : float
        One standard deviation of a reading, in the unit of the signal.
    fixed_error : float
        One standard deviation of what more salt does not improve, as a fraction.
    readings_before, readings_after : int
        How many readings will be taken.
    salt_now_g_per_l, ceiling_g_per_l : float
        Salt in the water now, and the most that the most sensitive inhabitant bears for as long as it stays [g/L].
    salt_purity : float
        Sodium chloride in the salt [fraction].
    keeps : frozenset of Keeps
        What else is in the water.

    Returns
    -------
    SaltToWeigh
        The weight, the rise, the salinity at the low end of the volume, and the cautions.

    Raises
    ------
    Refused
        No amount of salt gives that certainty, or the amount that does would pass the ceiling if the volume is at its
        low end.
    ImpossibleInput
        A number cannot be.

    Notes
    -----
    The rise is found for the high end of the volume, so that the certainty is reached whatever the volume is; the
    ceiling is held at the low end.

    Examples
    --------
    >>> plan = salt_to_weigh(
    ...     Band(8000.0, 10000.0, 13000.0), half_band=0.05, signal=Signal.SALINITY, reads_now=0.1, reading_error=0.002,
    ...     fixed_error=0.01, readings_before=5, readings_after=5, salt_now_g_per_l=0.1, ceiling_g_per_l=1.0,
    ... )
    >>> round(plan.salt_g)
    573
    """
    if not 0 < volume_l.low <= volume_l.best <= volume_l.high:
        raise ImpossibleInput("volume_l", tuple(volume_l), "low, best, high in order and above 0", unit="L")
    for argument, value in (("half_band", half_band), ("reading_error", reading_error), ("salt_purity", salt_purity)):
        if not (np.isfinite(value) and value > 0):
            raise ImpossibleInput(argument, value, "above 0")
    if min(readings_before, readings_after) < 1:
        raise ImpossibleInput("readings", (readings_before, readings_after), "1 or more each")
    wanted = half_band / _HALF_BAND
    if wanted <= fixed_error:
        best = 100.0 * _HALF_BAND * fixed_error
        raise Refused(
            f"No amount of salt makes it surer than ± {best:.1f} %: the meter, the calibration and the scale allow no more. A "
            "bucket test in the pond's own water would help.",
            code="tracer-cannot-be-that-sure",
            figures={"best": (best, "%")},
        )
    single = _in_salt(reading_error, signal, reads_now)
    error = single * float(np.sqrt(1.0 / readings_before + 1.0 / readings_after))
    rise = error / float(np.sqrt(wanted**2 - fixed_error**2))
    salt = rise * volume_l.high / salt_purity
    salinity = salt_now_g_per_l + salt * salt_purity / volume_l.low
    if salinity > ceiling_g_per_l:
        room = max(ceiling_g_per_l - salt_now_g_per_l, 0.0)
        least = room * volume_l.low / volume_l.high
        reach = "no salt can be added at all"
        figures = {"salt": (salt, "g"), "level": (salinity, "g/L"), "ceiling": (ceiling_g_per_l, "g/L")}
        if least > 0:
            best = _HALF_BAND * expected_sd(least, rise_error_g_per_l=error, fixed_error=fixed_error)
            reach = f"{room * volume_l.low / salt_purity:,.0f} g may go in, which gives ± {100.0 * best:.0f} %"
            figures |= {"may go in": (room * volume_l.low / salt_purity, "g"), "gives": (100.0 * best, "%")}
        raise Refused(
            f"± {100.0 * half_band:g} % would need {salt:,.0f} g, and up to {salinity:.2f} g/L if the volume is at its low end: "
            f"above the ceiling of {ceiling_g_per_l:g} g/L. Below it, {reach}. A finer meter or more readings would do with "
            "less.",
            code="tracer-above-salt-ceiling",
            figures=figures,
        )
    cautions = [_WARNING[what] for what in sorted(keeps)]
    usual = tables.row("vessel_tracer", rule="salt allowance")
    if rise > usual.high:
        cautions.append(f"A rise of {rise:.2f} g/L is more than the usual {usual.low:g} to {usual.high:g} g/L.")
    return SaltToWeigh(
        salt_g=salt, rise_g_per_l=rise, salinity_g_per_l=salinity, half_band=half_band, cautions=tuple(cautions)
    )
