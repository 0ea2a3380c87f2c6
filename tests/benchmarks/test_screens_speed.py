"""How soon a screen is usable and how much a session holds; `pytest tests/benchmarks/test_screens_speed.py -s -o addopts=""`.

Beside a bare page of Streamlit with one slider and one chart, by turns in one run, so that the machine drops out.
"""

import itertools
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
# When the chart is another one than it was, drawn by a server that has nothing more to send. Only its lines are compared:
# a page that comes to the front draws the same chart once more, under other names.
_DRAWN = """() => {
  const lines = document.querySelector("[data-testid=stVegaLiteChart] svg.marks")?.querySelectorAll("path") || [];
  const chart = [...lines].map(one => one.getAttribute("d")).join();
  const still = document.querySelector("[data-testid=stApp]").dataset.testScriptState === "notRunning";
  if (!chart || !still || chart === window.drawn) return false;
  window.drawn = chart;
  return true;
}"""
_ROUNDS, _SESSIONS, _AT_ONCE, _AT_REST_MS = 20, 3, 20, 1500
_MOST_PAGES, _MOST_SHIFT, _MOST_MB, _MOST_SLIDERS, _MOST_SLIDER_S = 2.0, 0.1, 40.0, 2.5, 0.5


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


def _redrawn_s(one: Visit, number: int) -> float:
    """From a press of a key on the first slider to the chart redrawn; to and fro."""
    one.page.evaluate("window.drawn = null")
    one.page.wait_for_function(_DRAWN)  # what stands there now is what the key has to change
    one.page.get_by_role("slider").first.focus()
    start = time.perf_counter()
    one.page.keyboard.press("ArrowRight" if number % 2 else "ArrowLeft")
    one.page.wait_for_function(_DRAWN)
    return time.perf_counter() - start


def test_a_slider_redraws_what_if_within_half_a_second(browser, screens, bare, seen: Seen):  # noqa: F811
    context = browser.new_context(viewport={"width": DESK, "height": 900})
    context.set_default_timeout(60_000)
    floor, ours = Visit(context.new_page(), bare).go(heading="Bare"), Visit(context.new_page(), screens).go()
    ours.open_demo("heron_goldfish")
    ours.make_plan()
    ours.turn_to("Hospital")
    ours.page.get_by_text("What if", exact=True).click()
    ours.page.get_by_role("radio", name="the power", exact=True).click()
    ours.page.get_by_text("Lowest oxygen").first.wait_for()
    for one in (floor, ours):
        one.page.bring_to_front()  # a page behind another one draws nothing
        one.page.wait_for_timeout(_AT_REST_MS)  # what was drawn last is not mistaken for what the key draws
        _redrawn_s(one, 1)
    found: dict[Visit, list[float]] = {floor: [], ours: []}
    for number in range(_ROUNDS):
        for one, taken in found.items():
            one.page.bring_to_front()
            taken.append(_redrawn_s(one, number))
    its, mine = (statistics.median(taken) for taken in found.values())
    print(f"\nslider to chart {mine:.2f} s, of a bare page {its:.2f} s: ratio {mine / its:.2f}")
    context.close()
    ratio = seen("a slider to its redrawn chart", "one of a bare page", _MOST_SLIDERS, mine / its)
    assert seen("a slider to its redrawn chart, s", "1 s", _MOST_SLIDER_S, mine) <= _MOST_SLIDER_S
    assert ratio <= _MOST_SLIDERS


def _held_mb(address: str) -> float:
    """The memory of the server at an address."""
    port = address.rpartition(":")[2]
    for process in Path("/proc").glob("[0-9]*"):
        try:
            if f"port\0{port}\0".encode() in (process / "cmdline").read_bytes():
                status = dict(line.split(":", 1) for line in (process / "status").read_text().splitlines())
                return int(status["VmRSS"].split()[0]) * 1024 / 1e6
        except OSError:
            continue
    pytest.fail(f"no server at {address}")


def _grown_mb(browser, address: str, heading: str, *, plans: bool = False) -> float:
    """How much a session adds to the memory of the server at an address."""
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


def test_a_session_with_a_plan_holds_little_more_than_one_of_a_bare_page(browser, screens, bare):  # noqa: F811
    mine, its = _grown_mb(browser, screens, "Do now", plans=True), _grown_mb(browser, bare, "Bare")
    print(f"\na session with a plan {mine:.1f} MB, one of a bare page {its:.1f} MB")
    assert mine - its < _MOST_MB


def test_twenty_sessions_at_once_plan_apart_and_hold_little(browser, screens, bare, seen: Seen):  # noqa: F811
    demos = itertools.cycle(
        {"heron_goldfish": "Copper", "sturgeon_fin": "Ribbon", "orfe_in_a_heatwave": "Sliver"}.items()
    )
    floor = _grown_mb(browser, bare, "Bare")
    _grown_mb(browser, screens, "Do now", plans=True)  # what all share is loaded
    contexts = [browser.new_context() for _ in range(_AT_ONCE)]
    visits: dict[Visit, str] = {}
    for context, (demo, fish) in zip(contexts, demos, strict=False):
        context.set_default_timeout(600_000)
        one = Visit(context.new_page(), screens).go()
        one.open_demo(demo)
        visits[one] = fish
    begun = _held_mb(screens)
    start = time.perf_counter()
    for one in visits:  # each is asked for before the first is ready
        one.page.get_by_role("button", name="Make the plan").click()
    for one, fish in visits.items():
        one.page.get_by_role("heading", name=f"Water plan for {fish}").wait_for()
        told = one.page.get_by_test_id("stMain").inner_text()
        assert [name for name in set(visits.values()) - {fish} if name in told] == []
    taken = time.perf_counter() - start
    each = (_held_mb(screens) - begun) / _AT_ONCE
    for context in contexts:
        context.close()
    print(f"\n{_AT_ONCE} plans at once in {taken:.0f} s, {each:.1f} MB each, of a bare page {floor:.1f} MB")
    assert (
        seen("memory of one of 20 sessions with a plan, MB over a bare page", "1 MB", _MOST_MB, each - floor) < _MOST_MB
    )
