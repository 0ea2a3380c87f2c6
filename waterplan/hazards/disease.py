"""A notifiable disease that may be at work: many sick fish, or new fish and a sick one; then nothing is moved."""

from collections.abc import Iterator

import numpy as np

from waterplan import tables
from waterplan.case.choices import HowMany
from waterplan.case.seen import Seen
from waterplan.hazards.record import Why
from waterplan.hazards.subject import Assessed, Subject
from waterplan.published import FloatArray
from waterplan.spread import band
from waterplan.stay.ground import Ground
from waterplan.stay.quantities import Q
from waterplan.stay.waters import HOME

# From how many fish on a sign of the table counts as many sick ones; others count after new fish alone.
_MANY = {"one": (None, *HowMany), "several": (HowMany.SEVERAL, HowMany.MOST)}
_NEW_FISH, _IN_QUESTION, _DAY_H = "new fish", "khv_suspected", 24.0


def hazard(subject: Subject) -> Assessed | None:
    """The suspicion at the pond, and for every water that its fish would be moved to; nothing where there is none."""
    at_home = subject.water.place.id == HOME
    ahead = subject.stretch is not None and subject.stretch.start_h > subject.stay.ground.clock.now_h
    if not (subject.is_now if at_home else ahead):
        return None
    why = tuple(_suspected(subject.stay.ground, subject.stay[HOME].as_found[Q.TEMPERATURE]))
    if not why:
        return None  # that nothing was seen clears nothing
    return Assessed(
        quantity="disease",
        passed=np.zeros(subject.state.size, dtype=bool),
        clocks={"harm": np.zeros(subject.state.size)} if at_home else {},
        severity=None if at_home else "refuse",
        why=why,
    )


def _suspected(ground: Ground, home_temp_c: FloatArray) -> Iterator[Why]:
    """Why a notifiable disease is thought of; what nobody measured or dated shuts none out."""
    sick = {one: tables.row("signs", sign=one.sign)["sick"] for one in ground.seen(HOME)}
    named = [row["disease"] for row in tables.table("disease_stops") if _may_be(row, ground, home_temp_c)]
    if named and any(_is_many(one, counts) for one, counts in sick.items()):
        yield Why(code="many-sick", words={"diseases": ", ".join(named)})
    if any(sick.values()) and _is_new(ground):
        yield Why(code="sick-after-new-fish")
    if any(one.what == _IN_QUESTION for one in ground.case.already):
        yield Why(code="disease-in-question")


def _is_many(seen: Seen, counts: str) -> bool:
    return seen.fish in _MANY.get(counts, ())


def _may_be(row: tables.Row, ground: Ground, home_temp_c: FloatArray) -> bool:
    """Whether the pond has a fish that a disease takes, and may be as warm or as cold as it needs."""
    case, ends = ground.case, band(home_temp_c)
    kinds = {*(one.species for one in case.patients), *(one.species for one in case.other_fish)} or {"unknown"}
    taken = {name.strip() for name in row["species"].split(";")}
    return not kinds.isdisjoint(taken) and ends.low <= row.high and ends.high >= row.low


def _is_new(ground: Ground) -> bool:
    """Whether fish came into the pond so lately that they may have brought it."""
    came = None if ground.case.home_pond is None else ground.case.home_pond.new_fish
    at_h = None if came is None else ground.clock.hours(came)
    since_h = 0.0 if at_h is None else ground.clock.now_h - at_h
    return came is not None and since_h <= _DAY_H * tables.row("disease_stops", disease=_NEW_FISH).value
