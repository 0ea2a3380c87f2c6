"""Bad names on paper: nothing runs out of its page, names are cut where they must be, and none acts."""

import html
import re

import pytest

from tests.case.small import case_of
from tests.demos import FEW, longer_but_for, one_paper
from tests.kept import kept
from tests.papers.bad_names import BAD, LONG, MARKUP, RIGHT_TO_LEFT, named_badly
from tests.papers.reading_marks import Marks
from tests.papers.test_printing import A_CARD, BETWEEN_MARGINS
from waterplan.papers.whole_set import papers
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.words.speaker import Speaker

# What sticks out of the page, or is wider than what holds it; a drawing is clipped by itself.
STICKS_OUT = """() => [...document.body.querySelectorAll('*')]
  .filter(one => !one.closest('svg') || one.tagName === 'svg')
  .filter(one => one.getBoundingClientRect().right > document.documentElement.clientWidth + 1
              || (one.scrollWidth > one.clientWidth + 1 && getComputedStyle(one).display === 'block'))
  .map(one => one.tagName + ': ' + one.textContent.slice(0, 60))"""
# Bad names in each field, and a dozen tubs, take long to lay out.
EACH = longer_but_for(("no tub",), BAD)
FAMILY = '"DejaVu Sans", Verdana, Arial, sans-serif'
# Points to an em of nine-point letters: how wide the two texts over a page are, measured by the browser.
HEADS = """texts => { const pen = document.createElement('canvas').getContext('2d');
  return texts.map(([text, font]) => { pen.font = font; return pen.measureText(text).width; }); }"""


def plan_of(name: str) -> Plan:
    """The plan of a case of bad names, made once in a run."""
    return kept(f"bad-{name}", lambda: plan(case_of(BAD[name]()), draws=FEW))


def papers_of(name: str) -> dict[str, str]:
    """All its papers, made once too."""
    return kept(f"bad-{name}-papers", lambda: papers(plan_of(name)))


def out_of_css(text: str) -> str:
    """The inside of a string of a style sheet as it is read."""
    return re.sub(r"\\([0-9a-f]+) ", lambda sign: chr(int(sign[1], 16)), text)


def heads(page: str) -> list[tuple[str, str]]:
    """What stands at the left of each page's margin, and at the right of each tub's."""

    left = re.search(r'@top-left \{ content: "([^"]*)"', page)
    rights = re.findall(r'@top-right \{ content: "([^"]*)"', page)
    assert left
    return [(out_of_css(left[1]), out_of_css(right)) for right in rights or [""]]


@pytest.mark.browser
@pytest.mark.parametrize("name", EACH)
def test_nothing_runs_out_of_its_page(browser, name):
    made = papers_of(name)
    page = browser.new_page()
    page.emulate_media(media="print")
    asked = []
    page.on("dialog", lambda one: (asked.append(one.message), one.dismiss()))
    for paper, text in made.items():
        if paper.endswith(".html"):
            width = int(A_CARD if 'class="card' in text else BETWEEN_MARGINS["A4"])
            page.set_viewport_size({"width": width, "height": 1000})
            page.set_content(text)
            assert page.evaluate(STICKS_OUT) == [], paper
            for left, right in heads(text):
                fonts = [[left, f"12px {FAMILY}"], [right, f"bold 12px {FAMILY}"]]
                assert sum(page.evaluate(HEADS, fonts)) < width - 10, (paper, left, right)
    page.close()
    assert asked == []


@pytest.mark.parametrize("name", EACH)
def test_nothing_is_to_be_done_for_no_time_at_all(name):
    for paper, text in papers_of(name).items():
        assert not re.search(r"\bfor 0[ \u00a0](?:h|min|s|days?)\b", re.sub("<[^>]*>", "", text)), paper


@pytest.mark.longer
def test_a_long_name_is_said_by_its_ends_and_stands_whole_in_the_record() -> None:
    page = papers_of("named badly")["plan.html"]
    assert "Wintergartenwasserbecken" in page
    assert page.count(LONG) < 8  # in the case as it was written, and in what the owner wrote at the head
    (said,) = {one for one in Marks(page).words if one.startswith("Record of")} or {""}
    assert len(said) < 100
    assert html.unescape(page).count(MARKUP) >= 1


def test_a_figure_keeps_its_place_beside_a_name_read_from_the_right() -> None:
    """A digit after such a name is drawn before it, where nothing closes the name in: 4 L/min beside 1 L/min."""
    made = plan_of("named badly")
    tub = next(one.id for one in made.waters if one.name == RIGHT_TO_LEFT)
    assert Speaker(made).name(tub) == f"\u2068{RIGHT_TO_LEFT}\u2069"
    assert "unicode-bidi: plaintext" in one_paper(made, "tub-cards.html")


def test_two_long_names_that_differ_in_the_middle_stay_whole() -> None:
    first, second = f"{'a' * 60}1{'b' * 60}", f"{'a' * 60}2{'b' * 60}"
    made = plan_of("named badly")
    waters = tuple(
        one.model_copy(update={"name": {"induction-1": first, "revival-1": second}.get(one.id, one.name)})
        for one in made.waters
    )
    speaker = Speaker(made.model_copy(update={"waters": waters}))
    assert (speaker.name("induction-1"), speaker.name("revival-1")) == (first, second)


@pytest.mark.longer
def test_no_sheet_of_the_ward_is_of_a_tank_without_a_fish() -> None:
    page = papers_of("twelve tubs")["hospital.html"]
    assert page.count("<section") == 1
    assert RIGHT_TO_LEFT in papers_of("twelve tubs")["tub-cards.html"]


def test_a_case_without_a_tub_has_its_papers() -> None:
    assert "hospital.html" not in papers_of("no tub")
    assert named_badly().count(LONG) > 4
