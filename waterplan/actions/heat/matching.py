"""One temperature for each water: that of the water that its fish come out of, as that will be when they are lifted."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from waterplan import tables
from waterplan.actions.amounts import high, low, rule
from waterplan.actions.heat.heating import more_ice_than_there_is, to_be_brought
from waterplan.actions.heat.rungs import NEAR_C, rungs
from waterplan.actions.needs import Need, need_of, needs
from waterplan.actions.proposing import Context, Proposal, codes
from waterplan.actions.record import Instead, Kind
from waterplan.hazards.levels import stands
from waterplan.hazards.record import Hazard, Judgement, Why
from waterplan.hazards.subject import Subject, way_of
from waterplan.published import FloatArray
from waterplan.stay.effects import BroughtTo
from waterplan.stay.ground import WaterStay
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, Moment, WaterKind
from waterplan.stay.state import Known
from waterplan.stay.waters import HOME

TO_SPARE_H = 1.0
_MOST_TIMES = 3.0
_NO_FISH_C = 45.0  # from memory: desert pupfishes, which bear the most, bear as much
_ON_THE_WAY = (WaterKind.HOME, WaterKind.BAG, WaterKind.BOX)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Match:
    """A water before its fish go in, the one that they come out of, and the temperature that it is brought to.

    `like` is what the temperature of the other hangs on: assumptions where nobody has read it, else when it was read.
    One that is `near` to it stays as it is.
    """

    need: Need
    way: WaterStay
    target_c: FloatArray
    like: Known
    near: bool

    def proposal(self, kind: Kind) -> Proposal:
        """The action that brings it there; refused where it takes more ice than there is."""
        step, into = _step(), {"as": self.way.place.id}
        brought = to_be_brought(self.need, kind, self.target_c)
        kilograms = float(self.need.ground.figures.draws(brought["ice"])[0]) if kind is Kind.COOL else 0.0
        short = more_ice_than_there_is(self.need, kilograms, float(self.target_c[0]))
        if short is not None:
            filled = Instead(kind=Kind.CHANGE, because=(Why(code="fill-it-from-the-water-before", words={"as": HOME}),))
            cooled = Instead(kind=Kind.COOL, because=(*codes("shade-first"), short[1]))
            ways = (filled, cooled) if self._pond_fills_it() else (cooled,)
            return self.need.proposal(kind, key="temperature", refused_because=short[:1], instead=ways)
        return self.need.proposal(
            kind,
            key="temperature",
            amounts={
                "temperature": self.need.put(f"{kind}/to", self.target_c, "°C"),
                "within": self.need.put(f"{kind}/within", step.low, step.unit, act_end=ActEnd.LOW, rows=(step.id,)),
                **brought,
            },
            words=into,
            cautions=codes("one-thermometer-for-both", "ice-sealed-in-bottles" if kind is Kind.COOL else ""),
            effects=[BroughtTo(temp_c=self.target_c, like=self.like)],
        )

    def _pond_fills_it(self) -> bool:
        """Whether the pond is cold enough and can spare the litres: a tub with the fish in it can spare none."""
        pond, litres = self.need.context.before[HOME].start, high(self.need.state[Q.VOLUME])
        cold = float(pond[Q.TEMPERATURE][0] - self.target_c[0]) <= _step().high
        return cold and litres <= rule("change most") * low(pond[Q.VOLUME])


def _step() -> tables.Row:
    return tables.row("temperature_steps", situation="after anaesthesia", limit="step")


def way_into(need: Need) -> Subject | None:
    """The water that its fish come out of before they go into this one; None where they are in it already."""
    first = need.context.before
    return way_of(Subject(stay=first, water=first[need.path], stretch=need.stretch)) if need.ahead else None


def matches(context: Context, pond_c: FloatArray) -> Iterator[_Match]:
    """Each water in the order in which the fish goes through them, to the temperature of the one before.

    `pond_c` is that of the pond once it has been cooled, where it is. A water that was near enough is brought along where
    the one before it is changed, by either kind.
    """
    targets: dict[str, FloatArray] = {}
    behind: dict[str, Known] = {}
    if not np.array_equal(pond_c, context.before[HOME].start[Q.TEMPERATURE]):
        targets[HOME] = pond_c
    calling = {one.path: one for one in needs(context, Hazard.TEMPERATURE_STEP)}
    waters = [one for one in context.stay.waters.values() if one.place.stretches]
    ahead = [calling.get(one.place.id) or need_of(context, one) for one in waters if one.place.id != HOME]
    for need in sorted((one for one in ahead if one.ahead), key=lambda one: one.start_h):
        way = way_into(need)
        if way is None:
            continue
        left = _when_lifted(context, way, targets, pond_c)
        if any(isinstance(effect, BroughtTo) for effect in need.water.effects):  # by the kind before: not back again
            behind[need.path] = need.state.known[Q.TEMPERATURE]
            targets[need.path] = behind[need.path].draws
            continue
        changed = way.water.place.id in targets
        apart, called = np.abs(left - need.state[Q.TEMPERATURE]), need.path in calling
        near = changed and (high(apart) if called else float(apart[0])) <= _step().low
        if called or (changed and not near):
            target = _within_a_step(need, left)
            like = behind.get(way.water.place.id, way.water.start.known[Q.TEMPERATURE])
            if not near:
                targets[need.path], behind[need.path] = target, like
            yield _Match(need=need, way=way.water, target_c=target, like=like, near=near)


def _when_lifted(context: Context, way: Subject, targets: dict[str, FloatArray], pond_c: FloatArray) -> FloatArray:
    """The temperature of a water when its fish are lifted out of it."""
    begins = targets.get(way.water.place.id, way.water.start[Q.TEMPERATURE])
    if way.water.place.id == HOME:
        return begins
    if way.kind is WaterKind.HOSPITAL:
        stays_c = stays_at(context, way.water, begins, pond_c)
        kept, home_c = stays_c is not begins, goes_home_at(context, way.water, begins, pond_c)
        if home_c is not None and (kept or way.water.heater_w is not None or home_c < begins[0]):
            return np.full(pond_c.shape, home_c)
        if kept:
            return stays_c
    return np.asarray(begins + _drift(context, way, begins))


def _within_a_step(need: Need, left: FloatArray) -> FloatArray:
    """No warmer or colder than the fish bears, as where a heater has stuck in the water that it leaves; and no step away.

    What no fish is lifted out of alive is matched by nothing.
    """
    lowest, highest = tolerated(need)
    borne = np.clip(left, lowest, highest)
    return np.minimum(np.clip(borne, left - _step().high, left + _step().high), _NO_FISH_C)


def tolerated(need: Need) -> tuple[float, float]:
    """The narrowest of what the fish in the water tolerate: the lowest and the highest temperature [°C]."""
    rows = [tables.row("species_ranges", species=one.name, range="tolerated temperature") for one in need.species]
    return max((row.low for row in rows), default=0.0), min((row.high for row in rows), default=np.inf)


def _drift(context: Context, way: Subject, start: FloatArray) -> FloatArray | float:
    """How far the water that the fish leaves warms or cools towards the room by then."""
    if way.course is None or stands(way):
        return 0.0
    found = way.water.start[Q.TEMPERATURE]
    drift = way.course.at_end(Q.TEMPERATURE) - found
    room = np.asarray(context.ground.room.air_temp_c)
    apart = np.where(np.abs(room - found) < NEAR_C, np.inf, room - found)
    return np.asarray(drift * np.clip((room - start) / apart, -_MOST_TIMES, _MOST_TIMES))


# -- before the way home --------------------------------------------------------------------------------------------


def goes_home_at(context: Context, water: WaterStay, begins_c: FloatArray, pond_c: FloatArray) -> float | None:
    """The pond's temperature [°C], that a tank is brought to before its fish leave; None where it is near enough or not known."""
    now, target = float(stays_at(context, water, begins_c, pond_c)[0]), float(pond_c[0])
    way, apart = ("colder step", now - target) if target < now else ("warmer step", target - now)
    step = tables.row("temperature_steps", situation="healthy", limit=way)
    calls = any(one.verdict.rank > 0 for one in steps_on_the_way(context))
    known = context.before[HOME].start.known[Q.TEMPERATURE].is_known
    return target if known and apart >= NEAR_C and (calls or apart > step.value) else None


