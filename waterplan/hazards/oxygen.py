"""Oxygen: the least over a stretch against the level at which each fish needs attention, and help at once."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np

from waterplan import tables
from waterplan.hazards import levels
from waterplan.hazards.limit_rows import oxygen_level
from waterplan.hazards.limits import at_least, in_draws
from waterplan.hazards.record import Side, Why
from waterplan.hazards.subject import Assessed, Rests, Subject
from waterplan.published import FloatArray, Numbers
from waterplan.spread import Measured
from waterplan.stay.afternoon import OXYGEN_AT_DAWN, looks_of, of_its_looks
from waterplan.stay.course import Scenario
from waterplan.stay.effects import AirIsOn
from waterplan.stay.quantities import Q
from waterplan.stay.record import FishState, Origin, WaterKind
from waterplan.stay.standing import stones_of
from waterplan.stay.state import Known
from waterplan.stay.waters import HOME, hours_of
from waterplan.water.oxygen import saturation_mg_per_l
from waterplan.water.oxygen_at_night import oxygen_at_dawn_mg_per_l

_QUANTITIES = (Q.OXYGEN, Q.TEMPERATURE, Q.VOLUME)
_MIN_PER_H, _PER_CENT = 60.0, 100.0
_S_PER_H, _DAY_H = 3600.0, 24.0
# Where the veterinarian's own target is meant to be held.
_ATTENDED = frozenset({WaterKind.INDUCTION, WaterKind.IRRIGATION, WaterKind.REVIVAL})
_TARGETED = frozenset({WaterKind.REVIVAL, WaterKind.HOSPITAL})


def hazard(subject: Subject) -> Assessed:
    """Oxygen of a water over a stretch: of a pond before dawn, of a tub by its course, without power by its clock."""
    state = "anaesthetised" if _is_anaesthetised(subject) else "settled"
    groups = [one.oxygen_group for one in subject.species]
    rows = {level: oxygen_level(groups, state=state, level=level) for level in ("emergency", "alarm")}
    stands = levels.stands(subject)
    clocks = {level: _hours(subject, in_draws(subject, row)) for level, row in rows.items()}
    more: dict[str, Any] = {
        # Of a pond no course is followed: it has no clock until a level is passed, and then no time.
        "clocks": {level: hours for level, hours in clocks.items() if not stands or hours[0] == 0.0},
        "counts": "errors of the readings" if stands else "errors of the readings and of the uptake equation",
    }
    if subject.scenario is Scenario.POWER_OFF:
        return _without_power(subject, rows=(rows["alarm"].id, rows["emergency"].id), **more)
    values, night, why = _pond(subject) if subject.kind is WaterKind.HOME else (_lowest(subject), (), ())
    limit_at, own = _limit(subject, rows["alarm"])
    # The veterinarian's own target is a wish: above the level that is asked for of any fish, missing it kills none.
    wished = bool(own) and bool(np.all(values >= rows["alarm"].value))
    here = levels.state_of(subject)
    return at_least(
        subject,
        *_QUANTITIES,
        limit=rows["alarm"],
        limit_at=limit_at,
        harm=rows["emergency"],
        values=values,
        rests=(*night, *levels.place(subject)),
        equations=(saturation_mg_per_l,),
        given={"water_temp_c": here[Q.TEMPERATURE], "salinity_g_per_kg": here[Q.SALT]},
        why=(*why, *own, *_of_turns(subject)),
        severity="harms" if wished else None,
        **more,
    )


def _is_anaesthetised(subject: Subject) -> bool:
    """Under anaesthesia, or coming out of it in the revival tub; what is poured in there too."""
    present = () if subject.stretch is None else subject.stretch.present
    return subject.kind is WaterKind.REVIVAL or any(one.state is FishState.ANAESTHETISED for one in present)


def _limit(subject: Subject, alarm: tables.Row) -> tuple[Numbers, tuple[Why, ...]]:
    """The alarm level, or the veterinarian's own target where that is higher."""
    wanted, level = subject.stay.ground.case.intended.oxygen, in_draws(subject, alarm)
    if wanted is None or subject.kind not in _TARGETED:
        return level, ()
    target = subject.stay.ground.inputs.of_reading("intended oxygen", wanted)
    if wanted.percent:
        target = target / _PER_CENT * levels.state_of(subject).saturation_mg_per_l
    return np.maximum(level, target), (Why(code="own-oxygen-target", words={"target": wanted.text}),)


