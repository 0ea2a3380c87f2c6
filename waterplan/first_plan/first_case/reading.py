"""From the text of a case file to a Case, with all its mistakes told together."""

import math
import tomllib
from collections.abc import Mapping
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

from waterplan.errors import CaseError, Mistake
from waterplan.first_plan.first_case import model
from waterplan.first_plan.first_case.fields import Field, Kind, Section
from waterplan.first_plan.first_case.measuring import MOST_ROWS, described, split_rows
from waterplan.first_plan.first_case.measuring_needs import faults
from waterplan.first_plan.first_case.reading_doses import DoseReader
from waterplan.first_plan.first_case.reading_events import EventReader, vessel_choices, with_choice
from waterplan.first_plan.first_case.schema import (
    SECTIONS,
    SHAPE_KEYS,
    VERSION,
    VERSION_KEY,
    WATER_KEYS,
    By,
    Filter,
    Shape,
    Use,
    Walls,
)
from waterplan.first_plan.first_case.values import NOT_MEASURED, BadValue, Reading, parse_reading

LARGEST_FILE, LONGEST_SHOWN = 1_000_000, 80
_YEARS = (1950, 2200)  # a plan counts forward from a date, and a slip of the keys must not run off the calendar
_NEEDED = {
    Shape.RECTANGLE: ("length", "width", "depth"),
    Shape.ROUND: ("diameter", "depth"),
    Shape.OVAL: ("length", "width", "depth"),
}


def read_case(path: Path | str) -> model.Case:
    """The case in a TOML file; CaseError names the file and everything in it that is wrong."""
    return case_from_document(read_document(path), file=str(path))


def read_document(path: Path | str) -> dict[str, Any]:
    """The raw tables of a TOML file, before anything in them is checked."""
    file = Path(path)
    try:
        if file.stat().st_size > LARGEST_FILE:
            raise CaseError(str(path), [Mistake(where="file", read="over 1 MB", would_do="a case is a page of text")])
        text = file.read_text(encoding="utf-8")
    except OSError as error:
        mistake = Mistake(where="file", read=error.strerror or "nothing", would_do="name a case file that exists")
        raise CaseError(str(path), [mistake]) from None
    except UnicodeDecodeError:
        mistake = Mistake(where="file", read="bytes that are not UTF-8 text", would_do="save the case as UTF-8 text")
        raise CaseError(str(path), [mistake]) from None
    return document_from_text(text, file=str(path))


def document_from_text(text: str, *, file: str) -> dict[str, Any]:
    """The raw tables of a TOML text."""
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # a number of thousands of digits is a plain ValueError
        mistake = Mistake(where="file", read=f"text that is not TOML ({error})", would_do="correct it there")
        raise CaseError(file, [mistake]) from None


def case_from_document(document: Mapping[str, Any], *, file: str) -> model.Case:
    """A Case from raw tables; CaseError with every mistake found."""
    reader = _Reader(document)
    case = reader.case(file)
    if reader.mistakes or case is None:
        raise CaseError(file, reader.mistakes)
    return case


