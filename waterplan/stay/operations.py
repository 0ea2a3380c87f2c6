"""What can be done to a water, one function each: from a state to a state.

All of them pour, change and dose through the tank's own body of water, so that what is mixed on a card, in the ledger
and in the course of the stay is mixed by the same lines.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from waterplan.published import FloatArray, Numbers
from waterplan.stay.quantities import Q
from waterplan.stay.state import CHLORIDE_OF_SALT, SOLUTES, Known, State, as_tank_water, derived, solute_levels
from waterplan.tank.balance.warmth import Warmth
from waterplan.tank.body import MEQ_PER_MG_CACO3, N_PER_NO2, N_PER_NO3, Body
from waterplan.tank.setup import Setup
from waterplan.tank.water_body import Room, Tank
from waterplan.water import carbonate
from waterplan.water.gas import co2_at_air_equilibrium_mg_per_l, nitrogen_umol_per_kg

_MMOL_PER_G_NAHCO3 = 1000.0 / 84.007
_MG_PER_G = 1000.0
_NO_WATER_L = 1e-6  # an empty vessel still has a temperature and levels: a drop has them


def fill(source: State, litres: Known, *, came_from: str) -> State:
    """A vessel filled with a water as it comes: everything of the source, in other litres [L]."""
    drawn: dict[Q, Known] = {
        key: one.worked_out(one.draws, came_from)
        for key, one in source.known.items()
        if key not in (Q.VOLUME, Q.PH_RISE)
    }
    contents = {name: one.worked_out(one.draws, came_from) for name, one in source.contents.items()}
    return replace(source, known={**drawn, Q.VOLUME: litres}, contents=contents, after=(came_from,))


def change(state: State, source: State, litres: Numbers, *, came_from: str, parts: int = 1) -> State:
    """Some litres let out and as many of a source poured in, in parts one after the other.

    Parameters
    ----------
    state, source : State
        The water, and that which is poured in.
    litres : float or array, shape (draws + 1,)
        In all [L]; no part is more than there is.
    came_from : str
        The action or the line of the case.
    parts : int
        How many equal parts.

    Returns
    -------
    State
        What is dissolved is mixed by litres; pH follows from the alkalinity and the inorganic carbon that are mixed.

    Notes
    -----
    Each part mixes through before the next: of what was there (1 - s / n)^n is left by a share s in n parts.
    """
    body = _body(state)
    share = np.clip(np.asarray(litres) / parts / body.volume_l, 0.0, 1.0)
    for _ in range(parts):
        full = body.volume_l
        body.pour_out(share)
        body.pour_in(full - body.volume_l, as_tank_water(source))
    return _state_of(body, came_from, state, source)


def bring_to_temperature(state: State, temp_c: FloatArray, *, came_from: str, known: Known | None = None) -> State:
    """Warmed or cooled to a temperature [°C] without gas getting out: amounts stay, pH and gas pressures follow."""
    body = _body(state)
    body.warmth = Warmth(np.array(np.broadcast_to(temp_c, body.volume_l.shape)))
    return _state_of(body, came_from, state).with_known({Q.TEMPERATURE: known or Known.made(temp_c, came_from)})


def air(state: State, *, share: Numbers, co2_in_air_ppm: Numbers, came_from: str) -> State:
    """Aired through: oxygen at a share of saturation, nitrogen as in air, pH where the air's carbon dioxide puts it.

    Parameters
    ----------
    state : State
        The water.
    share : float or array
        The share of saturation that its oxygen comes to.
    co2_in_air_ppm : float or array
        Carbon dioxide of the air [ppm].
    came_from : str
        The action or the line of the case.

    Returns
    -------
    State
        By day its pH stays there too: what light takes out of it, air brings in again.
    """
    state = replace(state, known={key: one for key, one in state.known.items() if key is not Q.PH_RISE})
    ph = carbonate.ph_in_air(
        state[Q.ALKALINITY],
        water_temp_c=state[Q.TEMPERATURE],
        co2_in_air_ppm=co2_in_air_ppm,
        air_pressure_kpa=state.air_pressure_kpa,
    )
    known = state.known
    return state.with_known(
        {
            Q.OXYGEN: Known.made(share * state.saturation_mg_per_l, came_from),
            Q.NITROGEN: Known.made(nitrogen_umol_per_kg(state.gas_temp_c), came_from),
            Q.PH: known[Q.ALKALINITY].worked_out(ph, came_from, known[Q.TEMPERATURE]),
        },
        done=came_from,
    )


def air_to(state: State, *, co2_mg_per_l: float, share: Numbers, came_from: str) -> State:
    """Aired until it holds so much carbon dioxide [mg/L] and no more; where it holds less it is left as it is, and oxygen rises."""
    at_one_ppm = co2_at_air_equilibrium_mg_per_l(
        state[Q.TEMPERATURE], co2_in_air_ppm=1.0, air_pressure_kpa=state.air_pressure_kpa
    )
    aired = air(state, share=share, co2_in_air_ppm=co2_mg_per_l / np.asarray(at_one_ppm), came_from=came_from)
    known = state.known
    ph = np.maximum(state[Q.PH], aired[Q.PH])
    oxygen = np.maximum(state[Q.OXYGEN], aired[Q.OXYGEN])
    return aired.with_known(
        {
            Q.PH: known[Q.PH].worked_out(ph, came_from, known[Q.ALKALINITY]),
            Q.OXYGEN: known[Q.OXYGEN].worked_out(oxygen, came_from),
        }
    )


def dose(
    state: State,
    *,
    came_from: str,
    salt_g: Numbers = 0.0,
    bicarbonate_g: Numbers = 0.0,
    acid_mmol: Numbers = 0.0,
    substance: str | None = None,
    substance_g: Numbers = 0.0,
) -> State:
    """Something weighed in: salt, bicarbonate (alkalinity and carbon), a strong acid, a substance of any name.

    Parameters
    ----------
    state : State
        The water.
    came_from : str
        The action or the line of the case.
    salt_g, bicarbonate_g, substance_g : float or array, shape (draws + 1,)
        Sodium chloride, sodium bicarbonate, the active substance [g].
    acid_mmol : float or array, shape (draws + 1,)
        Strong acid, or what acts as one [mmol].
    substance : str, optional
        What the contents of the water call it.

    Returns
    -------
    State
        The same litres; pH in a closed water, before any gas has left it.
    """
    body = _body(state)
    body.dissolve_salt(salt_g)
    chloride, alkali = SOLUTES[Q.CHLORIDE], np.asarray(bicarbonate_g) * _MMOL_PER_G_NAHCO3
    if np.any(np.asarray(salt_g) > 0.0):
        there = body.solutes.get(chloride, body.none)
        body.solutes[chloride] = there + np.asarray(salt_g) * _MG_PER_G * CHLORIDE_OF_SALT
    body.dissolve_alkali(alkali)
    body.alkalinity_meq = body.alkalinity_meq - acid_mmol
    if substance is not None:
        body.solutes[substance] = body.solutes.get(substance, body.none) + np.asarray(substance_g) * _MG_PER_G
    return _state_of(body, came_from, state)


def neutralise(state: State, *, came_from: str, ammonia_mg_n_per_l: Numbers = 0.0) -> State:
    """Chlorine taken out, to be shown by a test; the ammonia that chloramine leaves [mg/L as N] is added."""
    ammonia, chlorine = state.known[Q.AMMONIA], state.known[Q.CHLORINE]
    left = ammonia.worked_out(ammonia.draws + ammonia_mg_n_per_l, came_from, chlorine)
    gone = Known.made(np.zeros(state.size), came_from)
    return state.with_known({Q.CHLORINE: gone, Q.AMMONIA: left}, done=came_from)


def _body(state: State) -> Body:
    """The engine's body of a water."""
    tank, room = Tank(volume_l=np.maximum(state[Q.VOLUME], _NO_WATER_L)), Room(air_pressure_kpa=state.air_pressure_kpa)
    return Body(Setup(tank=tank, water=as_tank_water(state), room=room), state.size)


