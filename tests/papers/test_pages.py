"""The papers as HTML: well formed, harmless whatever the case says, and telling what they were made with."""

import re
from functools import cache

import pytest

from tests.papers.looking import Page
from tests.plans import DEMOS, DISPLAYS, HOSTILE, METRIC, SMALLEST, US, days_of, demo_plan, plan_of
from tests.test_cli import METRIC_AMOUNT
from waterplan.first_plan.tank_ahead import clocks
from waterplan.papers.sheet import DEFER, sheet
from waterplan.papers.tank_papers import contingency_page, hospital_page
from waterplan.papers.write import fragment, owner_page, plan_page, plan_text, tub_cards
from waterplan.published import Status

PAGES = {
    "plan": lambda plan, display: plan_page(plan, display, days=days_of(plan)),
    "owner": owner_page,
    "cards": tub_cards,
    "hospital": lambda plan, display: hospital_page(plan, days_of(plan), display),
    "contingency": contingency_page,
}
CASES = {**{name: lambda name=name: demo_plan(name) for name in DEMOS}}
CASES |= {"smallest": lambda: plan_of(SMALLEST), "hostile": lambda: plan_of(HOSTILE)}


@cache
def page(name, case, display=METRIC):
    return Page(PAGES[name](CASES[case](), display))


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize("name", PAGES)
def test_a_page_is_well_formed_and_says_its_language_and_title(name, case):
    made = page(name, case)
    assert made.troubles == []
    assert ("html", "lang", "en-GB") in made.attributes
    assert made.tags.count("title") >= 1
    assert made.tags.count("h1") >= 1


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize("name", PAGES)
def test_a_page_loads_and_runs_nothing(name, case):
    made = page(name, case)
    assert {"script", "iframe", "object", "embed", "link", "img", "image"} & set(made.tags) == set()
    outside = [
        (tag, key, value)
        for tag, key, value in made.attributes
        if key.startswith("on") or (key in {"src", "href", "xlink:href", "action"}) or "url(" in value
    ]
    assert [one for one in outside if not re.fullmatch(r"url\(#[\w-]+\)", one[2])] == []


@pytest.mark.parametrize("name", PAGES)
def test_what_a_case_says_is_shown_as_it_was_written(name):
    text = page(name, "hostile").text
    assert "<script>alert(1)</script>" in text
    if name not in {"owner"}:
        assert "<img src=x onerror=alert(4)>" in text


def test_a_fragment_for_the_screen_is_well_formed_and_harmless():
    shown = sheet(plan_of(HOSTILE), METRIC)
    for moment in (None, *(part.moment for part in shown.parts)):
        made = Page(fragment(shown, moment))
        assert made.troubles == []
        assert "img" not in made.tags
        assert "script" not in made.tags


@pytest.mark.parametrize("name", [*PAGES, "text"])
@pytest.mark.parametrize("case", DEMOS)
def test_a_paper_says_what_it_was_made_with(name, case):
    plan = demo_plan(case)
    text = plan_text(plan, METRIC) if name == "text" else page(name, case).text
    for words in (plan.tables_digest, f"seed {plan.seed}", f"{plan.draws} draws", f"waterplan {plan.version}"):
        assert words in text
    assert len(plan.tables_digest) == 12


@pytest.mark.parametrize("case", DEMOS)
@pytest.mark.parametrize("name", PAGES)
def test_us_pages_hold_no_metric_amount(name, case):
    text = page(name, case, US).text
    # What was measured stands as it was written, and a source's title is the source's.
    text = re.sub(r"\nWhat was measured\n.*\nSources\n.*?\nwaterplan ", "\nwaterplan ", text, flags=re.DOTALL)
    assert METRIC_AMOUNT.findall(text) == []


# --- the whole plan --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("case", CASES)
def test_the_sources_listed_are_exactly_those_used(case):
    shown = sheet(CASES[case](), METRIC)
    cited = {
        int(number) for part in shown.parts for line in part.lines for number in line.sources.split(", ") if number
    }
    assert [source.number for source in shown.sources] == list(range(1, len(shown.sources) + 1))
    assert cited == {source.number for source in shown.sources}
    keys = {citation.source for finding in CASES[case]().findings for citation in finding.citations}
    assert {source.key for source in shown.sources} == keys
    assert all(source.used for source in shown.sources)


@pytest.mark.parametrize("case", DEMOS)
def test_every_finding_stands_on_the_page_with_its_footing(case):
    plan = demo_plan(case)
    text = page("plan", case).text
    for line in (line for part in sheet(plan, METRIC).parts for line in part.lines):
        assert line.title in text
        assert line.answer in text
        assert f"{line.sign} {line.verdict}" in text
        assert line.band in text
        assert str(line.status) in text
    assert DEFER in text
    for reading in plan.case.home_water.readings.values():
        assert reading.text in text


