"""Hours of the stay and the clock on the wall: the operation begins at hour 0."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from waterplan import tables
from waterplan.case.times import Tonight

# Hours in each unit of time that the record knows.
HOURS = {"min": 1.0 / 60.0, "h": 1.0, "d": 24.0}
_NOON_H = 12.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """Hours count from `zero`, the time of the operation (or the plan's own where that is not known); both may be None."""

    zero: datetime | None
    now_h: float

    @classmethod
    def of(cls, operation_at: datetime | None, as_of: datetime | None, *, lead_h: float) -> "Clock":
        """The clock of a case: without an `as_of` the plan is made `lead_h` before the operation."""
        if as_of is None:
            return cls(zero=operation_at, now_h=-lead_h)
        zero = operation_at or as_of
        return cls(zero=zero, now_h=(as_of - zero).total_seconds() / 3600.0)

    def at(self, hours: float | None) -> datetime | None:
        """The time of day of an hour of the stay, to the minute; None where no clock time is known."""
        if self.zero is None or hours is None:
            return None
        return (self.zero + timedelta(hours=hours)).replace(second=0, microsecond=0)

    def hours(self, time: datetime | Tonight) -> float | None:
        """The hour of the stay of a time of day; of tonight, its hour or the next of the night after now."""
        if isinstance(time, Tonight):
            if time.hour is None and self.is_night(self.now_h):
                return self.now_h
            hour = _of_day("night begins") if time.hour is None else time.hour
            return self.next_hour_of_day(hour, after_h=self.now_h)
        return None if self.zero is None else (time - self.zero).total_seconds() / 3600.0

    def hour_of_day(self, hours: float) -> float:
        """The hour on the clock, 0 to below 24; counted from noon where no time was given."""
        at_zero = _NOON_H if self.zero is None else self.zero.hour + self.zero.minute / 60.0
        return (at_zero + hours) % 24.0

    def next_hour_of_day(self, hour: float, *, after_h: float) -> float:
        """The next time after an hour of the stay that the clock shows an hour of the day."""
        return after_h + (hour - self.hour_of_day(after_h)) % 24.0

    def is_night(self, hours: float) -> bool:
        """Whether what takes oxygen is left for the morning at an hour of the stay."""
        of_day = self.hour_of_day(hours)
        return of_day >= _of_day("night begins") or of_day < _of_day("night ends")


def _of_day(what: str) -> float:
    """An hour of the day of the table `timetable`."""
    return tables.row("timetable", what=what).value
