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
from waterplan.hazards.limit_rows import water_limit
from waterplan.hazards.record import Hazard, Verdict, Why
from waterplan.stay.effects import Repacked
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, WaterKind
from waterplan.stay.standing import closed_bag, opened_after
from waterplan.stay.state import Known
from waterplan.tank.answers import CHANCE
from waterplan.tank.bag import BagHolds

_CALLS = (Hazard.CARBON_DIOXIDE, Hazard.STOCKING, Hazard.OXYGEN, Hazard.AMMONIA)
# Parts of the usual oxygen that are tried, the least first.
_PARTS = (0.15, 0.25, 0.5, 0.75, 1.0)
_L_PER_M3, _MIN_PER_H, _NEAR = 1000.0, 60.0, 1e-6


def pack(context: Context) -> Iterator[Proposal]:
    """More water, or a shorter way, for each bag that is too full or too long closed; a box where no bag will do."""
    for need in needs(context, *_CALLS):
        # Of the water of an opened bag the fish is lifted out: that is no question of how it is packed.
        closed = replace(need, judged=tuple(one for one in need.judged if not one.id.endswith(OPENED)))
        if need.kind is WaterKind.BAG and not need.past and closed.worst in (Verdict.WATCH, Verdict.ACT_NOW):
            yield from _packed(closed)


def _packed(need: Need) -> Iterator[Proposal]:
    """Packed otherwise where that keeps the limits, else a shorter way; refused where neither does and fish may come to harm.

    What is only watched, and lasts for the way, goes as it is.
    """
    # Where none keeps the limits, the first that keeps its fish from harm.
    aims = (False, True) if need.urgent else (False,)
    found = next((one for aim in aims for one in _tries(need) if _holds(need, one, only_harmless=aim)), None)
    by_weight = high(need.ground.together_kg(need.stretch)) > _largest() * _loading().high / _L_PER_M3
    # In a box the air drives carbon dioxide out, and so un-ionised ammonia up.
    no_box = need.urgent and need.judged[0].hazard is Hazard.AMMONIA and not by_weight
    others = codes("fewer-fish-in-the-bag", "" if no_box else "or-a-box-with-air", "lift-the-fish-out-of-the-bag")
    hours = _hours(need) if found is not None else _harm(need) or _hours(need)
    amounts = {} if hours is None else {"hours": hours}
    if by_weight or (found is None and hours is None and need.urgent):
        ways = (Instead(kind=Kind.PACK, because=(*_several(need), *others[1:])),)
        yield need.proposal(Kind.PACK, refused_because=(_no_bag(need),), instead=ways)
    elif found is not None:
        for name, value in (("litres", found.litres), ("gas", found.gas_l)):
            if value is not None:
                amounts[name] = need.put(f"pack/{name}", value, "L", act_end=ActEnd.HIGH, act_on=value)
        yield need.proposal(Kind.PACK, amounts=amounts, cautions=others, effects=[found])
    elif hours is not None:
        yield need.proposal(Kind.PACK, amounts=amounts, costs=(_no_bag(need),), cautions=others)


def _largest() -> float:
    """Litres of water in the largest bag."""
    return tables.row("defensible_ranges", kind="bag", quantity=Q.VOLUME.value).high


def _loading() -> tables.Row:
    """What a bag carries of a patient by weight; at its high end what farms load at least, beyond which none is packed."""
    return tables.row("bag_loading", stage="patient")


def _several(need: Need) -> Iterator[Why]:
    """More bags, of as many whole fish as each carries, where so many keep the limits; none where a fish is too heavy for any."""
    carries, usual = _largest() * _loading().value / _L_PER_M3, _usual()
    in_each = [(one.count, np.floor(carries / high(one.weight_kg.draws))) for one in need.fish]
    if not in_each or min(most for _, most in in_each) < 1.0:
        return
    least, fish = int(sum(np.ceil(count / most) for count, most in in_each)), sum(count for count, _ in in_each)
    # What is in a bag hangs on the water and the oxygen for each kilogram: as many bags are one of as many litres.
    for count in range(max(least, 2), fish + 1):
        for gas in (part * _largest() * usual for part in reversed(_PARTS)):
            if _holds(need, Repacked(litres=count * _largest(), gas_l=count * gas)):
                bags = need.put("pack/bags", float(count), "pieces", act_end=ActEnd.HIGH, rows=(_loading().id,))
                each = {"litres": need.put("pack/bag", _largest(), "L"), "gas": need.put("pack/bag-gas", gas, "L")}
                yield Why(code="several-bags", figures={"bags": bags, **each})
                return


