"""The only door to the reference tables: rows with their sources, in the core's units."""

import csv
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from types import MappingProxyType

from waterplan.errors import Limits

# Printed unit -> the core's unit and the factor to it. Ammonia: N 14.007, NH3 17.031, NH4 18.039; nitrite NO2 46.005
# g/mol, from the IUPAC standard atomic weights. Temperatures are printed in degrees Celsius everywhere.
_FACTOR: Mapping[str, tuple[str, float]] = {
    "mg/L as NH3": ("mg/L as N", 14.007 / 17.031),
    "mg/L as NO2-N": ("mg/L as NO2", 46.005 / 14.007),
    "cm2": ("m2", 1e-4),
    "in": ("cm", 2.54),
    "%": ("fraction", 1e-2),
    "lb/US gal": ("kg/m3", 0.45359237 / 3.785411784e-3),
}
_NOT_DATA = frozenset({"value", "low", "high", "unit", "source", "locator", "status", "default", "reason"})


def shipped(name: str) -> Path:
    """The path of something shipped beside the package (`reference_tables`, `demo_ponds`, `app.py`).

    Inside an installed wheel it lies in the package (the app in `serve/`); in a checkout, beside it.
    """
    package = Path(__file__).parent
    inside = package / ("serve/app.py" if name == "app.py" else name)
    return inside if inside.exists() else package.parent / name


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """A glossary row: what a name of the core means, its unit, and what is possible."""

    unit: str
    words: str
    possible: Limits
    pond: Limits


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row of a table: its key columns, its figures in the core's unit, and where it comes from."""

    table: str
    names: tuple[str, ...]
    keys: Mapping[str, str]
    value: float
    low: float
    high: float
    unit: str
    printed: str
    source: str
    locator: str
    status: str
    is_default: bool
    reason: str

    def __getitem__(self, column: str) -> str:
        return self.keys[column]

    @property
    def id(self) -> str:
        """The path of the row: its table and what names it there."""
        return "/".join((self.table, *self._named))

    @property
    def label(self) -> str:
        """The row in words: its table and what names it there, without the prose that may follow the figures."""
        return f"{self.table.replace('_', ' ')}: " + ", ".join(self._named)

    @property
    def _named(self) -> tuple[str, ...]:
        return tuple(self.keys[name] for name in self.names if self.keys[name])


def _records(name: str) -> Iterator[dict[str, str]]:
    path = shipped("reference_tables") / f"{name}.csv"
    with path.open(encoding="utf-8", newline="") as file:
        for record in csv.DictReader(file):
            yield {key: (value or "").strip() for key, value in record.items() if key}


@cache
def glossary() -> Mapping[str, Term]:
    """The terms of the core by name."""
    terms = {
        record["name"]: Term(
            unit=record["unit"],
            words=record["words"],
            possible=Limits(float(record["possible_low"]), float(record["possible_high"])),
            pond=Limits(float(record["pond_low"]), float(record["pond_high"])),
        )
        for record in _records("glossary")
    }
    return MappingProxyType(terms)


@cache
def sources() -> Mapping[str, Mapping[str, str]]:
    """The list of sources by key."""
    return MappingProxyType({record["key"]: MappingProxyType(record) for record in _records("sources")})


@cache
def table(name: str) -> tuple[Row, ...]:
    """All rows of a table."""
    found = []
    for record in _records(name):
        unit, factor = _FACTOR.get(record["unit"], (record["unit"], 1.0))
        figures = {
            name: float(record[name]) * factor if record[name] else math.nan for name in ("value", "low", "high")
        }
        keys = MappingProxyType({key: text for key, text in record.items() if key not in _NOT_DATA})
        columns = list(record)
        printed = record["value"] or "-".join(filter(None, (record["low"], record["high"])))
        found.append(
            Row(
                table=name,
                names=tuple(key for key in columns[: columns.index("value")] if key not in _NOT_DATA),
                keys=keys,
                **figures,
                unit=unit,
                printed=f"{printed} {record['unit']}".strip(),
                source=record["source"],
                locator=record["locator"],
                status=record["status"],
                is_default=record.get("default", "") == "yes",
                reason=record.get("reason", ""),
            )
        )
    return tuple(found)


@cache
def _by_id(name: str) -> Mapping[str, Row]:
    """The rows of a table by their path; of several of one path the default, else the first."""
    found: dict[str, Row] = {}
    for row in table(name):
        if row.id not in found or row.is_default:
            found[row.id] = row
    return MappingProxyType(found)


def by_id(path: str) -> Row | None:
    """The row of a path (`Row.id`), or the first of a path that gives only the first names; None where there is none."""
    name = path.split("/", 1)[0]
    if not (shipped("reference_tables") / f"{name}.csv").exists():
        return None
    found = _by_id(name)
    return found.get(path) or next((row for one, row in found.items() if one.startswith(f"{path}/")), None)


@lru_cache(maxsize=4096)
def rows(name: str, **keys: str) -> tuple[Row, ...]:
    """The rows whose key columns are as given; kept, since a plan asks for the same few rows a thousand times."""
    return tuple(row for row in table(name) if all(row.keys[column] == value for column, value in keys.items()))


def find(name: str, **keys: str) -> Row | None:
    """The one row that answers, or None; of several that disagree, the one marked as the default."""
    found = rows(name, **keys)
    if len(found) > 1:
        found = tuple(row for row in found if row.is_default)
    if len(found) > 1:
        raise LookupError(f"{name}: several default rows for {keys}")
    return found[0] if found else None


def row(name: str, **keys: str) -> Row:
    """As `find`, for a row that must be there."""
    found = find(name, **keys)
    if found is None:
        raise LookupError(f"{name}: no row, or no default among several, for {keys}")
    return found
