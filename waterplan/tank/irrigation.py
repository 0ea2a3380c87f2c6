"""The water that runs over the gills on the table: when it must be swapped."""

from dataclasses import dataclass

from waterplan.errors import ImpossibleInput
from waterplan.tank.answers import DEFAULT_CHANCE
from waterplan.tank.setup import Setup
from waterplan.tank.through_time import course
from waterplan.tank.trouble import Limit, Trouble, first_trouble, hours_with_chance

_RECORDS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapTime:
    """When the irrigation water must be swapped: minutes with the wanted chance, the band, and what rules."""

    minutes: float
    trouble: Trouble
    longer_than_looked_at: bool


def irrigation_swap(
    reservoir: Setup,
    *,
    least_do_mg_per_l: float,
    most_nh3_mg_n_per_l: float,
    most_co2_mg_per_l: float,
    most_temp_step_c: float,
    horizon_h: float = 2.0,
    chance: float = DEFAULT_CHANCE,
) -> SwapTime:
    """How long a reservoir serves before oxygen, ammonia, carbon dioxide or temperature passes its limit.

    Parameters
    ----------
    reservoir : Setup
        The irrigation water with the patient breathing from it, its air stone and its room.
    least_do_mg_per_l : float
        Oxygen not to fall below: 6 mg/L under anaesthesia [mg/L].
    most_nh3_mg_n_per_l : float
        Un-ionised ammonia not to pass [mg/L as N].
    most_co2_mg_per_l : float
        Carbon dioxide not to pass [mg/L].
    most_temp_step_c : float
        How far the temperature may move from where it began [°C].
    horizon_h : float
        Time looked at [h].
    chance : float
        Share of the draws in which no limit is to be passed before.

    Returns
    -------
    SwapTime
        Minutes, with what rules.

    Raises
    ------
    ImpossibleInput
        A limit or a time that is not possible.

    Notes
    -----
    What the patient does not breathe the drug still does: this is the water's time, not the drug's. The temperature is
    judged by the best value of the start.
    """
    if not (horizon_h > 0.0 and most_temp_step_c > 0.0):
        raise ImpossibleInput("horizon_h, most_temp_step_c", (horizon_h, most_temp_step_c), "above 0")
    every = horizon_h / _RECORDS
    done = course(reservoir, until_h=horizon_h, every_h=every, step_h=every)
    began = float(done.best("water_temp_c")[0])
    limits = [
        Limit(state="do_mg_per_l", level=least_do_mg_per_l, falling=True, words="oxygen"),
        Limit(state="nh3_mg_n_per_l", level=most_nh3_mg_n_per_l, falling=False, words="un-ionised ammonia"),
        Limit(state="co2_mg_per_l", level=most_co2_mg_per_l, falling=False, words="carbon dioxide"),
        Limit(state="water_temp_c", level=began + most_temp_step_c, falling=False, words="warming"),
        Limit(state="water_temp_c", level=began - most_temp_step_c, falling=True, words="cooling"),
    ]
    trouble = first_trouble(done, limits)
    hours = hours_with_chance(trouble, chance)
    longer = hours > horizon_h
    return SwapTime(minutes=60.0 * min(hours, horizon_h), trouble=trouble, longer_than_looked_at=longer)
