"""A set of papers in a folder: written whole beside its place, then moved there, with nothing left of the set before."""

import glob
import json
import os
import shutil
import tempfile
import time
from collections.abc import Mapping
from pathlib import Path

LIST = "papers.json"
_STALE_S = 86_400.0


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
        Where the folder cannot be written; the set before stands then as it was.

    Notes
    -----
    A folder that holds nothing but an earlier set is replaced by two renames; one that holds other files as well gets
    the papers one by one, each moved into place. The list of the set, `papers.json`, says which files are its own.
    """
    place = Path(folder)
    place.parent.mkdir(parents=True, exist_ok=True)
    _sweep(place)
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
    return tuple(place / name for name in texts)


def _put(fresh: Path, place: Path, beside: Path) -> None:
    if not place.exists():
        fresh.replace(place)
        return
    ours = _own(place)
    if not place.is_symlink() and place.is_dir() and {one.name for one in place.iterdir()} <= ours:
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


def _sweep(place: Path) -> None:
    """Takes away what a set that was killed long ago left beside its place."""
    for one in place.parent.glob(f".{glob.escape(place.name)}.*.part"):
        if one.is_dir() and not one.is_symlink() and time.time() - one.stat().st_mtime > _STALE_S:
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
