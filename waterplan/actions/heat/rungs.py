"""How fast the water of a convalescent is brought to another temperature: hours and degrees, step by step."""

from itertools import pairwise

from waterplan import tables
from waterplan.tank.temperature_ramp import temperature_ramp

NEAR_C = 0.05


def cap(limit: str) -> tables.Row:
    """How fast the water of a convalescent is brought to another temperature."""
    return tables.row("temperature_steps", situation="convalescent", limit=limit)


def rungs(start_c: float, end_c: float, start_h: float) -> list[tuple[float, float]]:
    """Hours of the stay and the temperature to set then, under both caps.

    Parameters
    ----------
    start_c, end_c : float
        The temperature of the water, and the one that it is brought to [°C].
    start_h : float
        The hour of the stay at which the first step is set [h].

    Returns
    -------
    list of tuple of float and float
        The hour [h] and the temperature [°C] of each step; empty where the two are too near to tell apart.
    """
    if abs(end_c - start_c) < NEAR_C:
        return []
    caps = {"per_hour_c": cap("per hour").value, "per_day_c": cap("per day").value}
    steps: list[tuple[float, float]] = []
    for before, after in pairwise(temperature_ramp(start_c, target_temp_c=end_c, **caps)):
        if abs(after.water_temp_c - (steps[-1][1] if steps else start_c)) >= NEAR_C:  # else a thermometer shows no step
            steps.append((start_h + before.at_h, after.water_temp_c))
    return [*steps[:-1], (steps[-1][0], end_c)]
