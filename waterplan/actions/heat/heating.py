"""What brings a tub that no fish is in yet to a temperature: the energy, and the hours or the heater; or ice."""

from dataclasses import replace

import numpy as np

from waterplan import tables
from waterplan.actions.amounts import high, low, up
from waterplan.actions.heat.rungs import cap
from waterplan.actions.needs import Need
from waterplan.actions.record import Kind
from waterplan.hazards.record import Why
from waterplan.published import FloatArray, Numbers
from waterplan.spread import Measured
from waterplan.stay.inputs import Inputs
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd
from waterplan.stay.waters import hours_of
from waterplan.tank.answers import Answer, own_needs, thinned
from waterplan.tank.balance.heat import ICE_MELTING_KJ_PER_KG
from waterplan.tank.course import Follow
from waterplan.tank.heat import KJ_PER_L_K, KJ_PER_WH
from waterplan.tank.heater_size import watts_that_cannot_cook, watts_to_hold
from waterplan.tank.setup import Setup
from waterplan.tank.through_time import course

_W_PER_KW, _SEARCH_DRAWS = 1000.0, 64
# Of ice the table `rounding` has steps of its own.
ICE = "ice kg"


def ice_kg(litres: Numbers, fall_c: Numbers, to_c: Numbers) -> Numbers:
    """Ice whose melting, and whose warming after it, brings about a fall [kg].

    Parameters
    ----------
    litres : float or array, shape (draws + 1,)
        Water that is cooled [L].
    fall_c : float or array, shape (draws + 1,)
        How far it is to fall [°C].
    to_c : float or array, shape (draws + 1,)
        The temperature that it comes to, and the melted ice with it [°C].

    Returns
    -------
    float or array
        Ice at 0 °C [kg].

    Notes
    -----
    Heat lost by the water is heat taken up by the ice: its melting, and the warming of what has melted.

    Examples
    --------
    >>> round(ice_kg(2000.0, 6.0, 15.0), 1)
    126.4
    """
    return litres * KJ_PER_L_K * fall_c / (ICE_MELTING_KJ_PER_KG + KJ_PER_L_K * to_c)


def to_be_brought(need: Need, kind: Kind, target: FloatArray) -> dict[str, str]:
    """Ice and the hours in which it melts; or the energy, with the hours of the heater at hand, or the heater that it takes.

    For the high end of it all, or all the ice that there is: with no fish in it the thermometer ends it.
    """
    litres, apart = need.state[Q.VOLUME], np.abs(target - need.state[Q.TEMPERATURE])
    if kind is Kind.COOL:
        melts = tables.row("heat_rates", part="ice in sealed bottles", quantity="hours to melt")
        kilograms = np.asarray(ice_kg(litres, apart, target))
        fetched = np.minimum(kilograms, max(tables.row("action_rules", rule="ice most").value, kilograms[0]))
        ends = {"act_end": ActEnd.HIGH, "act_on": up(high(fetched), ICE), "worked_out_for": "high"}
        return {
            "ice": need.put("cool/ice", fetched, "kg", **ends),
            "hours": need.put("cool/hours", melts.high, "h", act_end=ActEnd.HIGH, rows=(melts.id,)),
        }
    watt_hours = litres * KJ_PER_L_K * apart / KJ_PER_WH
    used = {"act_end": ActEnd.HIGH, "worked_out_for": "high"}
    amounts = {"energy": need.put("warm/energy", watt_hours / _W_PER_KW, "kWh", **used)}
    given_w = need.water.equipment.heater_w
    if given_w is not None and low(given_w) > 0.0:
        return amounts | {"hours": need.put("warm/hours", watt_hours / given_w, "h", **used)}
    most, there = tables.row("heat_rates", part="heaters at hand", quantity="power"), hours_of("before the operation")
    hours = np.maximum(there, watt_hours / most.value)
    watts = np.minimum(watt_hours / there, most.value)
    return amounts | {
        "hours": need.put("warm/hours", hours, "h", rows=(most.id,), **used),
        "heater": need.put("warm/heater-before", watts, "W", act_on=min(up(high(watts), "W"), most.value), **used),
    }


