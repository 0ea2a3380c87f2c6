"""Saving a case without harming what was saved before."""

import os
import stat
from dataclasses import replace
from pathlib import Path

import pytest

from waterplan.case.reading import case_from_document, document_from_text, read_document
from waterplan.case.schema import SECTIONS
from waterplan.case.writing import document_to_text, save_text
from waterplan.tables import shipped

DEMOS = sorted(shipped("demo_ponds").glob("*.toml"))
every_demo = pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)


@every_demo
def test_a_case_survives_being_written_and_read_again(path: Path) -> None:
    document = read_document(path)
    again = document_from_text(document_to_text(document), file=str(path))
    assert again == document
    first, second = (case_from_document(tables, file="pond.toml") for tables in (document, again))
    assert first == second
    assert replace(first, file="other") != second


@every_demo
def test_writing_twice_gives_the_same_text(path: Path) -> None:
    once = document_to_text(read_document(path))
    assert document_to_text(document_from_text(once, file="again")) == once


def test_sections_come_in_the_order_of_the_schema_and_empty_ones_are_left_out() -> None:
    text = document_to_text(
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
    assert order == [name for name in SECTIONS if name in order]
    assert text.index("species") < text.index("weight")


def test_what_a_person_typed_is_quoted_as_toml() -> None:
    hostile = 'a "quoted" \\ name\twith = signs [and] # marks'
    document = {"patient": {"species": "koi", "name": hostile}, "vessels": [{"name": "tub"}]}
    assert document_from_text(document_to_text(document), file="x")["patient"]["name"] == hostile


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
