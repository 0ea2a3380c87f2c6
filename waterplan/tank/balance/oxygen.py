"""One step of dissolved oxygen: what air and surface bring, what fish, pond and filter take."""

import operator
from typing import NamedTuple

import numpy as np

from waterplan.published import FloatArray, Numbers, plain
from waterplan.tank.balance.exponentials import Law, settling
from waterplan.tank.balance.heat import Span
from waterplan.tank.balance.nitrogen import NitrogenStep
from waterplan.tank.balance.warmth import mean
from waterplan.tank.biofilter import FULL_RATE_DO_MG_PER_L
from waterplan.tank.body import Body
from waterplan.tank.occupants import MG_O2_PER_MMOL
from waterplan.water.oxygen import saturation_mg_per_l

POND, FILTER = "pond itself", "filter"
_NEAR = 1.5
# How many laws for each consumer a draw may go through in a step; one that trembles about a level goes through the last to the end.
_MOST_LAWS, _WHOLE = 6, 1.0 - 1e-12


class Way(NamedTuple):
    """A way in for oxygen: litres equilibrated in an hour, the level they are brought to, and the gas blown for it."""

    l_per_h: FloatArray
    level_start: FloatArray
    level_end: FloatArray
    gas_l_per_h: FloatArray | None


class OxygenStep(NamedTuple):
    """What became of the oxygen in a step, for each of the consumers."""

    end_mg: FloatArray
    consumers: tuple[str, ...]
    taken_mg: list[FloatArray]
    filter_share: FloatArray


class _Supply(NamedTuple):
    """M' = start to end in a straight line - rate M - what is taken."""

    rate: FloatArray
    start: FloatArray
    end: FloatArray


def saturation(body: Body) -> FloatArray:
    """Oxygen that this water holds in equilibrium with the room's air [mg/L]."""
    now = (body.temp_c, body.salt_g, body.volume_l)
    if body.saturated is not None and all(map(operator.is_, now, body.saturated[0])):
        return body.saturated[1]
    level = np.asarray(
        plain(saturation_mg_per_l)(
            body.temp_c,
            salinity_g_per_kg=body.salt_g / body.volume_l,
            air_pressure_kpa=body.room.air_pressure_kpa,
        )
    )
    body.saturated = (now, level)  # the end of a step is the start of the next
    return level


def oxygen_is_scarce(body: Body, hours: float) -> bool:
    """Whether any draw may come near a level at which somebody gets less oxygen than wanted, in the hours ahead."""
    levels = [float(np.max(fish.critical_do_mg_per_l)) for fish in body.fish.values()]
    if body.filter_counts():
        levels.append(FULL_RATE_DO_MG_PER_L)
    if not levels:
        return False
    fall = body.oxygen_fall_mg_per_h
    if fall is None:  # something has just changed: as if nothing came in
        fall = sum(
            (body.warmth.uptake_mg_per_h(fish) * body.uptake_factor(name) for name, fish in body.fish.items()),
            start=np.zeros(body.draws),
        )
    return bool(np.any(body.oxygen_mg - fall * hours < _NEAR * max(levels) * body.volume_l))


def ways_in(body: Body, span: Span, saturations: tuple[FloatArray, FloatArray]) -> tuple[Way, ...]:
    """Every way that oxygen has into the water in this step, given saturation at both its ends."""
    start, end = saturations
    ways = []
    if body.surface_l_per_h is not None:
        ways.append(Way(body.surface_l_per_h, start, end, None))
    warmth = mean(span.start.transfer_factor, span.end.transfer_factor)
    for stone in body.running_devices():
        at_20_c, gas = body.blown_l_per_h[stone.name]
        ways.append(Way(at_20_c * warmth, start * stone.ceiling, end * stone.ceiling, gas))
    return tuple(ways)


def oxygen_step(body: Body, span: Span, ways: tuple[Way, ...], nitrogen: NitrogenStep) -> OxygenStep:
    """Works out the oxygen of a step; nothing is changed in the body yet."""
    h, volume, start = span.hours, span.volume_l, body.oxygen_mg
    moved, low, high = (np.zeros(body.draws) for _ in range(3))
    for way in ways:
        moved += way.l_per_h
        low += way.l_per_h * way.level_start
        high += way.l_per_h * way.level_end
    supply = _Supply(moved / volume, low, high)
    names, wanted, critical = _demands(body, span)
    end = _in_plenty(start, h, supply, sum(wanted, start=np.zeros(body.draws)), nitrogen)
    if nitrogen.form is not None:
        names.append(FILTER)
        wanted.append(nitrogen.oxygen_mg / h / np.maximum(nitrogen.oxygen_share, 1e-12))
        critical.append(FULL_RATE_DO_MG_PER_L)

    enough = _highest(critical) * volume
    short = np.flatnonzero(np.minimum(start, end) < enough)
    if not short.size:
        return OxygenStep(end, tuple(names), [rate * h for rate in wanted], body.full)
    rates = np.vstack(wanted)
    taken = rates * h
    levels = np.vstack([np.broadcast_to(level, (body.draws,)) for level in critical])
    share = np.ones(body.draws)
    part = _Supply(*(array[short] for array in supply))
    end[short], taken[:, short] = _in_want(start[short], h, part, rates[:, short], levels[:, short] * volume[short])
    if nitrogen.form is not None:
        asked = rates[-1, short] * h
        share[short] = np.where(asked > 1e-12, np.clip(taken[-1, short] / np.maximum(asked, 1e-12), 0.0, 1.0), 1.0)
    return OxygenStep(end, tuple(names), list(taken), share)


