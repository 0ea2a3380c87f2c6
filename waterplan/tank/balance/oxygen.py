"""One step of dissolved oxygen: what air and surface bring, what fish, pond and filter take."""

import operator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

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
# Where oxygen runs short a step is cut so that no more than this share of the critical level is wanted in a part.
_FINEST, _MOST_PARTS = 0.125, 512
_NEAR = 1.5


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
    """The same where oxygen is short: uptake falls in proportion under the critical amount, so none is ever owed."""
    if wanted.shape[0] == 1:
        end, taken_by_one = _of_one(start, hours, supply, wanted[0], critical[0])
        return end, taken_by_one[None]
    # Under the lowest of the levels, and fed too little to rise over it, everything is in proportion: one step is exact.
    per_h = supply.rate + (wanted / critical).sum(axis=0)
    most = np.maximum(start, np.maximum(supply.start, supply.end) / np.maximum(per_h, 1e-300))
    low = most < critical.min(axis=0)
    end, taken = np.empty_like(start), np.empty_like(wanted)
    if low.any():
        law = Law(per_h, supply.start, (supply.end - supply.start) / hours).of(low)
        end[low], integral = law.after(start[low], 0.0, hours)
        taken[:, low] = wanted[:, low] / critical[:, low] * integral
    if not low.all():
        part = _Supply(*(array[~low] for array in supply))
        end[~low], taken[:, ~low] = _in_parts(start[~low], hours, part, wanted[:, ~low], critical[:, ~low])
    return end, taken


def _of_one(
    start: FloatArray, hours: float, supply: _Supply, wanted: FloatArray, critical: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """The same for one consumer: exact on either side of its critical amount, and changed over in the hour of passing it."""
    above = start >= critical
    here, none = _on_side(supply, wanted, critical, above, hours), np.zeros(start.size)
    end, within = here.after(start, 0.0, hours)
    taken = np.where(above, wanted * hours, wanted / critical * within)
    passed = np.flatnonzero((end < critical) == above)
    if passed.size:
        above, wanted, critical, start = above[passed], wanted[passed], critical[passed], start[passed]
        here, supply = here.of(passed), _Supply(*(array[passed] for array in supply))
        hour = here.hour_of(critical, start, end[passed], none[passed], hours)
        before = here.after(start, 0.0, hour)[1]
        there = _on_side(supply, wanted, critical, ~above, hours)
        end[passed], after = there.after(critical, hour, hours - hour)
        plenty_h, scarce = np.where(above, hour, hours - hour), np.where(above, after, before)
        taken[passed] = wanted * plenty_h + wanted / critical * scarce
    return end, taken


def _on_side(supply: _Supply, wanted: FloatArray, critical: FloatArray, above: NDArray[np.bool_], hours: float) -> Law:
    """What comes and goes above the critical amount, where all is taken that is wanted, or under it."""
    rate = supply.rate + np.where(above, 0.0, wanted / critical)
    return Law(rate, supply.start - np.where(above, wanted, 0.0), (supply.end - supply.start) / hours)


def _in_parts(
    start: FloatArray, hours: float, supply: _Supply, wanted: FloatArray, critical: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """The same about the critical amounts, where the law bends: in parts that are short beside what is wanted."""
    pressing = float(np.max((wanted / critical).sum(axis=0))) * hours
    parts = int(np.clip(np.ceil(pressing / _FINEST), 1, _MOST_PARTS))
    h = hours / parts
    amount, taken = start, np.zeros_like(wanted)
    for part in range(parts):
        a = supply.start + (supply.end - supply.start) * part / parts
        b = supply.start + (supply.end - supply.start) * (part + 1) / parts
        end, used = amount, None
        for _ in range(3):
            slope, fixed = _chords(wanted, critical, amount, np.maximum(end, 0.0))
            if used is not None and np.array_equal(slope, used):
                break
            used = slope
            law = Law(supply.rate + slope.sum(axis=0), a - fixed.sum(axis=0), (b - a) / h)
            end, within = law.after(amount, 0.0, h)
        if np.any(end < 0.0):
            through_zero = wanted * np.minimum(1.0 / np.maximum(amount, 1e-300), 1.0 / critical)
            slope = np.where(end < 0.0, through_zero, slope)
            fixed = np.where(end < 0.0, 0.0, fixed)
            law = Law(supply.rate + slope.sum(axis=0), a - fixed.sum(axis=0), (b - a) / h)
            end, within = law.after(amount, 0.0, h)
        taken += slope * within + fixed * h
        amount = end
    return amount, taken


def _chords(
    wanted: FloatArray, critical: FloatArray, start: FloatArray, end: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """The straight line through min(1, M/critical) at both ends: slope, and value at no oxygen."""
    share_start, share_end = np.minimum(start / critical, 1.0), np.minimum(end / critical, 1.0)
    moved = end - start
    still = np.abs(moved) < 1e-9 * critical
    local = np.where(start < critical, 1.0 / critical, 0.0)
    slope = wanted * np.where(still, local, (share_end - share_start) / np.where(still, 1.0, moved))
    return slope, wanted * share_start - slope * start
