"""One list of keys, one table, one JSON Schema: all from the records, and all true of what the reader takes."""

import json
import tomllib
from datetime import date
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.case.small import SMALL
from waterplan.case import case_schema, fields, key_table, read_case
from waterplan.case.describing import Key
from waterplan.case.reading import PARTS, SECTIONS, WAYS
from waterplan.case.volume.measurement import By
from waterplan.tables import shipped

DEMOS = sorted(shipped("demo_ponds").glob("*.toml"))
KEYS = fields()


def plain(value: Any) -> Any:
    """TOML's values as JSON has them."""
    if isinstance(value, dict):
        return {key: plain(one) for key, one in value.items()}
    if isinstance(value, list):
        return [plain(one) for one in value]
    return value.isoformat() if isinstance(value, date) else value


def named(key: Key) -> str:
    return f"{key.section}.{key.key}"


@pytest.mark.parametrize("key", KEYS, ids=named)
def test_every_key_has_words_and_an_example(key: Key) -> None:
    assert key.words
    assert "`" not in key.words
    assert key.example
    assert key.kind
    assert not key.choices or key.example in key.choices


@pytest.mark.parametrize("key", [key for key in KEYS if key.section != "volumes"], ids=named)
def test_the_example_of_every_key_is_read(key: Key) -> None:
    if not key.section:
        read_case({key.key: key.example, "patient": {}})
        return
    needed = {one.key: one.example for one in KEYS if one.section == key.section and one.required}
    around = {"shape": dict.fromkeys(("length", "width", "diameter", "depth"), "1 m")}.get(key.key, {})
    if key.key in {"length", "width", "diameter", "depth"} and key.section in {"home_pond", "vessels"}:
        around = {"volume": "1000 L"}
    table = needed | around | {key.key: key.example}
    if (key.section, key.key) in {("already", "level"), ("already", "grams")}:
        table |= {"what": "chlorine"} if key.key == "level" else {}
    document: dict[str, object] = {key.section: [table] if key.many else table}
    if key.section != "patients":
        document["patients"] = [{"name": "Copper"}]
    case = read_case(document)
    assert getattr(case, key.section)


def test_every_key_of_every_record_stands_in_the_list_once() -> None:
    assert len({(key.section, key.key) for key in KEYS}) == len(KEYS)
    for section, (part, many) in SECTIONS.items():
        listed = {key.key for key in KEYS if key.section == section}
        known = (
            {key for way in WAYS.values() for key in way.known_keys()} if section == "volumes" else part.known_keys()
        )
        assert listed == set(known)
        assert {key.many for key in KEYS if key.section == section} == {many}


def test_every_way_of_measuring_says_which_keys_go_with_it() -> None:
    assert set(WAYS) == set(By)
    for by, way in WAYS.items():
        assert {key.key for key in KEYS if key.section == "volumes" and (not key.by or by in key.by)} == set(
            way.known_keys()
        )


def test_records_have_docstrings_for_all_their_keys() -> None:
    for part in PARTS:
        assert part.__doc__
        for key in part.known_keys():
            assert part.model_fields[key].description, f"{part.__name__}.{key}"


def test_the_table_has_a_line_for_every_key() -> None:
    table = key_table()
    for key in KEYS:
        assert f"| `{key.key}` | {key.words}" in table
    for section in SECTIONS:
        assert f"{section}]" in table


# -- the JSON Schema ----------------------------------------------------------------------------------------------

SCHEMA = case_schema()
VALID = jsonschema.Draft202012Validator(SCHEMA)


def test_the_schema_is_one_and_can_be_written() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert json.loads(json.dumps(SCHEMA)) == SCHEMA
    assert "ordinal" not in json.dumps(SCHEMA)
    assert '"file"' not in json.dumps(SCHEMA)


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_the_invented_cases_keep_to_the_schema(path: Path) -> None:
    VALID.validate(plain(tomllib.loads(path.read_text(encoding="utf-8"))))


@pytest.mark.parametrize(
    "change",
    [
        {"waterplan_case": 2},
        {"colour": "red"},
        {"patient": {"species": "koi", "colour": "red"}},
        {"patient": {"species": "shark"}},
        {"patient": {"weight": 3}},
        {"patient": {"eaten": "perhaps"}},
        {"vessels": [{"use": "dip"}]},
        {"volumes": [{"of": "home pond", "by": "guess"}]},
        {"volumes": [{"of": "home pond", "by": "meter", "meter_before": "1 L", "meter_after": "2 L", "rock": "2 kg"}]},
    ],
    ids=str,
)
def test_what_the_reader_refuses_the_schema_refuses(change: dict[str, object]) -> None:
    document = plain(tomllib.loads(SMALL))
    VALID.validate(document)
    with pytest.raises(jsonschema.ValidationError):
        VALID.validate(document | change)


def test_every_key_of_the_schema_is_described_with_an_example() -> None:
    for name, record in SCHEMA["$defs"].items():
        for key, told in record["properties"].items():
            assert told["description"], f"{name}.{key}"
            assert told["examples"], f"{name}.{key}"