class _Reader:
    def __init__(self, document: Mapping[str, Any]) -> None:
        self.document = document
        self.mistakes: list[Mistake] = []

    def wrong(self, where: str, read: object, would_do: str) -> None:
        shown = str(read)
        if len(shown) > LONGEST_SHOWN:
            shown = f"{shown[:LONGEST_SHOWN]}… ({len(shown)} characters)"
        self.mistakes.append(Mistake(where=where, read=shown, would_do=would_do))

    def wrong_once(self, where: str, read: object, would_do: str) -> None:
        """Adds a mistake of a key that was not told of yet."""
        if all(mistake.where != where for mistake in self.mistakes):
            self.wrong(where, read, would_do)

    def case(self, file: str) -> model.Case | None:
        self.check_top()
        tables = {name: self.section(section) for name, section in SECTIONS.items()}
        patient = self.one(tables["patient"])
        vessels = [self.vessel(values, where) for where, values in self.numbered("vessels", tables["vessels"])]
        names = [vessel.name for vessel in vessels if vessel is not None]
        for name in dict.fromkeys(name for name in names if names.count(name) > 1):
            self.wrong("vessels", f"two vessels named {name!r}", "give each vessel a name of its own")
        for name in names:
            if name in {"home water", "mains water"}:
                self.wrong("vessels", f"a vessel named {name!r}", "that name means the water itself: use another")
        if patient is not None and not self.sized(patient, "patient"):
            self.wrong("patient.weight", "neither weight nor length", "give one of them, such as '0.62 kg, scales'")
        pond = self.one(tables["home_pond"])
        home_pond = self.home_pond(pond) if pond is not None else None
        volumes = [
            self.measurement(values, where, names) for where, values in self.numbered("volumes", tables["volumes"])
        ]
        others = [self.other(values, where) for where, values in self.numbered("other_fish", tables["other_fish"])]
        tank = next((vessel for vessel in vessels if vessel is not None and vessel.use is Use.HOSPITAL), None)
        events = EventReader(self.wrong, self.wrong_once, self.one(tables["intended"]) or {}, tank).events(
            self.numbered("events", tables["events"])
        )
        cylinder, transport = self.one(tables["oxygen_cylinder"]), self.one(tables["transport"])
        dosing = DoseReader(names, self.wrong)
        doses = [dosing.dose(values, where) for where, values in self.numbered("doses", tables["doses"])]
        injections = [
            model.Injection(**values)
            for _, values in self.numbered("injections", tables["injections"])
            if "drug" in values
        ]
        already = [dosing.already(values, where) for where, values in self.numbered("already", tables["already"])]
        if self.mistakes or patient is None:
            return None
        return model.Case(
            patient=model.Patient(**patient),
            place=model.Place(**(self.one(tables["place"]) or {})),
            home_pond=home_pond,
            other_fish=tuple(other for other in others if other is not None),
            home_water=_water(self.one(tables["home_water"]) or {}),
            mains_water=_water(self.one(tables["mains_water"]) or {}),
            vessels=tuple(vessel for vessel in vessels if vessel is not None),
            intended=model.Intended(**(self.one(tables["intended"]) or {})),
            oxygen_cylinder=model.OxygenCylinder(**cylinder) if cylinder is not None else None,
            transport=model.Transport(**with_choice(transport)) if transport is not None else None,
            events=events,
            doses=tuple(dose for dose in doses if dose is not None),
            injections=tuple(injections),
            already=tuple(thing for thing in already if thing is not None),
            volumes=tuple(volume for volume in volumes if volume is not None),
            file=file,
        )

    @staticmethod
    def one(found: list[dict[str, Any]]) -> dict[str, Any] | None:
        return found[0] if found else None

    @staticmethod
    def numbered(name: str, found: list[dict[str, Any]]) -> list[tuple[str, dict[str, Any]]]:
        return [(f"{name}[{number}]", values) for number, values in enumerate(found, 1)]

    def check_top(self) -> None:
        version = self.document.get(VERSION_KEY)
        if version is None:
            self.wrong(VERSION_KEY, "nothing", f"begin the file with '{VERSION_KEY} = {VERSION}'")
        elif type(version) is not int or version != VERSION:
            self.wrong(VERSION_KEY, repr(version), f"this version of the tool reads {VERSION_KEY} = {VERSION}")
        for key in self.document:
            if key != VERSION_KEY and key not in SECTIONS:
                self.wrong(key, "an unknown section", "use one of " + ", ".join(SECTIONS))

    def section(self, section: Section) -> list[dict[str, Any]]:
        raw = self.document.get(section.name)
        heading = f"[[{section.name}]]" if section.many else f"[{section.name}]"
        if raw is None or (section.many and raw == []):
            if section.required:
                self.wrong(section.name, "nothing", f"write a table {heading}: {section.words}")
            return []
        tables = raw if section.many else [raw]
        if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
            self.wrong(section.name, repr(raw), f"write it as a table {heading}")
            return []
        return [
            self.values(section, table, f"{section.name}[{number}]" if section.many else section.name)
            for number, table in enumerate(tables, 1)
        ]

    def values(self, section: Section, table: Mapping[str, Any], where: str) -> dict[str, Any]:
        known = [field.key for field in section.fields]
        for key in table:
            if key not in known:
                self.wrong(f"{where}.{key}", "an unknown key", "use one of " + ", ".join(known))
        found: dict[str, Any] = {}
        taken = _when_taken(table)
        for field in section.fields:
            if field.key not in table:
                if field.required:
                    self.wrong(
                        f"{where}.{field.key}", "nothing", f"needed here: {field.words}, such as {field.example!r}"
                    )
                continue
            try:
                value = _parse(field, table[field.key], taken)
            except BadValue as bad:
                self.wrong(f"{where}.{field.key}", bad.read, bad.would_do)
                continue
            if value is not None:
                found[field.key] = value
        return found

    def body(self, values: dict[str, Any], where: str, *, required: bool) -> model.Body | None:
        given = {key: values.pop(key) for key in SHAPE_KEYS if key in values}
        if "shape" in given:
            given["shape"] = Shape(given["shape"])
        missing = [key for key in _NEEDED.get(given.get("shape", ""), ()) if key not in given]
        raw_table = self.raw(where)
        if "volume" not in given:
            for key in missing:
                read = " ".join(str(raw_table.get(key, "nothing")).split()).lower()
                if read in {"nothing", NOT_MEASURED}:  # one that is there but wrong has been told of already
                    self.wrong(f"{where}.{key}", read, f"the shape {given['shape']} needs its {key}")
            sizes = [key for key in SHAPE_KEYS if key in raw_table]
            if required and not sizes:
                self.wrong(where, "neither a shape nor a volume", "give one, such as volume = '60 L, marked tub'")
            elif sizes and "shape" not in raw_table and "volume" not in raw_table:
                self.wrong(f"{where}.shape", "nothing", "say which: " + ", ".join(Shape))
        return model.Body(**given)

    def raw(self, where: str) -> Mapping[str, Any]:
        name, _, number = where.partition("[")
        table: Any = self.document.get(name, {})
        found: Mapping[str, Any] = table[int(number[:-1]) - 1] if number else table
        return found

    def vessel(self, values: dict[str, Any], where: str) -> model.Vessel | None:
        body = self.body(values, where, required=values.get("name") not in self.measured())
        if body is None or not {"name", "use"} <= values.keys():
            return None
        water = {key: values.pop(key) for key in ("taken", *WATER_KEYS) if key in values}
        values["use"] = Use(values["use"])
        if "filter" in values:
            values["filter"] = Filter(values["filter"])
        return model.Vessel(**vessel_choices(values), body=body, water=_water(water))

    def home_pond(self, values: dict[str, Any]) -> model.HomePond | None:
        body = self.body(values, "home_pond", required=False)
        if body is None:
            return None
        if "walls" in values:
            values["walls"] = Walls(values["walls"])
        if "filter" in values:
            values["filter"] = Filter(values["filter"])
        return model.HomePond(**values, body=body)

    def measured(self) -> set[str]:
        """The waters that [[volumes]] speaks of, as far as they can be made out."""
        listed = self.document.get("volumes")
        found = listed if isinstance(listed, list) else []
        return {" ".join(str(table.get("of")).split()) for table in found if isinstance(table, dict)}

    def measurement(self, values: dict[str, Any], where: str, names: list[str]) -> model.Measurement | None:
        if not {"of", "by"} <= values.keys():
            return None
        if values["of"] not in {"home pond", *names}:
            waters = ", ".join(repr(name) for name in ("home pond", *names))
            self.wrong(f"{where}.of", repr(values["of"]), f"name one of the case's own waters: {waters}")
        given = measurement(values)
        told = [mistake for mistake in self.mistakes if mistake.where.startswith(f"{where}.")]
        mistakes = faults(given, where, {mistake.where for mistake in told})
        if not mistakes and not told:
            try:
                described(given, where)
            except CaseError as error:
                mistakes = error.mistakes
        for mistake in mistakes:
            self.wrong(mistake.where, mistake.read, mistake.would_do)
        return given

    def other(self, values: dict[str, Any], where: str) -> model.OtherFish | None:
        if not {"species", "count"} <= values.keys():
            return None
        if values["count"] > 0 and not self.sized(values, where):
            self.wrong(where, "neither weight nor length", "give one of them for a fish of that sort")
        return model.OtherFish(**values)

    def sized(self, values: dict[str, Any], where: str) -> bool:
        """Whether a fish has a size, or one that was wrong and has been told of already."""
        if {"length", "weight"} & values.keys():
            return True
        return any(mistake.where in {f"{where}.length", f"{where}.weight"} for mistake in self.mistakes)


