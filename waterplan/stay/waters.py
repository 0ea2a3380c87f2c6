"""Which bodies of water there are, what each is for, who is in it and when: the stay's timetable before any physics."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from waterplan import tables
from waterplan.case.choices import FilledWith, Use
from waterplan.case.model import Already, Case, Transport, Vessel
from waterplan.case.tank_choices import Carrier
from waterplan.stay.clock import HOURS, Clock
from waterplan.stay.fish import others
from waterplan.stay.record import FishState, Moment, WaterKind
from waterplan.tank.fish_events import Handled

HOME, MAINS = "home-pond", "mains"
_LEAST_STAY_H = 1.0
_MIN_PER_H, _DIPPED_H = 60.0, 0.25


@dataclass(frozen=True, slots=True, kw_only=True)
class Presence:
    """A fish in a water from one hour of the stay to another, in a state."""

    fish: str
    state: FishState
    start_h: float
    until_h: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A time in a water in which it is judged: a moment's, with whoever is in it.

    `went_in_h` is when its patients went in: before `start_h` where they are in it already, after it where they live in it
    and are out of it for their operation.
    """

    name: str
    moment: Moment
    start_h: float
    until_h: float
    present: tuple[Presence, ...]
    went_in_h: float

    @property
    def begins_h(self) -> float:
        """When what is meant for the patients begins in it: with the stretch, or once they are back where they live."""
        return max(self.start_h, self.went_in_h)

    @property
    def fish(self) -> tuple[str, ...]:
        """The fish of the stretch, each once."""
        return tuple(dict.fromkeys(one.fish for one in self.present))

    @property
    def in_turn(self) -> bool:
        """Whether its fish are in it one after the other, while each is operated on."""
        return self.moment is Moment.PROCEDURE and len(self.present) > 1

    def together(self) -> Iterator["Stretch"]:
        """The stretch with those that are in it together: where they take turns, each of them alone in it throughout."""
        if not self.in_turn:
            yield self
            return
        for turn, one in enumerate(self.present, start=1):
            alone = replace(one, start_h=self.start_h, until_h=self.until_h)
            yield replace(self, name=f"{self.name}/alone {turn}", present=(alone,))

    def overrun(self) -> Iterator["Stretch"]:
        """The stretch up to the end of each turn, with nobody after it: whoever is in it then stays in it."""
        for turn, one in enumerate(self.present[:-1], start=1):
            yield replace(self, name=f"{self.name}/turn {turn}", until_h=one.until_h, present=self.present[:turn])
        yield self


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A body of water as the case has it: its path, what it is for, what it is filled from, and its stretches."""

    id: str
    kind: WaterKind
    name: str = ""
    vessel: Vessel | None = None
    transport: Transport | None = None
    source: str | None = None
    pours_into: tuple[str, ...] = ()
    stretches: tuple[Stretch, ...] = ()

    @property
    def moment(self) -> Moment:
        """The moment to which a water without a stretch belongs."""
        return self.stretches[0].moment if self.stretches else Moment.PREPARE


def is_here(place: Place, name: str) -> bool:
    """Whether a path of the case is that of a water; "" is any."""
    return name in ("", place.id)


def is_in(place: Place, one: Already) -> bool:
    """Whether something that is there already is in a water; without a place it is in every one that holds fish."""
    return is_here(place, one.where) and place.kind not in (WaterKind.SOURCE, WaterKind.BAG, WaterKind.BOX)


def places(case: Case, clock: Clock) -> tuple[Place, ...]:
    """Every body of water of a case, from the pond to the bag that goes home."""
    plan = _Timetable(case, clock)
    vessels = list(plan.vessels())
    fills = {source: tuple(one.id for one in vessels if one.source == source) for source in (HOME, MAINS)}
    pond = Place(id=HOME, kind=WaterKind.HOME, pours_into=fills[HOME], stretches=tuple(plan.at_the_pond()))
    if case.vat is not None:
        there = (plan.in_the_vat(),)
        pond = replace(pond, kind=WaterKind.HOSPITAL, name=case.vat.name, vessel=case.vat, stretches=there)
        fills[MAINS] = (HOME, *fills[MAINS])  # whose new water comes from the tap
    mains = Place(id=MAINS, kind=WaterKind.SOURCE, pours_into=fills[MAINS])
    told = fills[MAINS] or case.mains_water.readings or case.mains_water.disinfectant or case.mains_water.kind
    return (pond, *([mains] if told else []), *vessels, *plan.bags())


def hours_of(what: str, *, at_most: bool = False) -> float:
    """A time of the table `timetable` in hours: its value, or the most of its range."""
    row = tables.row("timetable", what=what)
    return (row.high if at_most else row.value) * HOURS[row.unit]


class _Timetable:
    """When who is where, from the timetable's rows and what the case intends."""

    def __init__(self, case: Case, clock: Clock) -> None:
        self.case, self.now_h = case, clock.now_h
        self.patients = [one.path for one in case.patients]
        self.others = [one.path for one in others(case)]
        uses = {one.use for one in case.vessels}
        self.induced_h = hours_of("induction")
        turn = self.induced_h + hours_of("under anaesthesia")
        self.turn_h = turn if case.is_operated_in else 0.0
        self.irrigated = Use.IRRIGATION in uses
        self.awake_h = self.turn_h * max(len(self.patients), 1)
        self.revived_h = self.awake_h + (hours_of("reviving") if Use.REVIVAL in uses else 0.0)
        days = case.intended.days
        stay_h = days.measured.best / _MIN_PER_H if days else hours_of("hospital stay")
        way_h = max((_way_h(one) for one in case.transports), default=0.0)
        # Without a tank a fish that was operated on is on its way as soon as it is awake.
        after_h = stay_h if uses & {Use.HOSPITAL, Use.VAT} else way_h if self.revived_h else 0.0
        self.home_h = self.revived_h + after_h
        self.leaves_h = max(self.home_h - way_h, self.revived_h + _LEAST_STAY_H)

    def vessels(self) -> Iterator[Place]:
        """The tubs and tanks; a hospital tank beside the first that nobody is said to go into stands idle."""
        first_tank = self.case.vessel("")
        for vessel in (one for one in self.case.vessels if one.use is not Use.VAT):
            idle = vessel.use is Use.HOSPITAL and vessel is not first_tank and not vessel.patients
            yield Place(
                id=vessel.path,
                name=vessel.name,
                kind=WaterKind(vessel.use.value),
                vessel=vessel,
                source=MAINS if vessel.filled_with is FilledWith.MAINS else HOME,
                stretches=() if idle else (self._in_vessel(vessel),),
            )

    def _in_vessel(self, vessel: Vessel) -> Stretch:
        """The stretch of a tub: patients one after the other where they are operated on, else all of them."""
        inside = self._inside(vessel)
        if vessel.use is Use.REVIVAL:
            return _stretch("revival", Moment.REVIVAL, self.awake_h, self.revived_h, inside, FishState.RECOVERING)
        if vessel.use is Use.HOSPITAL:
            start = max(self.revived_h, min(self.now_h, self.leaves_h - _LEAST_STAY_H))
            handled_h = hours_of("handled for", at_most=True)
            worn_off_h = Handled(at_h=self.revived_h, stress_factor=1.0, handled_h=handled_h).times_h()[-1]
            state = FishState.RECOVERING if start < worn_off_h else FishState.AT_REST
            stay = _stretch("stay", Moment.HOSPITAL, start, self.leaves_h, inside, state)
            return replace(stay, went_in_h=self.revived_h)
        if vessel.use is Use.DIP:
            until = self.revived_h + _DIPPED_H
            return _stretch("dip", Moment.HOSPITAL, self.revived_h, until, inside, FishState.HANDLED)
        return self._operation(vessel.use, inside)

    def _inside(self, of: Vessel | Transport) -> list[str]:
        """The patients that a tub or a bag is for: those that it names, else all of them."""
        return [self.patients[number - 1] for number in of.patients] or self.patients

    def _operation(self, use: Use, inside: list[str]) -> Stretch:
        begins = self.induced_h if use is Use.IRRIGATION else 0.0
        ends = self.induced_h if use is Use.INDUCTION and self.irrigated else self.turn_h
        state = FishState.ANAESTHETISED
        present = [
            Presence(fish=fish, state=state, start_h=turn * self.turn_h + begins, until_h=turn * self.turn_h + ends)
            for turn, fish in enumerate(self.patients)
            if fish in inside
        ]
        if not present:  # nobody is operated on: the tub stands ready
            return _stretch(use.value, Moment.PROCEDURE, begins, ends, [], state)
        # No rest for the water between two fish: the next may be there at once.
        present = [replace(one, until_h=following.start_h) for one, following in pairwise(present)] + present[-1:]
        start, until = present[0].start_h, present[-1].until_h
        stretch = _stretch(use.value, Moment.PROCEDURE, start, until, [], state)
        return replace(stretch, present=tuple(present))

    def in_the_vat(self) -> Stretch:
        """The vat in which all fish live: from now to the end of the treatment, the patients out of it for their operation."""
        now, back = self.now_h, self.revived_h
        until = max(self.leaves_h, now + _LEAST_STAY_H)
        stay = _stretch("stay", Moment.HOSPITAL, now, until, [*self.patients, *self.others], FishState.AT_REST)
        if not self.turn_h or now >= back:
            return replace(stay, went_in_h=back) if self.turn_h else stay
        away = [replace(one, until_h=max(now, 0.0)) for one in stay.present if one.fish in self.patients]
        again = [replace(one, start_h=back, until_h=until, state=FishState.RECOVERING) for one in away]
        others = [one for one in stay.present if one.fish in self.others]
        there = [one for one in away if one.until_h > now]
        return replace(stay, present=(*there, *others, *again), went_in_h=back)

    def at_the_pond(self) -> Iterator[Stretch]:
        """The pond before the fish is fetched, with all its fish, and after it is back; one or the other where no fish moves."""
        everyone, now, rest = [*self.patients, *self.others], self.now_h, FishState.AT_REST
        begun = self.case.intended.operation_at is not None and now >= 0.0
        operated = bool(self.patients) and (self.home_h > 0.0 or begun)
        if now < self.home_h or not operated:
            who = everyone if now <= 0.0 or not self.home_h else self.others
            yield _stretch("call", Moment.CALL, now, now + hours_of("call"), who, rest)
        if operated:
            back = max(self.home_h, now)
            stay = _stretch("home", Moment.HOME, back, back + hours_of("at home"), everyone, rest)
            yield replace(stay, went_in_h=self.home_h)

    def bags(self) -> Iterator[Place]:
        """What the fish travels in, on its way home."""
        for transport in self.case.transports:
            way_h = _way_h(transport)
            start = max(self.home_h - way_h, self.revived_h)
            inside = self._inside(transport)
            yield Place(
                id=transport.path,
                kind=WaterKind.BOX if transport.by is Carrier.BOX else WaterKind.BAG,
                transport=transport,
                source=HOME,
                stretches=(_stretch("journey", Moment.HOME, start, start + way_h, inside, FishState.HANDLED),),
            )


def _way_h(transport: Transport) -> float:
    """How long a journey takes."""
    return transport.hours.measured.best / _MIN_PER_H if transport.hours else hours_of("transport")


def _stretch(name: str, moment: Moment, start: float, until: float, fish: list[str], state: FishState) -> Stretch:
    present = tuple(Presence(fish=one, state=state, start_h=start, until_h=until) for one in fish)
    return Stretch(name=name, moment=moment, start_h=start, until_h=until, present=present, went_in_h=start)
