"""What a case may say, told to people and programs: a flat list of keys, tables for the README, one JSON Schema."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from pydantic.fields import FieldInfo

from waterplan.case.kinds import Flag, Kind, Number, OneOf, Whole
from waterplan.case.measures import Measure
from waterplan.case.model import Case
from waterplan.case.part import kind_of, said
from waterplan.case.reading import PARTS, SECTIONS, VERSION, VERSION_KEY, WAYS
from waterplan.case.values import how_known
from waterplan.case.volume.measurement import By, Measurement
from waterplan.units import Family, labels


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
    units: tuple[str, ...] = ()
    found_with: tuple[str, ...] = ()
    required: bool = False
    many: bool = False
    by: tuple[str, ...] = ()
    family: Family | None = None


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
    goes: dict[str, list[By]] = {}
    for by, way in WAYS.items():
        for key in way.known_keys():
            goes.setdefault(key, []).append(by)
    for key, bys in goes.items():
        field = WAYS[bys[0]].model_fields[key]
        said_of: tuple[str, ...] = () if len(bys) == len(WAYS) else tuple(map(str, bys))
        if key == "by":
            yield Key(
                section="volumes", key=key, words=said(field)[0], kind=OneOf.words, example=str(next(iter(WAYS))),
                choices=tuple(map(str, WAYS)), required=True, many=True,
            )  # fmt: skip
        else:
            yield _key("volumes", key, field, many=True, by=said_of)


def _key(section: str, key: str, field: FieldInfo, *, many: bool = False, by: tuple[str, ...] = ()) -> Key:
    words, example = said(field)
    kind = kind_of(field)
    quantity = kind.quantity if isinstance(kind, Measure) else None
    families = [one.family for one in (quantity, quantity.otherwise if quantity else None) if one is not None]
    return Key(
        section=section,
        key=key,
        words=words,
        kind=kind.words,
        example=example,
        choices=tuple(map(str, kind.choices)) if isinstance(kind, OneOf) else (),
        units=tuple(label for family in families for label in labels(family)),
        found_with=how_known(quantity) if quantity else (),
        required=field.is_required(),
        many=many,
        by=by,
        family=quantity.family if quantity else None,
    )


def words_of(section: str) -> str:
    """What a section is about."""
    return said(Case.model_fields[section])[0]


def key_table() -> str:
    """All keys as tables in Markdown, for the README.

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
            lines += ["", f"**`{heading}`** {words_of(section) if section else 'of the whole file'}", ""]
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
    for one, many in (("patient", "patients"), ("transport", "transports")):
        properties[one] = properties[many]["items"] | {"description": f"one alone of {many}"}
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": "A case of waterplan"}
    return schema | head | {"properties": properties, "required": [VERSION_KEY]}


def _value(kind: Kind, example: str) -> object:
    """An example as JSON writes it."""
    if isinstance(kind, Flag):
        return example == "true"
    return float(example) if isinstance(kind, Number) else int(example) if isinstance(kind, Whole) else example
