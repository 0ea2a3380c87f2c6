"""What a hazard is asked about, and what it answers before the table of verdicts has spoken."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from waterplan import tables
from waterplan.fish.species import Species
from waterplan.hazards.record import Judgement, Side, Why
from waterplan.published import FloatArray, Numbers
from waterplan.stay.course import Course, Scenario
from waterplan.stay.figures import Equation, Sum
from waterplan.stay.fish import FishAtHand
from waterplan.stay.ground import WaterStay
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, Moment, WaterKind
from waterplan.stay.state import Known, State
from waterplan.stay.waters import Stretch
from waterplan.stay.whole import Stay

_SOONER_H = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """A water over a stretch with the fish in it; without a stretch a water that is poured where fish are."""

    stay: Stay
    water: WaterStay
    stretch: Stretch | None
    scenario: Scenario = Scenario.AS_PLANNED

    @property
    def kind(self) -> WaterKind:
        """What the water is for."""
        return self.water.place.kind

    @property
    def state(self) -> State:
        """The water as the stretch begins."""
        return self.water.start

    @property
    def course(self) -> Course | None:
        """The water through the stretch; None for one without fish."""
        return None if self.stretch is None else self.water.course(self.stretch, self.scenario)

    @property
    def clocked(self) -> Iterator[Course]:
        """The courses that a clock is read from: where fish take turns in a tub, each as though its fish stayed in it.

        An operation that takes longer, or a power cut, leaves the fish whose turn it is where it is.
        """
        if self.stretch is not None:
            planned = self.stretch.in_turn and self.scenario is Scenario.AS_PLANNED
            each = self.stretch.overrun() if planned else self.stretch.together()
            yield from (self.water.course(one, self.scenario) for one in each)

    @property
    def is_now(self) -> bool:
        """Whether its stretch is the water's first that is not over: what was seen by now is of that one."""
        now_h = self.stay.ground.clock.now_h
        left = (one for one in self.water.place.stretches if one.until_h > now_h)
        return self.stretch is not None and self.stretch is next(left, None)

    @property
    def fish(self) -> list[FishAtHand]:
        """Its fish; for a water that is poured, the fish of the waters that it is poured into."""
        return self.water.fish(self.stretch)

    @property
    def species(self) -> tuple[Species, ...]:
        """The species by which it is judged."""
        return self.water.species(self.stretch)

    @property
    def nobody_told(self) -> bool:
        """Whether its fish are out of it, and which others there are was not stated."""
        case, away = self.stay.ground.case, self.stretch is not None and not self.stretch.fish
        return away and bool(case.patients) and not case.other_fish

    @property
    def begins_h(self) -> float:
        """The hour at which its fish come into it, or what is meant for them begins; infinite without a stretch."""
        return np.inf if self.stretch is None else self.stretch.begins_h

    @property
    def moment(self) -> Moment:
        """The moment to which a judgement of it belongs."""
        return Moment.PREPARE if self.stretch is None else self.stretch.moment

    @property
    def also(self) -> tuple[str, ...]:
        """What tells it from the water's other judgements: the stretch where there are several, and the power."""
        several = self.stretch is not None and len(self.water.place.stretches) > 1
        power = self.scenario.value if self.scenario is Scenario.POWER_OFF else ""
        return tuple(filter(None, (self.stretch.name if self.stretch and several else "", power)))


def subjects(stay: Stay) -> Iterator[Subject]:
    """Every water that touches a fish or is poured where one is, over every stretch that matters."""
    for water in stay.waters.values():
        for stretch in water.place.stretches:
            yield Subject(stay=stay, water=water, stretch=stretch)
        if not water.place.stretches and water.place.pours_into:
            yield Subject(stay=stay, water=water, stretch=None)


def way_of(subject: Subject) -> Subject | None:
    """The water that its fish come out of: home, induction, irrigation, revival, hospital, bag or box, and home again.

    None where they are in it already: that step is over.
    """
    here = subject.stretch
    if here is None or here.went_in_h < here.start_h - _SOONER_H:
        return None
    moved = {one.id for one in subject.fish if one.patient}
    came = [
        (stretch.start_h, stretch.until_h, water.place.id, Subject(stay=subject.stay, water=water, stretch=stretch))
        for water in subject.stay.waters.values()
        for stretch in water.place.stretches
        if water is not subject.water and moved & set(stretch.fish) and stretch.start_h < here.begins_h - _SOONER_H
    ]
    # Of two that begin together, the one that they leave last.
    return max(came, key=lambda one: one[:3])[3] if came else None


def ways_of(subject: Subject) -> Iterator[Subject]:
    """The waters that its fish come through, the last first, as far back as they are still to be gone through.

    A vat that they live in, and come back to, ends the way.
    """
    way, passed = way_of(subject), [subject.stretch]
    while way is not None and way.stretch not in passed:
        yield way
        passed.append(way.stretch)
        way = way_of(way)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rests:
    """A quantity of a water, or the weight of a fish, that an assessment was made from."""

    water: str
    quantity: str
    known: Known
    decides: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Assessed:
    """One hazard in draws, before its verdict.

    `values` of the `quantity` are on the right side of the `limit`'s value, and harm begins beyond that of `harm`;
    `limit_at` and `harm_at` are the levels where they are not those of the rows (an array where a level itself has
    draws), `upper` and `harm_upper` stand beside them where a figure must stay between two. `passed` decides in place
    of that comparison. `which` and `act_end` follow from the side and `unit` from the quantity where they are not given.
    `clocks` are hours from the start of the stretch by their name, that until harm first. `quantities` are those of the
    water and of what is poured in that it rests on, `rests` what it rests on besides. `severity` stands before that of
    the table where a rule has its own. A judgement of which nothing can be compared has no `values` and is not known.
    """

    quantity: str
    which: str | None = None
    values: FloatArray | None = None
    unit: str = ""
    act_end: ActEnd | None = None
    side: Side = Side.AT_MOST
    limit: tables.Row | None = None
    limit_at: Numbers | None = None
    upper: Numbers | None = None
    harm: tables.Row | None = None
    harm_at: Numbers | None = None
    harm_upper: Numbers | None = None
    passed: NDArray[np.bool_] | None = None
    clocks: Mapping[str, FloatArray] = field(default_factory=dict)
    quantities: tuple[Q, ...] = ()
    rests: tuple[Rests, ...] = ()
    equations: tuple[Equation, ...] = ()
    given: Mapping[str, Numbers] = field(default_factory=dict)
    rows: tuple[str, ...] = ()
    why: tuple[Why, ...] = ()
    severity: str | None = None
    counts: str = "errors of the readings"
    unseen: bool = False
    part: str = ""


def none_found(subject: Subject, quantity: str, code: str) -> Assessed:
    """That nothing of a kind was found, where each thing found would have a judgement of its own."""
    return Assessed(quantity=quantity, passed=np.ones(subject.state.size, dtype=bool), why=(Why(code=code),))


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """A judgement's record with the draws that it was made of, and the figures that it names.

    `passed` is None where nothing could be compared.
    """

    record: Judgement
    passed: NDArray[np.bool_] | None
    rests: tuple[Rests, ...]
    sums: Mapping[str, Sum]

    @property
    def id(self) -> str:
        """The judgement's path."""
        return self.record.id


HazardFunction = Callable[[Subject], Assessed | Iterable[Assessed] | None]
