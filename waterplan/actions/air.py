"""Air, or oxygen where air cannot reach the level; and what is kept ready for a power cut."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from waterplan import tables
from waterplan.actions.amounts import down, high, low, rule, up
from waterplan.actions.needs import POWER_OFF, Need, disease_stops, need_of, needs
from waterplan.actions.proposing import Context, Proposal, codes
from waterplan.actions.record import Instead, Kind
from waterplan.hazards.conflict import blooms
from waterplan.hazards.limit_rows import nh3_limit, oxygen_level
from waterplan.hazards.record import Hazard, Why
from waterplan.hazards.subject import Subject, way_of
from waterplan.published import FloatArray
from waterplan.stay.course import Scenario
from waterplan.stay.effects import Aired, AirIsOn, Effect, Oxygenated
from waterplan.stay.equipment import stone
from waterplan.stay.figures import Equation
from waterplan.stay.filling import before_the_fish, start_of
from waterplan.stay.fish import stress
from waterplan.stay.ground import Ground
from waterplan.stay.quantities import UNITS, Q
from waterplan.stay.record import ActEnd, FishState, Moment, WaterKind
from waterplan.stay.standing import setup_of, stones_of
from waterplan.stay.state import Known, parts, total_gas_percent
from waterplan.stay.volume.ways import rows_of
from waterplan.stay.waters import HOME
from waterplan.tank import air_needed
from waterplan.tank.aeration import Diffuser, Gas
from waterplan.tank.answers import Answer, own_needs
from waterplan.tank.cylinder import cylinder_minutes
from waterplan.tank.setup import Setup

_AT_A_POND = "all-air-on-return-breaking-surface"
_NO_POWER = (WaterKind.BAG, WaterKind.DIP)  # whose power cannot fail: they have none
_PER_CENT, _MIN_PER_H, _ALONE = 100.0, 60.0, (WaterKind.INDUCTION, WaterKind.IRRIGATION)
_CYLINDER = "oxygen-cylinder"


def air(context: Context) -> Iterator[Proposal]:
    """Air for every water that is short of oxygen or heavy with carbon dioxide, and the back-up of each."""
    made = list(_of_each(context))
    yield from _from_one_cylinder(context.ground, made) if any(map(_oxygen_on, made)) else made


def _of_each(context: Context) -> Iterator[Proposal]:
    for need in needs(context, Hazard.OXYGEN, Hazard.CARBON_DIOXIDE, kind=Kind.AIR):
        if need.kind is not WaterKind.BAG and not _chills(need):
            yield from _aired(need)
        elif need.calls(Hazard.OXYGEN):  # what would do is oxygen at packing and a shorter way
            yield need.proposal(Kind.AIR, refused_because=codes("no-air-into-a-closed-bag"))
    calling = {one.water for one in context.calling(Hazard.OXYGEN)} - {HOME}
    for water in context.stay.waters.values():
        hangs_on_power = stones_of(water) or water.place.id in calling
        if water.place.kind not in _NO_POWER and water.place.stretches and hangs_on_power:
            yield _back_up(need_of(context, water))


def _chills(need: Need) -> bool:
    """Whether air would chill a pond that stands on its cold limit, for no more than carbon dioxide that is to be watched."""
    cold = [one.limit for one in need.context.calling(Hazard.TEMPERATURE) if one.water == need.path and one.limit]
    at_limit = any(low(need.state[Q.TEMPERATURE]) < (one.value or 0.0) for one in cold)
    return need.kind is WaterKind.HOME and at_limit and not need.urgent and not need.calls(Hazard.OXYGEN)


# -- air ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sized:
    """The level that is wanted of a water, with its fish as they are then, and the air that a level takes."""

    need: Need
    setup: Setup
    stress: FloatArray
    target: float

    @property
    def stone(self) -> Diffuser:
        """The stone of the vessel, with a litre of air a minute."""
        return stone(self.need.water.equipment, self.need.ground.inputs, l_per_min=1.0)

    def least(self, target: float, gas: Gas = Gas.AIR) -> air_needed.AirNeeded:
        """The air for a level of oxygen."""
        blown = replace(self.stone, gas=gas)
        found = air_needed.least_air(self.setup, stone=blown, target_do_mg_per_l=target, stress_factor=self.stress)
        return replace(found, flow=self._worst(found.flow))

    def against_co2(self) -> tuple[Answer, dict[str, str]]:
        """The air that brings carbon dioxide under its limit, and that limit and time; none where nobody read it.

        Within the hour where it harms the fish in it, else within a day, or until they go in.
        """
        need, levels = self.need, [one.figure for one in self.need.calls(Hazard.CARBON_DIOXIDE) if one.figure]
        if not levels or not need.state.known[Q.CARBON_DIOXIDE].is_known:
            return Answer(value=0.0, each=np.zeros(need.state.size)), {}
        limit, soon = min(need.limits(Hazard.CARBON_DIOXIDE)), rule("act within")
        there_is = need.start_h - need.ground.clock.now_h if need.ahead else soon if need.urgent else np.inf
        hours = down(max(min(there_is, rule("degas most")), soon), "h")
        most = np.max([need.context.figures.draws(one) for one in levels], axis=0)
        ends = {"start_mg_per_l": most, "end_mg_per_l": limit, "hours": hours, "stress_factor": self.stress}
        figures = {
            "carbon dioxide under": need.put("air/carbon-dioxide", limit, "mg/L", act_end=ActEnd.LOW),
            "hours" if need.ahead else "takes": need.put("air/hours", hours, "h", act_end=ActEnd.LOW),
        }
        return self._worst(air_needed.least_air_against_co2(self.setup, stone=self.stone, **ends)), figures

    def _worst(self, found: Answer) -> Answer:
        """That of the worst of several readings of one time: each by itself."""
        flows = (own_needs(found.each[one]).value for one in parts(self.need.state.known.values()))
        return replace(found, value=max(flows, key=lambda one: np.inf if one is None else one))


def _sized(need: Need) -> _Sized:
    """The water at its warmest with its fish handled, those of the pond at rest.

    The target is the strictest limit that calls; in a hospital tank also the level that is to be held there.
    """
    inputs, at_hand = need.ground.inputs, need.fish
    setup = setup_of(need.water, need.stretch, Scenario.POWER_OFF)
    setup = replace(setup, water=replace(setup.water, water_temp_c=_warmest_c(need, setup)))
    if need.kind in _ALONE and at_hand:  # one fish at a time: the heaviest
        at_hand = [max(at_hand, key=lambda one: float(one.weight_kg.draws[0]) * one.count)]
    fish = tuple(one.breathing(inputs, np.asarray(setup.water.water_temp_c)) for one in at_hand)
    rest = stress(inputs, FishState.AT_REST)
    handled = rest if need.kind is WaterKind.HOME else stress(inputs, FishState.HANDLED)
    levels = list(need.limits(Hazard.OXYGEN)) or [_level(need, "alarm")]
    if need.kind is WaterKind.HOSPITAL:
        levels.append(tables.row("hospital_demands", demand="oxygen to hold").value)
    return _Sized(
        need=need,
        setup=replace(setup, fish=fish, aeration=(), heater=None, filter=None),
        stress=np.maximum(handled / rest, 1.0),
        target=max(levels),
    )


def _warmest_c(need: Need, setup: Setup) -> FloatArray:
    """The temperature of the water, or of the one that its fish leave where that is warmer: it is matched to that."""
    here, first = np.asarray(setup.water.water_temp_c), need.context.before
    way = way_of(Subject(stay=first, water=first[need.path], stretch=need.stretch)) if need.ahead else None
    return here if way is None else np.maximum(here, way.water.start[Q.TEMPERATURE])


def _level(need: Need, level: str) -> float:
    state = "settled" if need.kind in (WaterKind.HOME, WaterKind.HOSPITAL) else "anaesthetised"
    return oxygen_level((one.oxygen_group for one in need.species), state=state, level=level).value


def _most_l_per_min(need: Need) -> float:
    """The most air that can be blown through a tub without throwing the fish about, or into a pond by the pumps there are."""
    pond = need.kind is WaterKind.HOME
    most = rule("pond air most") if pond else rule("tub air most") * low(need.state[Q.VOLUME])
    return max(down(most, "L/min"), 1.0)


def _put_flow(need: Need, name: str, found: air_needed.AirNeeded, strips: Answer | None = None, **more: float) -> str:
    """The flow that each draw would need, as a figure."""
    flow, used = found.flow.each, tuple[Equation, ...]((air_needed.air_flow_to_hold_l_per_min,))
    if strips is not None and np.any(strips.each > 0.0):
        flow, used = np.maximum(flow, strips.each), (*used, air_needed.air_flow_to_strip_l_per_min)
    return need.put(f"air/{name}", flow, "L/min", act_end=ActEnd.HIGH, equations=used, worked_out_for="low", **more)


def _is_sizable(need: Need) -> bool:
    """Whether air can be sized: in a pond only where its litres and the weight of its fish are known, and where its own
    water asks for it. A sign alone asks for all that there is: how much a pond breathes its reading tells better.
    """
    called, known = need.calls(Hazard.OXYGEN, Hazard.CARBON_DIOXIDE), [need.state.known[Q.VOLUME]]
    known += [one.weight_kg for one in need.fish]
    return need.kind is not WaterKind.HOME or (bool(called) and len(known) > 1 and all(one.is_known for one in known))


def _frees(need: Need) -> Iterator[Why]:
    """What airing makes of a pond's ammonia, of which no course is followed, where that passes its limit."""
    if need.kind is not WaterKind.HOME or not need.state.known[Q.AMMONIA].is_known:
        return
    aired = before_the_fish(need.ground, need.state, Aired())[Q.UNIONISED_AMMONIA]
    limit = nh3_limit(one.law_group for one in need.species)
    if high(aired) > max(limit.value, high(need.state[Q.UNIONISED_AMMONIA])):
        there = need.put("air/un-ionised ammonia", aired, UNITS[Q.UNIONISED_AMMONIA], act_end=ActEnd.HIGH)
        yield Why(code="air-frees-ammonia", figures={"ammonia": there})


