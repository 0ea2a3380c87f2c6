"""Water brought to a temperature: tubs matched to where the fish comes from, a tank warmed in steps, a hot water cooled."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from waterplan import tables
from waterplan.actions.amounts import down, high, in_parts, low, up
from waterplan.actions.heat.heating import ICE, ice_kg, least_watts, more_ice_than_there_is, most_watts, room_alone
from waterplan.actions.heat.homewards import in_reach, steps_home
from waterplan.actions.heat.matching import (
    goes_home_at,
    is_long_enough,
    matches,
    stays_at,
    steps_on_the_way,
    tolerated,
    way_into,
)
from waterplan.actions.heat.rungs import NEAR_C, cap, rungs
from waterplan.actions.needs import Need, disease_stops, gas_stops, need_of, needs
from waterplan.actions.proposing import Context, Proposal, codes
from waterplan.actions.record import Instead, Kind
from waterplan.hazards.record import Hazard, Verdict, Why
from waterplan.published import FloatArray
from waterplan.stay.course import Scenario
from waterplan.stay.effects import BroughtTo, Effect, IceHung, ThermostatRamp
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, Moment, WaterKind
from waterplan.stay.standing import setup_of
from waterplan.stay.waters import HOME

_MIN_PER_H, _TOO_SHORT = 60.0, "stay-too-short-for-both-ways"
# Less is not brought about by hand, nor told by a thermometer: nobody fetches ice for it while it is only to be watched.
_BY_HAND_C = 0.5


def cool(context: Context) -> Iterator[Proposal]:
    """Tubs that are warmer than where the fish comes from, a tank before the colder pond, water that is too hot."""
    yield from _changed(context, Kind.COOL)


def warm(context: Context) -> Iterator[Proposal]:
    """Tubs that are colder than where the fish comes from, and the tank to the temperature that it is to be kept at."""
    yield from _changed(context, Kind.WARM)


def _changed(context: Context, kind: Kind) -> Iterator[Proposal]:
    """Every water that is cooled, or every one that is warmed; each has one temperature that it is brought to."""
    extreme = list(_too_far(context, kind))
    yield from extreme
    brought = [one for each in extreme for one in each.effects if isinstance(one, BroughtTo)]
    pond_c = next((one.temp_c for one in brought if one.water == HOME), context.stay[HOME].start[Q.TEMPERATURE])
    begins = {path: water.start[Q.TEMPERATURE] for path, water in context.stay.waters.items()} | {HOME: pond_c}
    for one in matches(context, pond_c):
        path, now, kept_c = one.need.path, begins[one.need.path], context.ground.kept_temp_c(one.need.path)
        if one.near:  # the steps to what it is kept at begin with what its fish leaves, where that is further off
            if kept_c is not None and abs(kept_c[0] - one.target_c[0]) > abs(kept_c[0] - now[0]):
                begins[path] = one.target_c
            continue
        begins[path] = one.target_c
        if _towards(now, one.target_c) is kind and not np.array_equal(now, one.target_c):
            extreme.append(one.proposal(kind))
            yield extreme[-1]
    # A tank that cannot be brought to the water before it is first filled otherwise: until then nobody knows its steps.
    heated = [one.action for one in (*context.accepted, *extreme) if one.action.kind in (Kind.COOL, Kind.WARM)]
    unlike = {one.water for one in heated if one.refused_because and one.at is None}
    yield from _to_be_kept(context, kind, begins, unlike)
    if kind is Kind.WARM:  # after what the tank is kept at, whichever way
        yield from _before_the_way_home(context, begins)


def _too_far(context: Context, kind: Kind) -> Iterator[Proposal]:
    """What is too hot or too cold for the fish in it; a water that they are still to be put into is matched instead.

    While it is not known whether it is, because nobody has read it or said which fish it is, nobody is told to change it.
    """
    for need in needs(context, Hazard.TEMPERATURE):
        if need.worst is Verdict.NOT_KNOWN:
            continue
        accepted = any(isinstance(effect, BroughtTo) for effect in need.water.effects)
        past, further = _past(need)[kind], max(_past(need).values())
        least = _BY_HAND_C if need.worst is Verdict.WATCH else 0.0
        # Where both ends of what it may be are too far, the further is met: nobody cools and warms one water.
        if past <= least or past < further or accepted or way_into(need) is not None:
            continue
        if kind is Kind.COOL:
            yield _iced(need, past)
        elif context.ground.kept_temp_c(need.path) is None:
            yield _warmed(need, past)


def _towards(start: FloatArray, target: FloatArray) -> Kind:
    """Whether the way to a temperature is a cooling or a warming."""
    return Kind.COOL if target[0] < start[0] - NEAR_C else Kind.WARM


# -- kept at a temperature ------------------------------------------------------------------------------------------


def _to_be_kept(
    context: Context, kind: Kind, begins: Mapping[str, FloatArray], unlike: Collection[str | None]
) -> Iterator[Proposal]:
    """Each tank with a temperature that it is meant to be kept at: warmed to it, or let cool to it."""
    for path, water in context.stay.waters.items():
        target = context.ground.kept_temp_c(path)
        if target is not None and water.place.stretches and _towards(begins[path], target) is kind:
            calling = [one for one in context.calling(Hazard.TEMPERATURE) if one.water == path]
            need = need_of(context, water, calling)
            long_enough = is_long_enough(context, water, begins[path], begins[HOME])
            if long_enough and path not in unlike:
                yield _kept(need, kind, target, begins[path])
            else:
                yield _not_kept(need, kind, target, "first-as-the-water-before" if long_enough else _TOO_SHORT)


def _not_kept(need: Need, kind: Kind, target: FloatArray, code: str) -> Proposal:
    """A stay that is too short for the way there and the way back, or a tank that is not as the water before: it stays as it is."""
    because = Why(code=code, figures={"wanted": need.put(f"{kind}/kept", target, "°C")})
    start_h = need.ground.clock.at(need.start_h)
    keys: dict[str, Any] = {"moment": Moment.HOSPITAL, "at": start_h, "by": start_h, "done": None}
    return need.proposal(kind, "kept", refused_because=(because,), instead=(), **keys)


def _kept(need: Need, kind: Kind, target: FloatArray, begins_c: FloatArray) -> Proposal:
    """The tank to the intended temperature in steps, by a heater that holds it and cannot cook the fish."""
    at, start_h, end = need.ground.clock.at, need.stretch.begins_h, float(target[0])
    sized = _heating(need, end)
    steps = rungs(float(begins_c[0]), end, start_h)
    amounts = {"temperature": need.put(f"{kind}/kept", target, "°C"), **sized.amounts}
    stops = disease_stops(need.context) + gas_stops(need) if kind is Kind.WARM else ()
    costs, room = list(sized.costs), np.atleast_1d(need.ground.room.air_temp_c)
    if room[0] > end:  # a thermostat cannot cool
        figure = need.put("warm/room", room, "°C", act_end=ActEnd.HIGH)
        costs.append(Why(code="room-warmer-than-the-tank-is-to-be", figures={"room": figure}))
    return need.proposal(
        kind,
        "kept",
        moment=Moment.HOSPITAL,
        amounts=amounts,
        parts=1 if sized.refused else max(len(steps), 1),
        at=at(start_h),
        by=at(start_h),
        until=at(steps[-1][0]) if len(steps) > 1 else None,
        costs=tuple(costs),
        cautions=(*sized.cautions, *_steps_told(need, steps, "warm")),
        done=None,
        refused_because=(*sized.refused, *stops),
        effects=[ThermostatRamp(rungs=steps or [(start_h, end)], heater_w=sized.heater_w)],
    )


def _steps_told(need: Need, steps: list[tuple[float, float]], name: str, **words: str) -> Iterator[Why]:
    if len(steps) < 2:
        return
    figures = {}
    for limit in ("per hour", "per day"):
        figures[limit] = need.put_row(f"{name}/{limit.replace(' ', '-')}", cap(limit), cap(limit).unit, ActEnd.LOW)
    for number, (at_h, temp) in enumerate(steps, 1):
        figures[f"step {number}"] = need.put(f"{name}/step/{number}", temp, "°C")
        at = need.ground.clock.at(at_h)
        words[f"step {number}"] = "" if at is None else at.isoformat()
    yield Why(code="warm-in-steps", figures=figures, words=words)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Heating:
    """Watts as figures; `heater_w` where another heater than the one at hand is needed, `refused` where none may be used."""

    amounts: dict[str, str]
    heater_w: float | None
    costs: tuple[Why, ...] = ()
    cautions: tuple[Why, ...] = ()
    refused: tuple[Why, ...] = ()


def _not_borne(need: Need, target_c: float, path: str) -> tuple[Why, ...]:
    """Why a water is not brought to a temperature that its fish do not bear; () where they do."""
    lowest, highest = tolerated(need)
    if lowest < target_c < highest:
        return ()
    ends = {
        "lowest": need.put(f"{path}/tolerated-low", lowest, "°C"),
        "highest": need.put(f"{path}/tolerated-high", highest, "°C"),
    }
    return (Why(code="temperature-outside-tolerated", figures=ends),)


def _heating(need: Need, target_c: float) -> _Heating:
    """The heater of a tank for a temperature: the least that holds it at the coldest hour, the most that cannot cook."""
    if outside := _not_borne(need, target_c, "warm"):
        return _Heating(amounts={}, heater_w=None, refused=outside)
    setup, equipment = setup_of(need.water, need.stretch, Scenario.POWER_OFF), need.water.equipment
    least = least_watts(setup, target_c, lid=equipment.lid, inputs=need.ground.inputs)
    least_w = up(least.value or 0.0, "W")
    yard = tables.row("heat_rates", part="heaters of a yard", quantity="power")
    if least_w > yard.value:
        watts = {
            "heater": need.put("warm/heater-needed", least_w, "W", act_end=ActEnd.HIGH),
            "most": need.put_row("warm/heaters-of-a-yard", yard, "W", ActEnd.LOW),
        }
        return _Heating(amounts={}, heater_w=None, refused=(Why(code="more-heat-than-a-yard-has", figures=watts),))
    most_w = most_watts(
        setup,
        target_c,
        lid=equipment.lid,
        highest_c=tolerated(need)[1],
        unattended_h=_unattended_h(need),
        inputs=need.ground.inputs,
    )
    amounts = {"heater": need.put("warm/heater", np.asarray(least.each), "W", act_end=ActEnd.HIGH, act_on=least_w)}
    most = {} if most_w is None else {"heater at most": need.put("warm/heater-most", most_w, "W", act_end=ActEnd.LOW)}
    given_w = 0.0 if equipment.heater_w is None else high(equipment.heater_w)
    may_overheat = most_w is None or max(given_w, least_w) > most_w
    enough = given_w >= least_w
    return _Heating(
        # One that warms enough and could still cook it is no range: the cost says both.
        amounts=amounts if may_overheat else {**amounts, **most},
        heater_w=None if enough else least_w,
        costs=(Why(code="heater-may-overheat", figures={**amounts, **most}),) if may_overheat else (),
        cautions=codes("heater-is-enough" if enough else "", "two-heaters-of-half-the-power"),
    )


def _unattended_h(need: Need) -> float:
    unattended = need.ground.case.intended.unattended
    minutes = unattended.measured.best if unattended else tables.row("defaults", what="unattended").value
    return float(minutes) / _MIN_PER_H


# -- before the way home --------------------------------------------------------------------------------------------


def _before_the_way_home(context: Context, begins: Mapping[str, FloatArray]) -> Iterator[Proposal]:
    """The tank brought to the pond's temperature in steps that end when the fish leaves, where the two are too far apart."""
    asked = steps_on_the_way(context)
    for path, water in context.stay.waters.items():
        if water.place.kind is WaterKind.HOSPITAL and water.place.stretches and path != HOME:
            target = goes_home_at(context, water, begins[path], begins[HOME])
            if target is not None:
                tank, now = need_of(context, water, asked), stays_at(context, water, begins[path], begins[HOME])
                leaving = replace(tank, start_h=tank.stretch.until_h)
                yield _homewards(leaving, float(now[0]), *in_reach(leaving, float(now[0]), target))


