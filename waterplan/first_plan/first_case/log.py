"""Readings taken over the days: a CSV with one reading a row."""

import csv
import io
from pathlib import Path

from waterplan.errors import CaseError, Mistake
from waterplan.first_plan.first_case.model import Case, Logged
from waterplan.first_plan.first_case.reading import parse_when
from waterplan.first_plan.first_case.schema import SECTIONS, WATER_KEYS
from waterplan.first_plan.first_case.values import BadValue, parse_reading

COLUMNS = ("taken", "water", "what", "reading")


def read_log(path: Path | str, *, case: Case) -> tuple[Logged, ...]:
    """The rows of a readings file, in order of time; CaseError names the file, the row and what is wrong."""
    try:
        text = Path(path).read_text(encoding="utf-8-sig")
    except OSError as error:
        mistake = Mistake(where="file", read=error.strerror or "nothing", would_do="name a readings file that exists")
        raise CaseError(str(path), [mistake]) from None
    except UnicodeDecodeError:
        mistake = Mistake(where="file", read="bytes that are not UTF-8 text", would_do="save it as UTF-8 text")
        raise CaseError(str(path), [mistake]) from None
    return log_from_text(text, case=case, file=str(path))


def log_from_text(text: str, *, case: Case, file: str) -> tuple[Logged, ...]:
    """The rows of a readings text; columns taken, water, what, reading."""
    try:
        table = csv.DictReader(io.StringIO(text), strict=True)
        header = tuple((name or "").strip() for name in table.fieldnames or ())
        if header != COLUMNS:
            mistake = Mistake(
                where="row 1", read=",".join(header) or "nothing", would_do=f"head it {','.join(COLUMNS)}"
            )
            raise CaseError(file, [mistake])
        table.fieldnames = list(COLUMNS)
        records = [(table.line_num, record) for record in table]
    except csv.Error as error:
        raise CaseError(file, [Mistake(where="file", read=str(error), would_do="save it as comma-separated")]) from None
    found: list[Logged] = []
    mistakes: list[Mistake] = []
    for number, record in records:
        try:
            if None in record:
                extra = ",".join(record[None])
                raise BadValue(f"more than {len(COLUMNS)} columns, {extra!r} too many", "put a reading in quotes")
            row = _row({key: (record[key] or "").strip() for key in COLUMNS}, case)
        except BadValue as bad:
            mistakes.append(Mistake(where=f"row {number}", read=bad.read, would_do=bad.would_do))
            continue
        if row is not None:
            found.append(row)
    if mistakes:
        raise CaseError(file, mistakes)
    return tuple(sorted(found, key=lambda logged: logged.taken))


def _row(record: dict[str, str], case: Case) -> Logged | None:
    if case.water(record["water"]) is None:
        names = ["home water", "mains water", *(vessel.name for vessel in case.vessels)]
        raise BadValue(repr(record["water"]), "name a water of the case: " + ", ".join(names))
    field = SECTIONS["home_water"].field(record["what"]) if record["what"] in WATER_KEYS else None
    if field is None or field.quantity is None:
        raise BadValue(repr(record["what"]), "use one of " + ", ".join(WATER_KEYS))
    taken = parse_when(record["taken"])
    reading = parse_reading(record["reading"], field.quantity, taken=taken)
    if reading is None:
        return None
    return Logged(taken=taken, water=record["water"], key=record["what"], reading=reading)
