"""Oxygen: the least over a stretch against the level at which each fish needs attention, and help at once."""

from dataclasses import replace

import numpy as np

from waterplan import tables
from waterplan.hazards import levels
from waterplan.hazards.limits import at_least, oxygen_level
from waterplan.hazards.record import Hazard, Side, Why
from waterplan.hazards.subject import Assessed, Rests, Subject
from waterplan.published import FloatArray
from waterplan.stay.course import Scenario
from waterplan.stay.effects import AirIsOn
from waterplan.stay.quantities import Q
from waterplan.stay.record import FishState, Origin, WaterKind
from waterplan.stay.standing import stones_of
from waterplan.stay.state import Known
from waterplan.stay.waters import hours_of
from waterplan.water.oxygen import saturation_mg_per_l

DAWN = "oxygen at dawn"
_MIN_PER_H = 60.0
_PER_CENT = 100.0
# Where the veterinarian's own target is meant to be held.
_TARGETED = frozenset({WaterKind.REVIVAL, WaterKind.HOSPITAL})


def hazard(subject: Subject) -> Assessed:
    """Oxygen of a water over a stretch: of a pond before dawn, of a tub by its course, without power by its clock."""
    alarm, emergency = level_row(subject, "alarm"), level_row(subject, "emergency")
    if subject.scenario is Scenario.POWER_OFF:
        return _without_power(subject, alarm, emergency)
    values, night, why = _pond(subject) if subject.kind is WaterKind.HOME else (_lowest(subject), (), ())
    limit, own = _limit(subject, alarm)
    stands = levels.stands(subject)
    state = levels.state_of(subject)
    made = at_least(
        subject,
        Hazard.OXYGEN,
        *(Q.OXYGEN, Q.TEMPERATURE, Q.VOLUME),
        limit=alarm,
        harm=emergency,
        values=values,
        until_harm_h=None if stands else _hours(subject, emergency.value),
        until="emergency",
        clocks={} if stands else {"alarm": _hours(subject, alarm.value)},
        equations=(saturation_mg_per_l,),
        given={"water_temp_c": state[Q.TEMPERATURE], "salinity_g_per_kg": state[Q.SALT]},
        counts="errors of the readings and of the uptake equation" if not stands else None,
        why=(*why, *own),
    )
    return replace(made, limit=limit, rests=(*made.rests, *night))


def level_row(subject: Subject, level: str) -> tables.Row:
    """The highest of its fish's levels: `alarm` or `emergency`, by their groups and by what they are going through."""
    state = "anaesthetised" if _is_anaesthetised(subject) else "settled"
    return oxygen_level((one.species.oxygen_group for one in subject.fish), state=state, level=level)


def _is_anaesthetised(subject: Subject) -> bool:
    """Under anaesthesia, or coming out of it in the revival tub; what is poured in there too."""
    if subject.kind is WaterKind.REVIVAL:
        return True
    if subject.stretch is None:
        return False
    return any(one.state is FishState.ANAESTHETISED for one in subject.stretch.present)


def _limit(subject: Subject, alarm: tables.Row) -> tuple[float | FloatArray, tuple[Why, ...]]:
    """The alarm level, or the veterinarian's own target where that is higher."""
    wanted = subject.stay.ground.case.intended.oxygen
    if wanted is None or subject.kind not in _TARGETED:
        return alarm.value, ()
    target = subject.stay.ground.inputs.of_reading("intended oxygen", wanted)
    if wanted.percent:
        target = target / _PER_CENT * levels.state_of(subject).saturation_mg_per_l
    return np.maximum(alarm.value, target), (Why(code="own-oxygen-target", words={"target": wanted.text}),)


# -- a tub or a tank --------------------------------------------------------------------------------------------------


def _excess(subject: Subject) -> FloatArray | float:
    """What a reading holds above what the air gives: it is gone by night, and no clock counts on it."""
    oxygenated = any(isinstance(effect, AirIsOn) and effect.oxygen for effect in subject.water.effects)
    if oxygenated or subject.kind is WaterKind.BAG:
        return 0.0
    return np.maximum(subject.state[Q.OXYGEN] - subject.state.saturation_mg_per_l, 0.0)


def _lowest(subject: Subject) -> FloatArray:
    course = subject.course
    if course is None:
        return levels.least(subject, Q.OXYGEN)
    if subject.kind is WaterKind.BAG:
        return course.least(Q.OXYGEN)  # its water is under oxygen from the moment that it is closed
    return np.maximum(np.minimum(course.least(Q.OXYGEN), subject.state[Q.OXYGEN] - _excess(subject)), 0.0)


def _hours(subject: Subject, level: float) -> FloatArray:
    course = subject.course
    assert course is not None
    hours = course.hours_until(Q.OXYGEN, level + _excess(subject), falls=True)
    if subject.kind is WaterKind.BAG:
        return hours
    return np.where(subject.state[Q.OXYGEN] - _excess(subject) < level, 0.0, hours)


def _without_power(subject: Subject, alarm: tables.Row, emergency: tables.Row) -> Assessed:
    """Hours until the emergency level from the moment that the power fails, against the longest time that nobody looks."""
    unattended = subject.stay.ground.case.intended.unattended
    row = tables.row("defaults", what="unattended")
    alone_h = (unattended.measured.best if unattended is not None else row.value) / _MIN_PER_H
    hours = _hours(subject, emergency.value)
    return Assessed(
        quantity=Q.OXYGEN,
        until="emergency",
        until_harm_h=hours,
        clocks={"alarm": _hours(subject, alarm.value)},
        clock_unit=levels.clock_unit(subject),
        passed=np.asarray(hours >= alone_h),
        side=Side.AT_LEAST,
        unit="h",
        limit=alone_h,
        limit_row=row,
        rests=levels.rests(subject, Hazard.OXYGEN, Q.OXYGEN, Q.TEMPERATURE, Q.VOLUME),
        rows=(alarm.id, emergency.id),
        severity="contingency",
        counts="errors of the readings and of the uptake equation",
    )


# -- the pond before dawn -----------------------------------------------------------------------------------------------


def _pond(subject: Subject) -> tuple[FloatArray, tuple[Rests, ...], tuple[Why, ...]]:
    """Oxygen before dawn: as it was read then; else anywhere in what ponds sink to, and never above what was read."""
    state = levels.state_of(subject)
    known, full = state.known[Q.OXYGEN], state.saturation_mg_per_l
    read = np.minimum(known.draws, full)
    if known.origin is Origin.MEASURED and known.taken is not None and _is_dawn(known.taken.hour):
        return _aired(subject, read), (), ()
    row = tables.row("defensible_ranges", kind="home", quantity="oxygen share at dawn")
    path = f"{subject.water.place.id}/{DAWN}"
    share = subject.stay.ground.inputs.over_range(path, row)
    night = Known.not_measured(share * full, path, row)
    values = _aired(subject, np.minimum(read, night.draws))
    return values, (Rests(water=subject.water.place.id, quantity=DAWN, known=night),), (Why(code="lowest-before-dawn"),)


def _is_dawn(hour: int) -> bool:
    return hours_of("dawn begins") <= hour < hours_of("dawn ends")


def _aired(subject: Subject, dawn: FloatArray) -> FloatArray:
    """With air running all night, what the air holds against all that breathes in the pond, where that is more."""
    if not stones_of(subject.water) or subject.course is None:
        return dawn
    return np.maximum(dawn, subject.course.at_end(Q.OXYGEN))
