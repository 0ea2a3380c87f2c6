"""A set of papers in a folder: written whole beside its place, then moved there, with nothing left of the set before."""

import errno
import glob
import json
import os
import shutil
import tempfile
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

try:
    import fcntl
except ImportError:  # a system without such locks
    fcntl = None  # type: ignore[assignment]

LIST = "papers.json"
_STALE_S, _PATIENCE_S, _PAUSE_S = 86_400.0, 20.0, 0.01


def write_set(folder: Path | str, texts: Mapping[str, str]) -> tuple[Path, ...]:
    """Writes a set of papers; what an earlier set left there goes, and no other file is touched.

    Parameters
    ----------
    folder : Path or str
        Where the papers go; made where it is not there.
    texts : mapping
        The papers by their file names.

    Returns
    -------
    tuple of Path
        The papers, in the order given.

    Raises
    ------
    OSError
        Where the folder cannot be written, with its name; the set before stands then as it was.

    Notes
    -----
    A folder that holds nothing but an earlier set is replaced by two renames; one that holds other files as well gets
    the papers one by one, each moved into place. The list of the set, `papers.json`, says which files are its own.
    One program writes at a time; what one that was killed left beside the folder goes with the next set.
    """
    place = Path(folder).resolve()
    try:
        if place.exists() and not place.is_dir():
            raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR))
        place.parent.mkdir(parents=True, exist_ok=True)
        with _alone(place.parent) as alone:
            _sweep(place, alone=alone)
            _write(place, texts)
    except OSError as error:
        # Not the name of a file that is there for a moment only.
        raise OSError(error.errno or errno.EIO, error.strerror or str(error), str(folder)) from error
    return tuple(Path(folder) / name for name in texts)


@contextmanager
def _alone(parent: Path) -> Iterator[bool]:
    """Keeps other writers out of a folder; False where the system has no lock for it."""
    held = os.open(parent, os.O_RDONLY) if fcntl is not None else None
    until, got = time.monotonic() + _PATIENCE_S, False
    try:
        while held is not None and not got:
            try:
                fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
                got = True
            except BlockingIOError:
                if time.monotonic() > until:
                    raise OSError(errno.EBUSY, "another program is writing there") from None
                time.sleep(_PAUSE_S)
            except OSError:
                break
        yield got
    finally:
        if held is not None:
            os.close(held)


def _write(place: Path, texts: Mapping[str, str]) -> None:
    beside = Path(tempfile.mkdtemp(prefix=f".{place.name}.", suffix=".part", dir=place.parent))
    try:
        # The folder of the library is private; a plain one has the mode that the user's mask gives.
        fresh = beside / "papers"
        fresh.mkdir()
        for name, text in {**texts, LIST: json.dumps(sorted({*texts, LIST}), indent=1) + "\n"}.items():
            with (fresh / name).open("w", encoding="utf-8", newline="") as file:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
        _put(fresh, place, beside)
    finally:
        shutil.rmtree(beside, ignore_errors=True)


def _put(fresh: Path, place: Path, beside: Path) -> None:
    if not place.exists():
        fresh.replace(place)
        return
    ours = _own(place)
    if {one.name for one in place.iterdir()} <= ours:
        fresh.chmod(place.stat().st_mode & 0o7777)
        old = beside / "before"
        place.rename(old)
        try:
            fresh.rename(place)
        except OSError:
            old.rename(place)
            raise
        return
    written = {one.name for one in fresh.iterdir()}
    # The list goes first, so that a set that was broken off is known as ours the next time.
    together = sorted(ours | written)
    (fresh / "both").write_text(json.dumps(together, indent=1) + "\n", encoding="utf-8")
    (fresh / "both").replace(place / LIST)
    for name in sorted(written - {LIST}):
        (fresh / name).replace(place / name)
    for name in sorted(ours - written):
        (place / name).unlink(missing_ok=True)
    (fresh / LIST).replace(place / LIST)


def _sweep(place: Path, *, alone: bool) -> None:
    """Takes away what a set that was killed left beside its place, and puts back the one that it was to replace."""
    for one in place.parent.glob(f".{glob.escape(place.name)}.*.part"):
        if not one.is_dir() or one.is_symlink() or not (alone or time.time() - one.stat().st_mtime > _STALE_S):
            continue
        if not place.exists():
            with suppress(OSError):
                (one / "before").rename(place)
        shutil.rmtree(one, ignore_errors=True)


def _own(place: Path) -> set[str]:
    """The files that an earlier set wrote there, by its list; plain names only."""
    try:
        listed = json.loads((place / LIST).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return set()
    names = {name for name in listed if isinstance(name, str)} if isinstance(listed, list) else set()
    plain = names - {"", ".."}
    return {name for name in plain if name == Path(name).name and not (place / name).is_dir()}