def more_ice_than_there_is(need: Need, total: float, to_c: float, *, name: str = "ice") -> tuple[Why, Why] | None:
    """That so much ice cannot be brought, and what all that can be brought does; None where it can."""
    most = tables.row("action_rules", rule="ice most")
    if total <= most.value:
        return None
    falls = most.value / float(ice_kg(high(need.state[Q.VOLUME]), 1.0, to_c))
    there = {"most": need.put_row("cool/ice-most", most, "kg", ActEnd.LOW)}
    needed = need.put(f"cool/{name}-needed", total, "kg", act_end=ActEnd.HIGH, act_on=up(total, ICE))
    fall = need.put(f"cool/{name}-falls", falls, "°C step", act_end=ActEnd.LOW)
    because = Why(code="more-ice-than-can-be-brought", figures={**there, "ice": needed})
    return because, Why(code="ice-that-there-is", figures={**there, "fall": fall})


def room_alone(setup: Setup, start_c: float, *, near_c: float, most_h: float) -> Answer:
    """Hours in which a tank with its heater off falls near enough to a colder temperature; infinite where it does not.

    Parameters
    ----------
    setup : Setup
        The tank and its room; its fish, air and filter are left out.
    start_c : float
        The temperature that it begins with [°C].
    near_c : float
        The temperature under which it is near enough [°C].
    most_h : float
        How long it is followed [h].

    Returns
    -------
    Answer
        The hours, of the worst and of each of the few draws of a search [h].
    """
    few = thinned(setup, _SEARCH_DRAWS)
    still = replace(few, water=replace(few.water, water_temp_c=start_c), fish=(), aeration=(), filter=None, heater=None)
    done = course(still, [], until_h=max(most_h, 1.0), every_h=1.0, step_h=1.0, follow=Follow.HEAT)
    near = done.states["water_temp_c"] <= near_c
    return own_needs(np.where(near.any(axis=0), done.hours[near.argmax(axis=0)], np.inf))


def least_watts(setup: Setup, target_c: float, *, lid: bool | None, inputs: Inputs) -> Answer:
    """The least watts that hold what a thermostat is set to at the coldest hour; without a lid where none is known of.

    Parameters
    ----------
    setup : Setup
        The tank with its walls and its room.
    target_c : float
        What the thermostat is set to [°C].
    lid : bool or None
        Whether it has a lid; None where nobody said.
    inputs : Inputs
        The draws of the thermostat's error and of the evaporation.

    Returns
    -------
    Answer
        The watts, in the worst case and of each draw [W].
    """
    off = inputs.value(tables.row("heat_rates", part="thermostat", quantity="off"))
    held_c = target_c + inputs.of("thermostat", Measured.plus_minus(0.0, off))
    return watts_to_hold(_with_a_lid(setup) if lid else _open(setup, inputs), target_temp_c=held_c)


def most_watts(
    setup: Setup,
    target_c: float,
    *,
    lid: bool | None,
    highest_c: float,
    unattended_h: float,
    inputs: Inputs,
) -> float | None:
    """The most watts that cannot cook the fish where they stick on unseen; with a lid where none is known to be off.

    Parameters
    ----------
    setup : Setup
        The tank with its walls and its room.
    target_c : float
        What the thermostat is set to [°C].
    lid : bool or None
        Whether it has a lid; None where nobody said.
    highest_c : float
        The highest temperature that the fish bear [°C].
    unattended_h : float
        The longest time in which nobody looks [h].
    inputs : Inputs
        The draws of the evaporation.

    Returns
    -------
    float or None
        The watts [W]; None where none are safe.
    """
    step = tables.row("temperature_steps", situation="healthy", limit="warmer step").value
    return watts_that_cannot_cook(
        thinned(_open(setup, inputs) if lid is False else _with_a_lid(setup), _SEARCH_DRAWS),
        target_temp_c=target_c,
        ceiling_temp_c=min(highest_c, target_c + step),
        unattended_h=unattended_h,
        most_rise_c_per_h=cap("per hour").value,
    )


def _open(setup: Setup, inputs: Inputs) -> Setup:
    """The tank with nothing over it, its water moved."""
    row = tables.row("heat_rates", part="open surface", quantity="evaporation factor")
    factor = inputs.of_row("evaporation of a heated surface", row)
    return replace(setup, tank=replace(setup.tank, evaporation_factor=factor))


def _with_a_lid(setup: Setup) -> Setup:
    """The tank with its lid on, for sums that know of no lid."""
    tank = setup.tank
    share = np.asarray(tank.evaporation_factor) * tank.lid_evaporation_share
    return replace(setup, tank=replace(tank, surface_u_w_per_m2_k=tank.lid_u_w_per_m2_k, evaporation_factor=share))