def _aired(need: Need) -> Iterator[Proposal]:
    """Air for the level wanted, and against carbon dioxide; where it cannot be had by air, as much as can be blown, and oxygen."""
    frees = tuple(_frees(need))
    if not _is_sizable(need):
        yield need.proposal(Kind.AIR, costs=frees, cautions=codes(_AT_A_POND, _not_tonight(need)))
        return
    sized, most, equipment = _sized(need), _most_l_per_min(need), need.water.equipment
    found, (strips, under) = sized.least(sized.target), sized.against_co2()
    reaches = found.flow.value is not None
    enough = found.flow.value is not None and found.flow.value <= most
    # Where the level is out of reach: air for the emergency level, since more only carries off the oxygen beside it.
    least = found.flow.value if reaches else sized.least(_level(need, "emergency")).flow.value
    stripping = min(np.inf if strips.value is None else strips.value, rule("pond air most"))
    wanted = most if least is None else min(up(max(least, stripping), "L/min"), most)
    given = 0.0 if equipment.air_l_per_min is None else float(equipment.air_l_per_min[0])
    flow = max(wanted, up(given, "L/min"))
    each = tables.row("aeration_rates", device="outlet").value
    at_least = int(tables.row("aeration_rates", device="any tank", quantity="outlets").value)
    least_stones = max(at_least, equipment.stones or 1)
    stones = air_needed.outlets(flow, most_l_per_min_per_outlet=each, least_outlets=least_stones)
    amounts = {
        "air flow": need.put("air/flow", flow, "L/min", act_end=ActEnd.HIGH, act_on=flow),
        "stones": need.put("air/stones", float(stones), "pieces", act_end=ActEnd.HIGH),
        "needed": _put_flow(need, "needed", found, strips),
    }
    if need.calls(Hazard.OXYGEN) or not under:
        amounts["oxygen to hold"] = need.put("air/target", sized.target, "mg/L")
    read_it = "read-carbon-dioxide-again" if under else "" if need.calls(Hazard.OXYGEN) else "flow-is-for-oxygen"
    costs = list(frees)
    if not reaches:
        costs.append(Why(code="air-cannot-reach", figures=_reachable(sized, found)))
    elif not enough:
        costs.append(_too_much(sized, found, most))
    if strips.value is None or strips.value > flow:
        costs.append(Why(code="carbon-dioxide-falls-slower", figures={**under, "blown": amounts["air flow"]}))
    else:
        amounts |= under
    effects: list[Effect] = [AirIsOn(at_h=need.at_h, l_per_min=flow, stones=stones)]
    if need.ahead and need.kind is not WaterKind.HOME:
        effects.append(Aired())
    yield need.proposal(
        Kind.AIR,
        amounts=amounts,
        worked_out_for={"volume": "low"},
        costs=tuple(costs),
        cautions=codes(
            "keep-the-air-on" if enough and given >= wanted else "",
            _AT_A_POND if need.kind is WaterKind.HOME else "",
            _not_tonight(need),
            *(
                (read_it, "airing-raises-ph", "bicarbonate-does-not-lower-it")
                if need.calls(Hazard.CARBON_DIOXIDE)
                else ()
            ),
        ),
        effects=effects,
    )
    if not enough and need.calls(Hazard.OXYGEN) and need.kind is not WaterKind.HOME:
        yield _oxygen(sized, found, flow)


