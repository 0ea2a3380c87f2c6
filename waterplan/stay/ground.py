"""What every stay of a case stands on, and one water of it: its states and its courses, worked out when asked for."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from itertools import chain
from typing import Any

import numpy as np

from waterplan import tables
from waterplan.case.choices import Filter
from waterplan.case.model import Case, CaseEvent, Done, Logged
from waterplan.case.seen import Seen
from waterplan.case.tank_choices import Happens
from waterplan.fish.species import Species
from waterplan.published import FloatArray, Numbers
from waterplan.stay.clock import Clock
from waterplan.stay.course import Course, Scenario
from waterplan.stay.effects import Changed, Effect, NotFed, SaltIn, ThermostatRamp
from waterplan.stay.equipment import Equipment
from waterplan.stay.figures import Figures
from waterplan.stay.fish import FishAtHand
from waterplan.stay.inputs import Inputs
from waterplan.stay.prepare import Readings
from waterplan.stay.quantities import Q
from waterplan.stay.record import Moment, WaterKind
from waterplan.stay.state import Known, State
from waterplan.stay.volume.found import Found
from waterplan.stay.waters import HOME, MAINS, Place, Stretch
from waterplan.tank.water_body import Room


@dataclass(slots=True, kw_only=True)
class Ground:
    """All that no action changes: fish, places, volumes, equipment, readings; and what has been worked out on it.

    `altitude` is that of the place where neither it nor the air pressure was stated.
    """

    case: Case
    log: tuple[Logged, ...]
    as_of: datetime | None
    clock: Clock
    inputs: Inputs
    figures: Figures
    altitude: Known | None
    air_pressure_kpa: FloatArray
    fish: Mapping[str, FishAtHand]
    places: Mapping[str, Place]
    found: Mapping[str, Found]
    equipment: Mapping[str, Equipment]
    readings: Mapping[str, Readings]
    room: Room
    supposed: tuple[tuple[float, CaseEvent], ...] = ()
    hypothetical: list[tuple[str, State]] = field(default_factory=list)
    made: dict[tuple[str, tuple[int, ...]], "WaterStay"] = field(default_factory=dict)
    searched: dict[tuple[object, ...], object] = field(default_factory=dict)
    judged: dict[tuple[object, ...], Any] = field(default_factory=dict)
    stands: "Callable[[WaterStay, Stretch, Scenario], Course]"

    @property
    def tap_suspected(self) -> bool:
        """Whether a sign tells of tap water that ran into the pond."""
        taps = {row["sign"] for row in tables.table("signs") if row["tap"]}
        return any(one.sign in taps for one in self.seen(HOME))

    def seen(self, water: str) -> tuple[Seen, ...]:
        """The signs that were seen at a water by the time of the plan; without a water they are of the home pond."""
        at_it = (one for one in self.case.seen if (one.water or HOME) == water)
        return tuple(one for one in at_it if one.at is None or self.as_of is None or one.at <= self.as_of)

    @property
    def unnamed(self) -> str:
        """The water that is meant where none is named: the hospital tank, else the pond."""
        tanks = (one.id for one in self.places.values() if one.kind is WaterKind.HOSPITAL and one.stretches)
        return next(tanks, HOME)

    def events_in(self, water: str) -> Iterator[tuple[float, CaseEvent]]:
        """The events of the case in a water, each with its hour of the stay where there is a clock, and those supposed."""
        for at_h, event in (*((self.clock.hours(one.at), one) for one in self.case.events), *self.supposed):
            if at_h is not None and (event.water or self.unnamed) == water:
                yield at_h, event

    def changes_at_home(self, until_h: float = np.inf) -> Iterator[tuple[float, CaseEvent]]:
        """The changes of water in the pond that are still to come, where the case tells what the new water is."""
        for at_h, event in self.events_in(HOME):
            if event.what is Happens.CHANGE and self.clock.now_h <= at_h <= until_h and MAINS in self.places:
                yield at_h, event

    def done(self, kind: str, water: str, substance: str | None = None) -> tuple[Done, ...]:
        """What the case says was done of a kind of action in a water, up to the time of the plan."""
        words = {kind, *tables.row("action_kinds", kind=kind)["words"].split(";")}
        return tuple(
            one
            for one in self.case.done
            if (one.water or self.unnamed) == water and (self.as_of is None or one.at <= self.as_of)
            if one.substance in (None, substance) or substance is None
            if " ".join(one.what.casefold().split()) in words or (substance and one.substance == substance)
        )

    def read_since(self, water: str, time: datetime, *keys: str) -> bool:
        """Whether a water was read for something after a time, so that what was done before is in the reading."""
        found = (one for key in keys for one in self.readings[water].get(key, ()))
        return any(one.taken is not None and one.taken >= time for one in found)

    def let_go(self) -> None:
        """Lets all go that has been worked out, once the record is written: the draws need not wait to be collected."""
        self.made.clear()
        self.searched.clear()
        self.judged.clear()

    def is_over(self, *stretches: Stretch) -> bool:
        """Whether some stretches, at least one of them, are all over at the time of the plan."""
        return bool(stretches) and max(one.until_h for one in stretches) <= self.clock.now_h

    def stretches_of(self, moment: Moment) -> list[Stretch]:
        """All stretches of a moment."""
        return [one for place in self.places.values() for one in place.stretches if one.moment is moment]

    def fish_in(self, *stretches: Stretch) -> list[FishAtHand]:
        """The fish of some stretches, each once."""
        return [self.fish[one] for one in dict.fromkeys(name for stretch in stretches for name in stretch.fish)]

    def together_kg(self, stretch: Stretch) -> FloatArray:
        """The weight of all fish of a stretch."""
        return sum((one.together_kg for one in self.fish_in(stretch)), start=np.zeros(self.inputs.size))

    def living_filter(self, place: Place) -> bool:
        """Whether a tub or the pond has a filter with something to lose, or to win back: one that was seeded once."""
        body = self.case.home_pond if place.kind is WaterKind.HOME else place.vessel
        return body is not None and body.filter not in (None, Filter.UNSEEDED)

    def kept_temp_c(self, water: str) -> FloatArray | None:
        """The temperature that a hospital tank is meant to be kept at; None where none is intended."""
        intended = self.case.intended.temperature
        if intended is None or self.places[water].kind is not WaterKind.HOSPITAL:
            return None
        return self.inputs.of_reading("intended temperature", intended)


@dataclass(slots=True, kw_only=True)
class WaterStay:
    """One water through the stay: its states in order, the one that each stretch begins with, and its courses.

    `states` begin with the water as it was found; each effect before the fish adds one. `start` is the last of them;
    `later` is the water right after each dose that is given with its fish in it. `pond` is the one that it is filled or
    changed from.
    """

    place: Place
    ground: Ground
    found: Found
    equipment: Equipment
    effects: tuple[Effect, ...]
    source: "WaterStay | None"
    pond: "WaterStay | None" = None
    states: tuple[State, ...]
    later: tuple[State, ...] = ()
    _courses: dict[tuple[str, Scenario], Course] = field(default_factory=dict)

    @property
    def start(self) -> State:
        """The water that its fish go into."""
        return self.states[-1]

    @property
    def as_found(self) -> State:
        """The water before anything was done to it."""
        return self.states[0]

    def fish(self, stretch: Stretch | None) -> list[FishAtHand]:
        """The fish of a stretch of it; without one those of the waters that it is poured into."""
        into = (self.ground.places[path].stretches for path in self.place.pours_into)
        return self.ground.fish_in(*(chain.from_iterable(into) if stretch is None else (stretch,)))

    def species(self, stretch: Stretch | None) -> tuple[Species, ...]:
        """The species by which it is judged; where nobody knows of any fish in it, those of all fish of the case."""
        return tuple(one.species for one in self.fish(stretch) or self.ground.fish.values())

    def course(self, stretch: Stretch, scenario: Scenario = Scenario.AS_PLANNED) -> Course:
        """The water through a stretch, worked out once for all the stays in which it runs the same."""
        key = (stretch.name, scenario)
        if key not in self._courses:
            others = (one for one in self.ground.made.values() if key in one._courses)
            same = next((one._courses[key] for one in others if self.stands_as(one, scenario)), None)
            self._courses[key] = self.ground.stands(self, stretch, scenario) if same is None else same
        return self._courses[key]

    def stands_as(self, other: "WaterStay", scenario: Scenario) -> bool:
        """Whether all that a course hangs on is the same in another stay; without power that is the start."""
        mine, theirs = (
            [id(one) for one in (*it.effects, *it.salting) if self._moves(one, scenario)] for it in (self, other)
        )
        return self.place.id == other.place.id and mine == theirs and self.start.holds_the_same(other.start)

    @property
    def salting(self) -> tuple[Effect, ...]:
        """What makes the salt of the pond that it is filled or changed from; nothing where none is put in there."""
        found = () if self.pond is None else self.pond.effects
        salted = any(isinstance(one, SaltIn) for one in found)
        return tuple(one for one in found if salted and isinstance(one, SaltIn | Changed))

    def _moves(self, effect: Effect, scenario: Scenario) -> bool:
        """Whether a course hangs on an effect: nobody's meals are followed but in a tank, and without power nothing runs."""
        if scenario is not Scenario.AS_PLANNED:
            return False
        return self.place.kind is WaterKind.HOSPITAL or not isinstance(effect, NotFed)

    def forget_courses(self, *, but_for: "WaterStay") -> None:
        """Lets the long courses go, once nobody asks for them any more; those that another stay runs by are kept."""
        if not self.stands_as(but_for, Scenario.AS_PLANNED):
            for key in [key for key in self._courses if key[1] is Scenario.AS_PLANNED]:
                del self._courses[key]

    @property
    def heater_w(self) -> Numbers | None:
        """The heater that stands in the water: the last that an action has put in, else the case's own."""
        put_in = [one.heater_w for one in self.effects if isinstance(one, ThermostatRamp) and one.heater_w is not None]
        return put_in[-1] if put_in else self.equipment.heater_w

    @property
    def free_l(self) -> FloatArray:
        """Litres of water beside the fish that are in it together (1 kg/L), a tenth of the vessel at least."""
        weights = [self.ground.together_kg(one) for each in self.place.stretches for one in each.together()]
        litres = self.start[Q.VOLUME]
        heaviest = np.max(weights, axis=0) if weights else 0.0
        return np.asarray(np.maximum(litres - heaviest, 0.1 * litres))
