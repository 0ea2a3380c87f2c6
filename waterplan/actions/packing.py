"""A bag packed otherwise: more water, a shorter way, fewer fish, or a box with air in its place."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from waterplan import tables
from waterplan.actions.amounts import high, low, up
from waterplan.actions.needs import Need, needs
from waterplan.actions.proposing import Context, Proposal, codes
from waterplan.actions.record import Instead, Kind
from waterplan.hazards.ammonia import OPENED
from waterplan.hazards.record import Hazard, Verdict, Why
from waterplan.stay.effects import Repacked
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, WaterKind
from waterplan.stay.standing import closed_bag, opened_after
from waterplan.stay.state import Known
from waterplan.tank.bag import BagHolds

_CALLS = (Hazard.CARBON_DIOXIDE, Hazard.STOCKING, Hazard.OXYGEN, Hazard.AMMONIA)
# Parts of the usual oxygen that are tried, the least first.
_PARTS = (0.25, 0.5, 0.75, 1.0)
_L_PER_M3, _MIN_PER_H, _NEAR = 1000.0, 60.0, 1e-6


def pack(context: Context) -> Iterator[Proposal]:
    """More water, or a shorter way, for each bag that is too full or too long closed; a box where no bag will do."""
    for need in needs(context, *_CALLS):
        # Of the water of an opened bag the fish is lifted out: that is no question of how it is packed.
        closed = replace(need, judged=tuple(one for one in need.judged if not one.id.endswith(OPENED)))
        if need.kind is WaterKind.BAG and not need.past and closed.worst in (Verdict.WATCH, Verdict.ACT_NOW):
            yield _packed(closed)


def _packed(need: Need) -> Proposal:
    others = codes("fewer-fish-in-the-bag", "or-a-box-with-air", "lift-the-fish-out-of-the-bag")
    found = next((one for one in _tries(need) if _holds(need, one)), None)
    hours = _hours(need)
    by_weight = high(need.ground.together_kg(need.stretch)) > _largest() * _loading().high / _L_PER_M3
    amounts = {} if hours is None else {"hours": hours}
    if by_weight or (found is None and hours is None):
        ways = (Instead(kind=Kind.PACK, because=(*_several(need), *others[1:])),)
        return need.proposal(Kind.PACK, refused_because=(_too_small(need),), instead=ways)
    if found is None:
        return need.proposal(Kind.PACK, amounts=amounts, costs=(_too_small(need),), cautions=others)
    for name, value in (("litres", found.litres), ("gas", found.gas_l)):
        if value is not None:
            amounts[name] = need.put(f"pack/{name}", value, "L", act_end=ActEnd.HIGH, act_on=value)
    return need.proposal(Kind.PACK, amounts=amounts, cautions=others, effects=[found])


def _largest() -> float:
    """Litres of water in the largest bag."""
    return tables.row("defensible_ranges", kind="bag", quantity=Q.VOLUME.value).high


def _loading() -> tables.Row:
    """What a bag carries of a patient by weight; at its high end what farms load at least, beyond which none is packed."""
    return tables.row("bag_loading", stage="patient")


def _several(need: Need) -> Iterator[Why]:
    """More bags, of as many whole fish as each carries; none where one fish is too heavy for any bag."""
    carries = _largest() * _loading().value / _L_PER_M3
    in_each = [(one.count, np.floor(carries / high(one.weight_kg.draws))) for one in need.fish]
    if in_each and min(most for _, most in in_each) >= 1.0:
        count = sum(np.ceil(fish / most) for fish, most in in_each)
        bags = need.put("pack/bags", float(count), "pieces", act_end=ActEnd.HIGH, rows=(_loading().id,))
        litres = need.put("pack/bag", _largest(), "L")
        yield Why(code="several-bags", figures={"bags": bags, "litres": litres})


def _too_small(need: Need) -> Why:
    """The water that the fish would want by their weight, which no bag holds."""
    row = _loading()
    litres = need.ground.together_kg(need.stretch) * _L_PER_M3 / row.value
    wanted = need.put("pack/wanted", litres, "L", act_end=ActEnd.HIGH, rows=(row.id,))
    return Why(code="no-bag-will-do", figures={"wanted": wanted})


def _tries(need: Need) -> Iterator[Repacked]:
    """More oxygen over the water that is in it, up to the usual share; more water, to the most that a bag holds; and both."""
    most, now = _largest(), need.state[Q.VOLUME]
    share = tables.row("defaults", what="bag oxygen").value
    usual, short = share / (1.0 - share), bool(need.calls(Hazard.OXYGEN))
    more = [float(one) for one in np.arange(np.floor(up(high(now), "L")) + 1.0, most + 1e-9)]
    if short:
        whole = up(high(now) * usual, "L")
        yield from (Repacked(gas_l=up(part * whole, "L")) for part in _PARTS)
    yield from (Repacked(litres=one) for one in more)
    if short:
        yield from (Repacked(litres=one, gas_l=up(one * usual, "L")) for one in more)


def _holds(need: Need, packed: Repacked) -> bool:
    """Whether a bag that is packed so keeps its limits to the end of the way, even in the worst case."""
    states, volume = need.water.states, need.state[Q.VOLUME]
    if packed.litres is not None:
        volume = np.full(need.ground.inputs.size, packed.litres)
        states = (*states, need.state.with_known({Q.VOLUME: Known.made(volume, None)}))
    bag = closed_bag(replace(need.water, states=states), need.stretch)
    if packed.gas_l is not None:
        bag = replace(bag, gas_l=np.full(need.ground.inputs.size, packed.gas_l))
    held = opened_after(bag, need.stretch.until_h - need.stretch.start_h, inputs=need.ground.inputs)
    kilograms = high(need.ground.together_kg(need.stretch)) * _L_PER_M3 / low(volume)
    return kilograms <= _loading().value + _NEAR and _is_fit(need, held)


def _is_fit(need: Need, held: BagHolds) -> bool:
    most = ((Hazard.CARBON_DIOXIDE, held.co2_mg_per_l), (Hazard.AMMONIA, held.nh3_mg_n_per_l))
    fit = all(high(level) <= limit for hazard, level in most for limit in _limits(need, hazard))
    return fit and all(low(held.do_mg_per_l) >= limit for limit in _limits(need, Hazard.OXYGEN))


def _limits(need: Need, hazard: Hazard) -> Iterator[float]:
    """The limits of a hazard that calls."""
    yield from (one.limit.value for one in need.calls(hazard) if one.limit is not None and one.limit.value is not None)


def _hours(need: Need) -> str | None:
    """The longest way that keeps the limits of carbon dioxide and oxygen, in the worst case; None where any way does."""
    course = need.context.before[need.path].course(need.stretch)
    clocks = [course.hours_until(Q.CARBON_DIOXIDE, one, falls=False) for one in _limits(need, Hazard.CARBON_DIOXIDE)]
    clocks += [course.hours_until(Q.OXYGEN, one, falls=True) for one in _limits(need, Hazard.OXYGEN)]
    soonest = np.min(clocks, axis=0) if clocks else np.array([np.inf])
    if not 1.0 / _MIN_PER_H <= low(soonest) < np.inf:
        return None
    return need.put("pack/hours", soonest * _MIN_PER_H, "min", act_end=ActEnd.LOW)
