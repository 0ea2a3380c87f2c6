"""Changing a water in steps with clock times: salt, pH, and the drip that mixes two waters."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from waterplan.errors import ImpossibleInput, Limits
from waterplan.published import Numbers, published, require_possible

_CLOSE = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Rung:
    """A level that may be reached at a time after the start."""

    at_h: float
    level: float


def rungs(
    start: float,
    target: float,
    *,
    most_per_step: float,
    every_h: float,
    most_per_day: float = math.inf,
) -> tuple[Rung, ...]:
    """Equal steps from one level to another, no larger than a cap, a time apart, under a cap for each 24 hours.

    Parameters
    ----------
    start, target : float
        Where the water is and where it is to be, in the unit of the level.
    most_per_step : float
        The most that it may change at once, in the same unit.
    every_h : float
        Time between two steps [h].
    most_per_day : float
        The most that it may change in any 24 hours, in the same unit.

    Returns
    -------
    tuple of Rung
        One for each step, the first at 0 h; empty where there is nothing to change.

    Raises
    ------
    ImpossibleInput
        A level that is not finite, or a cap or time that is not above zero.

    Notes
    -----
    The steps are made equal, so none is smaller than it need be. A step that would break the day's cap waits until 24
    hours after the earliest step that is in its way.

    Examples
    --------
    >>> [(rung.at_h, rung.level) for rung in rungs(0.0, 3.0, most_per_step=1.0, every_h=12.0)]
    [(0.0, 1.0), (12.0, 2.0), (24.0, 3.0)]
    """
    for name, value in (("start", start), ("target", target)):
        require_possible(name, value, Limits(-1e9, 1e9))
    for name, value in (("most_per_step", most_per_step), ("every_h", every_h), ("most_per_day", most_per_day)):
        if not value > 0.0:
            raise ImpossibleInput(name, value, "above 0")
    change = target - start
    if abs(change) < _CLOSE:
        return ()
    count = math.ceil(abs(change) / min(most_per_step, most_per_day) - _CLOSE)
    size = abs(change) / count
    in_a_day = math.inf if math.isinf(most_per_day) else int(most_per_day / size + _CLOSE)
    times: list[float] = []
    for index in range(count):
        at_h = times[-1] + every_h if times else 0.0
        if index >= in_a_day:
            at_h = max(at_h, times[index - int(in_a_day)] + 24.0)
        times.append(at_h)
    return tuple(Rung(at_h=at_h, level=start + change * (index + 1) / count) for index, at_h in enumerate(times))


def at_clock(ramp: Sequence[Rung], start: datetime) -> tuple[tuple[datetime, float], ...]:
    """The steps of a ramp by the clock, to the minute."""
    return tuple((start + timedelta(minutes=round(rung.at_h * 60.0)), rung.level) for rung in ramp)


@published(source="mass_balance", locator="continuous exchange: rate at the start q dT/V", status="derived")
def drip_flow_l_per_h(volume_l: Numbers, *, difference_c: Numbers, per_hour_c: Numbers) -> Numbers:
    """Drip with overflow that changes a tub's temperature no faster than a cap.

    Parameters
    ----------
    volume_l : float or array
        Water in the tub [L].
    difference_c : float or array
        Difference between the two waters now [°C].
    per_hour_c : float or array
        Most change in an hour [°C/h].

    Returns
    -------
    float or array
        Flow, to be raised as the difference shrinks [L/h].

    Raises
    ------
    ImpossibleInput
        An argument that is negative or not finite, or no difference.

    Notes
    -----
    r V/dT. Checked by hand: 40 L, 6 °C, 2 °C/h: 13.3 L/h, with which nine tenths are done after 6.9 h.

    Examples
    --------
    >>> round(drip_flow_l_per_h(40.0, difference_c=6.0, per_hour_c=2.0), 1)
    13.3
    """
    return volume_l * per_hour_c / difference_c


@published(source="mass_balance", locator="(V1 x1 + V2 x2)/(V1 + V2)", status="derived")
def mixed_temp_c(volume_l: Numbers, *, water_temp_c: Numbers, added_l: Numbers, added_temp_c: Numbers) -> Numbers:
    """Temperature of two waters poured together.

    Parameters
    ----------
    volume_l : float or array
        Volume of the one [L].
    water_temp_c : float or array
        Its temperature [°C].
    added_l : float or array
        Volume of the other [L].
    added_temp_c : float or array
        Its temperature [°C].

    Returns
    -------
    float or array
        Temperature of the mixture [°C].

    Raises
    ------
    ImpossibleInput
        An argument that is not finite or not possible.

    Notes
    -----
    Density and heat capacity are taken as equal: good to 0.1 °C between 0 and 40 °C.

    Examples
    --------
    >>> mixed_temp_c(30.0, water_temp_c=20.0, added_l=10.0, added_temp_c=12.0)
    18.0
    """
    return (volume_l * water_temp_c + added_l * added_temp_c) / (volume_l + added_l)
