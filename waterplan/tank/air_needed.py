"""The least air that holds an oxygen level or drives out carbon dioxide, and what air cannot do at all."""

import math
from dataclasses import dataclass

import numpy as np

from waterplan.errors import ImpossibleInput
from waterplan.published import FloatArray, Numbers, published
from waterplan.tank.aeration import Diffuser, surface_transfer_l_per_h
from waterplan.tank.answers import CHANCE, Answer, drawn, own_needs
from waterplan.tank.balance.carbonate import MG_CO2_PER_MMOL
from waterplan.tank.checked import draws_in, over_draws
from waterplan.tank.occupants import MG_O2_PER_MMOL
from waterplan.tank.setup import Setup
from waterplan.water.gas import co2_at_air_equilibrium_mg_per_l
from waterplan.water.oxygen import saturation_mg_per_l


@published(source="mass_balance", locator="steady state, G (C* - C) = demand less what else comes in", status="derived")
def air_flow_to_hold_l_per_min(
    target_do_mg_per_l: Numbers,
    *,
    demand_mg_per_h: Numbers,
    ceiling_do_mg_per_l: Numbers,
    transfer_l_per_h_per_l_per_min: Numbers,
) -> Numbers:
    """Air that holds an oxygen level against a demand.

    Parameters
    ----------
    target_do_mg_per_l : float or array
        Dissolved oxygen to hold [mg/L].
    demand_mg_per_h : float or array
        Oxygen taken in an hour, less what comes in otherwise [mg/h].
    ceiling_do_mg_per_l : float or array
        Level that the bubbles could bring this water to: beta times saturation for air [mg/L].
    transfer_l_per_h_per_l_per_min : float or array
        Water that each L/min equilibrates in an hour [L/h per L/min].

    Returns
    -------
    float or array
        Air flow, infinite where air cannot hold the level at all, 0 where none is needed [L/min].

    Raises
    ------
    ImpossibleInput
        An argument that is negative or not finite.

    Notes
    -----
    demand/(g (C* - C)). Bubbles never bring water above C*.

    Examples
    --------
    >>> air_flow_to_hold_l_per_min(
    ...     7.0, demand_mg_per_h=60.0, ceiling_do_mg_per_l=9.0, transfer_l_per_h_per_l_per_min=30.0)
    1.0
    """
    driving = np.asarray(ceiling_do_mg_per_l) - target_do_mg_per_l
    with np.errstate(divide="ignore", invalid="ignore"):
        flow = demand_mg_per_h / (transfer_l_per_h_per_l_per_min * driving)
    return np.where(np.asarray(demand_mg_per_h) <= 0.0, 0.0, np.where(driving > 0.0, flow, np.inf))


@published(
    source="mass_balance",
    locator="V dC/dt = P - G (C - C*): P/(C - C*) holds a level, (V/t) ln((C0 - C*)/(C - C*)) comes to it, both do both",
    status="derived",
)
def air_flow_to_strip_l_per_min(
    end_mg_per_l: Numbers,
    *,
    start_mg_per_l: Numbers,
    in_air_mg_per_l: Numbers,
    given_mg_per_h: Numbers,
    volume_l: Numbers,
    hours: Numbers,
    transfer_l_per_h_per_l_per_min: Numbers,
) -> Numbers:
    """Air that brings a dissolved gas down to a level in a time, and holds it there.

    Parameters
    ----------
    end_mg_per_l : float or array
        Level at the end [mg/L].
    start_mg_per_l : float or array
        Level at the start [mg/L].
    in_air_mg_per_l : float or array
        Level in balance with the air [mg/L].
    given_mg_per_h : float or array
        Gas given to the water in an hour [mg/h].
    volume_l : float or array
        Volume of water [L].
    hours : float or array
        Time [h].
    transfer_l_per_h_per_l_per_min : float or array
        Water that each L/min frees of the gas in an hour [L/h per L/min].

    Returns
    -------
    float or array
        Air flow, infinite where air cannot bring it there at all [L/min].

    Raises
    ------
    ImpossibleInput
        An argument that is negative or not finite.

    Notes
    -----
    Never too little: with P > 0 what holds and what comes down, one after the other, is more than what does both.
    Checked by hand: 600 L from 45 to 20 mg/L in an hour, nothing given, none in the air, 15 L/h per L/min: 32.4 L/min.

    Examples
    --------
    >>> flow = {"start_mg_per_l": 45.0, "in_air_mg_per_l": 0.0, "given_mg_per_h": 0.0, "volume_l": 600.0}
    >>> round(air_flow_to_strip_l_per_min(20.0, **flow, hours=1.0, transfer_l_per_h_per_l_per_min=15.0), 1)
    32.4
    """
    above = np.asarray(end_mg_per_l) - in_air_mg_per_l
    with np.errstate(divide="ignore", invalid="ignore"):
        falls = np.log(np.maximum((np.asarray(start_mg_per_l) - in_air_mg_per_l) / above, 1.0))
        flow = (given_mg_per_h / above + volume_l / np.asarray(hours) * falls) / transfer_l_per_h_per_l_per_min
    return np.where(above > 0.0, flow, np.inf)