def stays_at(context: Context, water: WaterStay, begins_c: FloatArray, pond_c: FloatArray) -> FloatArray:
    """The temperature of a tank through its stay [°C, shape (draws + 1,)]: what it is kept at, else what it begins with."""
    kept_c = context.ground.kept_temp_c(water.place.id)
    return begins_c if kept_c is None or not is_long_enough(context, water, begins_c, pond_c) else kept_c


def steps_on_the_way(context: Context) -> list[Judgement]:
    """The judgements of the steps between the tank and the pond."""
    on_the_way = [path for path, one in context.ground.places.items() if one.kind in _ON_THE_WAY]
    steps = [one.record for one in context.judged.values() if one.record.hazard is Hazard.TEMPERATURE_STEP]
    return [one for one in steps if one.water in on_the_way and one.moment is Moment.HOME]


def is_long_enough(context: Context, water: WaterStay, begins_c: FloatArray, pond_c: FloatArray) -> bool:
    """Whether a stay is long enough for the steps to the temperature that the tank is kept at, and for those back again."""
    kept_c, place = context.ground.kept_temp_c(water.place.id), water.place
    if kept_c is None or not place.stretches or place.id == HOME:
        return True
    there, back = (rungs(float(one[0]), float(other[0]), 0.0) for one, other in ((begins_c, kept_c), (kept_c, pond_c)))
    stays_h = max(one.until_h for one in place.stretches) - min(one.start_h for one in place.stretches)
    return not there or not back or there[-1][0] + back[-1][0] + TO_SPARE_H <= stays_h
