"""Heater watts: enough on the coldest hour, and few enough that a stuck thermostat cannot cook the fish."""

import functools
from dataclasses import replace

import numpy as np

from waterplan.errors import ImpossibleInput
from waterplan.published import FloatArray, Numbers
from waterplan.tank.answers import CHANCE, Answer, drawn, own_needs
from waterplan.tank.checked import draws_in, over_draws
from waterplan.tank.course import Follow
from waterplan.tank.equipment_events import HeaterSticksOn
from waterplan.tank.heat import EVAPORATION_KJ_PER_KG, KJ_PER_L_K, KJ_PER_WH, air_vapour_kpa, evaporation_kg_per_h
from waterplan.tank.setup import Heater, Setup
from waterplan.tank.through_time import course

_TOLERANCE, _NO_FROST_C = 1e-3, 1.0
_MOST_CHECKS, _LESS = 6, 0.99


def heat_loss_w(setup: Setup, *, water_temp_c: Numbers, air_temp_c: Numbers) -> FloatArray:
    """Heat that an open water at rest at a temperature loses to the room and to evaporation [W]."""
    tank, room, draws = setup.tank, setup.room, draws_in(setup, air_temp_c, water_temp_c)
    per_k = np.asarray(tank.wall_area_m2) * tank.wall_u_w_per_m2_k
    per_k = per_k + np.asarray(tank.area_m2) * tank.surface_u_w_per_m2_k
    loss = over_draws(per_k * (np.asarray(water_temp_c) - air_temp_c), draws)
    if np.any(np.asarray(tank.evaporation_factor) > 0.0):
        vapour = evaporation_kg_per_h(
            tank.area_m2,
            water_temp_c=water_temp_c,
            air_vapour_kpa=air_vapour_kpa(room.relative_humidity, air_temp_c=room.air_temp_c),
            air_speed_m_per_s=room.air_speed_m_per_s,
        )
        loss = loss + np.asarray(tank.evaporation_factor) * vapour * EVAPORATION_KJ_PER_KG / KJ_PER_WH
    return loss


def watts_to_hold(setup: Setup, *, target_temp_c: Numbers) -> Answer:
    """The least watts that hold a temperature: the loss at rest with the room at its coldest."""
    coldest = np.asarray(setup.room.air_temp_c) - setup.room.daily_swing_c
    return own_needs(np.maximum(heat_loss_w(setup, water_temp_c=target_temp_c, air_temp_c=coldest), 0.0))


def watts_that_cannot_cook(
    setup: Setup,
    *,
    target_temp_c: float,
    ceiling_temp_c: float,
    unattended_h: float,
    most_rise_c_per_h: float = np.inf,
) -> float | None:
    """The most watts with which a heater stuck on neither passes the ceiling while nobody looks nor warms too fast.

    The ceiling is searched with the heater stuck from a start at the target; the rise, which is steepest at the start,
    is that of watts less loss over the heat that the water holds, the room at its warmest. None where the room alone
    brings the water past either.
    """
    if not ceiling_temp_c > target_temp_c:
        raise ImpossibleInput("ceiling_temp_c", ceiling_temp_c, f"above the target, {target_temp_c:g}", unit="°C")
    if not unattended_h > 0.0:
        raise ImpossibleInput("unattended_h", unattended_h, "above 0", unit="h")
    if not most_rise_c_per_h > 0.0:
        raise ImpossibleInput("most_rise_c_per_h", most_rise_c_per_h, "above 0", unit="°C/h")
    question = _Stuck(setup, target_temp_c=target_temp_c, ceiling_temp_c=ceiling_temp_c, unattended_h=unattended_h)
    found = question.most_watts()
    steady = drawn(question.watts_at_rise(most_rise_c_per_h))
    slow = float(np.percentile(steady, 100.0 * (1.0 - CHANCE), method="lower"))
    return None if found is None or slow <= 0.0 else min(found, slow)


class _Stuck:
    """A tank at its target whose heater sticks on, nobody looking for a time."""

    def __init__(self, setup: Setup, *, target_temp_c: float, ceiling_temp_c: float, unattended_h: float) -> None:
        start = replace(setup.water, water_temp_c=target_temp_c)
        self._setup = replace(setup, water=start, fish=(), aeration=(), filter=None, heater=None)
        self._target_c, self._ceiling_c, self._hours = target_temp_c, ceiling_temp_c, unattended_h
        self._wh_per_c = np.asarray(setup.tank.volume_l) * KJ_PER_L_K / KJ_PER_WH

    def most_watts(self) -> float | None:
        """The most watts that are safe in enough of the draws; None where none are."""
        from scipy.optimize import brentq

        low, high = self._ends()
        tolerance = _TOLERANCE * high
        excess = functools.cache(
            lambda watts: float(np.quantile(drawn(self._hottest(watts)), CHANCE)) - self._ceiling_c
        )
        if excess(high) <= 0.0:
            watts = high
        elif excess(low) > 0.0:
            return None
        else:
            watts = max(float(brentq(excess, low, high, xtol=tolerance)) - tolerance, low)
        for _ in range(_MOST_CHECKS):  # a quantile lies between two draws: a little less where that was too kind
            if float((drawn(self._hottest(watts)) <= self._ceiling_c).mean()) >= CHANCE:
                break
            watts *= _LESS
        return watts

    def watts_at_rise(self, rise_c_per_h: float) -> FloatArray:
        """Watts that warm the water at a rate at the target, the room at its warmest, for every draw."""
        warmest = np.asarray(self._setup.room.air_temp_c) + self._setup.room.daily_swing_c
        lost = heat_loss_w(self._setup, water_temp_c=self._target_c, air_temp_c=warmest)
        return np.asarray(lost + self._wh_per_c * rise_c_per_h)

    def _hottest(self, watts: float) -> FloatArray:
        stuck = replace(self._setup, heater=Heater(heater_w=watts, target_temp_c=self._target_c))
        events, every = [HeaterSticksOn(at_h=0.0)], min(1.0, self._hours)
        done = course(stuck, events, until_h=self._hours, every_h=every, step_h=every, follow=Follow.HEAT)
        return done.highest("water_temp_c")

    def _ends(self) -> tuple[float, float]:
        coldest = np.asarray(self._setup.room.air_temp_c) - self._setup.room.daily_swing_c
        # With this much the water passes the ceiling even against the loss that it has there.
        at_ceiling = heat_loss_w(self._setup, water_temp_c=self._ceiling_c, air_temp_c=coldest)
        warming = self._wh_per_c * (self._ceiling_c - self._target_c) / self._hours
        high = float(np.max(np.maximum(at_ceiling, 0.0) + warming))
        # With this much it does not freeze, evaporation left out: no answer is below it.
        dry = replace(self._setup, tank=replace(self._setup.tank, evaporation_factor=0.0))
        frost = heat_loss_w(dry, water_temp_c=_NO_FROST_C, air_temp_c=coldest)
        return min(float(np.max(np.maximum(frost, 0.0))), 0.5 * high), high
