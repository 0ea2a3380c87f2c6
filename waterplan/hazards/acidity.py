"""pH, alkalinity and carbon dioxide, which hang on one another."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np

from waterplan import tables
from waterplan.hazards import levels
from waterplan.hazards.limit_rows import water_limit
from waterplan.hazards.limits import at_least, at_most, between
from waterplan.hazards.record import Why
from waterplan.hazards.subject import Assessed, Subject
from waterplan.stay.quantities import Q
from waterplan.stay.record import Origin, WaterKind
from waterplan.water.carbonate import co2_mg_per_l

# A difference that a pH meter shows.
_SHOWN = 0.05


def ph(subject: Subject) -> Assessed:
    """The pH of a stretch that lies farthest out of the band that is wanted, on both sides."""
    watch, act = water_limit("ph", "watch"), water_limit("ph", "act")
    ends = {"within": (watch.low, watch.high), "harmless": (act.low, act.high)}
    made = between(subject, Q.PH, Q.PH_RISE, Q.ALKALINITY, **ends, limit=watch, harm=act)
    return replace(made, why=(*ph_of_what_hour(subject), *_as_read(subject, made)))


def of_one_hour(subject: Subject) -> bool:
    """Whether carbon dioxide and pH were read together: in a pond the one falls as the other rises, hour by hour."""
    found = subject.water.as_found.known
    return subject.kind is not WaterKind.HOME or found[Q.CARBON_DIOXIDE].taken == found[Q.PH].taken


def ph_of_what_hour(subject: Subject, *beside: Q) -> Iterator[Why]:
    """At which hour's pH a pond is judged, with the times of the readings; that its worst hour was not measured."""
    found, state = subject.water.as_found.known, levels.state_of(subject)
    if subject.kind is not WaterKind.HOME or found[Q.PH].origin is not Origin.MEASURED:
        return
    times = {f"{one}_at": taken.isoformat() for one in (Q.PH, *beside) if (taken := found[one].taken) is not None}
    rise = state.known.get(Q.PH_RISE)
    if rise is None:
        yield Why(code="ph-of-the-afternoon", words=times)
    elif rise.taken is not None:
        yield Why(code="ph-of-the-afternoon-before", words={**times, "at": rise.taken.isoformat()})
    else:
        yield Why(code="worst-hour-not-measured", words=times)


def _as_read(subject: Subject, made: Assessed) -> Iterator[Why]:
    """The pH that was read, where what is judged is another: it follows from air, or comes about in the stretch."""
    read, judged = subject.water.as_found.known[Q.PH], made.values
    another = judged is not None and abs(float(judged[0] - read.draws[0])) >= _SHOWN
    if read.origin is Origin.MEASURED and read.text and another and subject.kind is not WaterKind.HOME:
        yield Why(code="ph-as-read", words={"read": read.text})


def alkalinity(subject: Subject) -> Assessed:
    """The least alkalinity of a stretch: it holds the pH while filter and drugs give off acid."""
    limit, harm = water_limit("alkalinity", "watch"), water_limit("alkalinity", "act")
    return at_least(subject, Q.ALKALINITY, Q.VOLUME, limit=limit, harm=harm)


def carbon_dioxide(subject: Subject) -> Assessed:
    """The most carbon dioxide of a stretch, and as it gathers: as it was read or follows from pH and alkalinity, the worse.

    In a closed bag it is held against what fish stand on the way.
    """
    limit, harm = water_limit("carbon_dioxide", "limit"), water_limit("carbon_dioxide", "harm")
    if subject.kind is WaterKind.BAG:
        limit = tables.row("defaults", what="carbon dioxide on the way")
        harm = replace(limit, value=limit.high)
    state = levels.state_of(subject)
    given = {"alkalinity_mg_caco3_per_l": state[Q.ALKALINITY], "water_temp_c": state[Q.TEMPERATURE], "ph": state[Q.PH]}
    rests = (Q.CARBON_DIOXIDE, Q.PH, Q.ALKALINITY, Q.VOLUME)
    more: dict[str, Any] = {"limit": limit, "harm": harm, "equations": (co2_mg_per_l,), "given": given}
    read, ph_at = state.known[Q.CARBON_DIOXIDE], subject.water.as_found.known[Q.PH].taken
    if subject.kind is WaterKind.HOME and read.origin is not Origin.ASSUMED and ph_at is not None:
        more["why"] = (Why(code="carbon-dioxide-of-the-hour", words={"ph_at": ph_at.isoformat()}),)
    if read.origin is Origin.MEASURED:  # a course begins with the pH, and knows nothing of what a kit read
        there = read.draws
        if of_one_hour(subject) and state.known[Q.ALKALINITY].is_known:
            there = np.maximum(there, co2_mg_per_l(**given))
        until = levels.until(subject, Q.CARBON_DIOXIDE, harm.value, falls=False)
        more["values"] = np.maximum(levels.most(subject, Q.CARBON_DIOXIDE), there)
        more["clocks"] = {"harm": np.where(there > harm.value, 0.0, until)}
    return at_most(subject, *rests, **more)
