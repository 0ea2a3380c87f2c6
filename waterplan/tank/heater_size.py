"""Heater watts: enough on the coldest hour, and few enough that a stuck thermostat cannot cook the fish."""

from dataclasses import dataclass, replace

import numpy as np

from waterplan.errors import ImpossibleInput
from waterplan.published import FloatArray
from waterplan.tank.answers import DEFAULT_CHANCE, SEARCH_DRAWS, Answer, most, own_needs, quantile, thinned
from waterplan.tank.checked import draws_in, over_draws
from waterplan.tank.course import Follow
from waterplan.tank.equipment_events import HeaterSticksOn
from waterplan.tank.heat import EVAPORATION_KJ_PER_KG, KJ_PER_L_K, air_vapour_kpa, evaporation_kg_per_h
from waterplan.tank.setup import Heater, Setup
from waterplan.tank.through_time import course

_KJ_PER_WH = 3.6
_TOLERANCE, _NO_FROST_C = 1e-3, 1.0
_MOST_CHECKS, _LESS = 6, 0.99


@dataclass(frozen=True, slots=True, kw_only=True)
class HeaterSize:
    """The least watts that hold the temperature, and the most that cannot cook; `fits` where one heater is both."""

    least: Answer
    most: Answer

    @property
    def fits(self) -> bool:
        """Whether a heater exists that holds the temperature and cannot cook the fish."""
        return self.least.value is not None and self.most.value is not None and self.least.value <= self.most.value


def heat_loss_w(
    setup: Setup, *, water_temp_c: float, air_temp_c: FloatArray | float, lid_on: bool = False
) -> FloatArray:
    """Heat that a water at rest at a temperature loses to the room, to evaporation and to what runs through [W]."""
    tank, room, draws = setup.tank, setup.room, draws_in(setup, air_temp_c)
    surface_u = tank.lid_u_w_per_m2_k if lid_on else tank.surface_u_w_per_m2_k
    per_k = np.asarray(tank.wall_area_m2) * tank.wall_u_w_per_m2_k + np.asarray(tank.area_m2) * surface_u
    loss = over_draws(per_k * (water_temp_c - np.asarray(air_temp_c)), draws) - tank.pump_heat_w
    if np.any(np.asarray(tank.evaporation_factor) > 0.0):
        vapour = evaporation_kg_per_h(
            tank.area_m2,
            water_temp_c=water_temp_c,
            air_vapour_kpa=air_vapour_kpa(room.relative_humidity, air_temp_c=room.air_temp_c),
            air_speed_m_per_s=room.air_speed_m_per_s,
        )
        share = np.asarray(tank.evaporation_factor) * (tank.lid_evaporation_share if lid_on else 1.0)
        loss = loss + share * vapour * EVAPORATION_KJ_PER_KG / _KJ_PER_WH
    if setup.exchange is not None:
        flow, inflow_c = setup.exchange.flow_l_per_h, np.asarray(setup.exchange.source.water_temp_c)
        loss = loss + flow * KJ_PER_L_K * (water_temp_c - inflow_c) / _KJ_PER_WH
    return loss


def heater_size(
    setup: Setup,
    *,
    target_temp_c: float,
    ceiling_temp_c: float,
    unattended_h: float,
    chance: float = DEFAULT_CHANCE,
) -> HeaterSize:
    """The watts that hold a temperature, and the watts that cannot cook the fish if the thermostat sticks.

    Parameters
    ----------
    setup : Setup
        Tank and room; a heater in it is left out.
    target_temp_c : float
        Temperature to hold [°C].
    ceiling_temp_c : float
        Temperature that the water must not pass with the heater stuck on [°C].
    unattended_h : float
        Longest time that nobody looks [h].
    chance : float
        Share of the draws in which each is to hold.

    Returns
    -------
    HeaterSize
        Least watts at the coldest hour of the room, most watts from the target over the unattended time.

    Raises
    ------
    ImpossibleInput
        A ceiling that is not above the target, or a time that is not possible.

    Notes
    -----
    The least is the loss at rest with the room at its coldest; the most is searched with the heater stuck from a start
    at the target. Two heaters of half the least each fail less.
    """
    if not ceiling_temp_c > target_temp_c:
        raise ImpossibleInput("ceiling_temp_c", ceiling_temp_c, f"above the target, {target_temp_c:g}", unit="°C")
    if not unattended_h > 0.0:
        raise ImpossibleInput("unattended_h", unattended_h, "above 0", unit="h")
    coldest = np.asarray(setup.room.air_temp_c) - setup.room.daily_swing_c
    needed = np.maximum(heat_loss_w(setup, water_temp_c=target_temp_c, air_temp_c=coldest), 0.0)
    hold = own_needs(needed, unit="W", ruled_by="heat lost at the coldest hour", none_because="", chance=chance)

    start = replace(setup.water, water_temp_c=target_temp_c)
    warm = replace(setup, water=start, fish=(), aeration=(), filter=None, heater=None)
    few = thinned(warm, SEARCH_DRAWS)

    def hottest(which: Setup, watts: float) -> FloatArray:
        stuck = replace(which, heater=Heater(heater_w=watts, target_temp_c=target_temp_c))
        done = course(
            stuck, [HeaterSticksOn(at_h=0.0)], until_h=unattended_h, every_h=min(1.0, unattended_h), follow=Follow.HEAT
        )
        return done.highest("water_temp_c")

    # With this much the water passes the ceiling even against the loss that it has there.
    capacity_wh = np.asarray(setup.tank.volume_l) * KJ_PER_L_K / _KJ_PER_WH
    at_ceiling = heat_loss_w(setup, water_temp_c=ceiling_temp_c, air_temp_c=coldest)
    top = float(np.max(np.maximum(at_ceiling, 0.0) + capacity_wh * (ceiling_temp_c - target_temp_c) / unattended_h))
    # With this much it does not freeze, evaporation left out: no answer is below it.
    dry = replace(setup, tank=replace(setup.tank, evaporation_factor=0.0))
    frost = heat_loss_w(dry, water_temp_c=_NO_FROST_C, air_temp_c=coldest)
    low = min(float(np.max(np.maximum(frost, 0.0))), 0.5 * top)
    found = most(
        lambda watts: quantile(hottest(few, watts), chance) - ceiling_temp_c,
        low=low,
        high=top,
        tolerance=_TOLERANCE * top,
    )
    for _ in range(_MOST_CHECKS):
        held = hottest(warm, found or low) <= ceiling_temp_c
        share = float((held[1:] if held.size > 1 else held).mean())
        if found is None or share >= chance:
            break
        found *= _LESS  # the part of the draws that was searched was too kind
    safe = Answer(
        value=found,
        unit="W",
        chance=share,
        ruled_by=f"{ceiling_temp_c:g} °C after {unattended_h:g} h with the heater stuck on",
        none_because="the room alone brings the water past it" if found is None else "",
    )
    return HeaterSize(least=hold, most=safe)
