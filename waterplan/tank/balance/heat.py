"""One step of temperature and volume: walls, surface, heater, evaporation, ice."""

from typing import NamedTuple

import numpy as np

from waterplan.errors import Limits
from waterplan.published import FloatArray, require_possible
from waterplan.tank.balance.exponentials import settling
from waterplan.tank.balance.warmth import Warmth, mean
from waterplan.tank.body import Body
from waterplan.tank.heat import EVAPORATION_KJ_PER_KG, KJ_PER_L_K, KJ_PER_WH

# Temperatures that the equations of gas and carbon can follow at any pond's height [°C]: at 80 °C water boils at 47 kPa, and
# no pond has less than 50. Water that a stuck heater would make hotter, or frost colder, has killed its fish: it is kept at them.
_FOLLOWED = Limits(-5.0, 80.0)
ICE_MELTING_KJ_PER_KG = 333.6
# Heat that a kilogram of sealed ice in bottles takes up per degree of the water's warmth: about 0.06 m2 of bottle wall
# at 100 W/m2/K (judgement).
ICE_W_PER_KG_K = 6.0
# The share of its water at which a tub that dries up, or boils dry, is kept: nothing is followed that has no water left.
_NEARLY_DRY = 0.1
# What the step draws again: the straight line through the thermostat's curve at both ends.
_HEATER_PASSES, _HEATER_TOLERANCE_KJ_PER_H, _NUDGE_C, _NO_ICE_KG = 3, 1e-6, 1e-6, 1e-6
_THERMOSTAT_PARTS = 4
_MAGNUS_A, _MAGNUS_B = 17.27, 237.3
_NOTHING = np.zeros(1)


class Span(NamedTuple):
    """A step as the other balances see it."""

    hours: float
    start: Warmth
    end: Warmth
    mean_c: FloatArray
    volume_l: FloatArray


def advance_heat(body: Body, hours: float) -> Span:
    """Moves temperature and volume on by a step."""
    start, start_l = body.warmth, body.volume_l
    if _heat_moves(body):
        parts = _THERMOSTAT_PARTS if _thermostat_may_turn(body, hours) else 1
        for part in range(parts):
            _move_heat(body, body.now_h + hours * part / parts, hours / parts)
        _keep_followed(body, hours)
    end, volume = body.warmth, mean(start_l, body.volume_l)
    return Span(hours, start, end, mean(start.temp_c, end.temp_c), volume)


def _keep_followed(body: Body, hours: float) -> None:
    low, high = body.temp_c.min(), body.temp_c.max()
    if not (low >= _FOLLOWED.low and high <= _FOLLOWED.high):
        body.warmth = Warmth(np.clip(body.temp_c, *_FOLLOWED))
        require_possible(f"water temperature at {body.now_h + hours:.3g} h", body.temp_c, _FOLLOWED, "°C")


def _heat_moves(body: Body) -> bool:
    """Whether anything brings the water heat or takes it away; a tank held at its temperature is spared the sum."""
    return (
        body.heat_leaks[body.lid_on]
        or body.heater is not None
        or body.vapour_kg_per_h_kpa is not None
        or body.ice_hangs
    )


