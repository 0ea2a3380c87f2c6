"""Ammonia: the un-ionised part that burns gills, at the pH of the course and at the pH that was read; and its total."""

import numpy as np

from waterplan.hazards import levels
from waterplan.hazards.limits import at_most, nh3_limit, water_limit
from waterplan.hazards.record import Hazard, Why
from waterplan.hazards.subject import Assessed, Subject
from waterplan.published import FloatArray
from waterplan.stay.quantities import Q
from waterplan.stay.record import Origin
from waterplan.water.ammonia import nh3_mg_n_per_l


def hazard(subject: Subject) -> Assessed:
    """Un-ionised ammonia against the limit of the most sensitive fish: the worse of the modelled and the measured pH."""
    limit, harm = nh3_limit(one.species.law_group for one in subject.fish), water_limit("nh3", "harm")
    state = levels.state_of(subject)
    values = levels.most(subject, Q.UNIONISED_AMMONIA)
    hours = levels.until(subject, Q.UNIONISED_AMMONIA, harm.value, falls=False)
    why: tuple[Why, ...] = ()
    at_read_ph = _at_measured_ph(subject)
    if at_read_ph is not None:
        total_at_harm = harm.value / _at_read_conditions(subject, np.ones(state.size))
        sooner = levels.until(subject, Q.AMMONIA, total_at_harm, falls=False)
        hours = np.minimum(hours, sooner)
        if float(at_read_ph[0]) > float(values[0]):
            why = (Why(code="ammonia-at-read-ph"),)
        values = np.maximum(values, at_read_ph)
    return at_most(
        subject,
        Hazard.AMMONIA,
        Q.UNIONISED_AMMONIA,
        limit=limit,
        harm=harm,
        values=values,
        until_harm_h=hours,
        rests=levels.rests(subject, Hazard.AMMONIA, Q.AMMONIA, Q.PH, Q.ALKALINITY, Q.TEMPERATURE, Q.VOLUME),
        equations=(nh3_mg_n_per_l,),
        given={"tan_mg_n_per_l": state[Q.AMMONIA], "ph": state[Q.PH], "water_temp_c": state[Q.TEMPERATURE]},
        why=why,
    )


def _at_measured_ph(subject: Subject) -> FloatArray | None:
    """Un-ionised ammonia of the course's most total ammonia at the pH as it was read; None where no pH was read."""
    if levels.stands(subject) or levels.state_of(subject).known[Q.PH].origin is Origin.ASSUMED:
        return None
    return _at_read_conditions(subject, levels.most(subject, Q.AMMONIA))


def _at_read_conditions(subject: Subject, total: FloatArray) -> FloatArray:
    """Un-ionised ammonia of a total at the pH that was read, with the warmest water of the stretch."""
    warm = levels.most(subject, Q.TEMPERATURE)
    return np.asarray(nh3_mg_n_per_l(total, ph=levels.state_of(subject)[Q.PH], water_temp_c=warm))


def total(subject: Subject) -> Assessed:
    """Total ammonia against its cap, however low the pH: it turns at the next change of water."""
    cap = water_limit("tan", "cap")
    more = {"until_harm_h": None, "severity": "harms", "part": "total"}
    return at_most(subject, Hazard.AMMONIA, Q.AMMONIA, Q.VOLUME, limit=cap, harm=cap, **more)
