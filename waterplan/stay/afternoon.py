"""How far the pH of a pond rises by the afternoon: by then light has used up its carbon dioxide, and its ammonia is worst."""

from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np

from waterplan import tables
from waterplan.case.choices import Looks
from waterplan.case.model import Case
from waterplan.stay.ground import Ground
from waterplan.stay.quantities import Q
from waterplan.stay.record import Origin
from waterplan.stay.state import Known, State
from waterplan.stay.waters import HOME, hours_of

AFTERNOON_PH, OXYGEN_AT_DAWN = "afternoon ph", "oxygen at dawn"
_READ_IN = {AFTERNOON_PH: "afternoon", OXYGEN_AT_DAWN: "dawn"}


def is_afternoon(time: datetime | None) -> bool:
    """Whether a reading was taken when the pH of a pond is highest; of one without a time nobody knows."""
    return time is not None and hours_of("afternoon begins") <= time.hour < hours_of("afternoon ends")


def hours_to_read(quantity: str, now: datetime) -> tuple[datetime, datetime]:
    """From when until when a quantity can next be read: what is read in the afternoon or before dawn only then."""
    if quantity not in _READ_IN:
        return now, now
    begins, ends = (hours_of(f"{_READ_IN[quantity]} {end}") for end in ("begins", "ends"))
    day = now.replace(minute=0, second=0, microsecond=0) + timedelta(days=now.hour >= ends)
    return day.replace(hour=int(begins)), day.replace(hour=int(ends))


def looks_of(case: Case) -> Looks | None:
    """How the water of the pond looks, clear or green; None where nobody said."""
    return None if case.home_pond is None else case.home_pond.looks


def of_its_looks(case: Case, quantity: str) -> tables.Row:
    """The range of what a pond does in a day, that of clear or of green water where somebody said which it is."""
    looks = looks_of(case)
    return tables.row("defensible_ranges", kind="home", quantity=f"{quantity}, {looks}" if looks else quantity)


def with_afternoon(ground: Ground, state: State) -> State:
    """The pond with the rise of its pH from the hour at which that was read: as an afternoon was read, else in its range.

    A pH of the afternoon needs none, and one that nobody read lies in a range that reaches into the afternoon.
    """
    ph = state.known[Q.PH]
    if ph.origin is Origin.ASSUMED or is_afternoon(ph.taken):
        return state
    path = f"{HOME}/{AFTERNOON_PH}"
    row = of_its_looks(ground.case, "ph rise")
    rise = _as_read(ground, ph, path) or Known.not_measured(ground.inputs.over_range(path, row), path, row)
    return state.with_known({Q.PH_RISE: rise})


def _as_read(ground: Ground, ph: Known, path: str) -> Known | None:
    """The rise to the highest pH of the afternoons that still count; none where it was no higher then."""
    lasts_h = tables.row("reading_ages", kind="water", quantity=AFTERNOON_PH).value
    own, logged = ground.case.home_water.ph, (row for row in ground.log if (row.water, row.key) == (HOME, "ph"))
    found: list[Known] = []
    for one in (own, *(row.reading for row in logged)):
        at_h = None if one is None or one.taken is None else ground.clock.hours(one.taken)
        if (
            one is not None
            and at_h is not None
            and is_afternoon(one.taken)
            and 0.0 <= ground.clock.now_h - at_h <= lasts_h
        ):
            found.append(Known.of_reading(path if not found else f"{path}/{len(found)}", one, ground.inputs))
    if not found:
        return None
    highest = max(found, key=lambda one: float(one.draws[0]))
    together = np.maximum.reduce([one.draws for one in found])
    return replace(highest, draws=np.maximum(together - ph.draws, 0.0))
