"""Water brought to a temperature: tubs matched to where the fish comes from, a tank warmed in steps, a hot water cooled."""

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from waterplan import tables
from waterplan.actions.amounts import down, full, high, in_parts, low
from waterplan.actions.heating import Heating, heating
from waterplan.actions.needs import Need, need_of, needs
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Action, Instead, Kind
from waterplan.hazards.levels import stands, way_of
from waterplan.hazards.record import Hazard, Why
from waterplan.hazards.subject import Judged, Subject
from waterplan.published import FloatArray
from waterplan.stay.effects import BroughtTo, Effect, IceHung, ThermostatRamp
from waterplan.stay.ground import WaterStay
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, Moment, WaterKind
from waterplan.stay.waters import HOME, Stretch
from waterplan.tank.heat import KJ_PER_L_K
from waterplan.tank.heat_balance import ICE_MELTING_KJ_PER_KG
from waterplan.tank.temperature_ramp import temperature_ramp

_NEAR_C, _MOST_TIMES, _TO_SPARE_H = 0.05, 3.0, 1.0


def cool(context: Context) -> Iterator[Proposal]:
    """Tubs that are warmer than where the fish comes from, a tank before the colder pond, water that is too hot."""
    matched = list(_matched(context, Kind.COOL))
    yield from matched
    yield from _to_be_kept(context, Kind.COOL)
    for need in needs(context, Hazard.TEMPERATURE):
        if need.stretch is not None and _over(need) > 0.0 and not _is_matched(context, need, matched):
            yield _iced(need)


def warm(context: Context) -> Iterator[Proposal]:
    """Tubs that are colder than where the fish comes from, and the tank to the temperature that it is to be kept at."""
    matched = list(_matched(context, Kind.WARM))
    yield from matched
    yield from _to_be_kept(context, Kind.WARM)
    for kind in (Kind.COOL, Kind.WARM):  # after what the tank is kept at, whichever way
        yield from _before_the_way_home(context, kind)
    for need in needs(context, Hazard.TEMPERATURE):
        kept = context.ground.kept_temp_c(need.path) is not None
        if need.stretch is not None and _under(need) > 0.0 and not kept and not _is_matched(context, need, matched):
            yield _warmed(need)


def _to_be_kept(context: Context, kind: Kind) -> Iterator[Proposal]:
    """Each tank with a temperature that it is meant to be kept at: warmed to it, or let cool to it."""
    for water in context.stay.waters.values():
        target = context.ground.kept_temp_c(water.place.id)
        if target is None or not water.place.stretches:
            continue
        cooler = bool(target[0] < water.start[Q.TEMPERATURE][0] - _NEAR_C)
        if cooler is (kind is Kind.COOL):
            calling = [one for one in context.calling(Hazard.TEMPERATURE) if one.record.water == water.place.id]
            yield _kept(need_of(context, water, calling), kind)


def _cap(limit: str) -> tables.Row:
    return tables.row("temperature_steps", situation="convalescent", limit=limit)


# -- matched before the fish goes in --------------------------------------------------------------------------------


def _matched(context: Context, kind: Kind) -> Iterator[Proposal]:
    """Each tub in the order in which the fish goes through them, to the temperature of the one before."""
    targets: dict[str, FloatArray] = {}
    calling = [one for one in needs(context, Hazard.TEMPERATURE_STEP) if one.stretch is not None and one.ahead]
    for need in sorted(calling, key=lambda one: one.start_h):
        if need.kind is WaterKind.HOME:
            continue
        way = way_of(Subject(stay=context.before, water=context.before[need.path], stretch=need.stretch))
        if way is None:
            continue
        now = need.water.start[Q.TEMPERATURE]
        before = way.water
        left = targets.get(before.place.id, before.start[Q.TEMPERATURE])
        target = left + _drift(context, way, left)
        targets[need.path] = target
        cooler = bool(target[0] < now[0] - _NEAR_C)
        if cooler is (kind is Kind.COOL) and not np.array_equal(now, target):
            yield _brought(need, kind, target, before)


