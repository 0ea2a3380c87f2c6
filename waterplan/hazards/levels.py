"""The level of a quantity over a subject's stretch, and what it rests on: the one place where hazards read states."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from waterplan.hazards.record import Hazard
from waterplan.hazards.subject import Rests, Subject
from waterplan.hazards.verdict import hazard_row
from waterplan.published import FloatArray
from waterplan.stay.course import Scenario
from waterplan.stay.effects import Changed, SaltIn
from waterplan.stay.operations import change, dose
from waterplan.stay.quantities import Q
from waterplan.stay.record import WaterKind
from waterplan.stay.state import Known, State
from waterplan.stay.whole import WaterStay, source_for

_FISH = ("weight",)


def stands(subject: Subject) -> bool:
    """Whether the state alone is judged: a source, and a pond, whose day and night no course of a tub describes."""
    if subject.stretch is None:
        return True
    return subject.kind is WaterKind.HOME and subject.scenario is Scenario.AS_PLANNED


def state_of(subject: Subject) -> State:
    """The water as it is judged: in a pond, after all that actions pour in and out while its fish are in it."""
    state = subject.state
    if subject.kind is not WaterKind.HOME:
        return state
    ground, place = subject.stay.ground, subject.water.place
    for effect in subject.water.effects:
        if effect.at_h is None and not isinstance(effect, SaltIn):
            continue
        if isinstance(effect, Changed):
            source = source_for(ground, place, state, effect)
            state = change(state, source, effect.litres, came_from=effect.action, parts=effect.parts)
        elif isinstance(effect, SaltIn):
            grams = sum(one for at_h, one in effect.parts if at_h is not None)
            state = dose(state, came_from=effect.action, salt_g=grams)
    return state


def least(subject: Subject, quantity: Q) -> FloatArray:
    """The least of each draw."""
    if stands(subject) or subject.course is None:
        return state_of(subject)[quantity]
    return subject.course.least(quantity)


def most(subject: Subject, quantity: Q) -> FloatArray:
    """The most of each draw."""
    if stands(subject) or subject.course is None:
        return state_of(subject)[quantity]
    return subject.course.most(quantity)


def until(subject: Subject, quantity: Q, level: FloatArray | float, *, falls: bool) -> FloatArray | None:
    """Hours from the start of the stretch until a level is passed; for a state that is judged alone, none or at once."""
    if stands(subject) or subject.course is None:
        now = state_of(subject)[quantity]
        return np.where(now < level if falls else now > level, 0.0, np.inf)
    course = subject.course
    return course.hours_until_below(quantity, level) if falls else course.hours_until_above(quantity, level)


def clock_unit(subject: Subject) -> str:
    """Minutes for what stands for hours, hours for a tank and a pond."""
    return "h" if subject.kind in (WaterKind.HOME, WaterKind.HOSPITAL, WaterKind.SOURCE) else "min"


def rests(subject: Subject, hazard: Hazard, *quantities: Q, decide: bool = True) -> tuple[Rests, ...]:
    """What a judgement of a water rests on: its own quantities, those of what is poured in, and its fish's weights."""
    deciding = hazard_row(hazard, subject.kind).deciding if decide else frozenset()
    state = state_of(subject)
    found = [
        Rests(
            water=subject.water.place.id,
            quantity=quantity.value,
            known=state.known[quantity],
            decides=quantity.value in deciding,
        )
        for quantity in quantities
        if state.has(quantity)
    ]
    found += [
        Rests(water=source.place.id, quantity=quantity.value, known=made.known[quantity], decides=True)
        for source, made in _poured_in(subject)
        for quantity in quantities
        if made.has(quantity) and quantity.value in deciding and quantity not in (Q.VOLUME, Q.TEMPERATURE)
    ]
    if "weight" in deciding:
        found += [Rests(water=one.id, quantity="weight", known=one.weight_kg) for one in subject.fish]
    return tuple(found)


def _poured_in(subject: Subject) -> Iterator[tuple[WaterStay, State]]:
    """The sources of changes during the stretch, as they are poured."""
    if stands(subject):
        return  # what was poured is in its state already
    for effect in subject.water.effects:
        if isinstance(effect, Changed) and effect.at_h is not None:
            source = subject.stay[effect.source]
            yield source, source_for(subject.stay.ground, subject.water.place, subject.state, effect)


def joined(known: Known, *others: Known) -> Known:
    """One quantity with the assumptions of others beside its own."""
    return replace(known, assumed=known.assumed.union(*(one.assumed for one in others)))


def way_of(subject: Subject) -> WaterStay | None:
    """The water that its fish come out of: home, induction, irrigation, revival, hospital, bag or box, and home again."""
    if subject.stretch is None:
        return None
    came = [
        (stretch.start_h, water)
        for water in subject.stay.waters.values()
        for stretch in water.place.stretches
        if set(stretch.fish) & set(_moved(subject))
        and stretch.start_h < subject.stretch.start_h - 1e-9
        and water is not subject.water
    ]
    return max(came, key=lambda one: one[0])[1] if came else None


def _moved(subject: Subject) -> tuple[str, ...]:
    """The fish that are put into the water: all of a tub's, a pond's patients."""
    assert subject.stretch is not None
    fish = subject.stay.ground.fish
    return tuple(one for one in subject.stretch.fish if one in fish and fish[one].patient)
