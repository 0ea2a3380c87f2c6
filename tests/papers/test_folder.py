"""A set of papers reaches its folder whole, takes the last set with it, and touches nothing else."""

import json
import os
import stat
import time

import pytest

from waterplan.papers import folder
from waterplan.papers.folder import LIST, write_set


def names(place):
    return {one.name for one in place.iterdir()}


def test_a_set_is_written_with_its_list(tmp_path):
    place = tmp_path / "new" / "papers"
    paths = write_set(place, {"a.txt": "one", "b.html": "two"})
    assert [path.read_text() for path in paths] == ["one", "two"]
    assert json.loads((place / LIST).read_text()) == ["a.txt", "b.html", LIST]


def test_nothing_of_the_last_set_is_left(tmp_path):
    write_set(tmp_path / "papers", {"a.txt": "one", "dose-cards.html": "of another fish"})
    write_set(tmp_path / "papers", {"a.txt": "new"})
    assert names(tmp_path / "papers") == {"a.txt", LIST}
    assert names(tmp_path) == {"papers"}


@pytest.mark.parametrize("first", [{}, {"a.txt": "old", "gone.txt": "old"}])
def test_files_of_others_stay(tmp_path, first):
    place = tmp_path / "papers"
    if first:
        write_set(place, first)
    place.mkdir(exist_ok=True)
    (place / "mine.txt").write_text("kept")
    (place / "folder").mkdir()
    write_set(place, {"a.txt": "new"})
    assert names(place) == {"a.txt", LIST, "mine.txt", "folder"}
    assert (place / "mine.txt").read_text() == "kept"
    assert (place / "a.txt").read_text() == "new"


def test_a_list_that_names_other_places_is_not_followed(tmp_path):
    place = tmp_path / "papers"
    place.mkdir()
    (tmp_path / "outside.txt").write_text("kept")
    (place / "sub").mkdir()
    (place / LIST).write_text(json.dumps(["../outside.txt", "sub", 7, "", "..", LIST]))
    write_set(place, {"a.txt": "new"})
    assert (tmp_path / "outside.txt").exists()
    assert (place / "sub").is_dir()


def test_the_mask_of_the_user_is_kept(tmp_path):
    before = os.umask(0o077)
    try:
        write_set(tmp_path / "papers", {"a.txt": "one"})
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "papers").stat().st_mode) == 0o700
    assert stat.S_IMODE((tmp_path / "papers" / "a.txt").stat().st_mode) == 0o600
    before = os.umask(0o022)
    try:
        write_set(tmp_path / "open", {"a.txt": "one"})
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "open" / "a.txt").stat().st_mode) == 0o644


def test_what_fails_leaves_the_last_set_and_nothing_beside_it(tmp_path, monkeypatch):
    place = tmp_path / "papers"
    write_set(place, {"a.txt": "old", "b.txt": "old"})

    def fails(*_):
        raise OSError("disk full")

    monkeypatch.setattr(folder.os, "fsync", fails)
    with pytest.raises(OSError, match="disk full"):
        write_set(place, {"a.txt": "new"})
    assert (place / "a.txt").read_text() == "old"
    assert names(place) == {"a.txt", "b.txt", LIST}
    assert names(tmp_path) == {"papers"}


def test_what_was_killed_long_ago_is_swept(tmp_path):
    stale, fresh = tmp_path / ".papers.abc.part", tmp_path / ".papers.def.part"
    stale.mkdir()
    fresh.mkdir()
    old = time.time() - 2 * 86_400
    os.utime(stale, (old, old))
    write_set(tmp_path / "papers", {"a.txt": "one"})
    assert names(tmp_path) == {"papers", ".papers.def.part"}
