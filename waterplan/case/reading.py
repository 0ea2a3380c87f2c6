"""From a case file to a Case, with all its mistakes told together."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from datetime import UTC, tzinfo
from functools import partial
from itertools import count
from pathlib import Path
from typing import Any, TypeVar, get_args, get_origin

from pydantic import ValidationError

from waterplan.case.document import MOST_TABLES, document_from_text, folded, read_text
from waterplan.case.kinds import Around, plain_text, shown
from waterplan.case.measures import Measure
from waterplan.case.model import Case, Measured
from waterplan.case.names import Names, plain
from waterplan.case.part import HIDDEN, Part, faults_of, kind_of, said
from waterplan.case.times import parse_offset, parse_zone
from waterplan.case.values import NOTHING_KNOWN, BadValue
from waterplan.case.volume.measurement import By, Measurement
from waterplan.case.volume.measuring import described
from waterplan.errors import CaseError, Mistake

VERSION_KEY, VERSION = "waterplan_case", 1
_MOST_KEYS = 200
Made = TypeVar("Made", bound=Part)
# A section of which one table alone may stand under another heading.
ALONE: Mapping[str, str] = {"patients": "patient", "transports": "transport"}


def _sections() -> Iterator[tuple[str, tuple[type[Part], bool]]]:
    """Each section of a case: its record, and whether it may stand more than once."""
    for name, field in Case.model_fields.items():
        many = get_origin(field.annotation) is tuple
        parts = [one for one in (field.annotation, *get_args(field.annotation)) if isinstance(one, type)]
        part = next((one for one in parts if issubclass(one, Part)), Measurement if many else None)
        if part is not None:
            yield name, (part, many)


SECTIONS: Mapping[str, tuple[type[Part], bool]] = dict(_sections())
_WAYS: tuple[type[Measurement], ...] = get_args(get_args(Measured)[0])
WAYS: Mapping[By, type[Measurement]] = {By(get_args(way.model_fields["by"].annotation)[0]): way for way in _WAYS}
PARTS: tuple[type[Part], ...] = (Case, *(part for part, _ in SECTIONS.values()), *WAYS.values())
_EVERY_KEY = {key for part in PARTS for key in part.known_keys()}


def read_case(source: Path | str | Mapping[str, Any], *, file: str = "") -> Case:
    """A case from a file, from a text or from its raw tables.

    Parameters
    ----------
    source : Path, str or mapping
        The path of a TOML file; TOML text where a str has a line break in it; or tables as they were typed.
    file : str
        What mistakes call it: the path, or "case", without it.

    Returns
    -------
    Case
        What was written, each value with its error, each time with its offset.

    Raises
    ------
    CaseError
        Everything that is wrong, with its place, what was read and what would do.
    """
    if isinstance(source, Mapping):
        return _Reader(source, file or "case").case()
    is_text = isinstance(source, str) and "\n" in source
    name = file or ("case" if is_text else str(source))
    text = str(source) if is_text else read_text(source)
    return _Reader(document_from_text(text, file=name), name, needs_version=True).case()


class _Reader:
    """One reading of one document; it gathers mistakes and the tables that could be read."""

    def __init__(self, document: Mapping[str, Any], file: str, *, needs_version: bool = False) -> None:
        self.file = file
        self.mistakes: dict[Mistake, None] = {}
        self.top, self.written = self.folded(document, "")
        self.version(needs_version)
        self.tables = {name: self.listed(name) for name in SECTIONS}
        self.around = Around(zone=self.zone(), names=self.names())

    def wrong(self, where: str, read: str, would_do: str) -> None:
        """Adds a mistake once."""
        self.mistakes[Mistake(where=where, read=read, would_do=would_do)] = None

    def folded(self, table: Mapping[Any, Any], where: str) -> tuple[dict[str, Any], dict[str, str]]:
        """A table with its keys in small letters, and how each was written; one that stands twice is a mistake."""
        found, written, twice = folded(table)
        for key in twice:
            self.wrong(_place(where, shown(key)[1:-1]), "it twice", "give it once")
        return found, written

    def version(self, needed: bool) -> None:
        found = self.top.pop(VERSION_KEY, None)
        if found is None and needed:
            self.wrong(VERSION_KEY, "nothing", f"begin the file with '{VERSION_KEY} = {VERSION}'")
        elif found is not None and (type(found) is not int or found != VERSION):
            self.wrong(VERSION_KEY, shown(found), f"this version of the tool reads {VERSION_KEY} = {VERSION}")

    def listed(self, name: str) -> list[tuple[str, dict[str, Any]]]:
        """The tables of a section and what mistakes call each."""
        many = SECTIONS[name][1]
        given = {key: self.top.pop(key) for key in (name, ALONE.get(name, "")) if key in self.top}
        if len(given) > 1:
            one, other = map(self.written.__getitem__, given)
            self.wrong(other, f"it beside {one}", f"write all under [[{name}]]")
        key, raw = next(iter(given.items()), (name, None))
        if raw is None or raw == []:
            return []
        written = self.written[key]
        heading = f"[[{written}]]" if many and key == name else f"[{written}]"
        listed = raw if many and isinstance(raw, list) else [raw]
        if len(listed) > MOST_TABLES:
            self.wrong(written, f"{len(listed)} tables", f"at most {MOST_TABLES}")
            return []
        if not all(isinstance(table, Mapping) for table in listed):
            self.wrong(written, shown(raw), f"write it as a table {heading}")
            return []
        places = (f"{written}[{number}]" if isinstance(raw, list) else written for number in count(1))
        return [(where, self.given(table, where)) for where, table in zip(places, listed, strict=False)]

    def given(self, table: Mapping[Any, Any], where: str) -> dict[str, Any]:
        """The keys of a table that say something; a key that no table knows keeps its spelling."""
        if len(table) > _MOST_KEYS:
            self.wrong(where, f"{len(table)} keys", f"at most {_MOST_KEYS}")
            return {}
        found, written = self.folded(table, where)
        return {
            (key if key in _EVERY_KEY else f"{key} " if key in HIDDEN else written[key]): value
            for key, value in found.items()
            if value is not None and not (isinstance(value, str) and not value.strip())
        }

    def zone(self) -> tzinfo:
        """The clock of the place; a mistake in it is told with the other keys of the top."""
        for key, parse in (("timezone", parse_zone), ("utc_offset", parse_offset)):
            with suppress(BadValue):
                return parse(self.top.get(key) or None)
        return UTC

    def names(self) -> Names:
        """Who and what is named, as far as it can be made out before anything is checked."""
        vessels = [
            (plain(_text(table.get("use"))) or "vessel", _text(table.get("name")))
            for _, table in self.tables["vessels"]
        ]
        return Names.of((_text(table.get("name")) for _, table in self.tables["patients"]), vessels)

    def case(self) -> Case:
        """The case; CaseError with everything that is wrong."""
        given: dict[str, Any] = self.given(self.top, "case")
        read_at: dict[str, list[str]] = {}
        for name, (part, many) in SECTIONS.items():
            read = self.measurement if part is Measurement else partial(self.part, part)
            found = {where: read(table, where) for where, table in self.tables[name]}
            read_at[name] = [where for where, one in found.items() if one is not None]
            made = _numbered([one for one in found.values() if one is not None])
            if made:
                given[name] = made if many else made[0]
        case = self.part(Case, given | {"file": self.file}, "")
        told = {mistake.where for mistake in self.mistakes}
        for number, fault in case.event_faults() if case is not None else ():
            where = f"{read_at['events'][number - 1]}.{fault.key}"
            if where not in told:
                self.wrong(where, fault.read, fault.would_do)
        if not self.mistakes and not any(self.tables.values()):
            self.wrong("case", "nothing", "give a fish, a pond or a tub; the tables are " + ", ".join(SECTIONS))
        if self.mistakes or case is None:
            raise CaseError(self.file, tuple(self.mistakes))
        return case.model_copy(update={"events": tuple(sorted(case.events, key=lambda event: event.at))})

    def part(self, part: type[Made], table: dict[str, Any], where: str) -> Made | None:
        """A table as its record; what is wrong with it is noted, and what can be read is read all the same."""
        table = {key: value for key, value in table.items() if not _is_unknown(part, key, value)}
        bad: set[str] = set()
        try:
            made = part.model_validate(table, context=self.around)
        except ValidationError as error:
            for fault in faults_of(error, part):
                bad.add(fault.key)
                self.wrong(_place(where, shown(fault.key.strip())[1:-1]), fault.read, fault.would_do)
            # What is wrong between the other keys is told as well: bad ones that count are stood in for by examples.
            kept = {key: value for key, value in table.items() if key in part.model_fields and key not in bad}
            needed = {
                key: one
                for key, one in part.model_fields.items()
                if one.is_required() or isinstance(kind_of(one), Measure)
            }
            stand_in = {key: said(one)[1] for key, one in needed.items() if key in bad}
            try:
                made = part.model_validate(kept | stand_in, context=self.around)
            except ValidationError:
                return None
        for fault in made.faults():
            if fault.key not in bad:
                self.wrong(_place(where, fault.key), fault.read, fault.would_do)
        return made

    def measurement(self, table: dict[str, Any], where: str) -> Measurement | None:
        """One way of measuring: its `by` says which keys it has; its rows are looked at once all else is right."""
        try:
            by = By(plain(_text(table.get("by"))))
        except ValueError:
            self.wrong(f"{where}.by", shown(table["by"]) if "by" in table else "nothing", "use one of " + ", ".join(By))
            return None
        before = len(self.mistakes)
        made = self.part(WAYS[by], table | {"by": by}, where)
        if made is not None and len(self.mistakes) == before:
            try:
                described(made, where)
            except CaseError as error:
                self.mistakes |= dict.fromkeys(error.mistakes)
        return made


def _text(raw: object) -> str:
    """A text as its field reads it; "" where that is a mistake, which its field tells."""
    try:
        return plain_text(raw)
    except BadValue:
        return ""


def _place(where: str, key: str) -> str:
    return f"{where}.{key}" if where else key


def _is_unknown(part: type[Part], key: str, value: object) -> bool:
    """Whether a measured value says that it is not known: the key counts as not given."""
    measured = key in part.model_fields and isinstance(kind_of(part.model_fields[key]), Measure)
    return measured and isinstance(value, str) and plain(value) in NOTHING_KNOWN


def _numbered(made: Sequence[Part]) -> tuple[Part, ...]:
    """Records with their ordinals, each among those of its kind."""
    counts: Counter[str] = Counter()
    found = []
    for one in made:
        kind = getattr(one, "path", "").rpartition("-")[0]
        counts[kind] += 1
        found.append(one.model_copy(update={"ordinal": counts[kind]}) if "ordinal" in type(one).model_fields else one)
    return tuple(found)
