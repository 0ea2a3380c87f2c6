"""One step of temperature and volume: walls, surface, heater, evaporation, ice."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from waterplan.errors import Limits
from waterplan.published import FloatArray, require_possible
from waterplan.tank.balance.exponentials import Law
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
_MOST_TURNS, _NO_ICE_KG = 4, 1e-6  # a thermostat turns so often in a step at most
_OFF, _IN_BAND, _FULL = range(3)
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
        _move_heat(body, hours)
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


def _move_heat(body: Body, hours: float) -> None:
    loss, start_c = body.loss_kj_per_h_k[body.lid_on], body.temp_c
    clock = body.setup.start_clock_h + body.now_h
    room_a, room_b = (np.asarray(body.room.temp_c(clock + later)) for later in (0.0, hours))
    ice = KJ_PER_WH * ICE_W_PER_KG_K * body.ice_kg if body.ice_hangs else 0.0
    vapour, vapour_slope = _evaporation(body)
    per_kj = 1.0 / (body.volume_l * KJ_PER_L_K)
    unheated = Law(
        rate=per_kj * (loss + ice + EVAPORATION_KJ_PER_KG * vapour_slope),
        drive=per_kj * (loss * room_a - EVAPORATION_KJ_PER_KG * (vapour - vapour_slope * start_c)),
        rise=per_kj * (loss * (room_b - room_a) / hours),
    )
    end_c, degree_hours = _heated(body, unheated, per_kj, hours)

    vapour = vapour * hours + vapour_slope * (degree_hours - start_c * hours)
    if body.ice_hangs:
        left = body.ice_kg - ice * degree_hours / (ICE_MELTING_KJ_PER_KG + KJ_PER_L_K * start_c)
        body.ice_kg = np.where(left < _NO_ICE_KG, 0.0, left)
        body.ice_hangs = bool(body.ice_kg.any())
    body.warmth = Warmth(end_c)
    body.volume_l = np.maximum(body.volume_l - vapour, np.minimum(body.volume_l, _NEARLY_DRY * body.filled_l))


def _heated(body: Body, unheated: Law, per_kj: FloatArray, hours: float) -> tuple[FloatArray, FloatArray]:
    """The temperature at the end and its integral over the step [K h].

    A thermostat is off above its band and full beneath it, and between them in proportion: three laws, and each draw goes
    from one to the next in the hour in which it comes to an end of its band.
    """
    if body.heater is None or body.heater_cut or not body.power_on:
        return unheated.after(body.temp_c, 0.0, hours)
    full = per_kj * (KJ_PER_WH * np.asarray(body.heater.heater_w))
    if body.heater_stuck:
        return unheated._replace(drive=unheated.drive + full).after(body.temp_c, 0.0, hours)
    band = np.asarray(body.heater.band_c) + body.none
    top, temp_c = body.target_temp_c + 0.5 * band, body.temp_c
    part = _part_of(temp_c, top, band)
    law = _in_part(part, unheated, full, band, top)
    end_c, degree_hours = law.after(temp_c, 0.0, hours)

    draws, ends, from_h, so_far = np.arange(temp_c.size), _part_of(end_c, top, band), body.none, body.none
    for _ in range(_MOST_TURNS):
        turns = ends != part
        if not turns.any():
            break
        draws, temp_c, from_h, so_far, full, band, top, part, ends = (
            one[turns] for one in (draws, temp_c, from_h, so_far, full, band, top, part, ends)
        )
        unheated, law = unheated.of(turns), law.of(turns)
        edge = np.where((part == _OFF) | ((part == _IN_BAND) & (ends == _OFF)), top, top - band)
        hour = law.hour_of(edge, temp_c, end_c[draws], from_h, hours)
        so_far = so_far + law.after(temp_c, from_h, hour - from_h)[1]
        part = np.where(part == _IN_BAND, ends, _IN_BAND)
        temp_c, from_h, law = edge, hour, _in_part(part, unheated, full, band, top)
        end, rest = law.after(temp_c, from_h, hours - from_h)
        end_c[draws], degree_hours[draws], ends = end, so_far + rest, _part_of(end, top, band)
    return end_c, degree_hours


def _part_of(temp_c: FloatArray, top: FloatArray, band: FloatArray) -> NDArray[np.intp]:
    """Where in a thermostat's range a temperature lies."""
    return np.where(temp_c > top, _OFF, np.where(temp_c < top - band, _FULL, _IN_BAND))


def _in_part(part: NDArray[np.intp], unheated: Law, full: FloatArray, band: FloatArray, top: FloatArray) -> Law:
    """The law in each part of a thermostat's range."""
    in_band, steep = part == _IN_BAND, full / band
    drive = unheated.drive + np.where(in_band, steep * top, np.where(part == _FULL, full, 0.0))
    return Law(unheated.rate + np.where(in_band, steep, 0.0), drive, unheated.rise)


def _evaporation(body: Body) -> tuple[FloatArray, FloatArray]:
    """Water that evaporates at the temperature of the water [kg/h], and how that rises with it [kg/h/K]."""
    if body.vapour_kg_per_h_kpa is None:
        return _NOTHING, _NOTHING
    line = body.vapour_kg_per_h_kpa * (body.tank.lid_evaporation_share if body.lid_on else 1.0)
    saturated = body.warmth.vapour_kpa
    # The slope of the curve, from the Magnus form: good to 1 %, and only the second order of a step hangs on it.
    steepness = _MAGNUS_A * _MAGNUS_B / (body.temp_c + _MAGNUS_B) ** 2
    return line * (saturated - body.air_vapour_kpa), line * saturated * steepness
