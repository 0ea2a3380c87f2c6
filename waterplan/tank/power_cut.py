"""Without power: how long the oxygen lasts in a tub, a tank or a pond at night, and the back-up that would hold it."""

from dataclasses import dataclass, replace

import numpy as np

from waterplan.published import Numbers
from waterplan.tank.aeration import Diffuser
from waterplan.tank.air_needed import AirNeeded, least_air
from waterplan.tank.course import Follow
from waterplan.tank.equipment_events import PowerFails
from waterplan.tank.setup import Setup
from waterplan.tank.through_time import course
from waterplan.tank.trouble import Limit, Trouble, first_trouble

# Records in the time looked at: the decline between two of them is as good as straight.
_RECORDS, _SHORT_LOOK_H = 60, 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class WithoutPower:
    """Time to the alarm and to the emergency level after the power fails, and the air that would hold the latter."""

    to_alarm: Trouble
    to_emergency: Trouble
    back_up: AirNeeded


def without_power(
    setup: Setup,
    *,
    alarm_do_mg_per_l: float,
    emergency_do_mg_per_l: float,
    back_up_stone: Diffuser,
    stress_factor: Numbers = 1.0,
    horizon_h: float = 24.0,
) -> WithoutPower:
    """How long the oxygen lasts when air, pumps and filter stop, and the least back-up.

    Parameters
    ----------
    setup : Setup
        The water as it is when the power fails.
    alarm_do_mg_per_l, emergency_do_mg_per_l : float
        The patient's own levels [mg/L].
    back_up_stone : Diffuser
        The stone of a battery pump or of a cylinder.
    stress_factor : float or array
        How many times its rest the fish takes throughout [-].
    horizon_h : float
        Time looked at [h].

    Returns
    -------
    WithoutPower
        Times as bands over the draws, with the check-by time, and the back-up.

    Raises
    ------
    ImpossibleInput
        A level, a horizon or a setup that is not possible.

    Notes
    -----
    For a pond at night give what plankton and mud take as `other_demand_mg_per_h`: it is most of a pond's respiration
    (Madenjian et al. 1987 found 92 %).
    """
    fish = (replace(one, uptake_mg_per_kg_h=one.uptake_mg_per_kg_h * stress_factor) for one in setup.fish)
    stressed = replace(setup, fish=tuple(fish))
    lowest = min(alarm_do_mg_per_l, emergency_do_mg_per_l)
    levels = (("alarm", alarm_do_mg_per_l), ("emergency", emergency_do_mg_per_l))
    # A short look first, and the long one where any draw has not come to the level by then.
    for until in dict.fromkeys((min(_SHORT_LOOK_H, horizon_h), horizon_h)):
        every = until / _RECORDS
        done = course(
            stressed,
            [PowerFails(at_h=0.0)],
            until_h=until,
            every_h=every,
            step_h=0.5,
            follow=Follow.OXYGEN,
            over_when=lambda body: bool(np.all(body.oxygen_mg < lowest * body.volume_l)),
        )
        times = {
            words: first_trouble(done, [Limit(state="do_mg_per_l", level=level, falling=True, words=words)])
            for words, level in levels
        }
        if np.all(np.isfinite([trouble.hours for trouble in times.values()])):
            break
    still = replace(stressed, aeration=())
    backed = least_air(still, stone=back_up_stone, target_do_mg_per_l=emergency_do_mg_per_l)
    return WithoutPower(to_alarm=times["alarm"], to_emergency=times["emergency"], back_up=backed)
