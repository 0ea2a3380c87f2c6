"""The most memory that a piece of work takes beside what its process holds already."""

import resource
from collections.abc import Callable
from pathlib import Path

# A plan in a process of its own may hold 500 MB; without its libraries, 105 MB, this much of it is the plan's.
MOST_MORE_KB = 390_000
_PEAK_FROM_NOW = "5"


def watched() -> Callable[[], int]:
    """Begins, and gives what tells by how many kB the most has grown; where there is no `/proc`, above any most before it."""
    try:
        Path("/proc/self/clear_refs").write_text(_PEAK_FROM_NOW)
    except OSError:
        before = _most_kb()
        return lambda: _most_kb() - before
    held = _of_status("VmRSS")
    return lambda: _of_status("VmHWM") - held


def _most_kb() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


def _of_status(name: str) -> int:
    lines = Path("/proc/self/status").read_text().splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith(f"{name}:"))
