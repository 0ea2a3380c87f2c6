"""What a hazard is asked about, and what it answers before the table of verdicts has spoken."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np

from waterplan import tables
from waterplan.hazards.record import Hazard, Judgement, Side, Why
from waterplan.published import FloatArray, Numbers
from waterplan.stay.course import Course, Scenario
from waterplan.stay.figures import Equation, Sum
from waterplan.stay.fish import FishAtHand
from waterplan.stay.record import ActEnd, Moment, WaterKind
from waterplan.stay.state import Known, State
from waterplan.stay.waters import Stretch
from waterplan.stay.whole import Stay, WaterStay


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
    def fish(self) -> tuple[FishAtHand, ...]:
        """Its fish; for a water that is poured, the fish of the waters that it is poured into."""
        known = self.stay.ground.fish
        if self.stretch is not None:
            return tuple(known[one] for one in self.stretch.fish if one in known)
        into = [self.stay[path].place for path in self.water.place.pours_into]
        names = dict.fromkeys(one for place in into for stretch in place.stretches for one in stretch.fish)
        return tuple(known[one] for one in names if one in known)

    @property
    def moment(self) -> Moment:
        """The moment to which a judgement of it belongs."""
        return Moment.PREPARE if self.stretch is None else self.stretch.moment

    @property
    def also(self) -> tuple[str, ...]:
        """What tells it from the water's other judgements: the stretch where there are several, and the power."""
        several = self.stretch is not None and len(self.water.place.stretches) > 1
        stretch = (self.stretch.name,) if self.stretch is not None and several else ()
        return (*stretch, *(("power off",) if self.scenario is Scenario.POWER_OFF else ()))

    def path(self, hazard: Hazard, *more: str) -> str:
        """The identity of a judgement: water, hazard, and the stretch where the water has several."""
        return "/".join((self.water.place.id, hazard.value, *self.also, *more))


def subjects(stay: Stay) -> Iterator[Subject]:
    """Every water that touches a fish or is poured where one is, over every stretch that matters."""
    for water in stay.waters.values():
        for stretch in water.place.stretches:
            yield Subject(stay=stay, water=water, stretch=stretch)
        if not water.place.stretches and water.place.pours_into:
            yield Subject(stay=stay, water=water, stretch=None)


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

    `values` of the `quantity` are on the right side of `limit` (an array where the limit itself has draws, `upper`
    beside it where a figure must stay between two), and harm begins beyond `harm`. Where `passed` or `harmed` is given
    it decides in place of that comparison. `until_harm_h` are hours from the start of the stretch until harm, `clocks`
    further times by their name. `severity` stands before that of the table where a rule has its own. A judgement of
    which nothing can be compared has no `values` and is not known.
    """

    quantity: str
    which: str = "worst"
    values: FloatArray | None = None
    unit: str = ""
    act_end: ActEnd = ActEnd.BEST
    side: Side = Side.AT_MOST
    limit: Numbers | None = None
    upper: Numbers | None = None
    limit_row: tables.Row | None = None
    harm: Numbers | None = None
    harm_upper: Numbers | None = None
    passed: FloatArray | None = None
    harmed: FloatArray | None = None
    until_harm_h: FloatArray | None = None
    until: str = "harm"
    clocks: Mapping[str, FloatArray] = field(default_factory=dict)
    clock_unit: str = "h"
    rests: tuple[Rests, ...] = ()
    equations: tuple[Equation, ...] = ()
    given: Mapping[str, Numbers] = field(default_factory=dict)
    rows: tuple[str, ...] = ()
    why: tuple[Why, ...] = ()
    severity: str | None = None
    counts: str | None = None
    unseen: bool = False
    part: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """A judgement's record with the draws that it was made of, and the figures that it names.

    `passed` and `harmed` are None where nothing could be compared.
    """

    record: Judgement
    passed: FloatArray | None
    harmed: FloatArray | None
    rests: tuple[Rests, ...]
    sums: Mapping[str, Sum]

    @property
    def id(self) -> str:
        """The judgement's path."""
        return self.record.id


HazardFunction = Callable[[Subject], Assessed | None]


def strictest(levels: Mapping[str, float] | list[float], *, side: Side) -> float:
    """The limit of the most sensitive of several fish."""
    given = list(levels.values()) if isinstance(levels, Mapping) else levels
    return float(np.max(given) if side is Side.AT_LEAST else np.min(given))
