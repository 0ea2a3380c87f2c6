"""What all tests share: one profile of examples, and Debian's Chromium where a page must be seen."""

import gc
import os
import shutil
import sys
import tempfile

import pytest
from hypothesis import settings

from tests.kept import FOLDER

# What was compiled once is kept: the commands that tests run as processes would compile the whole package each.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False

# The same examples on every machine, however slow: a run says the same thing twice.
settings.register_profile("house", deadline=None, derandomize=True, database=None)
settings.load_profile("house")

CHROMIUM_FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
_NAMES = ("chromium", "chromium-browser")
_SCREENS = "tests/browser/"
_SELDOM = 100_000, 50, 100


def pytest_configure(config):
    """A folder for what the workers share, which the run that starts them makes and takes away."""
    if not hasattr(config, "workerinput"):
        folder = tempfile.TemporaryDirectory(prefix="waterplan-tests-")
        os.environ[FOLDER] = folder.name
        config.add_cleanup(folder.cleanup)


def pytest_collection_modifyitems(items):
    """What needs a browser waits most, and begins first."""
    items.sort(key=lambda item: item.get_closest_marker("browser") is None)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config, log):
    """A file is one worker's, and all that drives the screens is: they are started and planned for once. Of the slow run alone,
    whose tests take minutes each and keep for one another what they make, every one is whoever's turn it is."""
    scheduling = pytest.importorskip("xdist.scheduler").LoadFileScheduling
    each_alone = config.option.markexpr == "slow"

    class Scheduling(scheduling):
        def _split_scope(self, nodeid):
            if nodeid.startswith(_SCREENS):
                return _SCREENS
            return nodeid if each_alone else super()._split_scope(nodeid)

    return Scheduling(config, log)


def pytest_collection_finish():
    """What was listed stays to the end: the collector of garbage need not go through it again with each plan."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(*_SELDOM)


@pytest.fixture(scope="session")
def browser():
    """A headless Chromium; a page of it is a context of its own."""
    path = next((found for name in _NAMES if (found := shutil.which(name))), None)
    if path is None:
        pytest.skip("no Chromium was found on the path (Debian: apt-get install chromium)")
    playwright = pytest.importorskip(
        "playwright.sync_api", reason="playwright is not installed (the test extra has it)"
    )
    with playwright.sync_playwright() as running:
        launched = running.chromium.launch(executable_path=path, args=CHROMIUM_FLAGS)
        yield launched
        launched.close()
