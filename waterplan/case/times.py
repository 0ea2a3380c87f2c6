"""Times of a case: always with an offset, on the clock of the place."""

import re
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, timezone, tzinfo
from typing import Any
from zoneinfo import ZoneInfo

from pydantic import ValidationInfo

from waterplan.case.kinds import EXAMPLE, Kind, Text, around, shown
from waterplan.case.values import BadValue

TO_THE_MINUTE = "%Y-%m-%dT%H:%M"
_TONIGHT = re.compile(r"^\s*tonight(?:\s+at\s+(?P<hour>\d{1,2})(?::(?P<minute>\d\d))?)?\s*$", re.IGNORECASE)
_LAST_HOUR, _LAST_MINUTE = 23, 59
YEARS = (1950, 2200)  # a plan counts forward from a date, and a slip of the keys must not run off the calendar


class BadYear(BadValue):
    """A time in a year that no case is of."""


@dataclass(frozen=True, slots=True)
class When(Kind):
    """A date and time; without an offset it is the clock of the place."""

    words = "date and time"

    def read(self, raw: object, info: ValidationInfo) -> object:
        """The time, on the clock of the place."""
        return parse_when(raw, around(info).zone)

    def schema(self) -> dict[str, Any]:
        """A text; TOML has dates of its own."""
        return {"type": "string", "pattern": r"^\s*\d{4}-\d\d-\d\d"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Tonight:
    """The night after the time of the plan, at an hour of the day where one is said."""

    text: str
    hour: float | None = None


@dataclass(frozen=True, slots=True)
class WhenMeant(When):
    """A time to come: a date and time, or tonight."""

    def read(self, raw: object, info: ValidationInfo) -> object:
        """The time, on the clock of the place, or tonight."""
        found = _TONIGHT.match(raw) if isinstance(raw, str) else None
        if found is None:
            return parse_when(raw, around(info).zone)
        hour, minute = found["hour"], found["minute"] or "0"
        if hour is not None and (int(hour) > _LAST_HOUR or int(minute) > _LAST_MINUTE):
            raise BadValue(shown(raw), "write 'tonight' or an hour of the day, such as 'tonight at 22:00'")
        at = None if hour is None else int(hour) + int(minute) / 60.0
        return Tonight(text=" ".join(str(raw).split()), hour=at)

    def schema(self) -> dict[str, Any]:
        """A text; TOML has dates of its own."""
        return {"type": "string", "pattern": r"^\s*(\d{4}-\d\d-\d\d|[Tt]onight)"}


def parse_when(raw: object, zone: tzinfo = UTC) -> datetime:
    """A date and time from TOML or from ISO 8601 text, on the clock of a zone; a date alone is its midnight."""
    found = raw
    with suppress(ValueError):
        found = datetime.fromisoformat(raw.strip()) if isinstance(raw, str) else raw
    if isinstance(found, date) and not isinstance(found, datetime):
        found = datetime.combine(found, time())
    if not isinstance(found, datetime):
        raise BadValue(shown(raw), "write a date and time such as 2026-05-14T09:30")
    if not YEARS[0] < found.year < YEARS[1]:  # the year on either side may belong to another zone's new year
        raise BadYear(shown(raw), f"the year must be {YEARS[0] + 1} to {YEARS[1] - 1}")
    aware = found if found.utcoffset() is not None else found.replace(tzinfo=zone)
    here = aware.astimezone(zone)
    # An offset of its own, so that hours between two times are hours also where the clocks are put forward.
    return here.replace(tzinfo=timezone(here.utcoffset() or timedelta()))


def parse_offset(raw: object) -> tzinfo:
    """The offset of '+02:00'; BadValue where it is none."""
    with suppress(ValueError):
        zone = datetime.fromisoformat(f"2000-01-01T00:00:00{raw.strip()}").tzinfo if isinstance(raw, str) else None
        if zone is not None:
            return zone
    raise BadValue(shown(raw), f"write hours and minutes, such as {EXAMPLE}")


def parse_zone(raw: object) -> tzinfo:
    """The zone of a name; BadValue where no such zone is known."""
    try:
        return ZoneInfo(raw if isinstance(raw, str) else "")
    except (ValueError, OSError, KeyError):
        raise BadValue(shown(raw), f"write a zone's name, such as {EXAMPLE}, or utc_offset instead") from None


# The clock of the place: how far it is from universal time, or the name of its zone.
OFFSET = Text(lambda raw, _: parse_offset(raw), words="offset")
ZONE = Text(lambda raw, _: parse_zone(raw), words="time zone")