def measurement(values: Mapping[str, Any]) -> model.Measurement:
    """A measurement of a volume from the values of its table."""
    others = {key: value for key, value in values.items() if key not in {"of", "by"}}
    return model.Measurement(
        of=values["of"],
        by=By(values["by"]),
        readings={key: value for key, value in others.items() if isinstance(value, Reading)},
        rows={key: value for key, value in others.items() if isinstance(value, tuple)},
        words={key: value for key, value in others.items() if isinstance(value, str)},
        numbers={key: float(value) for key, value in others.items() if isinstance(value, int | float)},
    )


def _when_taken(table: Mapping[str, Any]) -> datetime | None:
    """When a table's readings were taken; a time that cannot be read is told of under its own key."""
    try:
        return parse_when(table["taken"]) if "taken" in table else None
    except BadValue:
        return None


def _water(values: dict[str, Any]) -> model.Water:
    plain = {key: values[key] for key in ("taken", "disinfectant") if key in values}
    readings = {key: value for key, value in values.items() if isinstance(value, Reading)}
    return model.Water(**plain, readings=readings)


def _parse(field: Field, raw: object, taken: datetime | None) -> object:
    if field.kind is Kind.WHEN:
        return parse_when(raw)
    if field.kind is Kind.COUNT:
        return _count(raw)
    if field.kind is Kind.READING:
        assert field.quantity is not None  # by construction of the schema
        if isinstance(raw, int | float) and not isinstance(raw, bool) and field.key == "ph":
            raw = str(raw)
        if not isinstance(raw, str):
            raise BadValue(repr(raw), f"write the value and its unit in quotes, such as {field.example!r}")
        return parse_reading(raw, field.quantity, taken=taken)
    if field.kind is Kind.NUMBER:
        return _plain_number(raw, field)
    if field.kind is Kind.ROWS:
        return _rows(raw, field)
    if not isinstance(raw, str):
        raise BadValue(repr(raw), f"write text in quotes, such as {field.example!r}")
    text = " ".join(raw.split())
    if field.kind is Kind.CHOICE and text not in field.choices:
        raise BadValue(repr(raw), "use one of " + ", ".join(field.choices))
    if not text.isprintable():
        raise BadValue(repr(raw), "leave out control characters")
    if len(text) > 500:
        raise BadValue(f"{len(text)} characters", "at most 500 characters")
    if field.required and not text:
        raise BadValue("nothing", f"needed here: {field.words}, such as {field.example!r}")
    return text or None


