"""Saving a case without harming what was saved before."""

import os
import stat
from pathlib import Path

import pytest

from waterplan.case import read_case, write_case
from waterplan.case.document import document_from_text, read_text
from waterplan.case.reading import SECTIONS
from waterplan.case.writing import save_text
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


def test_a_text_is_written_whole_and_nothing_is_left_beside_it(tmp_path: Path) -> None:
    target = tmp_path / "new folder" / "pond.toml"
    save_text(target, "grün\n")
    assert target.read_bytes() == "grün\n".encode()
    assert [path.name for path in target.parent.iterdir()] == ["pond.toml"]
    assert stat.S_IMODE(target.stat().st_mode) == 0o644


@pytest.mark.parametrize("broken", ["fsync", "fdopen"])
def test_a_writing_that_fails_leaves_the_old_file_whole(
    broken: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "pond.toml"
    save_text(target, "old\n")

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, broken, full)
    with pytest.raises(OSError, match="No space left"):
        save_text(target, "new\n")
    monkeypatch.undo()
    assert target.read_text(encoding="utf-8") == "old\n"
    assert [path.name for path in tmp_path.iterdir()] == ["pond.toml"]


def test_a_move_that_fails_leaves_the_old_file_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "pond.toml"
    save_text(target, "old\n")

    def refused(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Path, "replace", refused)
    with pytest.raises(KeyboardInterrupt):
        save_text(target, "new\n")
    monkeypatch.undo()
    assert target.read_text(encoding="utf-8") == "old\n"
    assert [path.name for path in tmp_path.iterdir()] == ["pond.toml"]
