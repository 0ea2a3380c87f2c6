"""Steps of temperature and of pH between the water that a fish leaves and the one that it enters."""

import numpy as np

from waterplan import tables
from waterplan.hazards import levels
from waterplan.hazards.limits import water_limit
from waterplan.hazards.record import Hazard, Side, Why
from waterplan.hazards.subject import Assessed, Rests, Subject
from waterplan.published import FloatArray
from waterplan.stay.quantities import UNITS, Q
from waterplan.stay.record import ActEnd, Moment, WaterKind

_UNCONVALESCENT = frozenset({Moment.PROCEDURE, Moment.REVIVAL, Moment.HOSPITAL})


def temperature_step(subject: Subject) -> Assessed | None:
    """The difference of temperature: the narrower step on the day of an anaesthetic, the law's own on the way home."""
    way = levels.way_of(subject)
    if way is None:
        return _stays(subject, Hazard.TEMPERATURE_STEP)
    left, entered, rests = _between(subject, way, Hazard.TEMPERATURE_STEP, Q.TEMPERATURE)
    change = entered - left
    after = tables.row("temperature_steps", situation="after anaesthesia", limit="step")
    colder, warmer = (
        tables.row("temperature_steps", situation="healthy", limit=f"{which} step") for which in ("colder", "warmer")
    )
    soon = subject.moment in _UNCONVALESCENT
    at_once = np.where(change < 0.0, colder.value, warmer.value)
    return Assessed(
        quantity=Q.TEMPERATURE,
        which="step",
        values=np.abs(change),
        unit=UNITS[Q.TEMPERATURE],
        act_end=ActEnd.HIGH,
        side=Side.AT_MOST,
        limit=after.low if soon else at_once,
        limit_row=after if soon else colder if change[0] < 0.0 else warmer,
        harm=after.high if soon else at_once,
        rests=rests,
        why=(_said(change, way, up="step-warmer", down="step-colder"),),
    )


def ph_change(subject: Subject) -> Assessed | None:
    """The difference of pH; of a closed bag, of the water that it was filled with."""
    way = levels.way_of(subject)
    if way is None:
        return _stays(subject, Hazard.PH_CHANGE)
    left, entered, rests = _between(subject, way, Hazard.PH_CHANGE, Q.PH)
    limit, harm = water_limit("ph_change", "limit"), water_limit("ph_change", "harm")
    change = entered - left
    return Assessed(
        quantity=Q.PH,
        which="step",
        values=np.abs(change),
        act_end=ActEnd.HIGH,
        side=Side.AT_MOST,
        limit=limit.value,
        limit_row=limit,
        harm=harm.value,
        rests=rests,
        rows=(harm.id,),
        why=(_said(change, way, up="step-ph-up", down="step-ph-down"),),
    )


def _said(change: FloatArray, way: levels.Way, *, up: str, down: str) -> Why:
    return Why(code=up if change[0] >= 0.0 else down, words={"water": way.water.place.id})


def _between(
    subject: Subject, way: levels.Way, hazard: Hazard, quantity: Q
) -> tuple[FloatArray, FloatArray, tuple[Rests, ...]]:
    """The quantity where the fish comes from and where it goes, and what both rest on."""
    before = Subject(stay=subject.stay, water=way.water, stretch=way.stretch)
    state = levels.state_of(before)
    as_filled = levels.stands(before) or (quantity is Q.PH and before.kind is WaterKind.BAG)
    course = None if as_filled else before.course
    left = state[quantity] if course is None else course.at_end(quantity)
    there = Rests(water=way.water.place.id, quantity=quantity.value, known=state.known[quantity])
    own = levels.rests(subject, hazard, quantity)
    return left, levels.state_of(subject)[quantity], (there, *own)


def _stays(subject: Subject, hazard: Hazard) -> Assessed | None:
    """A fish that is in the first of its waters comes out of none; said only where it goes into no other."""
    if len(subject.water.place.stretches) > 1:
        return None
    row = (
        tables.row("temperature_steps", situation="healthy", limit="colder step")
        if hazard is Hazard.TEMPERATURE_STEP
        else water_limit("ph_change", "limit")
    )
    return Assessed(
        quantity=Q.TEMPERATURE if hazard is Hazard.TEMPERATURE_STEP else Q.PH,
        which="step",
        values=np.zeros(subject.state.size),
        unit=UNITS[Q.TEMPERATURE] if hazard is Hazard.TEMPERATURE_STEP else "",
        side=Side.AT_MOST,
        limit=row.value,
        limit_row=row,
        why=(Why(code="stays-where-it-is"),),
    )