def parse_when(raw: object) -> datetime:
    """A date and time from TOML or from ISO 8601 text; a date alone is its midnight, a zone is dropped."""
    if isinstance(raw, str):
        try:
            raw = datetime.fromisoformat(raw.strip())
        except ValueError:
            raise BadValue(repr(raw), "write a date and time such as 2026-05-14T09:30") from None
    if isinstance(raw, date) and not isinstance(raw, datetime):
        raw = datetime.combine(raw, time())
    if not isinstance(raw, datetime):
        raise BadValue(str(raw), "write a date and time such as 2026-05-14T09:30")
    if not _YEARS[0] <= raw.year <= _YEARS[1]:
        raise BadValue(str(raw), f"the year must be {_YEARS[0]} to {_YEARS[1]}")
    return raw.replace(tzinfo=None)


def _count(raw: object) -> int:
    if isinstance(raw, str) and raw.strip().isdecimal() and len(raw) < 20:
        raw = int(raw)
    if not isinstance(raw, int) or isinstance(raw, bool) or not 0 <= raw <= 100_000:
        raise BadValue(repr(raw), "write a whole number from 0 to 100000")
    return raw


def _plain_number(raw: object, field: Field) -> float | None:
    try:
        number = float(raw) if isinstance(raw, str | int | float) and not isinstance(raw, bool) else math.nan
    except (ValueError, OverflowError):
        number = math.nan
    if not (math.isfinite(number) and 0.0 <= number <= 1e6):
        raise BadValue(repr(raw), f"write a number of 0 or more, such as {field.example}")
    return number


def _rows(raw: object, field: Field) -> tuple[tuple[str, ...], ...] | None:
    if not isinstance(raw, str):
        raise BadValue(repr(raw), f"write rows between three quotes, one to a line, such as {field.example}")
    rows = split_rows(raw)
    if len(rows) > MOST_ROWS:
        raise BadValue(f"{len(rows)} rows", f"at most {MOST_ROWS} rows")
    if not all(cell.isprintable() and len(cell) <= 60 for row in rows for cell in row):
        raise BadValue("control characters or a cell of over 60", "write numbers and short names")
    return rows or None
