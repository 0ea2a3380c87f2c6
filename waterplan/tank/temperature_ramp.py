"""A change of temperature in steps that keep both an hourly and a daily cap."""

from dataclasses import dataclass

from waterplan.errors import ImpossibleInput, Limits
from waterplan.published import require_possible


@dataclass(frozen=True, slots=True, kw_only=True)
class RampStep:
    """The temperature that the water may have reached at a time after the start."""

    at_h: float
    water_temp_c: float


def temperature_ramp(
    start_temp_c: float, *, target_temp_c: float, per_hour_c: float, per_day_c: float
) -> tuple[RampStep, ...]:
    """The steps from one temperature to another.

    Parameters
    ----------
    start_temp_c, target_temp_c : float
        Where the water is and where it is to be [°C].
    per_hour_c, per_day_c : float
        The most it may change in any one hour and in each 24 hours from the start [°C].

    Returns
    -------
    tuple of RampStep
        The first step is the start (0 h); empty where there is nothing to change.

    Raises
    ------
    ImpossibleInput
        A temperature that is not possible, or a cap that is not above zero.

    Notes
    -----
    Steps of an hour until the day's cap is used, then a pause until the next 24 hours begin; both caps hold. Checked by
    hand: 14 to 22 °C at 1 °C an hour and 2 °C a day takes 3 days and 2 hours, and 8 h of change.

    Examples
    --------
    >>> [(step.at_h, step.water_temp_c) for step in temperature_ramp(
    ...     18.0, target_temp_c=20.5, per_hour_c=1.0, per_day_c=2.0)]
    [(0.0, 18.0), (1.0, 19.0), (2.0, 20.0), (24.0, 20.0), (24.5, 20.5)]
    """
    for name, value in (("start_temp_c", start_temp_c), ("target_temp_c", target_temp_c)):
        require_possible(name, value, Limits(-5.0, 60.0), "°C")
    for name, value in (("per_hour_c", per_hour_c), ("per_day_c", per_day_c)):
        if not value > 0.0:
            raise ImpossibleInput(name, value, "above 0", unit="°C")
    per_day_c = min(per_day_c, 24.0 * per_hour_c)  # a day is full before its cap where the hourly cap is the tighter
    direction = 1.0 if target_temp_c > start_temp_c else -1.0
    left = abs(target_temp_c - start_temp_c)
    if left < 1e-9:
        return ()
    steps = [RampStep(at_h=0.0, water_temp_c=start_temp_c)]
    now, day = start_temp_c, 0
    while left > 1e-9:
        if day and steps[-1].at_h < 24.0 * day:
            steps.append(RampStep(at_h=24.0 * day, water_temp_c=now))
        at_h, today = 24.0 * day, min(left, per_day_c)
        left -= today
        while today > 1e-9:
            change = min(today, per_hour_c)
            today -= change
            now += direction * change
            at_h += change / per_hour_c
            steps.append(RampStep(at_h=at_h, water_temp_c=round(now, 6)))
        day += 1
    return tuple(steps)
