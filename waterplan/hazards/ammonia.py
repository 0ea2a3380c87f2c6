"""Ammonia: the un-ionised part that burns gills, at the pH of the course and at the pH that was read; and its total."""

import numpy as np

from waterplan import tables
from waterplan.hazards import levels
from waterplan.hazards.record import Hazard, Side, Why
from waterplan.hazards.subject import Assessed, Subject
from waterplan.published import FloatArray
from waterplan.stay.quantities import UNITS, Q
from waterplan.stay.record import ActEnd, Origin
from waterplan.water.ammonia import nh3_mg_n_per_l


def hazard(subject: Subject) -> Assessed:
    """Un-ionised ammonia against the limit of the most sensitive fish: the worse of the modelled and the measured pH."""
    rows = [
        tables.row("water_limits", quantity="nh3", group=group, level="limit")
        for group in sorted({one.species.law_group for one in subject.fish} or {"trout_like"})
    ]
    limit = min(rows, key=lambda row: row.value)
    harm = tables.row("water_limits", quantity="nh3", group="any", level="harm")
    state = levels.state_of(subject)
    values = levels.most(subject, Q.UNIONISED_AMMONIA)
    hours = levels.until(subject, Q.UNIONISED_AMMONIA, harm.value, falls=False)
    why: tuple[Why, ...] = ()
    at_read_ph = _at_measured_ph(subject)
    if at_read_ph is not None:
        total_at_harm = harm.value / np.asarray(nh3_mg_n_per_l(np.ones(state.size), **_conditions(subject)))
        sooner = levels.until(subject, Q.AMMONIA, total_at_harm, falls=False)
        hours = sooner if hours is None or sooner is None else np.minimum(hours, sooner)
        if float(at_read_ph[0]) > float(values[0]):
            why = (Why(code="ammonia-at-read-ph"),)
        values = np.maximum(values, at_read_ph)
    return Assessed(
        quantity=Q.UNIONISED_AMMONIA,
        which="highest",
        values=values,
        unit=UNITS[Q.UNIONISED_AMMONIA],
        act_end=ActEnd.HIGH,
        side=Side.AT_MOST,
        limit=limit.value,
        limit_row=limit,
        harm=harm.value,
        until_harm_h=hours,
        clock_unit=levels.clock_unit(subject),
        rests=levels.rests(subject, Hazard.AMMONIA, Q.AMMONIA, Q.PH, Q.ALKALINITY, Q.TEMPERATURE, Q.VOLUME),
        equations=(nh3_mg_n_per_l,),
        given={"tan_mg_n_per_l": state[Q.AMMONIA], "ph": state[Q.PH], "water_temp_c": state[Q.TEMPERATURE]},
        rows=(harm.id,),
        why=why,
    )


def _conditions(subject: Subject) -> dict[str, FloatArray]:
    """The pH that was read, with the warmest water of the stretch."""
    return {"ph": levels.state_of(subject)[Q.PH], "water_temp_c": levels.most(subject, Q.TEMPERATURE)}


def _at_measured_ph(subject: Subject) -> FloatArray | None:
    """Un-ionised ammonia of the course's most total ammonia at the pH as it was read; None where no pH was read."""
    if levels.stands(subject) or levels.state_of(subject).known[Q.PH].origin is Origin.ASSUMED:
        return None
    return np.asarray(nh3_mg_n_per_l(levels.most(subject, Q.AMMONIA), **_conditions(subject)))


def total(subject: Subject) -> Assessed:
    """Total ammonia against its cap, however low the pH: it turns at the next change of water."""
    cap = tables.row("water_limits", quantity="tan", group="any", level="cap")
    return Assessed(
        quantity=Q.AMMONIA,
        which="highest",
        values=levels.most(subject, Q.AMMONIA),
        unit=UNITS[Q.AMMONIA],
        act_end=ActEnd.HIGH,
        side=Side.AT_MOST,
        limit=cap.value,
        limit_row=cap,
        rests=levels.rests(subject, Hazard.AMMONIA, Q.AMMONIA, Q.VOLUME),
        clock_unit=levels.clock_unit(subject),
        severity="harms",
        part="total",
    )
