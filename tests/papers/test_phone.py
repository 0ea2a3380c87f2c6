"""Whom to phone: the numbers of the case on the papers that are taken up in trouble, and blank lines without them."""

import pytest

from tests.demos import demo_papers, one_paper
from tests.visible_text import text_of
from waterplan.case import read_case
from waterplan.errors import CaseError
from waterplan.plan.whole import plan

CASE = """
waterplan_case = 1
[patient]
species = "goldfish"
weight = "0.5 kg, scales"
eaten = false
[place]
{numbers}
[home_water]
temperature = "18 °C, thermometer"
[[vessels]]
name = "long tank"
use = "hospital"
volume = "300 L, marked tub"
[intended]
operation_at = 2026-06-04T10:00:00
days = "3 days"
"""
NUMBERS = 'vet_by_day = "fish practice, 01234 5678"\nout_of_hours = "<b>on call</b> & co, 01234 8765"'
PAPERS = ("contingency.html", "owner.html", "handover.html")


def made(numbers: str) -> dict[str, str]:
    found = plan(read_case(CASE.format(numbers=numbers)), draws=32)
    return {name: one_paper(found, name) for name in PAPERS}


def test_the_numbers_of_the_case_stand_on_each_and_markup_stays_text() -> None:
    found = made(NUMBERS)
    for name in PAPERS:
        text = text_of(found[name])
        assert "fish practice, 01234 5678" in text, name
        assert "<b>on call</b> & co, 01234 8765" in text, name
        assert "<b>on call</b>" not in found[name], name
        assert "01234\N{NO-BREAK SPACE}5678" in found[name], name  # in order among letters read from the right
        assert "night: ____" not in text, name


def test_without_them_there_are_lines_to_write_on() -> None:
    found = made("")
    for name in PAPERS:
        text = text_of(found[name])
        assert "Phone, day: ____" in text, name
        assert "night: ____" in text, name


@pytest.mark.parametrize("numbers", ["vet_by_day = 12345678", 'out_of_hours = "a\\u0007b"'])
def test_what_is_no_text_is_refused(numbers: str) -> None:
    with pytest.raises(CaseError):
        read_case(CASE.format(numbers=numbers))


def test_of_a_fish_of_which_only_the_species_is_known_the_title_says_all() -> None:
    """What stands under it is not the same word once more."""
    head = demo_papers("night_call")["triage.html"].partition("</h1>")[2].partition("<h2>")[0]
    assert "koi" not in text_of(head)
    assert "INVENTED" in text_of(head)
