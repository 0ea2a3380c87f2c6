"""The page of doses in a real browser: a bath with its picture and card, and an injection."""

import re

import pytest

from tests.browser.widths import WIDTHS

pytestmark = pytest.mark.browser

CHARTS = "[data-testid=stVegaLiteChart] canvas, [data-testid=stVegaLiteChart] svg"


def choose(one, label, option):
    """Finds an option by typing it, and picks it: that of "no" may stand under "not stated", which begins like it."""
    box = one.page.get_by_role("combobox", name=label, exact=True).locator("visible=true")
    box.click()
    box.press_sequentially(option)
    # A species is listed with its other names behind it.
    found = one.page.get_by_role("option", name=re.compile(f"^{re.escape(option)}( \\(also|$)"))
    with one.told():
        found.click()


def fill(one, label, text):
    field = one.page.get_by_role("textbox", name=label, exact=True).locator("visible=true")
    field.fill(text)
    with one.told():
        field.press("Tab")


@pytest.mark.longer
@pytest.mark.parametrize("width", WIDTHS)
def test_a_bath_is_worked_out_with_its_picture_and_its_card(visit, width):
    one = visit(width).go("doses", "Doses")
    choose(one, "What it is (needed)", "tricaine")
    choose(one, "What it is for (needed)", "induction")
    fill(one, "Litres, and how they were found (needed)", "40 ± 0 L")
    fill(one, "Level that the vet wants (mg/L), or what has gone in (g, mL)", "100 mg/L")
    fill(one, "What the label says", "powder")
    choose(one, "Species", "goldfish")
    choose(one, "May it, or a fish from its water, be eaten", "no")
    one.page.get_by_role("button", name="Work it out").locator("visible=true").click()
    one.page.locator("[data-figure]").locator("visible=true").first.wait_for(timeout=60_000)
    one.settle()
    assert one.overflow_px() == 0
    chart = one.page.locator(CHARTS).locator("visible=true").first
    chart.wait_for()
    box = chart.bounding_box()
    assert 0 <= box["x"] < box["x"] + box["width"] <= width
    with one.page.expect_download() as download:
        one.page.get_by_role("button", name="Dose cards").locator("visible=true").click()
    assert "tricaine" in download.value.path().read_text(encoding="utf-8")


@pytest.mark.longer
@pytest.mark.parametrize("width", WIDTHS)
def test_an_injection_is_drawn_up(opened, width):
    one = opened(width)
    one.turn_to("Doses")
    one.page.get_by_role("tab", name="Into the fish, by weight").click()
    fill(one, "Drug (needed)", "flunixin")
    fill(one, "Dose by weight", "0.5 mg/kg")
    fill(one, "Strength on the vial", "50 mg/mL")
    choose(one, "Species", "koi")
    fill(one, "Weight of the fish", "2.4 ± 0 kg")
    choose(one, "May it, or a fish from its water, be eaten", "no")
    one.page.get_by_role("button", name="Work it out").locator("visible=true").click()
    one.page.locator("[data-figure]").locator("visible=true").first.wait_for(timeout=60_000)
    one.settle()
    assert one.overflow_px() == 0
