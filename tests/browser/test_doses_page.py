"""The page of doses in a real browser: a bath, a refusal, a level written twice, an injection, and their cards."""

import re

import pytest

pytestmark = pytest.mark.browser
Late = pytest.importorskip("playwright.sync_api").TimeoutError

DESK, PHONE = 1280, 390
CHARTS = "[data-testid=stVegaLiteChart] canvas, [data-testid=stVegaLiteChart] svg"
LEVEL, WATER = "Level that the veterinarian wants", "Water, and how its volume was found"
LABEL, TWICE = "What the label of the bottle says", "The level once more, where it is far from all that is told of"
EATEN = "May it, or a fish from its water, be eaten?"


def opened(visit, width):
    return visit(width).go("doses", "Doses")


def choose(one, label, option):
    """Picks an option by typing it, as whoever has no hand for the mouse would."""
    box = one.page.get_by_role("combobox", name=label, exact=True)
    box.click()
    box.press_sequentially(option)
    one.page.get_by_role("option", name=option, exact=True).wait_for()
    box.press("Enter")
    one.page.wait_for_timeout(300)
    one.expect(one.page.get_by_role("combobox", name=label, exact=True)).to_have_value(option)
    one.settle()


def fill(one, label, text):
    one.field(label).fill(text)
    one.field(label).press("Tab")
    one.page.wait_for_timeout(300)  # until the server has been told of it
    one.settle()


def work(one, *values):
    """Presses the button until the answer says that it is for these values: a busy server may not have them all yet."""
    said = one.page.get_by_text(re.compile("^For .*" + ".*".join(re.escape(value) for value in values)))
    for _ in range(4):
        one.page.get_by_role("button", name="Work it out").locator("visible=true").click()
        one.page.wait_for_timeout(300)
        one.settle()
        try:
            said.first.wait_for(timeout=8_000)
        except Late:
            continue
        return
    pytest.fail(f"no answer for {values}")


@pytest.mark.parametrize("width", [DESK, PHONE])
def test_a_bath_is_worked_out_with_its_picture_and_its_card(visit, width):
    one = opened(visit, width)
    choose(one, "Use", "induction")
    fill(one, WATER, "40 ± 0 L")
    fill(one, LEVEL, "100 mg/L")
    choose(one, EATEN, "no")
    work(one, "tricaine", "40 ± 0 L", "100 mg/L", "no")
    one.page.get_by_role("heading", name="4 g of tricaine, pure powder").wait_for()  # 100 mg/L x 40 L
    charts = one.page.locator(CHARTS)
    charts.nth(1).wait_for()
    for box in (charts.nth(number).bounding_box() for number in range(2)):
        assert box["width"] > 200
        assert box["height"] > 80
        assert 0 <= box["x"] < box["x"] + box["width"] <= width
    one.page.get_by_text("100 to 200 mg/L (common practice)").first.wait_for()
    assert one.overflow_px() == 0
    with one.page.expect_download() as download:
        one.page.get_by_role("button", name="Card for the tub").click()
    card = download.value.path().read_text(encoding="utf-8")
    assert "☐ 4 g of tricaine, pure powder" in card
    assert "If breathing stops" in card


@pytest.mark.parametrize("width", [DESK, PHONE])
def test_a_level_that_nothing_is_told_of_is_refused_until_it_is_written_twice(visit, width):
    one = opened(visit, width)
    choose(one, "Substance", "praziquantel")
    fill(one, WATER, "200 ± 0 L")
    fill(one, LEVEL, "2 mg/L")
    fill(one, LABEL, "100 mg tablets")
    choose(one, EATEN, "no")
    work(one, "praziquantel", "200 ± 0 L", "2 mg/L", "100 mg tablets", "no")
    one.page.get_by_role("heading", name="⊘ REFUSED: nothing is mixed or drawn up").wait_for()
    one.page.get_by_text("write it a second time").wait_for()
    with one.page.expect_download() as download:
        one.page.get_by_role("button", name="Card that says so").click()
    assert "REFUSED" in download.value.path().read_text(encoding="utf-8")
    fill(one, TWICE, "2 mg/L")
    work(one, "praziquantel", "200 ± 0 L", "2 mg/L", "2 mg/L", "100 mg tablets")
    one.page.get_by_role("heading", name="4 tablets of praziquantel, 100 mg each").wait_for()  # 400 mg
    assert one.page.get_by_role("heading", name="REFUSED").count() == 0
    assert one.overflow_px() == 0


@pytest.mark.parametrize("width", [DESK, PHONE])
def test_an_injection_is_drawn_to_scale(visit, width):
    one = opened(visit, width)
    one.page.get_by_role("tab", name="Into the fish, by weight").click()
    for label, text in (
        ("Drug", "flunixin"),
        ("Dose that the veterinarian chose", "0.5 mg/kg"),
        ("On the vial", "50 mg/mL"),
        ("Weight, and how it was found", "2.4 ± 0 kg"),
    ):
        fill(one, label, text)
    choose(one, "May it be eaten?", "no")
    work(one, "flunixin", "0.5 mg/kg", "50 mg/mL", "2.4 ± 0 kg", "no")
    # 1.2 mg is 0.024 mL of the vial; 1 in 10 is 0.24 mL of 5 mg/mL.
    one.page.get_by_role("heading", name="0.24 mL of 5 mg/mL").wait_for()
    syringe = one.page.locator(CHARTS).locator("visible=true").first
    syringe.wait_for()
    assert syringe.bounding_box()["x"] + syringe.bounding_box()["width"] <= width
    assert one.overflow_px() == 0


def test_the_ledger_of_the_salt_is_a_table_that_fits_a_phone(visit):
    one = opened(visit, PHONE)
    choose(one, "Substance", "salt")
    choose(one, "Use", "prolonged")
    fill(one, WATER, "600 ± 0 L")
    fill(one, LEVEL, "3 g/L")
    one.page.get_by_text("The water, the filter, the bottle's age").click()
    fill(one, "Salt in the water", "0 ± 0 g/L")
    work(one, "salt", "600 ± 0 L", "3 g/L", "0 ± 0 g/L")
    one.page.get_by_role("heading", name="1,800 g of salt").wait_for()
    assert one.page.get_by_role("row").count() == 1 + 3 + 7  # its head, three parts, seven days
    assert one.overflow_px() == 0