def _drift(context: Context, way: Subject, start: FloatArray) -> FloatArray | float:
    """How far the water that the fish leaves warms or cools towards the room by then; a pond stays as it is."""
    if way.course is None or stands(way):
        return 0.0
    found = way.water.start[Q.TEMPERATURE]
    drift = way.course.at_end(Q.TEMPERATURE) - found
    room = np.asarray(context.ground.room.air_temp_c)
    apart = np.where(np.abs(room - found) < _NEAR_C, np.inf, room - found)
    return np.asarray(drift * np.clip((room - start) / apart, -_MOST_TIMES, _MOST_TIMES))


def _is_matched(context: Context, need: Need, matched: list[Proposal]) -> bool:
    """Whether the tub is brought to a temperature already, by what was accepted or by this kind itself."""
    accepted = any(isinstance(effect, BroughtTo) for effect in context.stay[need.path].effects)
    return accepted or any(one.action.water == need.path for one in matched)


def _brought(need: Need, kind: Kind, target: FloatArray, before: WaterStay) -> Proposal:
    path = need.id(kind)
    step = tables.row("temperature_steps", situation="after anaesthesia", limit="step")
    amounts = {
        "temperature": need.put(f"{kind}/to", target, "°C"),
        "within": need.put(f"{kind}/within", step.low, "°C", act_end=ActEnd.LOW, rows=(step.id,)),
    }

    return need.proposal(
        kind,
        key="temperature",
        amounts=amounts,
        words={"as": before.place.id},
        cautions=(Why(code="one-thermometer-for-both"),),
        effects=(BroughtTo(action=path, water=need.path, temp_c=target),),
    )


# -- kept at a temperature ------------------------------------------------------------------------------------------


def _kept(need: Need, kind: Kind) -> Proposal:
    """The tank to the intended temperature in steps, by a heater that holds it and cannot cook the fish."""
    context, stretch = need.context, need.stretch
    assert stretch is not None
    target = context.ground.kept_temp_c(need.path)
    assert target is not None
    start, end = float(need.water.start[Q.TEMPERATURE][0]), float(target[0])
    path = f"{Moment.HOSPITAL}/{kind}/{need.path}/kept"
    sized = heating(need, end)
    steps = _rungs(start, end)
    amounts = {"temperature": need.put("warm/to", target, "°C"), **sized.amounts}
    return need.proposal(
        kind,
        id=path,
        moment=Moment.HOSPITAL,
        amounts=amounts,
        parts=1 if sized.refused else max(len(steps), 1),
        at=context.ground.clock.at(stretch.start_h),
        by=context.ground.clock.at(stretch.start_h),
        until=context.ground.clock.at(stretch.start_h + (steps[-1][0] if steps else 0.0)),
        costs=(*sized.costs, *_room_too_warm(need, end)),
        cautions=(*sized.cautions, *_steps_told(need, steps)),
        done=None,
        refused_because=sized.refused,
        effects=_ramp(need, path, stretch, steps, sized, end),
    )


def _room_too_warm(need: Need, end: float) -> Iterator[Why]:
    """A room that is warmer than the tank is to be: a thermostat cannot cool."""
    room = np.asarray(need.context.ground.room.air_temp_c)
    if float(np.atleast_1d(room)[0]) > end:
        figure = need.put("warm/room", room, "°C", act_end=ActEnd.HIGH)
        yield Why(code="room-warmer-than-the-tank-is-to-be", figures={"room": figure})


def _rungs(start: float, end: float) -> list[tuple[float, float]]:
    """Hours after the start and the temperature to set then, under both caps."""
    if abs(end - start) < _NEAR_C:
        return []
    ramp = temperature_ramp(
        start, target_temp_c=end, per_hour_c=_cap("per hour").value, per_day_c=_cap("per day").value
    )
    return [
        (before.at_h, after.water_temp_c)
        for before, after in pairwise(ramp)
        if after.water_temp_c != before.water_temp_c
    ]


def _steps_told(need: Need, steps: list[tuple[float, float]]) -> Iterator[Why]:
    caps = (_cap("per hour"), _cap("per day"))
    if steps:
        figures = {
            row["limit"]: need.put_row(f"warm/{row['limit'].replace(' ', '-')}", row, "°C", ActEnd.LOW) for row in caps
        }
        figures |= {
            f"step {number}": need.put(f"warm/step/{number}", temp, "°C") for number, (_, temp) in enumerate(steps, 1)
        }
        at = need.context.ground.clock.at
        start = need.stretch.start_h if need.stretch is not None else 0.0
        words = {f"step {number}": str(at(start + hours) or "") for number, (hours, _) in enumerate(steps, 1)}
        yield Why(code="warm-in-steps", figures=figures, words=words)