def _too_much(sized: _Sized, found: air_needed.AirNeeded, most: float, under: str = "air") -> Why:
    """More air than can be blown here, and what else there is: a tub that takes it, fewer fish, or fewer of them at once."""
    need, needed = sized.need, found.flow.value or 0.0
    figures = {"blown": need.put(f"{under}/most", most, "L/min", act_end=ActEnd.LOW)}
    if needed <= rule("pond air most"):  # beyond what any pump of a yard gives the figure is none to act by
        figures["needed"] = need.put(f"{under}/needed-in-all", needed, "L/min", act_end=ActEnd.HIGH)
        if need.kind is not WaterKind.HOME:
            figures["room"] = need.put(f"{under}/room", needed / rule("tub air most"), "L", act_end=ActEnd.HIGH)
    several = "" if disease_stops(need.context) or sum(one.count for one in need.fish) < 2 else "yes"
    return Why(code="more-air-than-can-be-blown", figures=figures, words={"several": several} if several else {})


def _not_tonight(need: Need) -> str:
    """What not to do where oxygen is short or a bloom stands, of a water in which fish live."""
    lives = need.kind in (WaterKind.HOME, WaterKind.HOSPITAL)
    short = need.calls(Hazard.OXYGEN) or blooms(need.ground, need.water)
    return "not-while-oxygen-is-short" if lives and short else ""


