"""What can be done to a water, one function each: from a state to a state.

All of them pour, change and dose through the tank's own body of water, so that what is mixed on a card, in the ledger
and in the course of the stay is mixed by the same lines.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from waterplan.published import FloatArray, Numbers
from waterplan.stay.quantities import Q
from waterplan.stay.record import Origin
from waterplan.stay.state import CHLORIDE_OF_SALT, SOLUTES, Known, State, as_tank_water, derived, solute_levels
from waterplan.tank.balance.warmth import Warmth
from waterplan.tank.body import MEQ_PER_MG_CACO3, N_PER_NO2, N_PER_NO3, Body
from waterplan.tank.setup import Setup
from waterplan.tank.water_body import Room, Tank
from waterplan.water import carbonate
from waterplan.water.gas import co2_at_air_equilibrium_mg_per_l, nitrogen_umol_per_kg

_MMOL_PER_G_NAHCO3 = 1000.0 / 84.007
_MG_PER_G = 1000.0


def fill(source: State, litres: Known, *, came_from: str) -> State:
    """A vessel filled with a water as it comes: everything of the source, in other litres."""
    drawn: dict[Q, Known] = {
        quantity: one.worked_out(one.draws, came_from)
        for quantity, one in source.known.items()
        if quantity is not Q.VOLUME
    }
    contents = {name: one.worked_out(one.draws, came_from) for name, one in source.contents.items()}
    return replace(
        source,
        known=MappingProxyType({**drawn, Q.VOLUME: litres}),
        contents=MappingProxyType(contents),
        after=(came_from,),
    )


def change(state: State, source: State, litres: Numbers, *, came_from: str, parts: int = 1) -> State:
    """Some litres let out and as many of a source poured in, in parts one after the other."""
    share = np.clip(np.asarray(litres) / parts / state[Q.VOLUME], 0.0, 1.0)

    def pour(body: Body) -> None:
        for _ in range(parts):
            full = body.volume_l
            body.pour_out(share)
            body.pour_in(full - body.volume_l, as_tank_water(source))

    return _through_body(state, pour, (source,), came_from)


def bring_to_temperature(state: State, temp_c: FloatArray, *, came_from: str, known: Known | None = None) -> State:
    """Warmed or cooled without gas getting out: amounts stay, pH and gas pressures follow."""

    def warm(body: Body) -> None:
        body.warmth = Warmth(np.array(np.broadcast_to(temp_c, body.volume_l.shape)))

    made = _through_body(state, warm, (), came_from)
    target = known or Known(draws=np.asarray(temp_c), origin=Origin.WORKED_OUT, came_from=came_from)
    return made.with_known({Q.TEMPERATURE: target})


def air(state: State, *, share: Numbers, co2_in_air_ppm: Numbers, came_from: str) -> State:
    """Aired through: oxygen at a share of saturation, nitrogen as in air, pH where the air's carbon dioxide puts it."""
    ph = carbonate.ph_in_air(
        state[Q.ALKALINITY],
        water_temp_c=state[Q.TEMPERATURE],
        co2_in_air_ppm=co2_in_air_ppm,
        air_pressure_kpa=state.air_pressure_kpa,
    )
    oxygen = np.asarray(share) * state.saturation_mg_per_l
    nitrogen = np.asarray(nitrogen_umol_per_kg(state[Q.TEMPERATURE]))
    known = state.known
    return state.with_known(
        {
            Q.OXYGEN: Known(draws=oxygen, origin=Origin.WORKED_OUT, came_from=came_from),
            Q.NITROGEN: Known(draws=nitrogen, origin=Origin.WORKED_OUT, came_from=came_from),
            Q.PH: known[Q.ALKALINITY].worked_out(np.asarray(ph), came_from, known[Q.TEMPERATURE]),
        },
        after=(*state.after, came_from),
    )