def _homewards(need: Need, now: float, target: float, ice: list[float]) -> Proposal:
    """Steps that end before the fish leaves the tank, which is when the need begins."""
    tank, at, leaves_h = need.water, need.ground.clock.at, need.start_h
    kind = Kind.COOL if target < now else Kind.WARM
    begin_h, steps = steps_home(need, now, target)
    amounts = {
        "temperature": need.put(f"{kind}/home", target, "°C"),
        "hours": need.put(f"{kind}/home-hours", leaves_h - begin_h, "h", act_end=ActEnd.HIGH),
    }
    nothing_warms = tank.heater_w is None and need.ground.kept_temp_c(need.path) is None
    refused = codes("no-heater-in-the-tank" if kind is Kind.WARM and nothing_warms else "")
    instead: tuple[Instead, ...] = ()
    effects: list[Effect] = []
    hung: dict[str, tuple[float, ...]] = {}
    if tank.heater_w is not None or any(isinstance(one, ThermostatRamp) for one in tank.effects):
        effects.append(ThermostatRamp(rungs=steps))
    if any(ice):
        if (short := more_ice_than_there_is(need, sum(ice), target, name="home-ice")) is not None:
            refused, instead = short[:1], _without_ice(need, short[1], now, target)
        effects.append(IceHung(parts=[(at_h, one) for (at_h, _), one in zip(steps, ice, strict=True)]))
        hung = {"ice": tuple(ice)} if len(steps) > 1 else {}
        amounts["ice"] = need.put("cool/home-ice", sum(ice), "kg", act_end=ActEnd.HIGH, act_on=sum(ice))
    if outside := _not_borne(need, target, f"{kind}/home"):  # not while the pond is so
        refused, effects = outside, []
        instead = (Instead(kind=Kind.WAIT, because=codes("stays-where-it-is-until-matched")),)
    return need.proposal(
        kind,
        "home",
        moment=Moment.HOSPITAL,
        at=at(begin_h),
        by=at(leaves_h),
        done=None,
        refused_because=refused,
        instead=instead,
        amounts={} if instead else amounts,
        parts=len(steps),
        part_amounts={} if instead else hung,
        words={"set down": "yes"} if kind is Kind.COOL and tank.heater_w is not None else {},
        cautions=(*codes("measure-the-pond-again-first"), *_steps_told(need, steps, f"{kind}/home", way=kind.value)),
        effects=effects,
    )


