"""Whether a reading can be believed: an old kit, a place where it reads too well, what stands beside it."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime

from waterplan import tables
from waterplan.case.model import Case
from waterplan.case.model import Water as Written
from waterplan.case.values import Reading
from waterplan.stay.waters import HOME, Place, is_in

_OLD_KIT = "kit out of date"


def with_doubts(
    reading: Reading, key: str, *, case: Case, place: Place, written: Written, as_of: datetime | None
) -> Reading:
    """A reading of a water with the doubts of the table `doubted_readings` that hold of it.

    Parameters
    ----------
    reading : Reading
        What was read.
    key : str
        The key of the case that it stands under.
    case, place, written
        The case, the water, and what the case has of it.
    as_of : datetime, optional
        The time of the plan, for a reading without a time.

    Returns
    -------
    Reading
        The same with its doubts.
    """
    held = (
        row["doubt"]
        for row in tables.table("doubted_readings")
        if row["quantity"] in (key, "any") and all(_holds(row, reading, case, place, written, as_of))
    )
    return replace(reading, doubts=tuple(dict.fromkeys(held)))


def _holds(
    row: tables.Row, reading: Reading, case: Case, place: Place, written: Written, as_of: datetime | None
) -> Iterator[bool]:
    """Each condition of a row: with what it was read, where, of how little, beside what, and with how old a kit."""
    if row["how"]:
        yield reading.how in {name.strip() for name in row["how"].split(";")}
    if row["where"]:
        yield row["where"] in _places(written) and any(reading is one for one in written.readings.values())
    if row["thing"]:
        there = any(one.what == row["thing"] and is_in(place, one) for one in case.already)
        yield there or _is_beside(row["thing"], reading, case, place, written, as_of)
    if row.value == row.value:
        yield reading.measured.best < row.value
    if row["doubt"] == _OLD_KIT:
        read_at = reading.taken or as_of
        yield written.kit_expires is not None and (read_at is None or read_at > written.kit_expires)


def _is_beside(sign: str, reading: Reading, case: Case, place: Place, written: Written, as_of: datetime | None) -> bool:
    """Whether a sign was seen at the water and it was not read again since: one of the log is later than the case's own."""
    own = any(reading is one for one in written.readings.values())
    seen = (one.at for one in case.seen if one.sign == sign and (one.water or HOME) == place.id)
    told = (at for at in seen if at is None or as_of is None or at <= as_of)
    return any(own or (at and reading.taken and reading.taken < at) for at in told)


def _places(written: Written) -> Iterator[str]:
    """Where in a water it was read, as the table has it: as the case says, and by the depth."""
    yield from [written.where] if written.where else []
    if written.read_depth is not None:
        skin = tables.row("defaults", what="skin of the water").value
        yield "at the surface" if written.read_depth.measured.best <= skin else "at one depth"
