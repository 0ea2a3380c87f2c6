"""What was put into a water of a substance before the plan: the dose itself, or another of which something is there still."""

from collections.abc import Iterable, Iterator
from datetime import datetime, time, timedelta
from math import inf

from waterplan.actions.doses.draft import Stopped, reason
from waterplan.actions.record import Kind
from waterplan.case.model import Dose
from waterplan.case.times import Tonight
from waterplan.case.treatments import Done
from waterplan.dose import substances
from waterplan.dose.substances import Kind as Sum
from waterplan.stay.contents import active_in, thing_of
from waterplan.stay.ground import Ground
from waterplan.stay.salted import SALT_METERS
from waterplan.stay.waters import Place, is_in


def is_done(ground: Ground, dose: Dose) -> datetime | None:
    """When a dose was given: what was done at its own time or later; a dose of before that time is another one.

    What was done once was one dose: the last that was due by then, and of several that no time tells apart the first.
    """
    case = ground.case
    doses = (*case.doses, *([] if any(one is dose for one in case.doses) else [dose]))
    timed = [(one, place := ground.places.get(one.into.path), _own_time(ground, one, place)) for one in doses]
    left = [*case.done]
    for one, place, own in sorted(timed, key=lambda each: each[2].timestamp() if each[2] else -inf, reverse=True):
        past = [each for each in _put_in(ground, left, one, place) if own is None or _end_of(each.at) >= own]
        last = max(past, key=lambda each: each.at, default=None)
        if one is dose:
            return None if last is None else last.at
        left = [each for each in left if each is not last]
    return None


def put_in_before(ground: Ground, dose: Dose, place: Place | None) -> tuple[float, Stopped | None]:
    """What of a substance went into a water unread, and what stops another dose of it.

    Parameters
    ----------
    ground : Ground
        The case, laid out.
    dose : Dose
        A dose that is not done.
    place : Place or None
        The water that it goes into; None for litres that are made up.

    Returns
    -------
    tuple of float and (Stopped or None)
        The active substance that was told as done and that no reading shows [g; mL of formalin]. Stopped where nobody said
        how much went in, at what level it is there, or whether this is the dose that was done.
    """
    if place is None or substances.kind_of(dose.substance, use=dose.use) in (Sum.IODINE, Sum.THINGS, Sum.DECHLORINATE):
        return 0.0, None
    salt = dose.substance == "salt"
    measure = [(Kind.MEASURE, reason("read-salt"))] if salt else []
    unread = [one for one in _put_in(ground, ground.case.done, dose, place) if _is_unread(ground, dose, place, one.at)]
    if unread and dose.at is None:
        latest = max(one.at for one in unread)
        told = reason("enter-the-time-of-another-dose", {"substance": dose.substance, "at": latest.isoformat()})
        return 0.0, Stopped(told, instead=measure)
    drop_ml = dose.drop.measured.best if dose.drop else None
    active = [active_in(dose.substance, one.amount, dose.bottle, drop_ml) if one.amount else None for one in unread]
    there = [
        one
        for one in ground.case.already
        if one.what == thing_of(dose.substance) and one.level is None and one.grams is None
        if is_in(place, one) and _is_unread(ground, dose, place, one.since)
    ]
    if there or None in active:
        return 0.0, Stopped(reason("enter-the-level-that-is-there", {"substance": dose.substance}), instead=measure)
    return sum(one for one in active if one is not None), None


def _put_in(ground: Ground, done: Iterable[Done], dose: Dose, place: Place | None) -> Iterator[Done]:
    """What was done by the time of the plan with the substance of a dose; litres that are made up have no water's name."""
    for one in done:
        here = one.substance == dose.substance and one.water in ("", "" if place is None else place.id)
        if here and (ground.as_of is None or one.at <= ground.as_of):
            yield one


def _own_time(ground: Ground, dose: Dose, place: Place | None) -> datetime | None:
    """The time that a dose is meant for: as it is written, else that of the readings that it is ordered on; None for neither."""
    if dose.at is not None:
        return ground.clock.at(ground.clock.hours(dose.at)) if isinstance(dose.at, Tonight) else dose.at
    if place is None:
        return None
    written = (place.vessel or ground.case.home_water).readings
    antidote = substances.kind_of(dose.substance, use=dose.use) is Sum.DECHLORINATE
    shows = SALT_METERS if dose.substance == "salt" else ("chlorine",) if antidote else ()
    found = {key: one.taken for key, one in written.items() if one.taken is not None}
    own = [found[key] for key in shows if key in found] or ([] if antidote else [*found.values()])
    return max(own, default=None)


def _is_unread(ground: Ground, dose: Dose, place: Place, at: datetime | None) -> bool:
    """Whether what went in at a time is in no reading: salt has a meter, nothing else that fish bathe in has one."""
    keys = SALT_METERS if dose.substance == "salt" else ()
    if at is None:
        return not any(ground.readings[place.id].get(key) for key in keys)
    return not ground.read_since(place.id, at, *keys)


def _end_of(at: datetime) -> datetime:
    """The latest that a time may be: a day that is written without its hour lasts until midnight."""
    return at + timedelta(days=1) if at.time() == time.min else at
