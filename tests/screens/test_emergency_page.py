"""A fish that does not breathe: steps by number, and a clock that says when which time of the tables has passed."""

import time

import pytest

from tests.screens.running import app, page, press, texts
from waterplan import tables

BEGUN = "quick/no breathing/begun"


def after(minutes):
    return page("emergency", **{BEGUN: time.time() - 60.0 * minutes})


def test_every_step_of_the_table_is_there_by_number():
    said = texts(page("emergency"))
    steps = said.partition('<ol class="steps">')[2].partition("</ol>")[0]
    assert steps.count("<li>") == len(tables.table("revival_steps"))
    assert "from mouth to gill" in steps
    assert 'data-row="revival_steps/4"' in steps


@pytest.mark.parametrize(
    ("minutes", "says"),
    [(0.2, "Run water over the gills at once"), (2.0, "1 min without a breath"), (21.0, "20 min have passed")],
)
def test_the_clock_says_what_the_time_asks_for(minutes, says):
    """The act by is a minute out of the drug, to go on is 20 minutes at least: both rows of the tables."""
    said = texts(after(minutes))
    assert says in said
    assert f">{int(minutes):02d}:" in said


def test_the_clock_is_stopped_and_started_and_runs_on_while_another_page_is_looked_at():
    stopped = press(after(3.0), "clock stops")
    assert ">03:0" in texts(stopped)
    assert "The clock is stopped" in texts(stopped)
    again = press(stopped, "clock again")
    assert ">00:0" in texts(again)


@pytest.mark.parametrize("path", ["no-breathing", "settings", "phone", "quick-sums"])
def test_each_page_answers_at_its_own_address(path):
    test = app()
    assert path in {one.url_path for one in test.session_state["pages"].values()}
