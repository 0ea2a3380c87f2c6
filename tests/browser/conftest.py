"""The screens as the command opens them, and a page that keeps count of what it asks for and complains of."""

import os
import re
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections import defaultdict
from contextlib import contextmanager, suppress
from functools import cache
from pathlib import Path

import pytest

import waterplan
from tests.demos import FEW

_START_S = 90.0
# The command as it is, but for the number that its pages read where nobody chose another.
_WITH_FEW_DRAWS = f"from waterplan import cli, spread; spread.DEFAULT_DRAWS = {FEW}; cli.main()"
# Adds up how far what is seen has moved by itself: the measure of the Layout Instability API, without what follows a click.
_SHIFT = """new PerformanceObserver(seen => {
  for (const one of seen.getEntries()) if (!one.hadRecentInput) window.shifted = (window.shifted || 0) + one.value;
}).observe({type: "layout-shift", buffered: true})"""
# Counts how often the server has begun to make the page again.
_BEGUN = """new MutationObserver(seen => {
  window.begun = (window.begun || 0) + seen.filter(one => one.target.dataset.testScriptState === "running").length;
}).observe(document, {subtree: true, attributeFilter: ["data-test-script-state"]})"""
_MOST_UNTIL_TOLD_MS = 400
_HEIGHT_PX = "document.querySelector('[data-testid=stMain]').scrollHeight"
_WIDER_PX = (
    "Math.max(...[document.documentElement, ...document.querySelectorAll('[data-testid=stMain]')]"
    ".map(one => one.scrollWidth - one.clientWidth))"
)
# Streamlit asks for its own two addresses relative to a page's path before it asks for them at the root.
_STREAMLITS_OWN = ("_stcore/health", "_stcore/host-config")


@pytest.fixture(scope="session")
def screens(browser, tmp_path_factory):
    """The address of the screens, started by the command and stopped by ending it."""
    del browser  # without one there is nothing to start them for
    yield from _serving([sys.executable, "-m", "waterplan.cli"], tmp_path_factory.mktemp("screens") / "log")


@pytest.fixture(scope="session")
def quick_screens(browser, tmp_path_factory):
    """The same with few draws, for all that asks how a plan is shown and not how well it is drawn."""
    del browser
    yield from _serving([sys.executable, "-c", _WITH_FEW_DRAWS], tmp_path_factory.mktemp("quick") / "log")


def _serving(command, log):
    port = free_port()
    root = str(Path(waterplan.__file__).parents[1])
    with log.open("w") as told:
        server = subprocess.Popen(
            [*command, "screens", "--port", str(port)],
            env=os.environ | {"PYTHONPATH": root},
            stdout=told,
            stderr=subprocess.STDOUT,
            stdin=subprocess.DEVNULL,
        )
    address = f"http://127.0.0.1:{port}"
    try:
        wait_for(f"{address}/_stcore/health", server, log)
        yield address
    finally:
        server.terminate()
        server.wait(timeout=20)


