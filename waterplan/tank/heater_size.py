"""Heater watts: enough on the coldest hour, and few enough that a stuck thermostat cannot cook the fish."""

import functools
from dataclasses import replace

import numpy as np

from waterplan.errors import ImpossibleInput
from waterplan.published import FloatArray
from waterplan.tank.answers import DEFAULT_CHANCE, SEARCH_DRAWS, Answer, most, own_needs, quantile, thinned
from waterplan.tank.checked import draws_in, over_draws
from waterplan.tank.course import Follow
from waterplan.tank.equipment_events import HeaterSticksOn
from waterplan.tank.heat import EVAPORATION_KJ_PER_KG, KJ_PER_L_K, KJ_PER_WH, air_vapour_kpa, evaporation_kg_per_h
from waterplan.tank.setup import Heater, Setup
from waterplan.tank.through_time import course

_TOLERANCE, _NO_FROST_C = 1e-3, 1.0
_MOST_CHECKS, _LESS = 6, 0.99


def heat_loss_w(
    setup: Setup, *, water_temp_c: float, air_temp_c: FloatArray | float, lid_on: bool = False
) -> FloatArray:
    """Heat that a water at rest at a temperature loses to the room and to evaporation [W]."""
    tank, room, draws = setup.tank, setup.room, draws_in(setup, air_temp_c)
    surface_u = tank.lid_u_w_per_m2_k if lid_on else tank.surface_u_w_per_m2_k
    per_k = np.asarray(tank.wall_area_m2) * tank.wall_u_w_per_m2_k + np.asarray(tank.area_m2) * surface_u
    loss = over_draws(per_k * (water_temp_c - np.asarray(air_temp_c)), draws)
    if np.any(np.asarray(tank.evaporation_factor) > 0.0):
        vapour = evaporation_kg_per_h(
            tank.area_m2,
            water_temp_c=water_temp_c,
            air_vapour_kpa=air_vapour_kpa(room.relative_humidity, air_temp_c=room.air_temp_c),
            air_speed_m_per_s=room.air_speed_m_per_s,
        )
        share = np.asarray(tank.evaporation_factor) * (tank.lid_evaporation_share if lid_on else 1.0)
        loss = loss + share * vapour * EVAPORATION_KJ_PER_KG / KJ_PER_WH
    return loss


def watts_to_hold(setup: Setup, *, target_temp_c: float, chance: float = DEFAULT_CHANCE) -> Answer:
    """The least watts that hold a temperature: the loss at rest with the room at its coldest."""
    coldest = np.asarray(setup.room.air_temp_c) - setup.room.daily_swing_c
    needed = np.maximum(heat_loss_w(setup, water_temp_c=target_temp_c, air_temp_c=coldest), 0.0)
    return own_needs(needed, unit="W", ruled_by="heat lost at the coldest hour", none_because="", chance=chance)


def watts_that_cannot_cook(
    setup: Setup,
    *,
    target_temp_c: float,
    ceiling_temp_c: float,
    unattended_h: float,
    most_rise_c_per_h: float | None = None,
    chance: float = DEFAULT_CHANCE,
) -> Answer:
    """The most watts with which a heater stuck on neither passes the ceiling while nobody looks nor warms too fast.

    The ceiling is searched with the heater stuck from a start at the target; the rise, which is steepest at the start,
    is that of watts less loss over the heat that the water holds, the room at its warmest.
    """
    if not ceiling_temp_c > target_temp_c:
        raise ImpossibleInput("ceiling_temp_c", ceiling_temp_c, f"above the target, {target_temp_c:g}", unit="°C")
    if not unattended_h > 0.0:
        raise ImpossibleInput("unattended_h", unattended_h, "above 0", unit="h")
    if most_rise_c_per_h is not None and not most_rise_c_per_h > 0.0:
        raise ImpossibleInput("most_rise_c_per_h", most_rise_c_per_h, "above 0", unit="°C/h")
    question = _Stuck(setup, target_temp_c=target_temp_c, ceiling_temp_c=ceiling_temp_c, unattended_h=unattended_h)
    found, held = question.most_watts(chance), 1.0
    if found is not None:
        found, held = question.checked(found, chance)
    if found is None:
        return Answer(
            value=None,
            unit="W",
            chance=held,
            ruled_by=question.words,
            none_because="the room alone brings the water past it",
        )
    if most_rise_c_per_h is None:
        return Answer(value=found, unit="W", chance=held, ruled_by=question.words)
    steady = question.watts_at_rise(most_rise_c_per_h)
    drawn = steady[1:] if steady.size > 1 else steady
    slow = float(np.percentile(drawn, 100.0 * (1.0 - chance), method="lower"))
    if slow >= found:
        return Answer(value=found, unit="W", chance=held, ruled_by=question.words)
    words = f"{most_rise_c_per_h:g} °C in an hour with the heater stuck on"
    if slow <= 0.0:
        because = "the room alone warms the water faster"
        return Answer(value=None, unit="W", chance=float((drawn > 0.0).mean()), ruled_by=words, none_because=because)
    return Answer(value=slow, unit="W", chance=float((drawn >= slow).mean()), ruled_by=words)


class _Stuck:
    """A tank at its target whose heater sticks on, nobody looking for a time."""

    def __init__(self, setup: Setup, *, target_temp_c: float, ceiling_temp_c: float, unattended_h: float) -> None:
        start = replace(setup.water, water_temp_c=target_temp_c)
        self._setup = replace(setup, water=start, fish=(), aeration=(), filter=None, heater=None)
        self._target_c, self._ceiling_c, self._hours = target_temp_c, ceiling_temp_c, unattended_h
        self._wh_per_c = np.asarray(setup.tank.volume_l) * KJ_PER_L_K / KJ_PER_WH
        self.words = f"{ceiling_temp_c:g} °C after {unattended_h:g} h with the heater stuck on"

    def most_watts(self, chance: float) -> float | None:
        """The most watts by a part of the draws; None where none is safe."""
        few = thinned(self._setup, SEARCH_DRAWS)
        low, high = self._ends()
        return most(
            functools.cache(lambda watts: quantile(self._hottest(few, watts), chance) - self._ceiling_c),
            low=low,
            high=high,
            tolerance=_TOLERANCE * high,
        )

    def checked(self, watts: float, chance: float) -> tuple[float, float]:
        """The same with all draws, a little less where the part was too kind; and the share of them that holds."""
        for _ in range(_MOST_CHECKS):
            held = self._hottest(self._setup, watts) <= self._ceiling_c
            share = float((held[1:] if held.size > 1 else held).mean())
            if share >= chance:
                break
            watts *= _LESS
        return watts, share

    def watts_at_rise(self, rise_c_per_h: float) -> FloatArray:
        """Watts that warm the water at a rate at the target, the room at its warmest, for every draw."""
        warmest = np.asarray(self._setup.room.air_temp_c) + self._setup.room.daily_swing_c
        lost = heat_loss_w(self._setup, water_temp_c=self._target_c, air_temp_c=warmest)
        return np.asarray(lost + self._wh_per_c * rise_c_per_h)

    def _hottest(self, which: Setup, watts: float) -> FloatArray:
        stuck = replace(which, heater=Heater(heater_w=watts, target_temp_c=self._target_c))
        events, every = [HeaterSticksOn(at_h=0.0)], min(1.0, self._hours)
        try:
            done = course(stuck, events, until_h=self._hours, every_h=every, step_h=every, follow=Follow.HEAT)
        except ImpossibleInput:  # hotter than anything is followed
            return np.full(draws_in(stuck), np.inf)
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
