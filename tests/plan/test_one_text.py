"""One figure, one text: the visible text of all papers is read, and every number with a unit carries what it is."""

from collections import defaultdict
from collections.abc import Mapping
from functools import cache

import pytest

from tests import visible_text
from tests.demos import DEMOS, demo_papers, demo_plan
from tests.plan.generated_cases import cases
from tests.plan.invariants import Complaints, doses_into_bad_water
from waterplan import tables
from waterplan.actions.record import Kind
from waterplan.papers.whole_set import papers
from waterplan.plan.record import Plan

# Papers that tell somebody what to do; the others keep a record of what was worked out.
RECORDS = frozenset({"plan.html", "volume.html"})
CASES, SEED = 2, 30


def unmarked(papers: Mapping[str, str]) -> Complaints:
    """Numbers with a unit that carry nothing."""
    return [
        f"{name}: {found}"
        for name, page in papers.items()
        if name.endswith(".html")
        for found in visible_text.bare_numbers(page)
    ]


def unrounded(papers: Mapping[str, str]) -> Complaints:
    """Numbers printed as code prints them."""
    return [
        f"{name}: {found}"
        for name, page in papers.items()
        if name.endswith(".html")
        for found in visible_text.long_numbers(page)
    ]


def several_texts(papers: Mapping[str, str]) -> Complaints:
    """Figures that read otherwise in another place."""
    found: dict[tuple[str, str], dict[str, set[str]]] = defaultdict(lambda: defaultdict(set))
    for name, page in papers.items():
        for mark, value, text in visible_text.every_mark(page) if name.endswith(".html") else ():
            if mark == "data-figure" and text:
                found[mark, value][text].add(name)
    return [
        f"{mark} {value} reads "
        + " and ".join(f"{text!r} ({', '.join(sorted(names))})" for text, names in sorted(texts.items()))
        for (mark, value), texts in found.items()
        if len(texts) > 1
    ]


@cache
def every_row() -> frozenset[str]:
    """The paths of all rows of the reference tables."""
    subjects = (path.stem for path in tables.shipped("reference_tables").glob("*.csv"))
    return frozenset(
        row.id for subject in subjects if subject not in {"glossary", "sources"} for row in tables.table(subject)
    )


def marks_of_nothing(papers: Mapping[str, str], plan: Plan) -> Complaints:
    """Marks that name no figure and no row of the plan."""
    known = {
        "data-figure": set(plan.figures),
        "data-band": set(plan.figures),
        # how often something is done again is a figure of its action
        "data-action": {one.id for one in plan.actions} | {f"{one.id}/every" for one in plan.actions},
        "data-row": {*plan.rows, *plan.sources, *tables.sources(), *every_row()},
    }
    return [
        f"{name}: {mark} names nothing: {value}"
        for name, page in papers.items()
        if name.endswith(".html")
        for mark, value, _ in visible_text.every_mark(page)
        if mark in known and value not in known[mark]
    ]


def refused_amounts(papers: Mapping[str, str], plan: Plan) -> Complaints:
    """Amounts of refused doses on a paper that somebody works from."""
    refused: dict[str, str] = {}
    used: set[str] = set()
    for action in plan.actions:
        dose = action.kind in {Kind.DOSE, Kind.INJECTION}
        if action.refused_because and dose:
            refused |= dict.fromkeys(action.amounts.values(), action.id)
        else:
            used |= set(action.amounts.values())
    return [
        f"{name}: {value}, an amount of refused {refused[value]}"
        for name, page in papers.items()
        if name.endswith(".html") and name not in RECORDS
        for mark, value, _ in visible_text.every_mark(page)
        if mark == "data-figure" and value in refused and value not in used
    ]


def complaints_of(plan: Plan, made: dict[str, str]) -> Complaints:
    return (
        unmarked(made)
        + unrounded(made)
        + several_texts(made)
        + marks_of_nothing(made, plan)
        + refused_amounts(made, plan)
        + doses_into_bad_water(plan)
    )