# -- a tub or a tank --------------------------------------------------------------------------------------------------


def _excess(subject: Subject) -> FloatArray | float:
    """What a reading holds above what the air gives: it is gone by night, and no clock counts on it.

    Of a pond without power all that it loses by dawn too, for the power may fail then.
    """
    if subject.kind is WaterKind.HOME and subject.scenario is Scenario.POWER_OFF:
        return np.maximum(subject.state[Q.OXYGEN] - _pond(_with_power(subject))[0], 0.0)
    if (subject.scenario is Scenario.AS_PLANNED and _is_oxygenated(subject)) or subject.kind is WaterKind.BAG:
        return 0.0
    return np.maximum(subject.state[Q.OXYGEN] - subject.state.saturation_mg_per_l, 0.0)


def _is_oxygenated(subject: Subject) -> bool:
    """Whether bottled oxygen is to bubble through it."""
    return any(isinstance(effect, AirIsOn) and effect.oxygen for effect in subject.water.effects)


def _lowest(subject: Subject) -> FloatArray:
    least = levels.least(subject, Q.OXYGEN)
    if subject.course is None or subject.kind is WaterKind.BAG:
        return least  # a bag's water is under oxygen from the moment that it is closed
    return np.maximum(np.minimum(least, subject.state[Q.OXYGEN] - _excess(subject)), 0.0)


def _hours(subject: Subject, level: Numbers) -> FloatArray:
    hours = levels.until(subject, Q.OXYGEN, level + _excess(subject), falls=True)
    under = subject.state[Q.OXYGEN] - _excess(subject) < level
    return np.where(under & (subject.kind is not WaterKind.BAG), 0.0, hours)


def _without_power(subject: Subject, **more: Any) -> Assessed:
    """Hours until the emergency level from the moment that the power fails, against the longest time that nobody looks.

    A tub that is attended throughout is never alone: there it is the time in which whoever stands beside it acts.
    """
    attended = subject.kind in _ATTENDED
    row = tables.row("defaults", what="attended" if attended else "unattended")
    _, night, why = _pond(_with_power(subject)) if subject.kind is WaterKind.HOME else (None, (), ())
    said = None if attended else subject.stay.ground.case.intended.unattended
    alone_min = row.value if said is None else said.measured.best
    return Assessed(
        quantity=Q.OXYGEN,
        passed=np.asarray(more["clocks"]["emergency"] >= alone_min / _MIN_PER_H),
        side=Side.AT_LEAST,
        unit="min" if attended else "h",
        limit=row,
        limit_at=alone_min if attended else alone_min / _MIN_PER_H,
        quantities=_QUANTITIES,
        rests=(*night, *levels.place(subject)),
        why=(*why, *_counted(subject), *_of_turns(subject)),
        severity="contingency",
        **more,
    )


def _counted(subject: Subject) -> Iterator[Why]:
    """In which state a clock counts its fish, each as it is at the start of the stretch; and that it counts on no cylinder."""
    present = () if subject.stretch is None else subject.stretch.present
    states = ", ".join(dict.fromkeys(one.state for one in present))
    yield Why(code="clock-counts-the-fish-as", words={"state": states})
    if _is_oxygenated(subject):
        yield Why(code="clock-counts-no-bottled-oxygen")


def _of_turns(subject: Subject) -> tuple[Why, ...]:
    """That the time is counted to whichever fish would be first in need, of those that take turns."""
    return (Why(code="clock-of-the-worst-turn"),) if subject.stretch is not None and subject.stretch.in_turn else ()