def _ramp(
    need: Need, path: str, stretch: Stretch, steps: list[tuple[float, float]], sized: Heating, end: float
) -> tuple[Effect, ...]:
    rungs = [(stretch.start_h + hours, temp) for hours, temp in steps] or [(stretch.start_h, end)]
    return (ThermostatRamp(action=path, water=need.path, rungs=rungs, heater_w=sized.heater_w),)


# -- before the way home --------------------------------------------------------------------------------------------


def _before_the_way_home(context: Context, kind: Kind) -> Iterator[Proposal]:
    """The tank brought to the pond's temperature in steps that end when the fish leaves, where the two are too far apart."""
    for tank in context.stay.waters.values():
        if tank.place.kind is not WaterKind.HOSPITAL or not tank.place.stretches:
            continue
        kept = context.ground.kept_temp_c(tank.place.id)
        now = float((kept if kept is not None else tank.start[Q.TEMPERATURE])[0])
        pond = context.stay[HOME]
        target = float(pond.start[Q.TEMPERATURE][0])
        cooler = target < now
        step = tables.row("temperature_steps", situation="healthy", limit="colder step" if cooler else "warmer step")
        asked = list(_steps_on_the_way(context))
        calls = any(one.record.verdict.rank > 0 for one in asked)
        known = pond.start.known[Q.TEMPERATURE].is_known and abs(target - now) >= _NEAR_C
        if cooler is (kind is Kind.COOL) and known and (calls or abs(target - now) > step.value):
            yield _homewards(context, kind, tank, now, target, tuple(one.id for one in asked))


def _steps_on_the_way(context: Context) -> Iterator[Judged]:
    """The judgements of the steps between the tank and the pond."""
    for one in context.judged.values():
        record = one.record
        home = record.water == HOME or context.ground.places[record.water].kind in (WaterKind.BAG, WaterKind.BOX)
        if record.hazard is Hazard.TEMPERATURE_STEP and home and record.moment is Moment.HOME:
            yield one


def _homewards(
    context: Context, kind: Kind, tank: WaterStay, now: float, target: float, answers: tuple[str, ...]
) -> Proposal:
    stay_there = tank.place.stretches[-1]
    steps = _rungs(now, target)
    begin = max(stay_there.until_h - steps[-1][0] - _TO_SPARE_H, stay_there.start_h)
    path, at = f"{Moment.HOSPITAL}/{kind}/{tank.place.id}/home", context.ground.clock.at
    put = context.figures.put
    amounts = {
        "temperature": put(f"{tank.place.id}/{kind}/home", full(context, target), unit="°C"),
        "hours": put(f"{tank.place.id}/{kind}/home-hours", stay_there.until_h - begin, unit="h", act_end=ActEnd.HIGH),
    }
    hung: list[tuple[float, float]] = []
    if kind is Kind.COOL:
        falls = np.abs(np.diff([now, *(temp for _, temp in steps)]))
        kilograms = [_ice_kg(tank, float(fall), target) for fall in falls]
        hung = [(begin + hours, one) for (hours, _), one in zip(steps, kilograms, strict=True)]
        total = float(sum(kilograms))
        amounts["ice"] = put(f"{tank.place.id}/cool/home-ice", total, unit="kg", act_end=ActEnd.HIGH)
    action = Action(
        id=path,
        kind=kind,
        moment=Moment.HOSPITAL,
        water=tank.place.id,
        who=need_of(context, tank, ()).who,
        at=at(begin),
        by=at(stay_there.until_h),
        done=at(stay_there.until_h) if stay_there.until_h <= context.ground.clock.now_h else None,
        amounts=amounts,
        answers=answers,
        cautions=(Why(code="measure-the-pond-again-first"), Why(code="steps-as-slow-as-caps")),
    )
    rungs = [(begin + hours, temp) for hours, temp in steps]
    has_heater = tank.equipment.heater_w is not None or any(isinstance(one, ThermostatRamp) for one in tank.effects)
    ramp = [ThermostatRamp(action=path, water=tank.place.id, rungs=rungs)] if has_heater else []
    ice = [IceHung(action=path, water=tank.place.id, parts=hung)] if hung else []
    return Proposal(action=action, effects=(*ramp, *ice))