def free_port():
    """A port that nobody listens on."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return free.getsockname()[1]


def wait_for(address, server, log):
    last = time.monotonic() + _START_S
    while time.monotonic() < last:
        if server.poll() is not None:
            break
        try:
            with urllib.request.urlopen(address, timeout=5) as answer:
                if answer.status == 200:
                    return
        except (urllib.error.URLError, OSError):
            time.sleep(0.2)
    pytest.fail(f"the screens did not start: {log.read_text()}")


class Visit:
    """A page of the screens in a window of its own."""

    def __init__(self, page, address):
        self.page, self.address = page, address
        playwright = pytest.importorskip("playwright.sync_api")
        self.expect, self.nothing_came = playwright.expect, playwright.TimeoutError
        self.expect.set_options(timeout=60_000)
        self.asked_for, self.complaints = [], []
        page.on("request", lambda request: self.asked_for.append(request.url))
        page.on("websocket", lambda socket: self.asked_for.append(socket.url))
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("console", self._hear)
        page.add_init_script(_SHIFT)
        page.add_init_script(_BEGUN)

    def _hear(self, message):
        at = message.location.get("url", "")
        if message.type == "error" and not at.endswith(_STREAMLITS_OWN):
            self.complaints.append(f"{message.text} ({at})")

    def go(self, path="", heading="Do now"):
        """Opens a page and waits for it."""
        self.page.goto(f"{self.address}/{path}")
        self.page.get_by_role("heading", name=heading, exact=True).wait_for()
        self.settle()
        return self

    def turn_to(self, title):
        """Another page by its name in the list, which a phone folds away until it is asked for, and after the choice."""
        folded, narrow = self.page.get_by_test_id("stExpandSidebarButton"), self.page.viewport_size["width"] <= 768
        if narrow:
            folded.click()
        self.page.get_by_test_id("stSidebar").get_by_role("link", name=re.compile(f"^{title}")).click()
        self.page.get_by_role("heading", name=title, exact=True, level=1).wait_for()
        self.expect(folded).to_have_count(1 if narrow else 0)
        self.settle()
        self.expect(self.page.get_by_test_id("stException")).to_have_count(0)

    def open_demo(self, name):
        """Opens an invented case and waits until the page has taken it."""
        self.page.get_by_label("An invented case").click()
        self.page.get_by_role("option", name=f"{name}.toml").click()
        self.page.get_by_role("button", name="New case").wait_for()
        self.settle()

    def make_plan(self):
        """Presses the button and waits for all of the plan."""
        self.page.get_by_role("button", name=re.compile("^Make the plan")).click()
        self.page.get_by_role("link", name=re.compile("^Recheck: ")).first.wait_for(state="attached", timeout=120_000)
        self.settle()

    def type_into(self, name, text):
        """Types into a field and leaves it, and waits until the server has been told."""
        self.field(name).fill(text)
        with self.told():
            self.field(name).press("Tab")

    @contextmanager
    def told(self):
        """Does something that the server is told of, and waits until it has; where it is told nothing, for a moment."""
        begun = self.page.evaluate("window.begun || 0")
        yield
        with suppress(self.nothing_came):
            self.page.wait_for_function("begun => window.begun > begun", arg=begun, timeout=_MOST_UNTIL_TOLD_MS)
        self.settle()

    def settle(self):
        """Waits until the server has nothing more to send."""
        self.page.wait_for_function(
            "document.querySelector('[data-testid=stApp]')?.getAttribute('data-test-script-state') === 'notRunning'"
        )

    def unfold(self, summary, shows):
        """Opens a fold until what it shows stays: the page may be made once more after the first click, and folds it again."""
        for _ in range(10):
            self.settle()
            if not shows.is_visible():
                summary.click()
            try:
                self.expect(shows).to_be_visible(timeout=5_000)
            except AssertionError:
                continue
            self.page.wait_for_timeout(300)
            self.settle()
            if shows.is_visible():
                return
        pytest.fail(f"it does not stay open: {summary}")

    def field(self, name):
        """A field for text by its label; the first, where several tables have it."""
        return self.page.get_by_role("textbox", name=name, exact=True).first

    def shifted(self):
        """How far what is seen has moved by itself since the page was opened."""
        return float(self.page.evaluate("window.shifted || 0"))

    def overflow_px(self):
        """How far the page is wider than its window, once it has come to rest if it is not so before."""
        return self.page.evaluate(_WIDER_PX) and self._at_rest(_WIDER_PX)

    def height_px(self):
        """How tall the page is once it has come to rest: what stood before is taken away after the new heading is drawn."""
        return self._at_rest(_HEIGHT_PX)

    def _at_rest(self, measured, *, asked_most=40):
        """A measure of the page that the server has sent all of, once it stays the same for half a second."""
        seen = []
        for _ in range(asked_most):
            self.settle()
            seen.append(self.page.evaluate(measured))
            if len(seen) > 2 and len(set(seen[-3:])) == 1:
                break
            self.page.wait_for_timeout(250)
        return seen[-1]


@pytest.fixture(scope="session")
def window(browser):
    """The window of a width, whose tabs all its visits are: what a page of Streamlit loads is fetched and compiled once.

    Whose draft a tab shows is in its address alone; whether the list of pages is folded is the window's.
    """

    contexts = defaultdict(browser.new_context)

    def of(width):
        contexts[width].set_default_timeout(30_000)
        return contexts[width]

    yield of
    for one in contexts.values():
        one.close()


@pytest.fixture
def visit(window, quick_screens):
    """Makes visits of a width; at the end none may have asked for anything elsewhere or complained."""
    yield from _visits(window, quick_screens)


@pytest.fixture
def visit_of_the_command(window, screens):
    """The same where plans have all their draws."""
    yield from _visits(window, screens)


@pytest.fixture(scope="session")
def opened(window, quick_screens):
    """A visit of a width without a case, for tests that turn to a page of their own and open none."""
    making = _visits(window, quick_screens)
    make = next(making)
    yield cache(lambda width: make(width).go())
    next(making, None)


@pytest.fixture(scope="session")
def planned(window, quick_screens):
    """A visit of a width with a plan made, for tests that only look at it: the plan of the first is that of all."""
    making = _visits(window, quick_screens)
    make = next(making)
    made = []

    @cache
    def with_the_plan(width):
        one = make(width)
        if made:
            one.page.goto(made[0].page.url)
            one.settle()
        else:
            one.go().open_demo("heron_goldfish")
            one.make_plan()
        made.append(one)
        return one

    yield with_the_plan
    next(making, None)


def _visits(window, address):
    visits = []

    def make(width=1280, height=900):
        page = window(width).new_page()
        page.set_viewport_size({"width": width, "height": height})
        visits.append(Visit(page, address))
        return visits[-1]

    yield make
    elsewhere = [url for one in visits for url in one.asked_for if not _is_here(url)]
    complaints = [words for one in visits for words in one.complaints]
    for one in visits:
        one.page.close()
    assert elsewhere == []
    assert complaints == []


def _is_here(url):
    return url.startswith(("http://127.0.0.1:", "ws://127.0.0.1:", "data:", "blob:", "about:"))
