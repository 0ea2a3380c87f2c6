"""Ammonia: the un-ionised part that burns gills, at the pH of the course and at the pH that was read; and its total."""

import numpy as np

from waterplan import tables
from waterplan.hazards import levels
from waterplan.hazards.acidity import ph_of_what_hour
from waterplan.hazards.limit_rows import nh3_limit, water_limit
from waterplan.hazards.limits import at_most
from waterplan.hazards.record import Why
from waterplan.hazards.subject import Assessed, Subject
from waterplan.stay.quantities import Q
from waterplan.stay.record import Origin, WaterKind
from waterplan.water.ammonia import nh3_mg_n_per_l
from waterplan.water.carbonate import ph_in_air

OPENED = "opened"
_MG_N_PER_MEQ, _MG_CACO3_PER_MEQ = 14.007, 50.043


def hazard(subject: Subject) -> Assessed:
    """Un-ionised ammonia against the limit of the most sensitive fish: the worse of the modelled and the measured pH.

    A closed bag is judged at its own pH alone.
    """
    limit, harm = nh3_limit(one.law_group for one in subject.species), water_limit("nh3", "harm")
    state = levels.state_of(subject)
    values = levels.most(subject, Q.UNIONISED_AMMONIA)
    hours = levels.until(subject, Q.UNIONISED_AMMONIA, harm.value, falls=False)
    worse_as_read = False
    closed = subject.kind is WaterKind.BAG  # whose pH falls with the carbon dioxide that cannot get out
    if not levels.stands(subject) and not closed and state.known[Q.PH].origin is not Origin.ASSUMED:
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
        quantities=(Q.AMMONIA, Q.PH, Q.PH_RISE, Q.ALKALINITY, Q.TEMPERATURE, Q.VOLUME),
        equations=(nh3_mg_n_per_l,),
        given={"tan_mg_n_per_l": state[Q.AMMONIA], "ph": state[Q.PH], "water_temp_c": state[Q.TEMPERATURE]},
        why=(Why(code="ammonia-at-read-ph"),) if worse_as_read else (*ph_of_what_hour(subject, Q.AMMONIA),),
    )


def opened(subject: Subject) -> Assessed | None:
    """The ammonia of a bag once it is open and its carbon dioxide is out: its fish is lifted out before that."""
    course = subject.course if subject.kind is WaterKind.BAG else None  # one is worked out as soon as it is asked for
    if course is None:
        return None
    state, tan, temp = subject.state, course.at_end(Q.AMMONIA), course.at_end(Q.TEMPERATURE)
    # Ammonia that the fish gives off brings its own alkalinity.
    gained = np.maximum(tan - state[Q.AMMONIA], 0.0) / _MG_N_PER_MEQ * _MG_CACO3_PER_MEQ
    open_air = tables.row("defaults", what="room carbon dioxide").low
    ph = ph_in_air(
        np.maximum(state[Q.ALKALINITY], 0.0) + gained,
        water_temp_c=temp,
        co2_in_air_ppm=open_air,
        air_pressure_kpa=state.air_pressure_kpa,
    )
    return at_most(
        subject,
        Q.UNIONISED_AMMONIA,
        which="opened",
        limit=nh3_limit(one.law_group for one in subject.species),
        values=np.asarray(nh3_mg_n_per_l(tan, ph=ph, water_temp_c=temp)),
        quantities=(Q.AMMONIA, Q.ALKALINITY, Q.TEMPERATURE, Q.VOLUME),
        equations=(nh3_mg_n_per_l, ph_in_air),
        severity="caution",
        part=OPENED,
        why=(Why(code="lift-the-fish-out-of-the-bag"),),
    )


def total(subject: Subject) -> Assessed | None:
    """Total ammonia against its cap, however low the pH: it turns at the next change of water, which no bag sees."""
    if subject.kind is WaterKind.BAG:
        return None
    cap = water_limit("tan", "cap")
    return at_most(subject, Q.AMMONIA, Q.VOLUME, limit=cap, harm=cap, clocks={}, severity="harms", part="total")