def _without_ice(need: Need, what_there_is: Why, now: float, target: float) -> tuple[Instead, ...]:
    """What brings a tank to the pond without so much ice: the room where it is cold enough, and pond water in parts.

    No faster than the steps allow: the thermostat ends them, and from there on the room has its own time.
    """
    lasts_h = rungs(now, target, 0.0)[-1][0]
    near_c = target + tables.row("temperature_steps", situation="healthy", limit="colder step").value
    most_h = need.start_h - need.stretch.begins_h - lasts_h
    off = room_alone(setup_of(need.water, need.stretch), now, near_c=near_c, most_h=most_h)
    hours = {}
    if off.value is not None:
        hours["hours"] = need.put("cool/thermostat-down", lasts_h + off.each, "h", act_end=ActEnd.HIGH)
    room = (Why(code="thermostat-down-and-shade", figures=hours), what_there_is)
    ways = ((Kind.COOL, room), (Kind.ACCLIMATE, codes("pond-water-in-parts")))
    return tuple(Instead(kind=kind, because=because) for kind, because in ways)


# -- too hot, too cold ----------------------------------------------------------------------------------------------


def _past(need: Need) -> dict[Kind, float]:
    """Degrees by which the water may be over the upper, and under the lower end of what its fish bear."""
    limits = [one.limit for one in need.calls(Hazard.TEMPERATURE) if one.limit is not None]
    highest = min((one.upper for one in limits if one.upper is not None), default=np.inf)
    lowest = max((one.value for one in limits if one.value is not None), default=-np.inf)
    return {Kind.COOL: high(need.state[Q.TEMPERATURE]) - highest, Kind.WARM: lowest - low(need.state[Q.TEMPERATURE])}