def _ice_kg(tank: WaterStay, fall_c: float, to_c: float) -> float:
    """Ice for a fall of the low end of the litres."""
    return float(low(tank.start[Q.VOLUME]) * KJ_PER_L_K * fall_c / (ICE_MELTING_KJ_PER_KG + KJ_PER_L_K * to_c))


# -- too hot, too cold ----------------------------------------------------------------------------------------------


def _over(need: Need) -> float:
    """Degrees by which the water may pass the upper end of what its fish bear."""
    uppers = [
        one.record.limit.upper if one.record.limit.upper is not None else one.record.limit.value
        for one in need.calls(Hazard.TEMPERATURE)
        if one.record.limit is not None
    ]
    ends = [one for one in uppers if one is not None]
    return high(need.water.start[Q.TEMPERATURE]) - min(ends) if ends else 0.0


def _under(need: Need) -> float:
    """Degrees by which the water may be under the lower end of what its fish bear."""
    lowers = [
        one.record.limit.value
        for one in need.calls(Hazard.TEMPERATURE)
        if one.record.limit is not None and one.record.limit.upper is not None and one.record.limit.value is not None
    ]
    return max(lowers) - low(need.water.start[Q.TEMPERATURE]) if lowers else 0.0


def _iced(need: Need) -> Proposal:
    """Ice in sealed bottles, hourly, no faster than the caps: for the low end of the litres, so that none is too much."""
    context = need.context
    by_hour, by_day = _cap("per hour"), _cap("per day")
    drop = min(_over(need), by_day.value)
    parts = int(np.ceil(drop / by_hour.value - 1e-9))
    temp = need.water.start[Q.TEMPERATURE]
    per_kg = ICE_MELTING_KJ_PER_KG + KJ_PER_L_K * (temp - drop)
    kilograms = need.water.start[Q.VOLUME] * KJ_PER_L_K * drop / per_kg
    total = down(low(kilograms), "kg")
    path = need.id(Kind.COOL)
    amounts = {
        "ice": need.put("cool/ice", kilograms, "kg", act_end=ActEnd.LOW, act_on=total, worked_out_for="low"),
        "fall": need.put("cool/fall", drop, "°C", act_end=ActEnd.LOW),
        "per hour": need.put_row("cool/per-hour", by_hour, "°C", ActEnd.LOW),
    }
    action = Action(
        **need.action(
            Kind.COOL,
            key="temperature",
            amounts=amounts,
            parts=parts,
            part_amounts={"ice": in_parts(total, parts, unit="kg")},
            every_h=1.0 if parts > 1 else None,
            worked_out_for={"volume": "low"},
            costs=() if drop >= _over(need) - 1e-9 else (Why(code="cooled-over-days"),),
            cautions=(Why(code="ice-sealed-in-bottles"), Why(code="shade-first"), Why(code="no-cold-hose")),
        )
    )
    if need.kind is WaterKind.HOSPITAL and not need.ahead:
        start = max(need.start_h, context.ground.clock.now_h)
        hung = [(start + number, kilogram) for number, kilogram in enumerate(action.part_amounts["ice"])]
        return Proposal(action=action, effects=(IceHung(action=path, water=need.path, parts=hung),))
    return Proposal(action=action, effects=(BroughtTo(action=path, water=need.path, temp_c=temp - drop),))


def _warmed(need: Need) -> Proposal:
    """A tub or tank that is too cold; a pond is not warmed."""
    if need.kind in (WaterKind.HOME, WaterKind.BAG):
        because = (Why(code="pond-is-not-warmed" if need.kind is WaterKind.HOME else "wrap-the-bag"),)
        instead = (Instead(kind=Kind.MOVE, because=(Why(code="shaded-tub-of-own-water-warmed-slowly"),)),)
        return need.proposal(Kind.WARM, refused_because=because, instead=instead)
    rise = min(_under(need), _cap("per day").value)
    temp = need.water.start[Q.TEMPERATURE] + rise
    path = need.id(Kind.WARM)
    amounts = {"temperature": need.put("warm/to", temp, "°C")}
    costs = () if rise >= _under(need) - 1e-9 else (Why(code="warmed-over-days"),)

    return need.proposal(
        Kind.WARM,
        key="temperature",
        amounts=amounts,
        costs=costs,
        effects=(BroughtTo(action=path, water=need.path, temp_c=temp),),
    )
