"""What the case says was done already in a water, and whether it was read since."""

from datetime import datetime

from waterplan import tables
from waterplan.actions.proposing import Context
from waterplan.actions.record import Kind
from waterplan.case.model import Done
from waterplan.stay.record import WaterKind
from waterplan.stay.waters import HOME, Place


def done_at(context: Context, kind: Kind, place: Place, *, key: str = "") -> datetime | None:
    """When an action of a kind was done in a water already; None where it was not, or where `key` was read since."""
    time = max((one.at for one in done(context, kind, place)), default=None)
    return None if time is None or read_since(context, place, key, time) else time


def done(context: Context, kind: Kind, place: Place, substance: str | None = None) -> tuple[Done, ...]:
    """What the case says was done of a kind of action in a water, up to the time of the plan."""
    words = {kind.value, *tables.row("action_kinds", kind=kind.value)["words"].split(";")}
    now = context.ground.as_of
    return tuple(
        one
        for one in context.ground.case.done
        if " ".join(one.what.casefold().split()) in words
        and one.water in (place.id, "" if place.id == unnamed(context) else place.id)
        and (now is None or one.at <= now)
        and (substance is None or one.substance in (None, substance))
    )


def unnamed(context: Context) -> str:
    """The water that is meant where none is named: the hospital tank, else the pond."""
    tanks = [one.id for one in context.ground.places.values() if one.kind is WaterKind.HOSPITAL and one.stretches]
    return tanks[0] if tanks else HOME


def read_since(context: Context, place: Place, key: str, time: datetime) -> bool:
    """Whether a water was read for something after a time, so that what was done before is in the reading."""
    readings = context.ground.readings[place.id].get(key, ())
    return any(one.taken is not None and one.taken >= time for one in readings)
