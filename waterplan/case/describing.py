"""What a case may say, told to people and programs: a flat list of keys, tables for a page, one JSON Schema, a file."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import tomli_w
from pydantic.fields import FieldInfo

from waterplan.case.kinds import Flag, Kind, Number, OneOf, Whole
from waterplan.case.measures import Measure
from waterplan.case.model import Case
from waterplan.case.part import kind_of, said
from waterplan.case.reading import ALONE, PARTS, SECTIONS, VERSION, VERSION_KEY, WAYS
from waterplan.case.values import how_known
from waterplan.case.volume.measurement import Measurement


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One key of a case, as a form or an option of the command line is made from it.

    `section` is empty at the top of a file; `many` marks a section that may stand more than once; `by` are the ways of
    measuring that a key of `volumes` goes with, all where it is empty; `found_with` are the ways of finding a value.
    """

    section: str
    key: str
    words: str
    kind: str
    example: str
    choices: tuple[str, ...] = ()
    found_with: tuple[str, ...] = ()
    required: bool = False
    many: bool = False
    by: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """What it is called, without what there is to know besides."""
        return self.words.partition("; ")[0]

    @property
    def more(self) -> str:
        """What there is to know besides its name."""
        return self.words.partition("; ")[2]


@cache
def fields() -> tuple[Key, ...]:
    """Every key that a case may give, in the order of the file.

    Returns
    -------
    tuple of Key
        First the keys of the top, then section by section. A key that several ways of measuring have stands once.
    """
    found = [_key("", key, Case.model_fields[key]) for key in Case.known_keys() if key not in SECTIONS]
    for section, (part, many) in SECTIONS.items():
        if section == "volumes":
            found += _of_volumes()
        else:
            found += [_key(section, key, part.model_fields[key], many=many) for key in part.known_keys()]
    return tuple(found)


def _of_volumes() -> Iterator[Key]:
    for key in dict.fromkeys(key for way in WAYS.values() for key in way.known_keys()):
        bys = [by for by, way in WAYS.items() if key in way.model_fields]
        said_of = () if len(bys) == len(WAYS) else tuple(map(str, bys))
        made = _key("volumes", key, WAYS[bys[0]].model_fields[key], many=True, by=said_of)
        yield replace(made, kind=OneOf.words, choices=tuple(map(str, WAYS))) if key == "by" else made


def _key(section: str, key: str, field: FieldInfo, *, many: bool = False, by: tuple[str, ...] = ()) -> Key:
    words, example = said(field)
    kind = kind_of(field)
    return Key(
        section=section,
        key=key,
        words=words,
        kind=kind.words,
        example=example,
        choices=tuple(map(str, kind.choices)) if isinstance(kind, OneOf) else (),
        found_with=how_known(kind.quantity) if isinstance(kind, Measure) else (),
        required=field.is_required(),
        many=many,
        by=by,
    )


def key_table() -> str:
    """All keys as tables in Markdown, for a page.

    Returns
    -------
    str
        A heading, a line and a table for each section.
    """
    lines: list[str] = []
    section = None
    for key in fields():
        if key.section != section:
            section = key.section
            heading = f"[[{section}]]" if key.many else f"[{section}]" if section else "at the top"
            words = said(Case.model_fields[section])[0] if section else "of the whole file"
            lines += ["", f"**`{heading}`** {words}", ""]
            lines += ["| key | what | written |", "| --- | --- | --- |"]
        written = ", ".join(key.choices) if 0 < len(key.choices) <= 12 else f"`{key.example}`"
        needed = " (needed)" if key.required else ""
        with_by = f" ({', '.join(key.by)})" if key.by else ""
        lines.append(f"| `{key.key}` | {key.words}{needed}{with_by} | {written} |")
    return "\n".join(lines).strip() + "\n"


def case_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of a case.

    Returns
    -------
    dict
        Every section and key with its words, an example, and its units or choices. Dates are texts in it.
    """
    schema = Case.model_json_schema()
    for part in (part for part in PARTS if part is not Measurement):
        found = schema if part is Case else schema["$defs"][part.__name__]
        for key, told in found.get("properties", {}).items():
            words, example = said(part.model_fields[key])
            told.pop("default", None)
            told["description"] = words
            if example:
                told["examples"] = [_value(kind_of(part.model_fields[key]), example)]
        found["description"] = found.get("description", "").split("\n")[0]
    properties = {VERSION_KEY: {"const": VERSION, "description": "the form of the file"}} | schema["properties"]
    for many, one in ALONE.items():
        properties[one] = properties[many]["items"] | {"description": f"one alone of {many}"}
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": "A case of waterplan"}
    return schema | head | {"properties": properties, "required": [VERSION_KEY]}


def _value(kind: Kind, example: str) -> object:
    """An example as JSON writes it."""
    if isinstance(kind, Flag):
        return example == "true"
    return float(example) if isinstance(kind, Number) else int(example) if isinstance(kind, Whole) else example


def write_case(document: Mapping[str, Any]) -> str:
    """Raw tables as TOML, in the order of the keys, empty keys left out.

    Parameters
    ----------
    document : mapping
        Tables as `read_case` takes them.

    Returns
    -------
    str
        The text of a file that reads as the same case.
    """
    top = {
        key: document[key] for key in Case.known_keys() if key not in SECTIONS and document.get(key) not in (None, "")
    }
    parts = [tomli_w.dumps({VERSION_KEY: document.get(VERSION_KEY, VERSION)} | top)]
    for section, name in ((key, name) for key in SECTIONS for name in dict.fromkeys((ALONE.get(key, key), key))):
        tables = document.get(name)
        listed = [one for one in (tables if isinstance(tables, list) else [tables]) if isinstance(one, Mapping)]
        parts_of = (SECTIONS[section][0], *(WAYS.values() if name == "volumes" else ()))
        known = [key for part in parts_of for key in part.known_keys()]
        heading = f"[[{name}]]" if isinstance(tables, list) else f"[{name}]"
        for table in listed:
            kept = {key: table[key] for key in dict.fromkeys((*known, *table)) if table.get(key) not in (None, "")}
            # Each table under a heading of its own, as a person writes it: the library would set short ones in one line.
            parts += [f"{heading}\n{tomli_w.dumps(kept, multiline_strings=True)}"] if kept else []
    return "\n".join(parts)
