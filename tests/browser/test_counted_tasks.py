"""Eight tasks as a person does them, with the clicks and typed fields that each takes: half of what a first trial took."""

import re

import pytest

from tests.browser.widths import DESK

pytestmark = pytest.mark.browser

# A basin with a flat floor: what the fields of a survey are filled with.
SHORE = "0 0 0.8\n4 0 0.8\n4 3 0.8\n0 3 0.8"
SOUNDINGS = "1 1 0.8\n2 1 0.8\n3 1 0.8\n1 2 0.8\n2 2 0.8\n3 2 0.8"


class Counted:
    """A visit that counts what a person would do: clicks, and fields typed into."""

    def __init__(self, visit):
        self.visit, self.page = visit, visit.page
        self.clicks = self.fields = 0

    def click(self, shown):
        self.clicks += 1
        with self.visit.told():
            shown.click()

    def turn_to(self, title):
        self.clicks += 1
        self.visit.turn_to(title)

    def press(self, name):
        self.click(self.page.get_by_role("button", name=re.compile(f"^{name}")).first)

    def write(self, label, text):
        self.fields += 1
        self.visit.type_into(label, text)

    def choose(self, label, typed):
        """A choice by the first letters of it, which is a click, and counts as a field too; the next field needs no click."""
        box = self.page.get_by_role("combobox", name=label, exact=True)
        if not box.evaluate("box => box === document.activeElement"):
            self.click(box)
        self.fields += 1
        self.page.keyboard.type(typed)
        self.page.get_by_role("option").first.wait_for()
        with self.visit.told():
            self.page.keyboard.press("Enter")

    def says(self, words):
        self.page.get_by_text(re.compile(words)).first.wait_for(timeout=120_000)

    def at_most(self, clicks, fields):
        assert (self.clicks <= clicks, self.fields <= fields) == (True, True), (self.clicks, self.fields)


@pytest.fixture
def in_hand(planned):
    """A planned case on its first page, for the tasks that begin with one."""
    planned(DESK).turn_to("Do now")
    return planned(DESK)


@pytest.mark.slow
def test_a_demo_is_opened_changed_planned_and_saved(visit):
    one = Counted(visit(DESK).go())
    one.choose("An invented case", "heron")
    one.write("Weight of the fish", "0.71 kg, scales")
    one.clicks += 1
    one.visit.make_plan()
    with one.page.expect_download() as saved:
        one.press("Save")
    assert 'weight = "0.71 kg, scales"' in saved.value.path().read_text(encoding="utf-8")
    one.at_most(clicks=3, fields=2)


@pytest.mark.slow
def test_from_an_empty_case_to_a_tank(visit):
    one = Counted(visit(DESK).go())
    one.turn_to("Hospital")
    one.choose("Species", "koi")
    one.write("Weight of the fish", "2.4 kg")
    one.write("Temperature", "18 °C")
    one.press("Lay out the tank")
    one.says("^Target values")
    one.at_most(clicks=10, fields=5)


@pytest.mark.longer
def test_the_sums_of_oxygen_salt_iodine_and_soundings(opened):
    opened(DESK).turn_to("Do now")
    oxygen = Counted(opened(DESK))
    oxygen.turn_to("Quick sums")
    oxygen.click(oxygen.page.get_by_text("Oxygen that the water can hold"))
    oxygen.write("Temperature", "18 ± 0 °C")
    oxygen.write("Altitude", "640 ± 0 m")
    oxygen.says("saturation")
    oxygen.at_most(clicks=3, fields=2)

    opened(DESK).turn_to("Do now")
    salts = Counted(opened(DESK))
    salts.turn_to("Quick sums")
    salts.click(salts.page.get_by_role("radio", name="Salt", exact=True))
    salts.write("Level that the vet wants", "2 g/L")
    salts.write("Litres, and how they were found", "200 ± 0 L")
    salts.write("Salt", "0 ± 0 g/L")
    salts.choose("Species", "koi")
    salts.says("Put 400 g of salt")
    salts.click(salts.page.get_by_role("radio", name="Iodine", exact=True))
    salts.write("Litres, and how they were found", "2 ± 0 L")
    salts.says("20 mL of povidone-iodine")
    salts.at_most(clicks=3, fields=5)

    opened(DESK).turn_to("Do now")
    survey = Counted(opened(DESK))
    survey.turn_to("Volume")
    survey.choose("Unit of length of all rows", "m")
    survey.write("The shore of a free outline in order, x y", SHORE)
    survey.write("Soundings, x y depth (needed)", SOUNDINGS)
    survey.press("Work out the volume")
    survey.says("^9,600 L$")  # 4 m by 3 m, 0.8 m deep at every place
    survey.at_most(clicks=3, fields=4)


def what_if_of(in_hand):
    """The what-ifs of the hospital tank, two clicks from anywhere."""
    one = Counted(in_hand)
    one.turn_to("Hospital")
    one.click(one.page.get_by_text("What if", exact=True))
    return one


@pytest.mark.slow
def test_a_tank_is_sized_by_its_litres(in_hand):
    one = what_if_of(in_hand)
    one.write("Litres", "300 L")
    one.says("^Lowest oxygen")
    one.at_most(clicks=3, fields=1)


@pytest.mark.slow
def test_the_pump_stops_or_a_change_is_missed(in_hand):
    one = what_if_of(in_hand)
    one.click(one.page.get_by_role("radio", name="the air pump", exact=True))
    one.says("^Alarm level of oxygen")
    one.at_most(clicks=3, fields=0)
    one.click(one.page.get_by_role("radio", name="the water changes", exact=True))
    one.says("^Highest toxic ammonia")


def test_the_owners_page_is_printed_from_wherever_one_is(in_hand):
    in_hand.turn_to("Sources")
    one = Counted(in_hand)
    one.turn_to("Do now")
    with one.page.expect_download(timeout=60_000) as paper:
        one.press("Owner's page")
    assert paper.value.suggested_filename == "owner.html"
    one.at_most(clicks=2, fields=0)
