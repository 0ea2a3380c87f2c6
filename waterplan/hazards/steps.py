"""Steps of temperature, pH and salt between the water that a fish leaves and the one that it enters."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np

from waterplan import tables
from waterplan.hazards import levels
from waterplan.hazards.limit_rows import water_limit
from waterplan.hazards.record import Hazard, Why
from waterplan.hazards.subject import Assessed, Rests, Subject, way_of, ways_of
from waterplan.published import FloatArray
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, Moment, WaterKind

FROM_HOME = "from home"
_UNCONVALESCENT = frozenset({Moment.PROCEDURE, Moment.REVIVAL, Moment.HOSPITAL})


def temperature_step(subject: Subject) -> Assessed | None:
    """The difference of temperature: the narrower step on the day of an anaesthetic, the law's own on the way home."""
    colder, warmer = (
        tables.row("temperature_steps", situation="healthy", limit=f"{which} step") for which in ("colder", "warmer")
    )
    way = way_of(subject)
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


def ph_change(subject: Subject) -> Iterator[Assessed]:
    """The difference of pH; of a closed bag, of the water that it was filled with; where it wakes, also from its home."""
    limit, harm = water_limit("ph_change", "limit"), water_limit("ph_change", "harm")
    way = way_of(subject)
    if way is None:
        stays = _stays(subject, Q.PH, limit)
        yield from [] if stays is None else [stays]
        return
    made = _ph_step(subject, way, limit=limit, harm=harm)
    at, rises = subject.water.as_found.known[Q.PH].taken, subject.state.has(Q.PH_RISE)
    if subject.kind is WaterKind.HOME and rises and at is not None:
        made = replace(made, why=(*made.why, Why(code="ph-of-the-hour-read", words={"ph_at": at.isoformat()})))
    yield made
    home = next((one for one in ways_of(subject) if one.kind is WaterKind.HOME), way)
    if subject.kind is WaterKind.REVIVAL and home.water is not way.water:
        # A jump is judged where it is made: here only how far it has been carried.
        yield replace(_ph_step(subject, home, limit=limit), which=FROM_HOME, part=FROM_HOME)


def _ph_step(subject: Subject, way: Subject, **limits: Any) -> Assessed:
    change = _change(subject, way, Q.PH)
    code = "step-ph-up" if change[0] >= 0.0 else "step-ph-down"
    return _step(subject, way, Hazard.PH_CHANGE, Q.PH, change, code, **limits)


def salt_step(subject: Subject) -> Assessed | None:
    """The difference of salt: what a level is raised or let down by at once."""
    raised, lowered = (tables.row("dose_rules", rule=rule) for rule in ("salt_step", "salt_lowered"))
    way = way_of(subject)
    if way is None:
        return _stays(subject, Q.SALT, lowered)
    change = _change(subject, way, Q.SALT)
    at_once = np.where(change < 0.0, lowered.value, raised.value)
    code, row = ("step-salt-up", raised) if change[0] >= 0.0 else ("step-salt-down", lowered)
    return _step(subject, way, Hazard.SALT_STEP, Q.SALT, change, code, limit=row, limit_at=at_once)


def _change(subject: Subject, way: Subject, quantity: Q) -> FloatArray:
    """What the fish finds less what it leaves."""
    return levels.state_of(subject, subject.begins_h)[quantity] - levels.as_left(way, quantity, subject.begins_h)


def _step(
    subject: Subject, way: Subject, hazard: Hazard, quantity: Q, change: FloatArray, code: str, **limits: Any
) -> Assessed:
    known = levels.state_of(way, subject.begins_h).known[quantity]
    left = Rests(water=way.water.place.id, quantity=quantity.value, known=known)
    return Assessed(
        quantity=quantity,
        which="step",
        values=np.abs(change),
        unit=limits["limit"].unit,
        rests=(left, *levels.rests(subject, hazard, quantity)),
        why=(Why(code=code, words={"water": way.water.place.id}),) if change[0] else (),
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