def _iced(need: Need, over: float) -> Proposal:
    """Ice in sealed bottles, hourly, no faster than the caps: for the low end of the litres, so that none is too much."""
    by_hour, drop = cap("per hour"), min(over, cap("per day").value)
    parts = int(np.ceil(drop / by_hour.value - 1e-9))
    after = need.state[Q.TEMPERATURE] - drop
    kilograms = ice_kg(need.state[Q.VOLUME], drop, after)
    total = down(low(kilograms), ICE)
    if (short := more_ice_than_there_is(need, total, float(after[0]))) is not None:
        return _too_much_ice(need, short, drop, float(after[0]))
    hung = in_parts(total, parts, unit=ICE)
    times = [(need.from_h + hour, part) for hour, part in enumerate(hung)]
    # Before the fish goes in the tank is simply colder; ice hangs in it once the fish is there.
    hangs = need.kind is WaterKind.HOSPITAL and not need.ahead
    return need.proposal(
        Kind.COOL,
        key="temperature",
        amounts={
            "ice": need.put("cool/ice", kilograms, "kg", act_end=ActEnd.LOW, act_on=total, worked_out_for="low"),
            "fall": need.put("cool/fall", drop, by_hour.unit, act_end=ActEnd.LOW),
            "per hour": need.put_row("cool/per-hour", by_hour, by_hour.unit, ActEnd.LOW),
        },
        parts=parts,
        part_amounts={"ice": hung},
        every_h=1.0 if parts > 1 else None,
        worked_out_for={"volume": "low"},
        costs=codes("" if drop >= over - 1e-9 else "cooled-over-days"),
        cautions=codes("ice-sealed-in-bottles", "shade-first", "no-cold-hose"),
        effects=[IceHung(parts=times) if hangs else BroughtTo(temp_c=after)],
    )


