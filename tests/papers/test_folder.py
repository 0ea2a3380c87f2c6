"""A set of papers reaches its folder whole, takes the last set with it, and touches nothing else."""

import errno
import json
import os
import random
import stat
import subprocess
import sys
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


def test_what_was_killed_is_swept_and_what_it_was_to_replace_is_put_back(tmp_path):
    killed = tmp_path / ".papers.abc.part"
    write_set(killed / "before", {"a.txt": "old", "mine": "old"})
    folder._sweep(tmp_path / "papers", alone=True)
    assert names(tmp_path) == {"papers"}
    assert (tmp_path / "papers" / "a.txt").read_text() == "old"


def test_without_a_lock_only_what_is_a_day_old_is_swept(tmp_path):
    stale, fresh = tmp_path / ".papers.abc.part", tmp_path / ".papers.def.part"
    stale.mkdir()
    fresh.mkdir()
    old = time.time() - 2 * 86_400
    os.utime(stale, (old, old))
    folder._sweep(tmp_path / "papers", alone=False)
    assert names(tmp_path) == {".papers.def.part"}


def test_a_full_disk_leaves_the_last_set_and_is_told_by_the_folders_name(tmp_path, monkeypatch):
    place = tmp_path / "papers"
    write_set(place, {"a.txt": "old"})

    def full(*_):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(folder.os, "fsync", full)
    with pytest.raises(OSError, match="No space left") as caught:
        write_set(place, {"a.txt": "new", "b.txt": "new"})
    assert caught.value.filename == str(place)
    assert (place / "a.txt").read_text() == "old"
    assert names(place) == {"a.txt", LIST}
    assert names(tmp_path) == {"papers"}


def test_a_folder_that_is_a_file_and_one_that_may_not_be_written_are_told_by_name(tmp_path, monkeypatch):
    (tmp_path / "file").write_text("kept")
    with pytest.raises(NotADirectoryError) as caught:
        write_set(tmp_path / "file", {"a.txt": "new"})
    assert caught.value.filename == str(tmp_path / "file")
    assert (tmp_path / "file").read_text() == "kept"

    def may_not(**_):  # root may write everywhere
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), ".papers.x.part")

    monkeypatch.setattr(folder.tempfile, "mkdtemp", may_not)
    with pytest.raises(PermissionError) as caught:
        write_set(tmp_path / "papers", {"a.txt": "new"})
    assert caught.value.filename == str(tmp_path / "papers")
    assert names(tmp_path) == {"file"}


def test_a_link_is_followed_and_stays_a_link(tmp_path):
    (tmp_path / "far").mkdir()
    link = tmp_path / "papers"
    link.symlink_to(tmp_path / "far")
    for text in ("one", "two"):
        write_set(link, {"a.txt": text})
    assert link.is_symlink()
    assert (tmp_path / "far" / "a.txt").read_text() == "two"
    assert names(tmp_path) == {"far", "papers"}


# A program that writes sets of one letter over one another, for ever: some larger and some smaller.
_WRITER = """
import itertools, sys, time
from waterplan.papers.folder import write_set
for number in itertools.count(int(sys.argv[2])):
    mark = "abcdefgh"[number % 8]
    write_set(sys.argv[1], {f"{n}.txt": mark * 2000 for n in range(2 + number % 5)})
    print(mark, flush=True)
    time.sleep(0.02)  # nobody writes without a pause
"""


def _is_whole(place):
    """Every paper that the list names is there, of one set, and nothing else is."""
    listed = set(json.loads((place / LIST).read_text()))
    assert names(place) == listed
    assert len({(place / name).read_text() for name in listed - {LIST}}) == 1


def _killed_often(place, numbers):
    """Starts two writers of one folder, kills them at some moment, and looks at what is there."""
    rng = random.Random(numbers.stop)
    for number in numbers:
        words = [sys.executable, "-c", _WRITER, str(place), str(number)]
        writers = [subprocess.Popen(words, stdout=subprocess.PIPE) for _ in range(1 + number % 2)]
        writers[0].stdout.readline()
        time.sleep(0.05 * rng.random())
        for one in writers:
            one.kill()
            one.communicate()
        folder._sweep(place, alone=True)  # as the next one does
        _is_whole(place)
        assert names(place.parent) == {place.name}


def test_killed_while_it_writes_one_set_is_there_whole(tmp_path):
    _killed_often(tmp_path / "papers", range(4))


@pytest.mark.slow
@pytest.mark.parametrize("numbers", [range(begin, begin + 50) for begin in range(0, 200, 50)], ids=str)
def test_killed_two_hundred_times_one_set_is_there_whole(tmp_path, numbers):
    _killed_often(tmp_path / "papers", numbers)


def test_two_who_write_one_folder_leave_one_set(tmp_path):
    place = tmp_path / "papers"
    code = _WRITER.replace("itertools.count(int(sys.argv[2]))", "range(int(sys.argv[2]), int(sys.argv[2]) + 20)")
    writers = [
        subprocess.Popen([sys.executable, "-c", code, str(place), str(n)], stdout=subprocess.PIPE) for n in (0, 4)
    ]
    for one in writers:
        one.communicate(timeout=60)
        assert one.returncode == 0
    _is_whole(place)
    assert names(tmp_path) == {"papers"}
