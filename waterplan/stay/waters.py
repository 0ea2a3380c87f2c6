"""Which bodies of water there are, what each is for, who is in it and when: the stay's timetable before any physics."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from waterplan import tables
from waterplan.case.choices import Use
from waterplan.case.model import Case, Transport, Vessel
from waterplan.case.tank_choices import Carrier
from waterplan.stay.clock import Clock
from waterplan.stay.record import FishState, Moment, WaterKind

HOME, MAINS = "home-pond", "mains"
_KIND = {
    Use.INDUCTION: WaterKind.INDUCTION,
    Use.IRRIGATION: WaterKind.IRRIGATION,
    Use.REVIVAL: WaterKind.REVIVAL,
    Use.HOSPITAL: WaterKind.HOSPITAL,
    Use.DIP: WaterKind.DIP,
}
_LEAST_STAY_H = 1.0
_MIN_PER_H, _MIN_PER_DAY = 60.0, 1440.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Presence:
    """A fish in a water from one hour of the stay to another, in a state."""

    fish: str
    state: FishState
    start_h: float
    until_h: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A time in a water in which it is judged: a moment's, with whoever is in it."""

    name: str
    moment: Moment
    start_h: float
    until_h: float
    present: tuple[Presence, ...]

    @property
    def fish(self) -> tuple[str, ...]:
        """The fish of the stretch, each once."""
        return tuple(dict.fromkeys(one.fish for one in self.present))


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A body of water as the case has it: its path, what it is for, what it is filled from, and its stretches."""

    id: str
    name: str
    kind: WaterKind
    vessel: Vessel | None = None
    transport: Transport | None = None
    source: str | None = None
    pours_into: tuple[str, ...] = ()
    stretches: tuple[Stretch, ...] = ()

    @property
    def moment(self) -> Moment:
        """The moment to which a water without a stretch belongs."""
        return self.stretches[0].moment if self.stretches else Moment.PREPARE


def places(case: Case, clock: Clock) -> tuple[Place, ...]:
    """Every body of water of a case, from the pond to the bag that goes home."""
    plan = _Timetable(case, clock)
    vessels = list(_vessels(case, plan))
    into_home = [HOME] if not case.mains_water.readings and not case.mains_water.disinfectant else []
    fills: dict[str, list[str]] = {HOME: [], MAINS: []}
    for place in vessels:
        fills[place.source or HOME].append(place.id)
    found = [
        Place(
            id=HOME,
            name="",
            kind=WaterKind.HOME,
            pours_into=tuple(fills[HOME]),
            stretches=tuple(plan.at_the_pond()),
        )
    ]
    if fills[MAINS] or not into_home:
        found.append(Place(id=MAINS, name="", kind=WaterKind.SOURCE, pours_into=tuple(fills[MAINS])))
    return (*found, *vessels, *plan.bags())


def hours_of(what: str) -> float:
    """A time of the table `timetable` in hours."""
    row = tables.row("timetable", what=what)
    return row.value * {"h": 1.0, "min": 1.0 / _MIN_PER_H, "d": 24.0}[row.unit]


class _Timetable:
    """When who is where, from the timetable's rows and what the case intends."""

    def __init__(self, case: Case, clock: Clock) -> None:
        self.case, self.clock = case, clock
        self.patients = [f"patient-{number}" for number in range(1, len(case.patients) + 1)]
        self.others = [
            f"other-{number}"
            for number, one in enumerate(case.other_fish, 1)
            if one.count > 0 and (one.weight or one.length)
        ]
        vessels = {use: case.vessels_for(use) for use in Use}
        turn = hours_of("induction") + hours_of("under anaesthesia")
        operated = vessels[Use.INDUCTION] or vessels[Use.IRRIGATION]
        self.turn_h = turn if operated else 0.0
        self.induced_h = hours_of("induction") if vessels[Use.IRRIGATION] else turn
        self.awake_h = self.turn_h * max(len(self.patients), 1)
        self.revived_h = self.awake_h + (hours_of("reviving") if vessels[Use.REVIVAL] else 0.0)
        days = case.intended.days
        stay_h = days.measured.best / _MIN_PER_H if days else hours_of("hospital stay")
        self.home_h = self.revived_h + (stay_h if vessels[Use.HOSPITAL] else 0.0)
        ways = [self.way_h(one) for one in case.transports]
        self.leaves_h = max(self.home_h - max(ways, default=0.0), self.revived_h + _LEAST_STAY_H)

    def in_vessel(self, vessel: Vessel) -> Iterator[Stretch]:
        """The stretches of a tub: patients one after the other where they are operated on, else all of them."""
        inside = [self.patients[number - 1] for number in vessel.patients] or self.patients
        if vessel.use in (Use.INDUCTION, Use.IRRIGATION):
            yield self._operation(vessel, inside)
        elif vessel.use is Use.REVIVAL:
            yield _stretch("revival", Moment.REVIVAL, self.awake_h, self.revived_h, inside, FishState.RECOVERING)
        elif vessel.use is Use.HOSPITAL:
            start = max(self.revived_h, min(self.clock.now_h, self.leaves_h - _LEAST_STAY_H))
            state = FishState.RECOVERING if start <= self.revived_h else FishState.AT_REST
            yield _stretch("stay", Moment.HOSPITAL, start, self.leaves_h, inside, state)
        elif vessel.use is Use.DIP:
            yield _stretch("dip", Moment.HOSPITAL, self.revived_h, self.revived_h + 0.25, inside, FishState.HANDLED)

    def _operation(self, vessel: Vessel, inside: list[str]) -> Stretch:
        offset, length = (0.0, self.induced_h) if vessel.use is Use.INDUCTION else (hours_of("induction"), 0.0)
        length = length or self.turn_h - offset
        present = [
            Presence(
                fish=fish,
                state=FishState.ANAESTHETISED,
                start_h=turn * self.turn_h + offset,
                until_h=turn * self.turn_h + offset + length,
            )
            for turn, fish in enumerate(self.patients)
            if fish in inside
        ]
        # No rest for the water between two fish: the next may be there at once.
        present = [replace(one, until_h=following.start_h) for one, following in pairwise(present)] + present[-1:]
        return Stretch(
            name=vessel.use.value,
            moment=Moment.PROCEDURE,
            start_h=present[0].start_h,
            until_h=present[-1].until_h,
            present=tuple(present),
        )

    def at_the_pond(self) -> Iterator[Stretch]:
        """The pond before the fish is fetched, with all its fish, and after it is back."""
        everyone = [*self.patients, *self.others]
        start = min(self.clock.now_h, 0.0)
        if self.clock.now_h < self.home_h:
            who = everyone if self.clock.now_h <= 0.0 or not self.turn_h else self.others
            begin = max(start, self.clock.now_h) if self.clock.now_h <= 0.0 else self.clock.now_h
            yield _stretch("call", Moment.CALL, begin, begin + hours_of("call"), who, FishState.AT_REST)
        if self.home_h > 0.0 or self.turn_h:
            back = max(self.home_h, self.clock.now_h)
            yield _stretch("home", Moment.HOME, back, back + hours_of("at home"), everyone, FishState.AT_REST)

    @staticmethod
    def way_h(transport: Transport) -> float:
        """How long a journey takes."""
        return transport.hours.measured.best / _MIN_PER_H if transport.hours else hours_of("transport")

    def bags(self) -> Iterator[Place]:
        """What the fish travels in, on its way home."""
        counts = {WaterKind.BAG: 0, WaterKind.BOX: 0}
        for transport in self.case.transports:
            kind = WaterKind.BOX if transport.by is not None and transport.by is not Carrier.BAG else WaterKind.BAG
            counts[kind] += 1
            way_h = self.way_h(transport)
            start = max(self.home_h - way_h, self.revived_h)
            stretch = _stretch("journey", Moment.HOME, start, start + way_h, self.patients, FishState.HANDLED)
            yield Place(
                id=f"{kind}-{counts[kind]}", name="", kind=kind, transport=transport, source=HOME, stretches=(stretch,)
            )


def _stretch(name: str, moment: Moment, start: float, until: float, fish: list[str], state: FishState) -> Stretch:
    present = tuple(Presence(fish=one, state=state, start_h=start, until_h=until) for one in fish)
    return Stretch(name=name, moment=moment, start_h=start, until_h=until, present=present)


def _vessels(case: Case, plan: _Timetable) -> Iterator[Place]:
    counts: dict[WaterKind, int] = {}
    tanks = [number for number, vessel in enumerate(case.vessels) if vessel.use is Use.HOSPITAL]
    for number, vessel in enumerate(case.vessels):
        kind = _KIND[vessel.use]
        counts[kind] = counts.get(kind, 0) + 1
        idle = kind is WaterKind.HOSPITAL and number != tanks[0] and not vessel.patients
        yield Place(
            id=f"{kind}-{counts[kind]}",
            name=vessel.name,
            kind=kind,
            vessel=vessel,
            source=MAINS if vessel.filled_with == "mains water" else HOME,
            stretches=() if idle else tuple(plan.in_vessel(vessel)),
        )
