"""The least air that holds an oxygen level, and what air cannot do at all."""

import math
from dataclasses import dataclass

import numpy as np

from waterplan.errors import ImpossibleInput
from waterplan.published import FloatArray, Numbers, published
from waterplan.tank.aeration import Diffuser, surface_transfer_l_per_h
from waterplan.tank.answers import CHANCE, Answer, drawn, own_needs
from waterplan.tank.checked import draws_in, over_draws
from waterplan.tank.setup import Setup
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


def outlets(flow_l_per_min: float, *, most_l_per_min_per_outlet: float, least_outlets: int) -> int:
    """The outlets that air is to be spread over: some in any case, so that one may clog."""
    return max(least_outlets, math.ceil(flow_l_per_min / most_l_per_min_per_outlet))


def demand_at_rest_mg_per_h(setup: Setup, temp_c: FloatArray) -> FloatArray:
    """Oxygen that fish and pond want in an hour at a temperature, the fish at rest."""
    fish = sum((one.uptake_mg_per_h(temp_c) for one in setup.fish), start=np.zeros_like(temp_c))
    tank = setup.tank
    warmth = np.exp(np.log(tank.other_q10) * (temp_c - tank.rates_at_temp_c) / 10.0)
    return np.asarray(fish + tank.other_demand_mg_per_h * warmth)
