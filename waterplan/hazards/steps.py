"""Steps of temperature and of pH between the water that a fish leaves and the one that it enters."""

from typing import Any

import numpy as np

from waterplan import tables
from waterplan.hazards import levels
from waterplan.hazards.limit_rows import water_limit
from waterplan.hazards.record import Hazard, Why
from waterplan.hazards.subject import Assessed, Rests, Subject
from waterplan.published import FloatArray
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, Moment

_UNCONVALESCENT = frozenset({Moment.PROCEDURE, Moment.REVIVAL, Moment.HOSPITAL})


def temperature_step(subject: Subject) -> Assessed | None:
    """The difference of temperature: the narrower step on the day of an anaesthetic, the law's own on the way home."""
    colder, warmer = (
        tables.row("temperature_steps", situation="healthy", limit=f"{which} step") for which in ("colder", "warmer")
    )
    way = levels.way_of(subject)
    if way is None:
        return _stays(subject, Q.TEMPERATURE, colder)
    change = _change(subject, way, Q.TEMPERATURE)
    at_once = np.where(change < 0.0, colder.value, warmer.value)
    limits: dict[str, Any] = {"limit": colder if change[0] < 0.0 else warmer, "limit_at": at_once, "harm_at": at_once}
    if subject.moment in _UNCONVALESCENT:
        after = tables.row("temperature_steps", situation="after anaesthesia", limit="step")
        limits = {"limit": after, "limit_at": after.low, "harm_at": after.high}
    code = "step-warmer" if change[0] >= 0.0 else "step-colder"
    return _step(subject, way, Hazard.TEMPERATURE_STEP, Q.TEMPERATURE, change, code, **limits)


def ph_change(subject: Subject) -> Assessed | None:
    """The difference of pH; of a closed bag, of the water that it was filled with."""
    limit, harm = water_limit("ph_change", "limit"), water_limit("ph_change", "harm")
    way = levels.way_of(subject)
    if way is None:
        return _stays(subject, Q.PH, limit)
    change = _change(subject, way, Q.PH)
    code = "step-ph-up" if change[0] >= 0.0 else "step-ph-down"
    return _step(subject, way, Hazard.PH_CHANGE, Q.PH, change, code, limit=limit, harm=harm)


def _change(subject: Subject, way: Subject, quantity: Q) -> FloatArray:
    """What the fish finds less what it leaves; a bag's pH counts as it was filled."""
    as_filled = levels.stands_for(way, quantity)
    course = None if as_filled else way.course
    left = levels.state_of(way)[quantity] if course is None else course.at_end(quantity)
    return levels.state_of(subject)[quantity] - left


def _step(
    subject: Subject, way: Subject, hazard: Hazard, quantity: Q, change: FloatArray, code: str, **limits: Any
) -> Assessed:
    left = Rests(water=way.water.place.id, quantity=quantity.value, known=levels.state_of(way).known[quantity])
    return Assessed(
        quantity=quantity,
        which="step",
        values=np.abs(change),
        unit=limits["limit"].unit,
        rests=(left, *levels.rests(subject, hazard, quantity)),
        why=(Why(code=code, words={"water": way.water.place.id}),),
        **limits,
    )


def _stays(subject: Subject, quantity: Q, limit: tables.Row) -> Assessed | None:
    """A fish that is in the first of its waters comes out of none; said only where it goes into no other."""
    if len(subject.water.place.stretches) > 1:
        return None
    nothing, why = np.zeros(subject.state.size), (Why(code="stays-where-it-is"),)
    return Assessed(
        quantity=quantity, which="step", values=nothing, unit=limit.unit, act_end=ActEnd.BEST, limit=limit, why=why
    )