def _move_heat(body: Body, at_h: float, hours: float) -> None:
    capacity = body.volume_l * KJ_PER_L_K
    loss = body.loss_kj_per_h_k[body.lid_on]
    clock = body.setup.start_clock_h + at_h
    room_a, room_b = (np.asarray(body.room.temp_c(clock + later)) for later in (0.0, hours))
    ice = KJ_PER_WH * ICE_W_PER_KG_K * body.ice_kg if body.ice_hangs else 0.0

    start_c = end_c = body.temp_c
    vapour, vapour_slope = _evaporation(body)
    heater, heater_slope = _heater(body, start_c)
    forcing = loss * room_a + heater - EVAPORATION_KJ_PER_KG * vapour
    ramp = loss * (room_b - room_a)
    last = _HEATER_PASSES if heater_slope.size > 1 else 1
    for drawn in range(1, last + 1):
        slope = heater_slope - EVAPORATION_KJ_PER_KG * vapour_slope
        s = settling((loss + ice - slope) / capacity * hours)
        steady = forcing - slope * start_c
        end_c = s.left * start_c + hours / capacity * (s.first * steady + s.second * ramp)
        if drawn < last:
            used_slope = heater_slope
            moved = end_c - start_c
            moved = np.where(moved == 0.0, _NUDGE_C, moved)
            heater_slope = (_heater(body, start_c + moved)[0] - heater) / moved
            if np.max(np.abs(heater_slope - used_slope) * np.abs(moved)) < _HEATER_TOLERANCE_KJ_PER_H:
                break
    degree_hours = hours * (s.first * start_c + hours / capacity * (s.second * steady + s.third * ramp))

    above_start = degree_hours - start_c * hours
    vapour = vapour * hours + vapour_slope * above_start
    if body.ice_hangs:
        left = body.ice_kg - ice * degree_hours / (ICE_MELTING_KJ_PER_KG + KJ_PER_L_K * start_c)
        body.ice_kg = np.where(left < _NO_ICE_KG, 0.0, left)
        body.ice_hangs = bool(body.ice_kg.any())
    body.warmth = Warmth(end_c)
    body.volume_l = np.maximum(body.volume_l - vapour, np.minimum(body.volume_l, _NEARLY_DRY * body.filled_l))


def _heater(body: Body, temp_c: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Heat from the heater at a temperature of the water [kJ/h], and how it changes with that [kJ/h/K]."""
    if body.heater is None or body.heater_cut or not body.power_on:
        return _NOTHING, _NOTHING
    full = KJ_PER_WH * np.asarray(body.heater.heater_w)
    if body.heater_stuck:
        return np.atleast_1d(full), _NOTHING
    need = _need(body, temp_c)
    heat = np.asarray(full * np.minimum(np.maximum(need, 0.0), 1.0))
    return heat, np.atleast_1d(((need > 0.0) & (need < 1.0)) * (-full / np.asarray(body.heater.band_c)))


def _need(body: Body, temp_c: FloatArray) -> FloatArray:
    """The share of its heat that a thermostat asks for, in the middle of its band a half; there it is from 0 to 1."""
    assert body.heater is not None
    band = np.asarray(body.heater.band_c)
    return np.asarray((body.target_temp_c + 0.5 * band - temp_c) / band)


def _thermostat_may_turn(body: Body, hours: float) -> bool:
    """Whether the heater may come to an end of its band in any draw: there its curve has a corner."""
    if body.heater is None or body.heater_stuck or body.heater_cut or not body.power_on:
        return False
    past_band = np.abs(body.temp_c - body.target_temp_c) - 0.5 * np.asarray(body.heater.band_c)
    reach = KJ_PER_WH * np.asarray(body.heater.heater_w) * hours / (body.volume_l * KJ_PER_L_K)
    return bool(np.any((past_band > 0.0) & (past_band < reach)))


def _evaporation(body: Body) -> tuple[FloatArray, FloatArray]:
    """Water that evaporates at the temperature of the water [kg/h], and how that rises with it [kg/h/K]."""
    if body.vapour_kg_per_h_kpa is None:
        return _NOTHING, _NOTHING
    line = body.vapour_kg_per_h_kpa * (body.tank.lid_evaporation_share if body.lid_on else 1.0)
    saturated = body.warmth.vapour_kpa
    # The slope of the curve, from the Magnus form: good to 1 %, and only the second order of a step hangs on it.
    steepness = _MAGNUS_A * _MAGNUS_B / (body.temp_c + _MAGNUS_B) ** 2
    return line * (saturated - body.air_vapour_kpa), line * saturated * steepness