@pytest.mark.parametrize("name", DEMOS)
def test_one_figure_has_one_text_in_all_papers_of_a_demo(name: str) -> None:
    complaints = complaints_of(demo_plan(name), demo_papers(name))
    assert not complaints, f"{len(complaints)} complaints:\n" + "\n".join(complaints[:40])


@pytest.mark.parametrize(
    "many", [pytest.param(1, marks=pytest.mark.longer), pytest.param(CASES, marks=pytest.mark.slow)]
)
def test_one_figure_has_one_text_in_all_papers_of_generated_cases(many: int) -> None:
    """Slow: all papers of a generated case, for a figure that two papers round apart is found in no other way."""
    pytest.importorskip("waterplan.plan.whole")
    made = ((case, case.plan()) for case in cases(many, SEED))
    complaints = [
        f"case {case.number} of seed {SEED}: {one}" for case, plan in made for one in complaints_of(plan, papers(plan))
    ]
    assert not complaints, f"{len(complaints)} complaints:\n" + "\n".join(complaints[:40])


# -- that the reader of pages sees what a person sees -------------------------------------------------------------

PAGE = """<!doctype html><html><head><title>3 L</title><style>p { margin: 5 cm }</style></head><body>
<h1>Copper</h1>
<p>Fill to <b data-figure="tub/volume">25&nbsp;L</b> by 10:00 on 14 May.</p>
<table><tr><td data-figure="tub/air">6</td><td>L/min</td></tr>
<tr><td><span data-row="oxygen/alarm">6.0</span> mg/L</td></tr></table>
<p hidden>7 mg/L</p><div style="display: none">8 mg/L</div><script>var x = "9 mg/L"</script>
<p>Then <span>wa</span>it 5<br>min.</p><ul><li>Day 2: 3 stitches<li>at 4 °C</ul>
<p data-case="patient">31 cm</p>
</body></html>"""


def test_the_visible_text_is_what_stands_on_the_page() -> None:
    assert visible_text.text_of(PAGE).splitlines() == [
        "Copper",
        "Fill to 25 L by 10:00 on 14 May.",
        "6",
        "L/min",
        "6.0 mg/L",
        "Then wait 5",
        "min.",
        "Day 2: 3 stitches",
        "at 4 °C",
        "31 cm",
    ]


def test_a_number_that_carries_nothing_is_found() -> None:
    assert visible_text.bare_numbers(PAGE) == ["'4 °C' in 'at 4 °C'"]
    for bare in (
        "<p>12 mg/L</p>",
        "<p>5 to 6 °C</p>",
        "<td>1,200 L</td>",
        "<p>1.5 h</p>",
        "<p><b>12</b> days</p>",
        "<p>(7 min)</p>",
    ):
        assert len(visible_text.bare_numbers(bare)) == 1, bare
    for other in (
        "<p>14 May 2026</p>",
        "<p>page 2 of 3</p>",
        "<p>Yanbo 2013</p>",
        "<p>tub 2 has air</p>",
        "<p>10:00 h</p>",
    ):
        assert visible_text.bare_numbers(other) in ([], ["'00 h' in '10:00 h'"]), other


def test_a_number_as_code_prints_it_is_found() -> None:
    assert unrounded({"a.html": "<p>at 470.3999999999999 L</p><p>470.4 L</p>"}) == ["a.html: 470.3999999999999"]


def test_a_figure_with_two_texts_is_found() -> None:
    owner = '<p data-figure="bag/hours">10 h</p><p><i data-figure="bag/hours">10 h</i></p><i data-figure="tub/volume">25 L</i>'
    plan = '<p><span data-figure="bag/hours">31 h</span></p><b data-figure="tub/volume">25 L</b>'
    found = several_texts({"owner.html": owner, "plan.html": plan, "plan.txt": "bag 12 h"})
    assert found == ["data-figure bag/hours reads '10 h' (owner.html) and '31 h' (plan.html)"]
    assert several_texts({"owner.html": owner}) == []


def test_what_is_read_of_a_mark_is_all_that_stands_in_it() -> None:
    assert visible_text.readings('<p data-figure="a"><b>5</b> to <i>6</i> °C</p><p data-figure="a">7</p>') == {
        "a": {"5 to 6 °C", "7"}
    }
