"""One step of temperature and volume: walls, surface, heater, evaporation, inflow, ice."""

from typing import NamedTuple

import numpy as np

from waterplan.published import FloatArray, Numbers
from waterplan.tank.body import Body
from waterplan.tank.exponentials import settling
from waterplan.tank.heat import EVAPORATION_KJ_PER_KG, KJ_PER_L_K, evaporation_kg_per_h
from waterplan.tank.ledger import Quantity

_KJ_PER_WH = 3.6
ICE_MELTING_KJ_PER_KG = 333.6
# Heat that a kilogram of sealed ice in bottles takes up per degree of the water's warmth: about 0.06 m2 of bottle wall
# at 100 W/m2/K (judgement).
ICE_W_PER_KG_K = 6.0
_NUDGE_C = 0.01


class Span(NamedTuple):
    """A step as the other balances see it."""

    hours: float
    start_c: FloatArray
    end_c: FloatArray
    volume_l: FloatArray
    flow_l_per_h: FloatArray

    @property
    def mean_c(self) -> FloatArray:
        """Mean of the temperatures at both ends [°C]."""
        return 0.5 * (self.start_c + self.end_c)

    @property
    def outflow_per_h(self) -> FloatArray:
        """Share of the water that flows out in an hour [1/h]."""
        return self.flow_l_per_h / self.volume_l


def advance_heat(body: Body, hours: float, parts: int) -> Span:
    """Moves temperature and volume on by a step of `hours`, in `parts`, and enters heat and water in the ledger."""
    start_c, start_l = body.temp_c, body.volume_l
    for part in range(parts):
        _advance_part(body, body.now_h + hours * part / parts, hours / parts)
    flow = np.zeros(body.draws) + (body.exchange.flow_l_per_h if body.exchange else 0.0)
    return Span(hours, start_c, body.temp_c, 0.5 * (start_l + body.volume_l), flow)


def _advance_part(body: Body, at_h: float, hours: float) -> None:
    tank, ledger = body.tank, body.ledger
    capacity = body.volume_l * KJ_PER_L_K
    surface_u = tank.lid_u_w_per_m2_k if body.lid_on else tank.surface_u_w_per_m2_k
    loss = _KJ_PER_WH * (np.asarray(tank.wall_area_m2) * tank.wall_u_w_per_m2_k + np.asarray(tank.area_m2) * surface_u)
    clock = body.setup.start_clock_h + at_h
    room_a, room_b = (np.asarray(body.room.temp_c(clock + later)) for later in (0.0, hours))
    inflow = body.exchange.flow_l_per_h * KJ_PER_L_K if body.exchange else 0.0
    inflow_c = body.exchange.source.water_temp_c if body.exchange else 0.0
    ice = _ice(body)
    pumps = _KJ_PER_WH * np.asarray(tank.pump_heat_w) * body.power_on
    linear = loss + inflow + ice
    fixed_a = loss * room_a + inflow * inflow_c + pumps

    start_c, at_start = body.temp_c, _heater_and_evaporation(body, body.temp_c)
    guess_c = start_c + _NUDGE_C
    for _ in range(2 if at_start.varies else 1):
        moved = guess_c - start_c
        if at_start.varies:
            at_guess = _heater_and_evaporation(body, guess_c)
            moved = np.where(moved == 0.0, _NUDGE_C, moved)
            heater_slope = (at_guess.heater - at_start.heater) / moved
            vapour_slope = (at_guess.vapour - at_start.vapour) / moved
        else:
            heater_slope = vapour_slope = np.zeros(body.draws)
        slope = heater_slope - EVAPORATION_KJ_PER_KG * vapour_slope
        forcing = fixed_a + at_start.heater - EVAPORATION_KJ_PER_KG * at_start.vapour - slope * start_c
        ramp = loss * (room_b - room_a)
        s = settling(np.maximum((linear - slope) / capacity * hours, 0.0))
        guess_c = s.left * start_c + hours / capacity * (s.first * forcing + s.second * ramp)
    degree_hours = hours * (s.first * start_c + hours / capacity * (s.second * forcing + s.third * ramp))

    above_start = degree_hours - start_c * hours
    heated = at_start.heater * hours + heater_slope * above_start
    vapour = at_start.vapour * hours + vapour_slope * above_start
    ledger.add(Quantity.HEAT, "walls and surface", loss * (0.5 * hours * (room_a + room_b) - degree_hours))
    ledger.add(Quantity.HEAT, "heater", heated)
    ledger.add(Quantity.HEAT, "pumps", pumps * hours)
    ledger.add(Quantity.HEAT, "evaporation", -vapour * (EVAPORATION_KJ_PER_KG + KJ_PER_L_K * guess_c))
    ledger.add(Quantity.WATER, "evaporation", -vapour)
    if body.exchange:
        ledger.add(Quantity.HEAT, "exchange in", inflow * inflow_c * hours)
        ledger.add(Quantity.HEAT, "exchange out", -inflow * degree_hours)
        ledger.add(Quantity.WATER, "exchange in", body.exchange.flow_l_per_h * hours)
        ledger.add(Quantity.WATER, "exchange out", -body.exchange.flow_l_per_h * np.full(body.draws, hours))
    if np.any(body.ice_kg > 0.0):
        ledger.add(Quantity.HEAT, "ice", -ice * degree_hours)
        body.ice_kg = body.ice_kg - ice * degree_hours / (ICE_MELTING_KJ_PER_KG + KJ_PER_L_K * start_c)
        body.ice_kg = np.where(body.ice_kg < 1e-6, 0.0, body.ice_kg)
    body.temp_c = guess_c
    body.volume_l = body.volume_l - vapour


class _Varying(NamedTuple):
    heater: FloatArray  # kJ/h
    vapour: FloatArray  # kg/h
    varies: bool


def _heater_and_evaporation(body: Body, temp_c: FloatArray) -> _Varying:
    tank, varies = body.tank, False
    heater = vapour = np.zeros(body.draws)
    if body.heater is not None and body.power_on:
        need: Numbers = 1.0
        if not body.heater_stuck:
            band = np.asarray(body.heater.band_c)
            need, varies = np.clip((body.target_temp_c + 0.5 * band - temp_c) / band, 0.0, 1.0), True
        heater = heater + _KJ_PER_WH * np.asarray(body.heater.heater_w) * need
    if np.any(np.asarray(tank.evaporation_factor) > 0.0):
        share = np.asarray(tank.evaporation_factor) * (tank.lid_evaporation_share if body.lid_on else 1.0)
        vapour = vapour + share * evaporation_kg_per_h(
            tank.area_m2,
            water_temp_c=temp_c,
            air_vapour_kpa=body.air_vapour_kpa,
            air_speed_m_per_s=body.room.air_speed_m_per_s,
        )
        varies = True
    return _Varying(heater, vapour, varies)


def _ice(body: Body) -> FloatArray:
    """Heat that the ice takes per degree [kJ/h/K]."""
    return _KJ_PER_WH * ICE_W_PER_KG_K * body.ice_kg
