"""The cards of the doses: one page each, nothing for the owner, nothing that a file says is run."""

import html
import re

import pytest

from tests.plans import METRIC, US, case_of, demo_plan
from waterplan.papers.write import dose_pages, owner_page, write_papers
from waterplan.plan.whole import plan


def test_the_demo_has_a_card_for_each_dose_that_was_worked_out():
    made = demo_plan("heron_goldfish")
    page = dose_pages(made, METRIC)
    assert page.count("<section>") == 1 + sum(bool(card.portions) for card in made.dose_cards)
    for card in made.dose_cards:
        for portion in card.portions:
            assert f"☐ {portion.counted} of {portion.what}" in html.unescape(page)
    assert "No level and no time in a bath proves death" in page
    assert "Time sheet" in page


def test_a_refused_dose_has_no_card():
    page = dose_pages(demo_plan("heron_goldfish"), METRIC)
    assert "permanganate" not in page.lower()


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
    assert ("dose-cards.html" in names) == any(card.portions for card in demo_plan("sturgeon_fin").dose_cards)


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


@pytest.mark.browser
def test_a_card_is_one_page_of_a5(browser, tmp_path):
    path = tmp_path / "dose-cards.html"
    text = dose_pages(demo_plan("heron_goldfish"), METRIC)
    path.write_text(text, encoding="utf-8")
    page = browser.new_page()
    page.goto(path.as_uri())
    pdf = page.pdf(prefer_css_page_size=True)
    pages = max(int(count) for count in re.findall(rb"/Count (\d+)", pdf))
    assert pages == text.count("<section>")
