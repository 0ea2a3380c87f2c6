"""How soon a screen is usable and how much a session holds; `pytest tests/benchmarks/test_screens_speed.py -s -o addopts=""`.

Beside a bare page of Streamlit with one slider and one chart, by turns in one run, so that the machine drops out.
"""

import statistics
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.benchmarks.test_plan_speed import Seen
from tests.browser.conftest import Visit, free_port, screens, wait_for  # noqa: F401 - a fixture
from tests.browser.widths import DESK, PHONE

_BARE = """
import altair as alt
import pandas as pd
import streamlit as st

st.title("Bare")
many = st.slider("How many", 5, 50)
rows = pd.DataFrame({"x": range(many), "y": [one**0.5 for one in range(many)]})
st.altair_chart(alt.Chart(rows).mark_line().encode(x="x", y="y"))
"""
_ROUNDS, _SESSIONS = 20, 3
_MOST_PAGES, _MOST_SHIFT, _MOST_MB = 2.0, 0.1, 40.0


@pytest.fixture(scope="module")
def bare(tmp_path_factory) -> Iterator[str]:
    """The address of the bare page."""
    folder, port = tmp_path_factory.mktemp("bare"), free_port()
    page, log = folder / "bare.py", folder / "log"
    page.write_text(_BARE, encoding="utf-8")
    flags = ("--server.port", str(port), "--server.headless", "true", "--browser.gatherUsageStats", "false")
    with log.open("w") as told:
        server = subprocess.Popen(
            [sys.executable, "-m", "streamlit", "run", str(page), *flags], stdout=told, stderr=subprocess.STDOUT
        )
    try:
        wait_for(f"http://127.0.0.1:{port}/_stcore/health", server, log)
        yield f"http://127.0.0.1:{port}"
    finally:
        server.terminate()
        server.wait(timeout=20)


def _usable_s(browser, address: str, heading: str, width: int = DESK) -> tuple[float, float]:
    """From the call of a page until it is usable, and how much of it has shifted by then."""
    context = browser.new_context(viewport={"width": width, "height": 900})
    start = time.perf_counter()
    one = Visit(context.new_page(), address).go(heading=heading)
    taken, shifted = time.perf_counter() - start, one.shifted()
    context.close()
    return taken, shifted


def test_the_first_page_is_usable_as_soon_as_two_bare_ones(browser, screens, bare, seen: Seen):  # noqa: F811
    ours, floor = [], []
    for _ in range(_ROUNDS):
        floor.append(_usable_s(browser, bare, "Bare")[0])
        ours.append(_usable_s(browser, screens, "Do now")[0])
    mine, its = statistics.median(ours), statistics.median(floor)
    print(f"\nfirst page {mine:.2f} s, bare page {its:.2f} s: ratio {mine / its:.2f}")
    assert seen("the first page in a browser", "a bare page", _MOST_PAGES, mine / its) <= _MOST_PAGES


def test_the_first_page_stays_where_it_was_drawn(browser, screens, seen: Seen):  # noqa: F811
    for width in (DESK, PHONE):
        shift = max(_usable_s(browser, screens, "Do now", width)[1] for _ in range(_SESSIONS))
        print(f"\nlayout shift at {width} px: {shift:.3f}")
        assert seen(f"layout shift of the first page at {width} px", "none", _MOST_SHIFT, shift) <= _MOST_SHIFT


def _held_mb(address: str) -> float:
    """The memory of the server at an address."""
    port = address.rpartition(":")[2]
    for process in Path("/proc").glob("[0-9]*"):
        try:
            if f"--server.port\0{port}\0".encode() in (process / "cmdline").read_bytes():
                status = dict(line.split(":", 1) for line in (process / "status").read_text().splitlines())
                return int(status["VmRSS"].split()[0]) * 1024 / 1e6
        except OSError:
            continue
    pytest.fail(f"no server at {address}")


def test_a_session_with_a_plan_holds_little_more_than_one_of_a_bare_page(browser, screens, bare):  # noqa: F811
    def grown_mb(address: str, heading: str, *, plans: bool) -> float:
        contexts, held = [], []
        for _ in range(_SESSIONS + 1):  # the first loads what all share
            contexts.append(browser.new_context())
            contexts[-1].set_default_timeout(120_000)
            one = Visit(contexts[-1].new_page(), address).go(heading=heading)
            if plans:
                one.open_demo("heron_goldfish")
                one.make_plan()
            held.append(_held_mb(address))
        for context in contexts:
            context.close()
        return (held[-1] - held[0]) / _SESSIONS

    mine, its = grown_mb(screens, "Do now", plans=True), grown_mb(bare, "Bare", plans=False)
    print(f"\na session with a plan {mine:.1f} MB, one of a bare page {its:.1f} MB")
    assert mine - its < _MOST_MB
