"""What is dear to make and the same for all: made once in a run of the tests, however many workers it has."""

import fcntl
import os
import pickle
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

# Set by `conftest.py` before it starts workers: a folder that lasts as long as the run.
FOLDER = "WATERPLAN_TESTS_KEPT"
Made = TypeVar("Made")


def kept(name: str, make: Callable[[], Made]) -> Made:
    """What `make` gives, by the worker that asks first; without a run of the tests it is made at once."""
    folder = os.environ.get(FOLDER)
    if folder is None:
        return make()
    path = Path(folder, name)
    with Path(folder, f"{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not path.exists():
            made = make()
            path.write_bytes(pickle.dumps(made))
            return made
    found: Made = pickle.loads(path.read_bytes())
    return found