def _too_much_ice(need: Need, short: tuple[Why, Why], drop: float, to_c: float) -> Proposal:
    """More ice than can be brought: what there is does so much, or all of it in a shaded tub of the same water."""
    because, what_there_is = short
    most = tables.row("action_rules", rule="ice most").value
    litres = need.put("cool/ice-litres", most / float(ice_kg(1.0, drop, to_c)), "L", act_end=ActEnd.LOW)
    figures = {"most": what_there_is.figures["most"], "litres": litres}
    ways = (
        Instead(kind=Kind.COOL, because=(*codes("shade-first"), what_there_is)),
        Instead(kind=Kind.MOVE, because=(Why(code="a-shaded-tub-takes-the-ice", figures=figures),), own_tub=True),
        Instead(kind=Kind.AIR, because=codes("air-while-it-is-hot")),
    )
    return need.proposal(Kind.COOL, key="temperature", refused_because=(because,), instead=ways)


def _warmed(need: Need, under: float) -> Proposal:
    """A tub or tank that is too cold; a pond is not warmed."""
    if need.kind in (WaterKind.HOME, WaterKind.BAG):
        because = codes("pond-is-not-warmed" if need.kind is WaterKind.HOME else "wrap-the-bag")
        instead = (Instead(kind=Kind.MOVE, because=codes("shaded-tub-of-own-water-warmed-slowly"), own_tub=True),)
        return need.proposal(Kind.WARM, refused_because=because, instead=instead)
    rise = min(under, cap("per day").value)
    temp = need.state[Q.TEMPERATURE] + rise
    return need.proposal(
        Kind.WARM,
        key="temperature",
        amounts={"temperature": need.put("warm/to", temp, "°C")},
        costs=codes("" if rise >= under - 1e-9 else "warmed-over-days"),
        effects=[BroughtTo(temp_c=temp)],
    )
