"""The papers as Chromium prints them: how many pages, and of what size."""

import re
from functools import cache

import pytest
from waterplan.papers.tank_papers import contingency_page, hospital_page
from waterplan.papers.write import owner_page, plan_page, tub_cards, volume_page

from tests.plans import DEMO_PONDS, DEMOS, DISPLAYS, METRIC, days_of, demo_plan, plan_of

pytestmark = pytest.mark.browser

# ISO 216 and ANSI sheets in points of 1/72 inch: 210 x 297 mm, 148 x 210 mm, 8.5 x 11 in.
SIZES = {"A4": (595.3, 841.9), "A5": (419.5, 595.3), "Letter": (612.0, 792.0)}

# A full case with as long a name and account of what was done as a case may hold.
LONGEST = re.sub(
    r'^name = "Copper"$|^done = .*$',
    lambda line: (
        f'name = "{"Longname " * 6}"' if "Copper" in line[0] else f'done = "{"a wound cleaned and closed; " * 17}"'
    ),
    (DEMO_PONDS / "heron_goldfish.toml").read_text(encoding="utf-8"),
    flags=re.MULTILINE,
)


def printed(browser, html):
    """The sizes in points of the pages that come out."""
    page = browser.new_page()
    try:
        page.set_content(html)
        document = page.pdf(prefer_css_page_size=True)
    finally:
        page.close()
    pages = re.findall(rb"/Type\s*/Page(?![a-zA-Z])(.*?)endobj", document, flags=re.DOTALL)
    boxes = [re.search(rb"/MediaBox\s*\[([^\]]+)\]", one) for one in pages]
    return [tuple(float(number) for number in box[1].split()[2:]) for box in boxes]


@cache
def owner(case, system, paper):
    plan = plan_of(LONGEST) if case == "longest" else demo_plan(case)
    return owner_page(plan, DISPLAYS[system], paper=paper)


@pytest.mark.parametrize("system", DISPLAYS)
@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("case", [*DEMOS, "longest"])
def test_the_owners_page_is_one_page(browser, case, paper, system):
    assert printed(browser, owner(case, system, paper)) == [pytest.approx(SIZES[paper], abs=1.0)]


@pytest.mark.parametrize("case", DEMOS)
def test_each_tub_has_a_card_of_its_own(browser, case):
    plan = demo_plan(case)
    assert printed(browser, tub_cards(plan, METRIC)) == [pytest.approx(SIZES["A5"], abs=1.0)] * len(plan.case.vessels)


@pytest.mark.parametrize("system", DISPLAYS)
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_volume_certificate_is_one_page_for_each_water(browser, paper, system):
    page = volume_page(demo_plan("heron_goldfish"), DISPLAYS[system], paper=paper)
    assert printed(browser, page) == [pytest.approx(SIZES[paper], abs=1.0)]


# The full case again, with names as long as they may be, and as many tubs as a practice may own.
CROWDED = LONGEST.replace('name = "hospital tank"', f'name = "{"<tank & tub> " * 5}"') + "".join(
    f'\n[[vessels]]\nname = "{number} {"long tub " * 6}"\nuse = "revival"\nvolume = "60 L, marked tub"\n'
    for number in range(8)
)


@pytest.mark.parametrize("system", DISPLAYS)
@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("case", [*DEMOS, "crowded"])
def test_the_sheet_at_the_tank_and_the_page_for_failures_are_one_page_each(browser, case, paper, system):
    plan = plan_of(CROWDED) if case == "crowded" else demo_plan(case)
    one = hospital_page(plan, days_of(plan), DISPLAYS[system], paper=paper)
    other = contingency_page(plan, DISPLAYS[system], paper=paper)
    for page in (one, other):
        assert printed(browser, page) == [pytest.approx(SIZES[paper], abs=1.0)]


def test_the_whole_plan_prints(browser):
    plan = demo_plan("heron_goldfish")
    assert 3 <= len(printed(browser, plan_page(plan, METRIC, days=days_of(plan)))) <= 36
