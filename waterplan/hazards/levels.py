"""The level of a quantity over a subject's stretch, and what it rests on: the one place where hazards read states."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from waterplan.hazards.record import Hazard
from waterplan.hazards.subject import Rests, Subject
from waterplan.hazards.verdict import hazard_row
from waterplan.published import FloatArray
from waterplan.stay.course import Scenario
from waterplan.stay.effects import Changed, SaltIn
from waterplan.stay.filling import source_for
from waterplan.stay.ground import WaterStay
from waterplan.stay.operations import change, dose
from waterplan.stay.quantities import Q
from waterplan.stay.record import WaterKind
from waterplan.stay.state import Known, State
from waterplan.stay.waters import Stretch

_SOONER_H = 1e-9


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
    ground = subject.stay.ground
    for effect in subject.water.effects:
        if effect.at_h is None and not isinstance(effect, SaltIn):
            continue
        if isinstance(effect, Changed):
            source = source_for(ground, state, effect)
            state = change(state, source, effect.litres, came_from=effect.action, parts=effect.parts)
        elif isinstance(effect, SaltIn):
            grams = sum(one for at_h, one in effect.parts if at_h is not None)
            state = dose(state, came_from=effect.action, salt_g=grams)
    return state


def least(subject: Subject, quantity: Q) -> FloatArray:
    """The least of each draw."""
    if stands(subject) or subject.course is None or quantity not in subject.course.values:
        return state_of(subject)[quantity]
    return subject.course.least(quantity)


def most(subject: Subject, quantity: Q) -> FloatArray:
    """The most of each draw; of what no course follows, as the stretch begins."""
    if stands(subject) or subject.course is None or quantity not in subject.course.values:
        return state_of(subject)[quantity]
    return subject.course.most(quantity)


def until(subject: Subject, quantity: Q, level: FloatArray | float, *, falls: bool) -> FloatArray:
    """Hours from the start of the stretch until a level is passed; for a state that is judged alone, never or at once."""
    if stands(subject) or subject.course is None:
        now = state_of(subject)[quantity]
        return np.where(now < level if falls else now > level, 0.0, np.inf)
    return subject.course.hours_until(quantity, level, falls=falls)


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
            yield source, _poured(subject, effect)


def _poured(subject: Subject, effect: Changed) -> State:
    """What a change pours in, worked out once for all that hangs on it."""
    ground, state = subject.stay.ground, subject.state
    key = ("poured", id(state), id(effect))
    if key not in ground.searched:  # both are kept beside it, so that no other ever has their place
        ground.searched[key] = (state, effect, source_for(ground, state, effect))
    made: State = ground.searched[key][2]  # type: ignore[index]
    return made


def joined(known: Known, *others: Known) -> Known:
    """One quantity with the assumptions of others beside its own."""
    return replace(known, assumed=known.assumed.union(*(one.assumed for one in others)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """The water that fish come out of, and the stretch that they spent in it."""

    water: WaterStay
    stretch: Stretch


def way_of(subject: Subject) -> Way | None:
    """Where its fish come from: home, induction, irrigation, revival, hospital, bag or box, and home again."""
    here = subject.stretch
    if here is None:
        return None
    moved = {one.id for one in subject.fish if one.patient}
    came = [
        Way(water=water, stretch=stretch)
        for water in subject.stay.waters.values()
        for stretch in water.place.stretches
        if water is not subject.water and moved & set(stretch.fish) and stretch.start_h < here.start_h - _SOONER_H
    ]
    return max(came, key=lambda way: way.stretch.start_h, default=None)
