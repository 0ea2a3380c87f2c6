"""The papers as Chromium prints them: how many pages each may take."""

import re

import pytest

from tests.demos import demo_papers
from tests.papers.example_plan import example_plan
from waterplan.actions.record import Kind
from waterplan.papers.whole_set import papers
from waterplan.stay.record import WaterKind

pytestmark = pytest.mark.browser

PLAN = example_plan()
TUBS = sum(one.kind not in {WaterKind.HOME, WaterKind.SOURCE} for one in PLAN.waters)
DOSES = sum(one.kind in {Kind.DOSE, Kind.INJECTION, Kind.SALT} and one.done is None for one in PLAN.actions)
# The most pages of each paper.
MOST = {
    "owner.html": 1,
    "contingency.html": 1,
    "hospital.html": 4,
    "tub-cards.html": 2 * TUBS,
    "dose-cards.html": 2 * DOSES,
    "van.html": 2,
    "plan.html": 12,
    "procedure-log.html": 4,
    "drug-record.html": 1,
    "handover.html": 1,
    "triage.html": 1,
    "transport.html": 1,
    "index.html": 1,
}


def pages_printed(browser, html):
    """How many pages come out."""
    page = browser.new_page()
    try:
        page.set_content(html)
        document = page.pdf(prefer_css_page_size=True)
    finally:
        page.close()
    return len(re.findall(rb"/Type\s*/Page(?![a-zA-Z])", document))


@pytest.fixture(scope="module", params=["metric", "us"])
def made(request):
    return papers(PLAN, request.param)


@pytest.mark.parametrize("name", MOST)
def test_a_paper_has_few_pages(browser, made, name):
    assert 1 <= pages_printed(browser, made[name]) <= MOST[name]


def test_the_record_of_the_rich_case_has_twelve_pages_at_most(browser):
    assert pages_printed(browser, demo_papers("heron_goldfish")["plan.html"]) <= 12