def _state_of(body: Body, came_from: str, *of: State) -> State:
    """A body of water as a state: each quantity's origin follows from that of the water it was and of those added."""
    body.settle_ph()
    before, per_litre = of[0], 1.0 / body.volume_l
    solutes, substances = solute_levels({name: amount * per_litre for name, amount in body.solutes.items()})
    levels: dict[Q, FloatArray] = {
        Q.VOLUME: body.volume_l,
        Q.TEMPERATURE: body.temp_c,
        Q.OXYGEN: body.oxygen_mg * per_litre,
        Q.PH: body.carbonate.ph,
        Q.ALKALINITY: body.alkalinity_meq * per_litre / MEQ_PER_MG_CACO3,
        Q.AMMONIA: body.tan_mg * per_litre,
        Q.NITRITE: body.nitrite_mg * per_litre / N_PER_NO2,
        Q.NITRATE: body.nitrate_mg * per_litre / N_PER_NO3,
        Q.SALT: body.salt_g * per_litre,
        **solutes,
    }
    known = {}
    for quantity, level in levels.items():
        there = [one.known[quantity] for one in of if quantity in one.known]
        untouched = len(there) == 1 and np.array_equal(there[0].draws, level)
        known[quantity] = there[0] if untouched else _from(there, level, came_from)
    if Q.PH_RISE in before.known:  # a pond's day goes on as it did
        known[Q.PH_RISE] = before.known[Q.PH_RISE]
    contents = {}
    for name, level in substances.items():
        if np.any(level > 0.0) or name in before.contents:
            held = [one.contents[name] for one in of if name in one.contents]
            untouched = bool(held) and np.array_equal(held[0].draws, level)
            contents[name] = held[0] if untouched else Known.made(level, came_from, *held)
    return derived(replace(before, known=known, contents=contents, after=(*before.after, came_from)))


def _from(there: Sequence[Known], level: FloatArray, came_from: str) -> Known:
    """A quantity that follows from those of the waters that were mixed; chloride may have been in none of them."""
    return there[0].worked_out(level, came_from, *there[1:]) if there else Known.made(level, came_from)