def _with_power(subject: Subject) -> Subject:
    return replace(subject, scenario=Scenario.AS_PLANNED)


# -- the pond before dawn -----------------------------------------------------------------------------------------------


def _pond(subject: Subject) -> tuple[FloatArray, tuple[Rests, ...], tuple[Why, ...]]:
    """Oxygen before dawn: as it was read then; else anywhere in what ponds sink to, and never above what was read.

    What is put in or poured in since leaves a reading of the dawn its worth: new water may bring less, and by the next
    dawn no more.
    """
    state, found = levels.state_of(subject), subject.water.as_found.known[Q.OXYGEN]
    full = state.saturation_mg_per_l
    read = np.minimum(state[Q.OXYGEN], full)
    taken = found.taken if found.origin is Origin.MEASURED else None
    if taken is not None and hours_of("dawn begins") <= taken.hour < hours_of("dawn ends"):
        why = Why(code="oxygen-read-before-dawn", words={"at": taken.isoformat()})
        return _aired(subject, np.minimum(read, found.draws)), (), (why,)
    of_night = _two_of_a_night(subject)
    if of_night is not None:
        return _aired(subject, np.minimum(of_night, full)), (), (Why(code="two-readings-of-the-night"),)
    row = of_its_looks(subject.stay.ground.case, "oxygen share at dawn")
    path = f"{subject.water.place.id}/{OXYGEN_AT_DAWN}"
    share = subject.stay.ground.inputs.over_range(path, row)
    night = Known.not_measured(share * full, path, row)
    rests = (Rests(water=subject.water.place.id, quantity=OXYGEN_AT_DAWN, known=night),)
    told = [Why(code="lowest-before-dawn")]
    if looks_of(subject.stay.ground.case) is None:
        told.append(Why(code="say-how-it-looks"))
    return _aired(subject, np.minimum(read, night.draws)), rests, tuple(told)


def _two_of_a_night(subject: Subject) -> FloatArray | None:
    """Oxygen at dawn by the last two readings of the night that is on, hours apart; None without them."""
    ground, apart = subject.stay.ground, tables.row("timetable", what="readings of a night apart")
    dusk, dawn = hours_of("dusk"), hours_of("dawn begins")
    own, logged = ground.case.home_water.oxygen, (row for row in ground.log if (row.water, row.key) == (HOME, "oxygen"))
    found = (one for one in (own, *(row.reading for row in logged)) if one is not None and not one.percent)
    read = sorted(found, key=lambda one: one.measured.best)  # of several of one minute the steepest fall counts
    taken = {one.taken for one in read if one.taken is not None and (ground.as_of is None or one.taken <= ground.as_of)}
    times = sorted(taken)[-2:]
    if len(times) < 2 or not all(at.hour >= dusk or at.hour < dawn for at in times):
        return None
    first, later = times
    apart_h = (later - first).total_seconds() / _S_PER_H
    if not apart.low <= apart_h <= apart.high:
        return None
    inputs, path = ground.inputs, f"{HOME}/{OXYGEN_AT_DAWN}"
    return np.asarray(
        oxygen_at_dawn_mg_per_l(
            inputs.of_reading(f"{path}/first", next(one for one in reversed(read) if one.taken == first)),
            later_do_mg_per_l=inputs.of_reading(f"{path}/later", next(one for one in read if one.taken == later)),
            apart_h=apart_h,
            ahead_h=(hours_of("first light") - later.hour - later.minute / _MIN_PER_H) % _DAY_H,
            straight=inputs.of(f"{path}/straight", Measured.between(0.0, 1.0)),
        )
    )


def _aired(subject: Subject, dawn: FloatArray) -> FloatArray:
    """With air running all night, what the air holds against all that breathes in the pond, where that is more."""
    if not stones_of(subject.water) or subject.course is None:
        return dawn
    return np.maximum(dawn, subject.course.at_end(Q.OXYGEN))