def enter_oxygen(body: Body, span: Span, step: OxygenStep) -> FloatArray:
    """Puts a step into the body; returns the carbon dioxide breathed out [mmol/h]."""
    breathed = np.zeros(body.draws)
    for name, taken in zip(step.consumers, step.taken_mg, strict=True):
        if name != FILTER:
            quotient = body.fish[name].respiratory_quotient if name in body.fish else 1.0
            breathed += taken * (quotient / (MG_O2_PER_MMOL * span.hours))
    body.oxygen_fall_mg_per_h = (body.oxygen_mg - step.end_mg) / span.hours
    body.oxygen_mg = step.end_mg
    return breathed


def _demands(body: Body, span: Span) -> tuple[list[str], list[FloatArray], list[Numbers]]:
    """Who breathes, what each wants at both ends' mean [mg/h], and the level under which each gets less [mg/L]."""
    names, wanted, critical = list[str](), list[FloatArray](), list[Numbers]()
    for name, fish in body.fish.items():
        at_rest = mean(span.start.uptake_mg_per_h(fish), span.end.uptake_mg_per_h(fish))
        names.append(name)
        wanted.append(body.none + at_rest * body.uptake_factor(name))
        critical.append(fish.critical_do_mg_per_l)
    tank = body.tank
    if np.any(np.asarray(tank.other_demand_mg_per_h) > 0.0):
        warmth = np.exp(np.log(tank.other_q10) * (span.mean_c - tank.rates_at_temp_c) / 10.0)
        names.append(POND)
        wanted.append(body.none + tank.other_demand_mg_per_h * warmth)
        critical.append(1.0)
    return names, wanted, critical


def _highest(levels: list[Numbers]) -> Numbers:
    highest: Numbers = 0.0
    for level in levels:
        highest = np.maximum(highest, level)
    return highest


def _in_plenty(start: FloatArray, h: float, supply: _Supply, wanted: FloatArray, nitrogen: NitrogenStep) -> FloatArray:
    """Amount at the end where everyone gets what they want: closed form, filter included."""
    s = settling(supply.rate * h)
    end = s.end(start, h, supply.start - wanted, supply.end - supply.start)
    if nitrogen.form is not None:
        end = end - nitrogen.form.oxygen_felt_mg(supply.rate * h, s.first, h)
    return end


def _in_want(
    start: FloatArray, hours: float, supply: _Supply, wanted: FloatArray, critical: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """The same where oxygen is short: what each takes falls in proportion under its critical amount, so none is ever owed.

    Between two critical amounts that is a linear law and its closed form exact; a draw goes on under the next law from the
    hour in which it passes one, and is looked at where it turns. `wanted` [mg/h] and `critical` [mg] have a row for each
    consumer, as what is taken [mg] has.
    """
    amount, taken, hour, above = start.copy(), np.zeros_like(wanted), np.zeros(start.size), start >= critical
    rise, turned, draws = (supply.end - supply.start) / hours, np.zeros(start.size, dtype=bool), np.arange(start.size)
    for more in range(_MOST_LAWS * len(wanted), -1, -1):
        here, was, at = above[:, draws], amount[draws], hour[draws]
        most, limit = wanted[:, draws], critical[:, draws]
        full, scarce = np.where(here, most, 0.0), np.where(here, 0.0, most / limit)
        law = Law(supply.rate[draws] + scarce.sum(axis=0), supply.start[draws] - full.sum(axis=0), rise[draws])
        left = hours - at
        until = at + (np.where(turned[draws], left, law.turns_after(was, at, left)) if more else left)
        to, within = law.after(was, at, until - at)
        passed = ((to < limit) == here) & (more > 0)
        on = np.flatnonzero(passed.any(axis=0))
        nearest = np.where(passed, np.abs(limit - was), np.inf)[:, on].argmin(axis=0)
        level = limit[nearest, on]
        cut = law.of(on)
        until[on] = cut.hour_of(level, was[on], to[on], at[on], until[on])
        to[on], within[on] = level, cut.after(was[on], at[on], until[on] - at[on])[1]
        taken[:, draws] += full * (until - at) + scarce * within
        amount[draws], hour[draws], turned[draws] = to, until, True
        above[nearest, draws[on]] ^= True
        turned[draws[on]] = False
        draws = draws[until < _WHOLE * hours]
        if not draws.size:
            break
    return amount, taken
