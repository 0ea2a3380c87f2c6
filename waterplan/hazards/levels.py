"""The level of a quantity over a subject's stretch, and what it rests on: the one place where hazards read states."""

from collections.abc import Iterator

import numpy as np

from waterplan.hazards.record import Hazard
from waterplan.hazards.subject import Rests, Subject
from waterplan.hazards.verdict import hazard_row
from waterplan.published import FloatArray
from waterplan.stay.course import Course, Scenario
from waterplan.stay.effects import Changed
from waterplan.stay.filling import after, pond_effects, poured
from waterplan.stay.inputs import ALTITUDE
from waterplan.stay.quantities import Q
from waterplan.stay.record import WaterKind
from waterplan.stay.state import State
from waterplan.stay.waters import HOME


def stands(subject: Subject) -> bool:
    """Whether the state alone is judged: a source, and a pond, whose day and night no course of a tub describes."""
    a_pond = subject.kind is WaterKind.HOME and subject.scenario is Scenario.AS_PLANNED
    return a_pond or subject.stretch is None


def as_left(way: Subject, quantity: Q, at_h: float = np.inf) -> FloatArray:
    """A water as its fish leaves it: a pond by an hour, a vat that it comes back to and, of the pH, a closed bag as found."""
    comes_back = way.stretch is not None and way.stretch.begins_h > way.stretch.start_h
    as_found = comes_back or (quantity is Q.PH and way.kind is WaterKind.BAG)
    course = None if as_found else _followed(way, quantity)
    return state_of(way, at_h)[quantity] if course is None else course.at_end(quantity)


def state_of(subject: Subject, at_h: float = np.inf) -> State:
    """The water as it is judged: in a pond, after all that is poured in and out by an hour while its fish are in it."""
    if subject.kind is not WaterKind.HOME:
        return subject.state
    told_until_h = np.inf if subject.stretch is None else subject.stretch.until_h
    return after(subject.water, pond_effects(subject.water, until_h=at_h, told_until_h=told_until_h))


def least(subject: Subject, quantity: Q) -> FloatArray:
    """The least of each draw."""
    course = _followed(subject, quantity)
    return state_of(subject)[quantity] if course is None else course.least(quantity)


def most(subject: Subject, quantity: Q) -> FloatArray:
    """The most of each draw."""
    course = _followed(subject, quantity)
    return _highest(state_of(subject), quantity) if course is None else course.most(quantity)


def _highest(state: State, quantity: Q) -> FloatArray:
    """As the state has it; of the pH of a pond, that of its afternoon."""
    rise = state[Q.PH_RISE] if quantity is Q.PH and state.has(Q.PH_RISE) else 0.0
    return np.asarray(state[quantity] + rise)


def least_while(subject: Subject, quantity: Q, other: Q, above: float) -> FloatArray | None:
    """The least of each draw while another quantity is above a level; None where no course follows both."""
    course = _followed(subject, quantity)
    return None if course is None else course.least_while(quantity, other, above)


def _followed(subject: Subject, quantity: Q) -> Course | None:
    """The course that follows a quantity; None where the stretch is judged as it begins."""
    course = None if stands(subject) else subject.course
    return course if course is not None and quantity in course.values else None


def until(subject: Subject, quantity: Q, level: FloatArray | float, *, falls: bool) -> FloatArray:
    """Hours from the start of the stretch until a level is passed; for a state that is judged alone, never or at once."""
    if stands(subject):
        now = state_of(subject)[quantity] if falls else _highest(state_of(subject), quantity)
        return np.where(now < level if falls else now > level, 0.0, np.inf)
    hours = [course.hours_until(quantity, level, falls=falls) for course in subject.clocked]
    return np.asarray(np.min(hours, axis=0))


def clock_unit(subject: Subject) -> str:
    """Minutes for what stands for hours, hours for a tank and a pond."""
    return "h" if subject.kind in (WaterKind.HOME, WaterKind.HOSPITAL, WaterKind.SOURCE) else "min"


def rests(subject: Subject, hazard: Hazard, *quantities: Q) -> tuple[Rests, ...]:
    """What a judgement of a water rests on: its own quantities, those of what is poured in, and its fish's weights."""
    deciding, state = hazard_row(hazard, subject.kind).deciding, state_of(subject)
    found = [
        Rests(water=subject.water.place.id, quantity=one.value, known=state.known[one], decides=one in deciding)
        for one in quantities
        if state.has(one)
    ]
    found += [
        Rests(water=source, quantity=one.value, known=new.known[one])
        for source, new in _poured_in(subject)
        for one in quantities
        if new.has(one) and one in deciding and one not in (Q.VOLUME, Q.TEMPERATURE)
    ]
    if "weight" in deciding:
        found += [Rests(water=one.id, quantity="weight", known=one.weight_kg) for one in subject.fish]
    return tuple(found)


def place(subject: Subject) -> tuple[Rests, ...]:
    """The height of the place, which what is dissolved of the air hangs on, where nobody stated it.

    It opens no verdict: a higher place only makes it worse, as the draws of it do.
    """
    known = subject.stay.ground.altitude
    return () if known is None else (Rests(water=HOME, quantity=ALTITUDE, known=known, decides=False),)


def _poured_in(subject: Subject) -> Iterator[tuple[str, State]]:
    """The sources of changes during the stretch, as they are poured."""
    if stands(subject):
        return  # what was poured is in its state already
    for effect in subject.water.effects:
        if isinstance(effect, Changed) and effect.at_h is not None:
            yield effect.source, poured(subject.water, subject.state[Q.TEMPERATURE], effect, effect.at_h)