def air_to(state: State, *, co2_mg_per_l: float, share: Numbers, came_from: str) -> State:
    """Aired until it holds so much carbon dioxide and no more; where it holds less it is left as it is, and oxygen rises."""
    at_one_ppm = co2_at_air_equilibrium_mg_per_l(
        state[Q.TEMPERATURE], co2_in_air_ppm=1.0, air_pressure_kpa=state.air_pressure_kpa
    )
    aired = air(state, share=share, co2_in_air_ppm=co2_mg_per_l / np.asarray(at_one_ppm), came_from=came_from)
    ph = state.known[Q.PH]
    higher = ph.worked_out(np.maximum(ph.draws, aired[Q.PH]), came_from, state.known[Q.ALKALINITY])
    oxygen = state.known[Q.OXYGEN]
    more = oxygen.worked_out(np.maximum(oxygen.draws, aired[Q.OXYGEN]), came_from)
    return aired.with_known({Q.PH: higher, Q.OXYGEN: more})


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
    """Something weighed in: salt, bicarbonate (alkalinity and carbon), a strong acid, a substance of any name."""

    def put(body: Body) -> None:
        body.salt_g = body.salt_g + salt_g
        if SOLUTES[Q.CHLORIDE] in body.solutes:  # where chloride was read, the salt adds its own
            chloride_mg = np.asarray(salt_g) * _MG_PER_G * CHLORIDE_OF_SALT
            body.solutes[SOLUTES[Q.CHLORIDE]] = body.solutes[SOLUTES[Q.CHLORIDE]] + chloride_mg
        alkali = np.asarray(bicarbonate_g) * _MMOL_PER_G_NAHCO3
        body.alkalinity_meq = body.alkalinity_meq + alkali - acid_mmol
        body.carbon_mmol = body.carbon_mmol + alkali
        if substance is not None:
            there = body.solutes.get(substance, body.none)
            body.solutes[substance] = there + np.asarray(substance_g) * _MG_PER_G

    return _through_body(state, put, (), came_from)


def neutralise(state: State, *, came_from: str, ammonia_mg_n_per_l: Numbers = 0.0) -> State:
    """Chlorine taken out, to be shown by a test; the ammonia that chloramine leaves is added."""
    gone = Known(draws=np.zeros(state.size), origin=Origin.WORKED_OUT, came_from=came_from)
    known = state.known
    left = known[Q.AMMONIA].worked_out(known[Q.AMMONIA].draws + ammonia_mg_n_per_l, came_from, known[Q.CHLORINE])
    return state.with_known({Q.CHLORINE: gone, Q.AMMONIA: left}, after=(*state.after, came_from))


def _through_body(
    state: State,
    happen: Callable[[Body], None],
    added: Sequence[State],
    came_from: str,
) -> State:
    setup = Setup(
        tank=Tank(volume_l=np.maximum(state[Q.VOLUME], 1e-6)),
        water=as_tank_water(state),
        room=Room(air_pressure_kpa=state.air_pressure_kpa),
    )
    body = Body(setup, state.size)
    happen(body)
    body.settle_ph()
    return state_of_body(state, body, added, came_from)


def state_of_body(before: State, body: Body, added: Sequence[State], came_from: str) -> State:
    """The engine's body of water as a state: each quantity's origin follows from that before and those added."""
    per_litre = 1.0 / body.volume_l
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
    known = {quantity: _follows(quantity, level, before, added, came_from) for quantity, level in levels.items()}
    contents = {
        name: _content(name, level, before, added, came_from)
        for name, level in substances.items()
        if np.any(level > 0.0) or name in before.contents
    }
    made = replace(
        before,
        known=MappingProxyType(known),
        contents=MappingProxyType(contents),
        after=(*before.after, came_from),
    )
    return derived(made)


def _follows(quantity: Q, level: FloatArray, before: State, added: Sequence[State], came_from: str) -> Known:
    first = before.known.get(quantity)
    others = [one.known[quantity] for one in added if quantity in one.known]
    if first is None:
        first, *others = others
    if not others and np.array_equal(first.draws, level):
        return first  # nothing was done to it
    return first.worked_out(level, came_from, *others)


def _content(name: str, level: FloatArray, before: State, added: Sequence[State], came_from: str) -> Known:
    there = [one.contents[name] for one in (before, *added) if name in one.contents]
    if there and np.array_equal(there[0].draws, level):
        return there[0]
    assumed = frozenset[str]().union(*(one.assumed for one in there))
    origin = Origin.ASSUMED if assumed else Origin.WORKED_OUT
    return Known(draws=level, origin=origin, came_from=came_from, assumed=assumed)
