"""The papers as Chromium prints them: how many pages each may take."""

import re

import pytest

from tests.browser.letters import LETTERS
from tests.demos import DEMOS, demo_papers, longer_but_for
from tests.kept import kept
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


@pytest.fixture(scope="module", params=["metric", pytest.param("us", marks=pytest.mark.slow)])
def made(request):
    if request.param == "metric":
        return kept("example-papers", lambda: papers(PLAN))
    return papers(PLAN, request.param)


@pytest.mark.parametrize("name", longer_but_for(("plan.html", "owner.html"), MOST))
def test_a_paper_has_few_pages(browser, made, name):
    assert 1 <= pages_printed(browser, made[name]) <= MOST[name]


@pytest.mark.longer
@pytest.mark.parametrize("demo", DEMOS)
def test_a_record_has_twelve_pages_at_most(browser, demo):
    assert pages_printed(browser, demo_papers(demo)["plan.html"]) <= 12


@pytest.mark.parametrize("demo", longer_but_for(("heron_goldfish", "night_call"), DEMOS))
def test_a_set_is_printed_in_three_sizes_and_two_weights_of_one_family(browser, demo):
    page = browser.new_page()
    page.emulate_media(media="print")
    seen = {}
    for name, html in demo_papers(demo).items():
        if name.endswith(".html"):
            page.set_content(html)
            seen |= page.evaluate(LETTERS)
    page.close()
    sizes, weights, families = zip(*(one.split(",", 2) for one in seen), strict=True)
    assert {round(float(size.removesuffix("px")) * 0.75, 3) for size in sizes} == {9.0, 11.5, 14.0}, seen
    assert set(weights) == {"400", "700"}, seen
    assert len(set(families)) == 1, seen


# What is written in the drawings of a page, in points as printed, beside how far each is shrunk from its own width.
WRITTEN = """() => [...document.querySelectorAll('.charts svg')].flatMap(drawn => {
  const shrunk = drawn.getScreenCTM().a;
  return [...drawn.querySelectorAll('text')].filter(one => one.textContent.trim())
    .map(one => [parseFloat(getComputedStyle(one).fontSize) * shrunk * 0.75, one.textContent]);
})"""
# Between the margins that a page leaves, at 96 pixels an inch.
BETWEEN_MARGINS = {"A4": (210 - 24) / 25.4 * 96, "Letter": 8.5 * 96 - 24 / 25.4 * 96}
A_CARD = (148 - 18) / 25.4 * 96


@pytest.mark.parametrize("size", [pytest.param("A4", marks=pytest.mark.slow), "Letter"])
def test_nothing_in_a_drawing_is_printed_under_nine_points(browser, size):
    """Slow: what a letter of a drawing comes to is known to a browser alone, and every drawing of the set is laid out in one."""
    page = browser.new_page()
    page.emulate_media(media="print")
    seen = 0
    for demo in DEMOS:
        for name, html in demo_papers(demo).items():
            if not name.endswith(".html") or 'class="charts' not in html:
                continue
            width = A_CARD if 'class="card' in html else BETWEEN_MARGINS[size]
            page.set_viewport_size({"width": int(width), "height": 1000})
            page.set_content(html)
            written = page.evaluate(WRITTEN)
            seen += len(written)
            assert [one for one in written if one[0] < 9.0 - 1e-6] == [], (demo, name)
    page.close()
    assert seen > 500