def _reachable(sized: _Sized, found: air_needed.AirNeeded) -> dict[str, str]:
    """The level that bubbles of air could bring this water to, and the one that is wanted with its share of saturation."""
    put, full = sized.need.put, sized.need.state.saturation_mg_per_l
    return {
        "reachable": put("air/reachable", np.asarray(found.highest_do_mg_per_l), "mg/L", act_end=ActEnd.LOW),
        "wanted": put("air/target", sized.target, "mg/L"),
        "share": put("air/target-share", _PER_CENT * sized.target / full, "%", act_end=ActEnd.HIGH),
    }


def _gas_it_makes(sized: _Sized) -> Iterator[Why]:
    """The total gas of aired water that holds the level wanted, where that is more oxygen than the air gives it."""
    need = sized.need
    over = sized.target > need.state.saturation_mg_per_l
    if not bool(over[0]):
        return
    aired = before_the_fish(need.ground, need.state, Aired()) if need.ahead else need.state
    held = aired.with_known({Q.OXYGEN: Known.made(np.full(aired.size, sized.target), None)})
    gas = need.put("air/gas-pressure", total_gas_percent(held), "%", act_end=ActEnd.HIGH)
    yield Why(code="oxygen-makes-gas-pressure", figures={"gas": gas})


# -- oxygen ---------------------------------------------------------------------------------------------------------