def _no_bag(need: Need) -> Why:
    """The water that the fish would want by their weight where no bag holds it; else the worst of what no bag keeps."""
    row = _loading()
    litres = need.ground.together_kg(need.stretch) * _L_PER_M3 / row.value
    if high(litres) <= _largest():
        return Why(code="no-bag-keeps-it", words={"judgement": need.answers[0]})
    wanted = need.put("pack/wanted", litres, "L", act_end=ActEnd.HIGH, rows=(row.id,))
    return Why(code="no-bag-will-do", figures={"wanted": wanted})


def _tries(need: Need) -> Iterator[Repacked]:
    """Another part of the usual oxygen over the water that is in it; more water, to the most that a bag holds; and both.

    More oxygen where that is short, the least first; less for un-ionised ammonia, the most first: what carbon dioxide stays in
    the water keeps its pH down.
    """
    most, now, usual = _largest(), high(need.state[Q.VOLUME]), _usual()
    more = [float(one) for one in np.arange(np.floor(up(now, "L")) + 1.0, most + 1e-9)]
    parts = _PARTS if need.calls(Hazard.OXYGEN) else _PARTS[::-1] if need.calls(Hazard.AMMONIA) else ()
    yield from (Repacked(gas_l=up(part * now * usual, "L")) for part in parts)
    yield from (Repacked(litres=one) for one in more)
    yield from (Repacked(litres=one, gas_l=up(part * one * usual, "L")) for one in more for part in parts)


def _usual() -> float:
    """Litres of oxygen that are usual over a litre of water."""
    share = tables.row("defaults", what="bag oxygen").value
    return share / (1.0 - share)


def _holds(need: Need, packed: Repacked, *, only_harmless: bool = False) -> bool:
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
    return kilograms <= _loading().value + _NEAR and _is_fit(need, held, only_harmless=only_harmless)


def _is_fit(need: Need, held: BagHolds, *, only_harmless: bool) -> bool:
    """Whether every limit is kept, of what does not call as it is too: more oxygen drives ammonia up."""
    judged = [one.record for one in need.context.judged.values() if one.record.water == need.path]
    every = replace(need, judged=tuple(one for one in judged if not one.id.endswith(OPENED)))
    kept = [held.co2_mg_per_l <= one for one in every.limits(Hazard.CARBON_DIOXIDE)]
    kept += [held.do_mg_per_l >= one for one in every.limits(Hazard.OXYGEN)]
    burns = [held.nh3_mg_n_per_l <= one for one in every.limits(Hazard.AMMONIA)]
    kept += [held.nh3_mg_n_per_l <= water_limit("nh3", "harm").value] if only_harmless else burns
    # What is past its limit as often as not is an emergency, whether it harms or no.
    return all(one[1:].mean() >= CHANCE for one in kept) and all(one[1:].mean() >= 0.5 for one in burns)


def _harm(need: Need) -> str | None:
    """The clock of ammonia where it would harm on the way; None where it does not, or leaves no way at all."""
    figures, calls = need.context.figures, need.calls(Hazard.AMMONIA)
    clocks = [one.until_harm for one in calls if one.verdict is Verdict.ACT_NOW and one.until_harm]
    return next((path for path in clocks if low(figures.draws(path)) >= 1.0), None)


def _hours(need: Need) -> str | None:
    """The longest way that keeps the limits of carbon dioxide and oxygen, in the worst case; None where any way does."""
    course = need.context.before[need.path].course(need.stretch)
    clocks = [course.hours_until(Q.CARBON_DIOXIDE, one, falls=False) for one in need.limits(Hazard.CARBON_DIOXIDE)]
    clocks += [course.hours_until(Q.OXYGEN, one, falls=True) for one in need.limits(Hazard.OXYGEN)]
    soonest = np.min(clocks, axis=0) if clocks else np.array([np.inf])
    if not 1.0 / _MIN_PER_H <= low(soonest) < np.inf:
        return None
    return need.put("pack/hours", soonest * _MIN_PER_H, "min", act_end=ActEnd.LOW)
