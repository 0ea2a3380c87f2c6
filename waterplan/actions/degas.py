"""Gas that cold or pressurised water holds too much of, aired out before it is used."""

from collections.abc import Iterator

import numpy as np

from waterplan.actions.amounts import full, high, rule
from waterplan.actions.needs import Need, needs
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Action, Instead, Kind
from waterplan.hazards.record import Hazard, Why
from waterplan.published import FloatArray
from waterplan.stay.effects import Aired, BroughtTo
from waterplan.stay.equipment import stone
from waterplan.stay.operations import bring_to_temperature
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, WaterKind
from waterplan.stay.standing import stones_of

_FULL = 100.0


def degas(context: Context) -> Iterator[Proposal]:
    """Airing for every source and tub whose gas is, or may be, above its limit; a pond is looked over for the leak."""
    for need in needs(context, Hazard.GAS_PRESSURE):
        if need.kind in (WaterKind.HOME, WaterKind.BOX) or (need.stretch is not None and not need.ahead):
            if need.urgent:
                yield _leak(need)
        elif not any(isinstance(effect, Aired) for effect in need.water.effects):
            yield _aired(need)


def _leak(need: Need) -> Proposal:
    """With fish in it: find the pump that sucks air, or the falls that take it deep; air stones hang shallow."""
    cautions = (Why(code="find-the-pump-that-sucks-air"), Why(code="air-stone-shallow"))
    return need.proposal(Kind.DEGAS, cautions=cautions)


def _aired(need: Need) -> Proposal:
    context = need.context
    hours, flow = _hours(need)
    amounts = {
        "hours": need.put("degas/hours", hours, "h", act_end=ActEnd.HIGH),
        "air flow": need.put("degas/air", flow, "L/min", act_end=ActEnd.HIGH),
    }
    if need.kind is WaterKind.SOURCE:
        amounts["litres"] = need.put("degas/litres", full(context, rule("source batch")), "L")
    warm = _used_at(need)
    if warm is not None:
        amounts["temperature"] = need.put("degas/temperature", warm, "°C", act_end=ActEnd.HIGH)
    path = need.id(Kind.DEGAS)
    if high(hours) > rule("degas most"):
        because = (Why(code="airing-takes-too-long", figures={"hours": amounts["hours"]}),)
        instead = (Instead(kind=Kind.MEASURE, because=(Why(code="another-source-tested-first"),)),)
        return need.proposal(Kind.DEGAS, refused_because=because, instead=instead)
    action = Action(
        **need.action(
            Kind.DEGAS,
            key="gas_pressure",
            amounts=amounts,
            worked_out_for={"volume": "high"},
            cautions=(Why(code="bring-to-temperature-first-then-air"),),
        )
    )
    aired = Aired(action=path, water=need.path)
    if warm is None:
        return Proposal(action=action, effects=(aired,))
    return Proposal(action=action, effects=(BroughtTo(action=path, water=need.path, temp_c=warm), aired))


def _used_at(need: Need) -> FloatArray | None:
    """The warmest temperature at which a source is used: it is brought to that first, since warming sets gas free."""
    if need.kind is not WaterKind.SOURCE:
        return None
    stay, ground = need.context.stay, need.context.ground
    temps = [need.water.start[Q.TEMPERATURE]]
    for path in need.water.place.pours_into:
        kept = ground.kept_temp_c(path)
        temps.append(np.maximum(stay[path].start[Q.TEMPERATURE], -np.inf if kept is None else kept))
    return np.asarray(np.max(temps, axis=0))


def _hours(need: Need) -> tuple[FloatArray, float]:
    """Hours until the gas above the air's own has sunk to the limit's share of it, at the rate of the stones."""
    context, state, warm = need.context, need.water.start, _used_at(need)
    if warm is not None:
        state = bring_to_temperature(state, warm, came_from="degas")
    batch = need.kind is WaterKind.SOURCE
    litres = full(context, rule("source batch")) if batch else state[Q.VOLUME]
    running = stones_of(need.water)
    flow = float(np.max(running[0].air_flow_l_per_min)) if running else rule("gas air")
    blown = stone(need.water.equipment, context.ground.inputs, l_per_min=flow)
    per_h = np.asarray(blown.transfer_l_per_h(state[Q.TEMPERATURE])) / litres
    limits = [one for one in need.limits(Hazard.GAS_PRESSURE) if one > _FULL]
    allowed = min(limits, default=_FULL + 1.0) - _FULL
    over = np.maximum(state[Q.GAS_PRESSURE] - _FULL, allowed)
    return np.asarray(np.log(over / allowed) / per_h), flow
