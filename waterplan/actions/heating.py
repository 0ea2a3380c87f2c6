"""The heater that holds a tank's temperature and cannot cook its fish if the thermostat sticks."""

from dataclasses import dataclass, replace

import numpy as np

from waterplan import tables
from waterplan.actions.amounts import high, up
from waterplan.actions.needs import Need
from waterplan.hazards.record import Why
from waterplan.published import FloatArray
from waterplan.stay.course import Scenario
from waterplan.stay.record import ActEnd
from waterplan.stay.standing import setup_of
from waterplan.tank.answers import thinned
from waterplan.tank.heater_size import watts_that_cannot_cook, watts_to_hold
from waterplan.tank.setup import Setup
from waterplan.tank.water_body import Tank

_SEARCH_DRAWS = 64
_MIN_PER_H = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Heating:
    """Watts as figures; `heater_w` where another heater than the one at hand is needed, `refused` where none may be used."""

    amounts: dict[str, str]
    heater_w: float | None
    costs: tuple[Why, ...] = ()
    cautions: tuple[Why, ...] = ()
    refused: tuple[Why, ...] = ()


def heating(need: Need, target_c: float) -> Heating:
    """The heater of a tank for a temperature: the least that holds it at the coldest hour, the most that cannot cook.

    Parameters
    ----------
    need : Need
        The tank.
    target_c : float
        Temperature to hold [°C].

    Returns
    -------
    Heating
        Figures, and what is to be put in.
    """
    assert need.stretch is not None
    lowest, highest = _tolerated(need)
    if not lowest < target_c < highest:
        ends = {
            "lowest": need.put("warm/tolerated-low", lowest, "°C"),
            "highest": need.put("warm/tolerated-high", highest, "°C"),
        }
        return Heating(amounts={}, heater_w=None, refused=(Why(code="temperature-outside-tolerated", figures=ends),))
    step = tables.row("temperature_steps", situation="healthy", limit="warmer step").value
    setup = setup_of(need.water, need.stretch, Scenario.POWER_OFF)
    factor = tables.row("heat_rates", part="open surface", quantity="evaporation factor").value
    open_tank = replace(setup, tank=replace(setup.tank, evaporation_factor=factor))
    closed = replace(setup, tank=_covered(setup.tank))
    lid = need.water.equipment.lid
    least = watts_to_hold(closed if lid else open_tank, target_temp_c=target_c)
    most = watts_that_cannot_cook(
        _few(open_tank if lid is False else closed),
        target_temp_c=target_c,
        ceiling_temp_c=min(highest, target_c + step),
        unattended_h=_unattended_h(need),
        most_rise_c_per_h=tables.row("temperature_steps", situation="convalescent", limit="per hour").value,
    )
    return _told(need, least.each, up(least.value or 0.0, "W"), most)


def _told(need: Need, each: FloatArray, least_w: float, most_w: float | None) -> Heating:
    amounts = {"heater": need.put("warm/heater", each, "W", act_end=ActEnd.HIGH, act_on=least_w)}
    if most_w is not None:
        amounts["heater at most"] = need.put("warm/heater-most", most_w, "W", act_end=ActEnd.LOW)
    has = need.water.equipment.heater_w
    given = 0.0 if has is None else high(has)
    costs, cautions = [], []
    if most_w is None or max(given, least_w) > most_w:
        costs.append(Why(code="heater-may-overheat", figures=dict(amounts)))
    if given >= least_w:
        cautions.append(Why(code="heater-is-enough"))
    cautions.append(Why(code="two-heaters-of-half-the-power"))
    needed = None if given >= least_w else least_w
    return Heating(amounts=amounts, heater_w=needed, costs=tuple(costs), cautions=tuple(cautions))


def _tolerated(need: Need) -> tuple[float, float]:
    """The narrowest of what the fish in the water tolerate."""
    assert need.stretch is not None
    kinds = {one.species.name for one in need.context.ground.fish_in(need.stretch)}
    rows = [tables.find("species_ranges", species=one, range="tolerated temperature") for one in sorted(kinds)]
    known = [row for row in rows if row is not None]
    return max((row.low for row in known), default=0.0), min((row.high for row in known), default=np.inf)


def _unattended_h(need: Need) -> float:
    unattended = need.context.ground.case.intended.unattended
    minutes = unattended.measured.best if unattended else tables.row("defaults", what="unattended").value
    return float(minutes) / _MIN_PER_H


def _covered(tank: Tank) -> Tank:
    """The tank with its lid on, for sums that know of no lid."""
    return replace(
        tank,
        surface_u_w_per_m2_k=tank.lid_u_w_per_m2_k,
        evaporation_factor=np.asarray(tank.evaporation_factor) * tank.lid_evaporation_share,
    )


def _few(setup: Setup) -> Setup:
    return thinned(replace(setup, fish=(), aeration=(), filter=None), _SEARCH_DRAWS)
