"""Each paper holds what its reader needs, in every invented case; one that does not apply is not made."""

import re

import pytest

from tests.demos import DEMOS, WITH_A_TANK, demo_papers, demo_plan
from tests.papers.example_plan import example_plan
from tests.papers.must_hold import PAPERS, Paper, lacking, made, table, told
from tests.visible_text import text_of
from waterplan.hazards.record import Why
from waterplan.papers.holding import INDEX, SETS
from waterplan.papers.whole_set import papers
from waterplan.stay.record import Moment, WaterKind

UNMEASURED = {"night_call"}  # it states no litres


@pytest.mark.parametrize("paper", PAPERS, ids=lambda one: one.name)
@pytest.mark.parametrize("name", DEMOS)
def test_a_paper_holds_what_it_must(name: str, paper: Paper) -> None:
    assert lacking(paper, name) in ([], None)


def test_the_page_shows_the_table() -> None:
    assert told() == table(), "run python -m tests.papers.must_hold"


@pytest.mark.parametrize("name", DEMOS)
def test_a_paper_that_does_not_apply_is_not_made(name: str) -> None:
    kinds = {one.kind for one in demo_plan(name).waters}
    assert ("transport.html" in made(name)) is bool(kinds & {WaterKind.BAG, WaterKind.BOX})
    assert ("hospital.html" in made(name)) is (WaterKind.HOSPITAL in kinds)
    assert ("volume.html" in made(name)) is (name not in UNMEASURED)
    assert ("procedure-log.html" in made(name)) is (name in WITH_A_TANK)
    # Formalin went into the pond of one case; no case gives what harms a filter.
    assert ("filter-note.html" in made(name)) is (name == "heron_goldfish")


def test_a_filter_that_was_harmed_has_its_note_until_it_counts_again() -> None:
    """Formalin of 8 May, seven days by its row: to 15 May."""
    text = made("heron_goldfish")["filter-note.html"]
    assert "Treat the filter of the home pond as not working for 7 days after formalin; until Fri 15 May" in text


def test_a_filter_that_a_treatment_harms_has_its_note() -> None:
    plan = example_plan()
    figures = dict(list(plan.figures.items()))
    days = next(iter(figures))
    why = Why(code="filter-harmed", figures={"days": days}, words={"effect": "failed"})
    dose = next(one for one in plan.actions if one.kind == "dose" and not one.refused_because)
    others = tuple(one for one in plan.actions if one is not dose)
    page = papers(plan.model_copy(update={"actions": (*others, dose.model_copy(update={"costs": (why,)}))}))[
        "filter-note.html"
    ]
    assert "two tests running" in text_of(page)


@pytest.mark.longer
@pytest.mark.parametrize("moment", Moment)
def test_the_set_of_a_moment_is_its_papers_and_their_list(moment: Moment) -> None:
    plan = demo_plan("heron_goldfish")
    made_of_it = papers(plan, moment=moment)
    assert set(made_of_it) - {INDEX} <= set(SETS[moment])
    listed = set(re.findall(r'href="([\w-]+\.html)"', made_of_it[INDEX]))
    assert listed == set(made_of_it) - {INDEX}


def test_every_page_says_how_many_there_are_and_until_when_it_holds() -> None:
    for name, page in demo_papers("heron_goldfish").items():
        if name.endswith(".html"):
            assert "counter(page)" in page
            assert "counter(pages)" in page
            assert re.search(r"@bottom-left \{ content: \"Not\\20 after", page), name


@pytest.mark.longer
def test_cards_are_half_of_the_paper() -> None:
    made_of_it = papers(demo_plan("heron_goldfish"), size="Letter")
    assert "size: 5.5in 8.5in" in made_of_it["transport.html"]
    assert "size: Letter" in made_of_it["owner.html"]


_WAY = re.compile(r"\[L\]: ([\d.,]+) \(([\d.,]+) to ([\d.,]+)\)")
_BOX = re.compile(r"low \[L\] ?\n?([\d.,]+)\n?\s*best estimate \[L\] ?\n?([\d.,]+)\n?\s*high \[L\] ?\n?([\d.,]+)")


@pytest.mark.parametrize("name", [name for name in DEMOS if name not in UNMEASURED])
def test_a_figure_of_a_certificate_lies_in_its_band_and_its_ends_are_those_to_act_by(name: str) -> None:
    """It said 535 L (539 to 588): the low end, rounded down to act by, before a band that was not rounded so."""
    text = made(name)["volume.html"]
    ways = [[float(one.replace(",", "")) for one in found] for found in _WAY.findall(text)]
    boxes = _BOX.findall(text)
    assert ways
    assert boxes
    for best, low, high in ways:
        assert low <= best <= high
    used = set(re.findall(r"\n([\d.,]+) L\n", text))
    for low, best, high in boxes:
        assert float(low.replace(",", "")) <= float(best.replace(",", "")) <= float(high.replace(",", ""))
        assert {low, high} <= used


def test_a_certificate_says_what_its_way_does_not_see() -> None:
    assert made("heron_goldfish")["volume.html"].count("Not seen: a corner of the shore that was not traced") == 1
    assert "Not seen" not in made("ordinary_goldfish")["volume.html"]


@pytest.mark.parametrize("name", WITH_A_TANK)
def test_the_log_tells_no_limit_that_no_meter_at_the_table_shows(name: str) -> None:
    log = made(name)["procedure-log.html"]
    assert "mg/L as N" not in log
    assert "un-ionised" not in log


@pytest.mark.parametrize("name", DEMOS)
def test_what_was_read_of_the_pond_stands_beside_the_telephone(name: str) -> None:
    plan = demo_plan(name)
    lines = made(name)["triage.html"].splitlines()
    read = {one.key for one in plan.written if one.section == "home_water"}
    for quantity in {"temperature", "oxygen", "ph"} & read:
        at = lines.index({"ph": "pH"}.get(quantity, quantity))
        assert re.match(r"[\d.]+", lines[at + 1]), quantity
