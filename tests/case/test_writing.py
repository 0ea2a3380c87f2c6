"""Saving a case without harming what was saved before."""

from pathlib import Path

import pytest

from waterplan.case import read_case, write_case
from waterplan.case.document import document_from_text, read_text
from waterplan.case.reading import SECTIONS
from waterplan.tables import shipped

DEMOS = sorted(shipped("demo_ponds").glob("*.toml"))
every_demo = pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)


def document_of(path: Path) -> dict[str, object]:
    return document_from_text(read_text(path), file=str(path))


@every_demo
def test_a_case_survives_being_written_and_read_again(path: Path) -> None:
    document = document_of(path)
    text = write_case(document)
    assert document_from_text(text, file=str(path)) == document
    assert read_case(text, file="pond.toml") == read_case(path, file="pond.toml")
    assert read_case(text, file="other") != read_case(path, file="pond.toml")


@every_demo
def test_writing_twice_gives_the_same_text(path: Path) -> None:
    once = write_case(document_of(path))
    assert write_case(document_from_text(once, file="again")) == once


def test_sections_come_in_the_order_of_the_schema_and_empty_ones_are_left_out() -> None:
    text = write_case(
        {
            "vessels": [{"use": "dip", "name": "tub", "volume": "9 L"}, {}],
            "place": {"name": "", "altitude": None},
            "patient": {"weight": "1 kg", "species": "koi"},
            "intended": {},
        }
    )
    assert text.startswith("waterplan_case = 1\n")
    order = [line.strip("[]") for line in text.splitlines() if line.startswith("[")]
    assert order == ["patient", "vessels"]
    assert list(SECTIONS).index("patients") < list(SECTIONS).index("vessels")
    assert text.index("species") < text.index("weight")


def test_what_is_no_table_is_left_out() -> None:
    assert write_case({"patient": 3, "vessels": ["x", {"name": "tub"}], "place": None}).count("[") == 2


def test_booleans_numbers_and_the_top_of_the_file_are_written() -> None:
    document = {
        "waterplan_case": 1,
        "invented": True,
        "utc_offset": "+02:00",
        "patients": [{"species": "koi", "count": 3, "eaten": False}, {"species": "orfe"}],
        "transports": [{"by": "bag with oxygen"}],
    }
    assert document_from_text(write_case(document), file="x") == document


def test_what_a_person_typed_is_quoted_as_toml() -> None:
    hostile = 'a "quoted" \\ name\twith = signs [and] # marks'
    document = {"patient": {"species": "koi", "name": hostile}, "vessels": [{"name": "tub"}]}
    assert document_from_text(write_case(document), file="x")["patient"]["name"] == hostile
