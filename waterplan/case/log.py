"""Readings taken over the days: a CSV with one reading a row."""

import csv
import io
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from waterplan.case.document import decoded, read_text
from waterplan.case.kinds import shown
from waterplan.case.model import Case, Logged
from waterplan.case.part import Part, quantity_of, said
from waterplan.case.times import TO_THE_MINUTE, YEARS, BadYear, parse_when
from waterplan.case.values import BadValue, parse_reading
from waterplan.case.volume.rows import MOST_ROWS
from waterplan.case.waters import WATER_KEYS, Water
from waterplan.errors import CaseError, Mistake

COLUMNS = ("taken", "water", "what", "reading")
_LARGEST = 4_000_000
_AFTER = timedelta(days=400)  # what is later than this after all that the case says is a slip of the keys


@dataclass(frozen=True, slots=True, kw_only=True)
class Log:
    """The rows of a readings file in order of time, and those that were left out, each with its reason.

    Two readings of one minute that differ are both kept: which one is right is not for the file's order to say.
    """

    rows: tuple[Logged, ...] = ()
    left_out: tuple[Mistake, ...] = ()

    def __iter__(self) -> Iterator[Logged]:
        return iter(self.rows)


def read_log(
    source: Path | str, *, case: Case, as_of: datetime | None = None, file: str = "", leniently: bool = False
) -> Log:
    """The readings of a file, or of a text with a line break in it.

    Parameters
    ----------
    source : Path or str
        A CSV with the columns taken, water, what, reading. A time without an offset is the clock of the place.
    case : Case
        Whose waters are spoken of: home water, mains water, a vessel's name or its path.
    as_of : datetime, optional
        Rows taken later are left out, and listed in `left_out`; so are rows of an impossible year.
    file : str
        What mistakes call it.
    leniently : bool
        Whether rows that cannot be read are left out too, for whoever is to choose.

    Returns
    -------
    Log
        The rows in order of time, and what was left out.

    Raises
    ------
    CaseError
        Each row that cannot be read, with what would do.
    """
    is_text = isinstance(source, str) and "\n" in source
    name = file or ("readings" if is_text else str(source))
    if is_text:
        text = decoded(str(source).encode("utf-8", "replace"), file=name, largest=_LARGEST, what="readings file")
    else:
        text = read_text(source, largest=_LARGEST, what="readings file")
    latest = _latest(case) if as_of is None else parse_when(as_of, case.zone)
    rows: dict[Logged, None] = {}
    wrong: list[Mistake] = []
    left_out: list[Mistake] = []
    for number, record in _records(text, name):
        try:
            row = _row(record, case, latest)
        except BadValue as bad:
            kept = left_out if leniently or isinstance(bad, _OutOfTime) else wrong
            kept.append(Mistake(where=f"row {number}", read=bad.read, would_do=bad.would_do))
        else:
            rows |= {row: None} if row is not None else {}
    if wrong:
        raise CaseError(name, wrong)
    in_order = sorted(rows, key=lambda row: (row.taken, row.water, row.key, row.reading.text))
    return Log(rows=tuple(in_order), left_out=tuple(left_out))


def written_log(rows: Iterable[Logged]) -> str:
    """Readings as a file that reads as they do."""
    made = io.StringIO()
    writer = csv.writer(made, lineterminator="\n")
    writer.writerow(COLUMNS)
    writer.writerows((row.taken.isoformat(timespec="minutes"), row.water, row.key, row.reading.text) for row in rows)
    return made.getvalue()


class _OutOfTime(BadValue):
    """A row of a time at which nobody can have measured anything."""


def _records(text: str, file: str) -> Iterator[tuple[int, list[str]]]:
    """The number and the cells of each row that is not empty."""
    reader = csv.reader(io.StringIO(text), strict=True)
    try:
        head = next((row for row in reader if any(cell.strip() for cell in row)), [])
        if tuple(cell.strip().casefold() for cell in head) != COLUMNS:
            read = shown(",".join(head)) if head else "nothing"
            commas = "; separate with commas, and put a reading in quotes" if set("".join(head)) & set(";\t|") else ""
            raise CaseError.of(file, where="row 1", read=read, would_do=f"head it {','.join(COLUMNS)}{commas}")
        for count, row in enumerate(reader):
            if count > MOST_ROWS:
                raise CaseError.of(file, where="file", read=f"over {MOST_ROWS} rows", would_do="split it up")
            if any(cell.strip() for cell in row):
                yield reader.line_num, row
    except csv.Error:
        read = "a quote without its end, or no text"
        would_do = "save it as comma-separated"
        raise CaseError.of(file, where=f"row {reader.line_num}", read=read, would_do=would_do) from None


def _row(record: list[str], case: Case, latest: datetime | None) -> Logged | None:
    if len(record) > len(COLUMNS):
        extra = ",".join(record[len(COLUMNS) :])
        raise BadValue(f"more than {len(COLUMNS)} columns, {shown(extra)} too many", "put a reading in quotes")
    taken, water, what, reading = (cell.strip() for cell in (*record, *[""] * len(COLUMNS))[: len(COLUMNS)])
    path, key = case.names.need_water(water), "_".join(what.casefold().replace("_", " ").split())
    if key not in WATER_KEYS:
        raise BadValue(shown(what), "use one of " + ", ".join(WATER_KEYS))
    try:
        when = parse_when(taken, case.zone)
    except BadYear as bad:
        raise _OutOfTime(bad.read, f"left out: {bad.would_do}") from None
    if latest is not None and when > latest:
        read = f"{when:{TO_THE_MINUTE}}, which is after {latest:{TO_THE_MINUTE}}"
        raise _OutOfTime(read, "left out: correct its time, or plan for a later one")
    such_as = repr(said(Water.model_fields[key])[1])
    found = parse_reading(reading, quantity_of(Water, key), taken=when, such_as=such_as)
    return None if found is None else Logged(taken=when, water=path, key=key, reading=found)


def _latest(case: Case) -> datetime | None:
    """The last time at which the case itself says anything, and a year."""
    listed = (found if isinstance(found, tuple) else (found,) for found in case.__dict__.values())
    parts = (part for one in listed for part in one if isinstance(part, Part))
    times = [time for part in parts for time in part.__dict__.values() if isinstance(time, datetime)]
    return max(times) + _AFTER if times and max(times).year < YEARS[1] - 2 else None
