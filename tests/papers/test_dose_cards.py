"""The cards of the doses: one page each, nothing for the owner, nothing that a file says is run."""

import html
import re

import pytest

from tests.plans import METRIC, SMALLEST, US, case_of, demo_plan
from waterplan.findings import Verdict
from waterplan.first_plan.quick_dose import quick_dose
from waterplan.first_plan.whole import plan
from waterplan.papers.doses import dose_cards
from waterplan.papers.write import dose_pages, owner_page, write_papers


def test_the_demo_has_a_card_for_each_dose_and_injection():
    made = demo_plan("heron_goldfish")
    page = dose_pages(made, METRIC)
    # Two for the anaesthetic besides: its times, and how deep it is.
    assert page.count("<section") == 2 + len(made.dose_cards) + len(made.injection_cards)
    for card in made.dose_cards:
        for portion in card.portions:
            assert f"☐ {portion.counted} of {portion.what}" in html.unescape(page)
    assert "No level and no time in a bath proves death" in page
    assert "Time sheet" in page


def test_a_refused_dose_has_a_card_that_says_so_and_nothing_to_weigh():
    made = demo_plan("heron_goldfish")
    refused = next(card for card in made.dose_cards if card.finding.verdict is Verdict.REFUSED)
    page = html.unescape(dose_cards((refused,), METRIC, heading="A case", made_with=""))
    assert "⊘ REFUSED: nothing is mixed or drawn up" in page
    assert "they can explode" in page
    assert "An older card for this water no longer holds" in page
    assert 'class="big">☐' not in page
    assert "In this order" not in page


def test_an_injection_has_a_card_with_its_syringe_and_its_dilution():
    # Flunixin 0.5 mg/kg (a value in circulation without a source) at 0.62 kg is 0.31 mg: 0.0062 mL of 50 mg/mL. 1 in 20
    # is 0.124 mL of 2.5 mg/mL, down to 0.12.
    made = demo_plan("heron_goldfish")
    page = html.unescape(dose_cards((), METRIC, heading="A case", made_with="", injections=made.injection_cards))
    assert "☐ 0.12 mL of 2.5 mg/mL" in page
    assert "Dilute 1 part of the vial in 20 parts in all" in page
    assert "mL in a syringe of 1 mL" in page
    # The other has no dose: its card says that nothing is drawn up.
    assert "? NOT WORKED OUT: nothing is mixed or drawn up yet" in page
    assert page.count('class="big">☐') == 1


def test_the_sheet_tells_what_trials_found():
    case = case_of(
        """
waterplan_case = 1
[patient]
species = "koi"
weight = "1.1 kg, scales"
eaten = "no"
wound = "none"
[[vessels]]
name = "tub"
use = "induction"
volume = "60 L, marked tub"
[[doses]]
substance = "isoeugenol"
use = "induction"
into = "tub"
strength = "40 mg/L"
bottle = "540 mg/mL"
syringe = "0.1 mL"
"""
    )
    page = html.unescape(dose_pages(plan(case, draws=64), METRIC))
    # Gladden 2008, 40 mg/L: loss of balance 7.21 ± 3.51 min.
    assert "40 mg/L: loss of balance at 7.21 (3.7 to 10.72) min" in page


def test_the_order_and_what_comes_after_are_on_the_card():
    page = html.unescape(dose_pages(demo_plan("heron_goldfish"), METRIC))
    for words in ("In this order", "Pour it in slowly", "To neutralise it: ", "Chosen by (veterinarian)"):
        assert words in page


def test_a_us_reader_weighs_drugs_in_grams_and_water_in_gallons():
    page = html.unescape(dose_pages(demo_plan("heron_goldfish"), US))
    assert re.search(r"☐ [\d.]+ g of tricaine", page)
    assert "US gal" in page


def test_the_owners_page_has_no_dose():
    page = owner_page(demo_plan("heron_goldfish"), METRIC).lower()
    for word in ("tricaine", "flunixin", "butorphanol", "hypochlorite", "bicarbonate"):
        assert word not in page


def test_the_file_is_written_where_there_is_a_dose_and_only_there(tmp_path):
    names = {path.name for path in write_papers(demo_plan("heron_goldfish"), tmp_path, METRIC)}
    assert "dose-cards.html" in names
    names = {path.name for path in write_papers(demo_plan("sturgeon_fin"), tmp_path / "other", METRIC)}
    assert "dose-cards.html" in names
    names = {path.name for path in write_papers(plan(case_of(SMALLEST), draws=64), tmp_path / "none", METRIC)}
    assert "dose-cards.html" not in names


def test_a_name_from_a_file_is_not_run():
    case = case_of(
        """
waterplan_case = 1
[patient]
species = "koi"
weight = "1.1 kg, scales"
eaten = "no"
[[vessels]]
name = "<script>alert(1)</script>"
use = "induction"
volume = "60 L, marked tub"
[[doses]]
substance = "tricaine"
use = "induction"
into = "<script>alert(1)</script>"
strength = "100 mg/L"
"""
    )
    page = dose_pages(plan(case, draws=64), METRIC)
    assert "<script>" not in page
    assert "&lt;script&gt;" in page


def long_cards():
    """Doses with much to say: a ledger, conflicts, cautions, a neutraliser."""
    water = {"species": "koi", "eaten": "no", "temperature": "20 °C", "ph": "7.6", "salinity": "0.2 g/L"}
    water |= {"oxygen": "8.6 mg/L", "tan": "0.2 mg/L as N", "alkalinity": "100 mg/L as CaCO3", "wound": "open"}
    doses = [
        {"substance": "salt", "use": "prolonged", "into": "600 L, marked tub", "strength": "3 g/L", "changed": "150 L"},
        {"substance": "povidone-iodine", "use": "eggs", "into": "10 L, marked tub", "bottle": "10 % PVP-I"},
        {"substance": "hypochlorite", "use": "equipment khv", "into": "20 L, marked tub", "bottle": "5 % w/v"},
        {"substance": "formalin", "use": "bath", "into": "40 L, marked tub", "strength": "100 uL/L"},
        {
            "substance": "tricaine",
            "use": "induction",
            "into": "2 L, marked tub",
            "strength": "110 mg/L",
            "bottle": "powder",
        },
    ]
    cards = [quick_dose({**water, **texts})[0] for texts in doses]
    return dose_cards(cards, METRIC, heading="Much to say", made_with="waterplan")


@pytest.mark.browser
@pytest.mark.parametrize("made", [lambda: dose_pages(demo_plan("heron_goldfish"), METRIC), long_cards])
def test_a_card_is_one_page_of_a5(browser, tmp_path, made):
    path = tmp_path / "dose-cards.html"
    text = made()
    path.write_text(text, encoding="utf-8")
    page = browser.new_page()
    page.goto(path.as_uri())
    pdf = page.pdf(prefer_css_page_size=True)
    pages = max(int(count) for count in re.findall(rb"/Count (\d+)", pdf))
    assert pages == text.count("<section")
