"""Ammonia: the un-ionised part that burns gills, at the pH of the course and at the pH that was read; and its total."""

import numpy as np

from waterplan.hazards import levels
from waterplan.hazards.limits import at_most, nh3_limit, water_limit
from waterplan.hazards.record import Why
from waterplan.hazards.subject import Assessed, Subject
from waterplan.stay.quantities import Q
from waterplan.stay.record import Origin
from waterplan.water.ammonia import nh3_mg_n_per_l


def hazard(subject: Subject) -> Assessed:
    """Un-ionised ammonia against the limit of the most sensitive fish: the worse of the modelled and the measured pH."""
    limit, harm = nh3_limit(one.species.law_group for one in subject.fish), water_limit("nh3", "harm")
    state = levels.state_of(subject)
    values = levels.most(subject, Q.UNIONISED_AMMONIA)
    hours = levels.until(subject, Q.UNIONISED_AMMONIA, harm.value, falls=False)
    worse_as_read = False
    if not levels.stands(subject) and state.known[Q.PH].origin is not Origin.ASSUMED:
        # the course's most total ammonia at the pH that was read, with the warmest water of the stretch
        warm = levels.most(subject, Q.TEMPERATURE)
        share = np.asarray(nh3_mg_n_per_l(np.ones(state.size), ph=state[Q.PH], water_temp_c=warm))
        as_read = levels.most(subject, Q.AMMONIA) * share
        hours = np.minimum(hours, levels.until(subject, Q.AMMONIA, harm.value / share, falls=False))
        worse_as_read = bool(as_read[0] > values[0])
        values = np.maximum(values, as_read)
    return at_most(
        subject,
        Q.UNIONISED_AMMONIA,
        limit=limit,
        harm=harm,
        values=values,
        clocks={"harm": hours},
        quantities=(Q.AMMONIA, Q.PH, Q.ALKALINITY, Q.TEMPERATURE, Q.VOLUME),
        equations=(nh3_mg_n_per_l,),
        given={"tan_mg_n_per_l": state[Q.AMMONIA], "ph": state[Q.PH], "water_temp_c": state[Q.TEMPERATURE]},
        why=(Why(code="ammonia-at-read-ph"),) if worse_as_read else (),
    )


def total(subject: Subject) -> Assessed:
    """Total ammonia against its cap, however low the pH: it turns at the next change of water."""
    cap = water_limit("tan", "cap")
    return at_most(subject, Q.AMMONIA, Q.VOLUME, limit=cap, harm=cap, clocks={}, severity="harms", part="total")