def _oxygen(sized: _Sized, by_air: air_needed.AirNeeded, blown_l_per_min: float) -> Proposal:
    """Oxygen for what the fish takes and for what the air beside it carries off above its own ceiling: the most that any draw
    needs is ordered, and a meter sets of it what this water needs."""
    need, temp = sized.need, np.asarray(sized.setup.water.water_temp_c)
    # What is carried off does not grow with the fish's excitement.
    carried = _carried_off_mg_per_h(sized, blown_l_per_min, temp) / sized.stress
    beside = replace(sized.setup.tank, other_demand_mg_per_h=carried, rates_at_temp_c=temp)
    found = replace(sized, setup=replace(sized.setup, tank=beside)).least(sized.target, Gas.OXYGEN)
    if found.flow.value is None:
        because = (Why(code="oxygen-cannot-reach", figures=_reachable(sized, found)),)
        return need.proposal(Kind.AIR, "oxygen", refused_because=because)
    flow = up(found.flow.value, "L/min")
    assert found.flow.each is not None
    by_meter = np.minimum(found.flow.each, flow)
    effects: list[Effect] = [AirIsOn(at_h=need.at_h, l_per_min=by_meter, stones=1, oxygen=True)]
    if need.ahead:
        effects.append(Oxygenated(oxygen_mg_per_l=sized.target))
    return need.proposal(
        Kind.AIR,
        "oxygen",
        amounts={
            "oxygen flow": _put_flow(need, "oxygen-flow", found, act_on=flow),
            **_reachable(sized, by_air),
        },
        substance="oxygen",
        needs=(need.id(Kind.AIR),),
        costs=tuple(_gas_it_makes(sized)),
        cautions=codes(
            "no-cylinder-named" if need.ground.case.oxygen_cylinder is None else "",
            "oxygen-by-the-meter",
            "keep-air-bubbling-with-oxygen",
            "no-flame-no-oil",
        ),
        effects=effects,
    )


def _carried_off_mg_per_h(sized: _Sized, l_per_min: float, temp: FloatArray) -> FloatArray:
    """Oxygen that bubbles of air carry out of water at the level wanted, where that is above what they bring it to."""
    blown = stone(sized.need.water.equipment, sized.need.ground.inputs, l_per_min=l_per_min)
    full = start_of(sized.need.water, Scenario.POWER_OFF).saturation_mg_per_l
    over = np.maximum(sized.target - full * blown.ceiling, 0.0)
    return np.asarray(blown.transfer_l_per_h(temp) * over)


def _oxygen_on(one: Proposal) -> list[AirIsOn]:
    return [on for on in one.effects if isinstance(on, AirIsOn) and on.oxygen and one.action.is_open]