@pytest.mark.parametrize("case", DEMOS)
def test_the_plan_holds_its_drawings(case):
    made, plan = page("plan", case), demo_plan(case)
    pictures = (plan.pictures.tank, plan.pictures.saturation)
    course = days_of(plan).course
    # The state of a course that is left out is the water's own litres, where they do not change.
    states = 0 if course is None else len(course.states) - 1
    region = int("Water against weight" in made.text)
    drawn = sum(picture is not None for picture in pictures) + len(clocks(plan)) + states + region
    assert made.tags.count("svg") == drawn


# --- numbers and their units -------------------------------------------------------------------------------------------

_UNITS = (
    "mg/L|g/L|mg/mL|mg/kg|mg|mL|L|US gal|°C|°F|g|kg|oz|lb|cm|m|in|ft|min|h|days|day|kPa|inHg|kg/m³|lb/100|mg/kg/h|"
    "degree-days|%|°C/h|times|body|wide|deep|changes|parts?|at best|hours|minutes|to|percent|"
    "soundings|places|mS/cm|stones?|W|bar"
)
_DATE = r"\d{2} [A-Z][a-z]{2} \d{4}(?:, \d{2}:\d{2})?"
_NUMBER = re.compile(r"(?<![\w.,/\[-])\d[\d,]*(?:\.\d+)?(?![\w.,]*\d)")


def bare_numbers(text):
    """The numbers of a text that no unit follows: not of dates, days by number, compounds, or a share of something."""
    text = re.sub(_DATE, "", text)
    unitless = (
        r"\b(?:[Dd]ay|pH) \d+|\(day \d+ to \d+\)|\[\w+\]|\d+(?:\.\d+)? to 1(?![\d,.])|-\d+(?= (?:s|min|h|g|mg)\b)|count = 0|"
        r"\d+ of \d+|(?:^|\. )\d\. (?=[A-Z])|[A-Z][\w-]+ \d{4}\)"  # so many of so many; a list's numbers; a year of print
    )
    text = re.sub(unitless, " ", text)
    found = []
    for match in _NUMBER.finditer(text):
        after = text[match.end() :].lstrip(" -")
        if not re.match(rf"(?:{_UNITS})(?![A-Za-z])|s,|s\b|% ", after):
            found.append(text[max(0, match.start() - 25) : match.end() + 20])
    return found


@pytest.mark.parametrize("system", DISPLAYS)
@pytest.mark.parametrize("case", DEMOS)
def test_every_number_of_an_answer_has_its_unit(case, system):
    bare = []
    for line in (line for part in sheet(demo_plan(case), DISPLAYS[system]).parts for line in part.lines):
        if "ph" in line.key.split():
            continue  # pH has no unit
        bare += [(line.key, words) for text in (line.answer, line.band, line.limit) for words in bare_numbers(text)]
    assert bare == []


def test_the_search_for_bare_numbers_finds_one():
    assert bare_numbers("It holds 37.5 of it.") != []
    assert bare_numbers("5. Add 37 and stir.") != []
    assert bare_numbers("It holds 37.5 L; day 3, Mon 30 Mar 2026.") == []


# --- the owner's page ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("case", CASES)
def test_the_owner_reads_no_chances_and_no_statuses(case):
    made = page("owner", case)
    text = made.text.partition("\nwaterplan ")[0].lower()
    assert re.findall(r"\d ?%|chance|probab|percentile|likely", text) == []
    statuses = [str(status) for status in Status]
    assert [status for status in statuses if re.search(rf"\b{status}\b", text)] == []


@pytest.mark.parametrize("case", DEMOS)
def test_the_owner_reads_what_to_do_and_when_to_phone(case):
    text = page("owner", case).text
    for heading in ("Every day", "Numbers to act on", "When to phone", "Phone now", "If the power fails"):
        assert heading in text
    assert "Stitches or fixation, as expected" in text
    assert "be there " in text


def test_a_tub_that_is_short_already_says_at_once():
    # The orfe's pool starts below its alarm level: no time may be printed as if there were some.
    text = page("cards", "orfe_in_a_heatwave").text
    assert "At once" in text
    assert "0.00 min" not in text


@pytest.mark.parametrize("case", CASES)
def test_every_tub_has_its_card(case):
    vessels = [" ".join(vessel.name.split()) for vessel in CASES[case]().case.vessels]
    made = page("cards", case)
    assert made.tags.count("section") == len(vessels)
    assert [name for name in vessels if name not in made.words] == []