@dataclass(frozen=True, slots=True, kw_only=True)
class AirNeeded:
    """The air, and the highest level that air could hold here."""

    flow: Answer
    highest_do_mg_per_l: float


def least_air(
    setup: Setup,
    *,
    stone: Diffuser,
    target_do_mg_per_l: float,
    stress_factor: Numbers = 1.0,
) -> AirNeeded:
    """The least air through stones of a kind that holds an oxygen level in the worst draws.

    Parameters
    ----------
    setup : Setup
        The tank with its fish; its own aeration is left out, its surface counts.
    stone : Diffuser
        The kind of stone: depth, efficiency, alpha, beta; its flow does not matter.
    target_do_mg_per_l : float
        Dissolved oxygen to hold [mg/L].
    stress_factor : float or array
        How many times its rest the fish takes [-].

    Returns
    -------
    AirNeeded
        Flow, and the highest level that air can hold in enough of the draws.

    Raises
    ------
    ImpossibleInput
        A stone that moves no oxygen.

    Notes
    -----
    At rest the balance is closed; each draw's need is worked out by itself and the answer is its quantile.
    """
    draws = draws_in(setup, stone, stress_factor)
    temp = over_draws(setup.water.water_temp_c, draws)
    full = over_draws(
        saturation_mg_per_l(
            setup.water.water_temp_c,
            salinity_g_per_kg=setup.water.salinity_g_per_l,
            air_pressure_kpa=setup.room.air_pressure_kpa,
        ),
        draws,
    )
    ceiling = full * stone.ceiling
    per_l_per_min = stone.transfer_l_per_h(temp) / np.asarray(stone.air_flow_l_per_min)
    if not np.all(per_l_per_min > 0.0):
        raise ImpossibleInput("stone", stone.name, "a diffuser with a flow, a depth and an efficiency above 0")
    demand = demand_at_rest_mg_per_h(setup, temp) * stress_factor
    surface = surface_transfer_l_per_h(setup.tank.area_m2, transfer_m_per_day=setup.tank.transfer_m_per_day)
    wanted = demand - surface * (full - target_do_mg_per_l)
    needed = over_draws(
        air_flow_to_hold_l_per_min(
            target_do_mg_per_l,
            demand_mg_per_h=np.maximum(wanted, 0.0),
            ceiling_do_mg_per_l=ceiling,
            transfer_l_per_h_per_l_per_min=per_l_per_min,
        ),
        draws,
    )
    return AirNeeded(flow=own_needs(needed), highest_do_mg_per_l=float(np.quantile(drawn(ceiling), 1.0 - CHANCE)))


def least_air_against_co2(
    setup: Setup,
    *,
    stone: Diffuser,
    start_mg_per_l: Numbers,
    end_mg_per_l: float,
    hours: float,
    stress_factor: Numbers = 1.0,
) -> Answer:
    """The least air through stones of a kind that brings carbon dioxide down to a level in a time and holds it there.

    Nothing is counted of what the surface lets go, and as much carbon dioxide as oxygen is taken, by moles: a fish gives less.
    """
    draws = draws_in(setup, stone, start_mg_per_l, stress_factor)
    temp = over_draws(setup.water.water_temp_c, draws)
    room = {"co2_in_air_ppm": setup.room.co2_in_air_ppm, "air_pressure_kpa": setup.room.air_pressure_kpa}
    needed = air_flow_to_strip_l_per_min(
        end_mg_per_l,
        start_mg_per_l=start_mg_per_l,
        in_air_mg_per_l=co2_at_air_equilibrium_mg_per_l(temp, **room),
        given_mg_per_h=demand_at_rest_mg_per_h(setup, temp) * stress_factor * (MG_CO2_PER_MMOL / MG_O2_PER_MMOL),
        volume_l=setup.tank.volume_l,
        hours=hours,
        transfer_l_per_h_per_l_per_min=stone.strips_l_per_h(temp) / np.asarray(stone.air_flow_l_per_min),
    )
    return own_needs(over_draws(needed, draws))


def outlets(flow_l_per_min: float, *, most_l_per_min_per_outlet: float, least_outlets: int) -> int:
    """The outlets that air is to be spread over: some in any case, so that one may clog."""
    return max(least_outlets, math.ceil(flow_l_per_min / most_l_per_min_per_outlet))


def demand_at_rest_mg_per_h(setup: Setup, temp_c: FloatArray) -> FloatArray:
    """Oxygen that fish and pond want in an hour at a temperature, the fish at rest."""
    fish = sum((one.uptake_mg_per_h(temp_c) for one in setup.fish), start=np.zeros_like(temp_c))
    tank = setup.tank
    warmth = np.exp(np.log(tank.other_q10) * (temp_c - tank.rates_at_temp_c) / 10.0)
    return np.asarray(fish + tank.other_demand_mg_per_h * warmth)