def _from_one_cylinder(ground: Ground, made: Sequence[Proposal]) -> Iterator[Proposal]:
    """The orders, those of oxygen with what all of them together take: one cylinder has one budget, whichever tub it is at."""
    now_h, cylinder, read = ground.clock.now_h, ground.case.oxygen_cylinder, ground.inputs.of_reading
    runs = [
        (float(np.max(on.l_per_min)), max(stretch.start_h, now_h), max(stretch.until_h, now_h))
        for on in (on for one in made for on in _oxygen_on(one))
        for stretch in ground.places[on.water].stretches
    ]
    times = np.unique([at for _, *ends in runs for at in ends])
    flows = np.array([sum(flow for flow, start, end in runs if start <= at < end) for at in times[:-1]])
    minutes, flows = np.diff(times)[flows > 0.0] * _MIN_PER_H, flows[flows > 0.0]
    litres, put = float(minutes @ flows), partial(ground.figures.put, act_end=ActEnd.HIGH)
    told = [Why(code="oxygen-in-all", figures={"litres": put(f"{_CYLINDER}/needed", litres, unit="L")})]
    amounts = {}
    if cylinder is not None and cylinder.volume is not None and cylinder.pressure is not None and litres > 0.0:
        size, gauge = read(f"{_CYLINDER}/volume", cylinder.volume), read(f"{_CYLINDER}/pressure", cylinder.pressure)
        held = cylinder_minutes(size, gauge_bar=gauge, oxygen_flow_l_per_min=1.0)  # minutes of 1 L/min: litres
        lasts = np.interp(held, np.cumsum([0.0, *minutes * flows]), np.cumsum([0.0, *minutes]))
        lasts += np.maximum(held - litres, 0.0) / flows[-1]  # what is left goes on at the last flow
        put = partial(put, rows=rows_of((cylinder.volume, cylinder.pressure)), equations=(cylinder_minutes,))
        amounts = {
            "cylinder lasts": put(f"{_CYLINDER}/lasts", lasts, unit="min", act_end=ActEnd.LOW),
            "cylinders": put(f"{_CYLINDER}/cylinders", litres / np.maximum(held, 1.0), unit="pieces"),
        }
    if cylinder is not None and cylinder.flow is not None and flows.max(initial=0.0) > cylinder.flow.measured.best:
        most = {"most": put(f"{_CYLINDER}/flow", float(flows.max()), unit="L/min")}
        told.append(Why(code="more-flow-than-stated", figures=most, words={"stated": cylinder.flow.text}))
    for one in made:
        more = {"amounts": one.action.amounts | amounts, "costs": (*told, *one.action.costs)}
        yield replace(one, action=one.action.model_copy(update=more)) if _oxygen_on(one) else one


# -- back-up --------------------------------------------------------------------------------------------------------


def _back_up(need: Need) -> Proposal:
    """Air that needs no mains, for the alarm level of its fish at rest, and how soon it must run: by the clock without power."""
    rest = replace(_sized(need), stress=np.ones(need.ground.inputs.size))
    found = rest.least(_level(need, "alarm"))
    moment = Moment.CALL if need.kind is WaterKind.HOME else Moment.PREPARE
    by = need.ground.clock.at(need.from_h)
    made = partial(need.proposal, Kind.AIR, "back-up", moment=moment, by=by, done=None, words={"back-up": "yes"})
    most = _most_l_per_min(need)
    if found.flow.value is None or found.flow.value > most:
        never = Why(code="air-cannot-reach", figures=_reachable(rest, found))
        because = never if found.flow.value is None else _too_much(rest, found, most, under="air/back-up")
        bottle = Instead(kind=Kind.AIR, because=codes("oxygen-as-back-up"))
        return made(refused_because=(because,), instead=(bottle,), words={"back up": "back-up"})
    flow = up(found.flow.value, "L/min")
    several = (need.stretch.name,) if len(need.water.place.stretches) > 1 else ()
    # The clock without power is worked out once all else is accepted; a box has one clock, that without air.
    off = () if need.kind is WaterKind.BOX else (POWER_OFF,)
    amounts = {
        "air flow": _put_flow(need, "back-up-flow", found, act_on=flow),
        "within": "/".join((need.path, Q.OXYGEN, "until-alarm", *several, *off)),
    }
    given = need.water.equipment.back_up_l_per_min
    enough = given is not None and float(np.min(given)) >= flow
    sure = "back-up-is-enough" if enough else "back-up-too-small" if given is not None else "no-back-up-named"
    return made(amounts=amounts, cautions=codes(sure))
