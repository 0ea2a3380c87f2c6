"""The hospital sheet and the page for when something fails: what they say, and that they agree with the plan."""

import re

import pytest

from tests.papers.looking import Page
from tests.plans import DEMO_PONDS, DEMOS, METRIC, SMALLEST, US, days_of, demo_plan, plan_of
from waterplan.first_plan.tank_ahead import Ahead
from waterplan.papers.tank_papers import contingency_page, hospital_page, ledger
from waterplan.papers.write import plan_page


def hospital(plan, display=METRIC):
    return Page(hospital_page(plan, days_of(plan), display)).text


def failing(plan, display=METRIC):
    return Page(contingency_page(plan, display)).text


def grams(cell):
    return float(cell.replace(",", "").removesuffix(" g") or 0)


@pytest.mark.parametrize("case", DEMOS)
def test_the_ledger_adds_up_line_by_line_as_printed(case):
    course = days_of(demo_plan(case)).course
    lines = ledger(course, METRIC)
    holds = grams(lines[0][4])
    for _, _, into, out, now, _ in lines[1:]:
        holds += grams(into) - grams(out)
        # Three figures rounded to the gram: each may be half a gram off, and so on from line to line.
        assert grams(now) == pytest.approx(holds, abs=1.6)
        holds = grams(now)


def test_a_us_ledger_is_in_one_unit():
    lines = ledger(days_of(demo_plan("heron_goldfish")).course, US)
    metric = ledger(days_of(demo_plan("heron_goldfish")).course, METRIC)
    assert {cell.split()[1] for line in lines for cell in line[2:5] if cell} == {"oz"}
    # 28.349523125 g to the ounce; grams are told to half a gram, ounces to a twentieth.
    assert float(lines[0][4].split()[0]) == pytest.approx(grams(metric[0][4]) / 28.349523125, abs=0.07)


def test_the_sheet_says_the_days_work():
    plan = demo_plan("heron_goldfish")
    text = hospital(plan)
    for words in (
        "Hospital sheet: Copper",
        "hospital tank",
        f"{METRIC.number(plan.pictures.sheet.change_l, 'L')} each day at 10:00",
        "2 g/L wanted",
        "10 h at the most",
        "Thu 14 May, 22:00",
        "under 5 mg/L",
        "under 3 mg/L",
        "under 18 °C or over 26 °C",
        "changed by over 2 °C in a day",
        "Gasping",
    ):
        assert words in text, words


def test_the_rounds_of_the_sheet_are_those_of_the_steps():
    plan = demo_plan("heron_goldfish")
    rounds = plan.pictures.sheet.rounds
    twice = [round_ for round_ in rounds if round_.hours < 72.0]
    assert all({"temperature", "oxygen"} <= round_.due for round_ in twice)  # twice a day for three days
    later = [round_ for round_ in rounds if round_.hours >= 72.0]
    assert all(("oxygen" in round_.due) is not round_.late for round_ in later)  # then daily
    assert all("ammonia" in round_.due for round_ in rounds)  # twice a day without a working filter
    assert rounds[-1].hours <= 7 * 24.0
    # From 10:00 on the first day the evening is the first round, then 06:00 of the next.
    assert [round_.hours for round_ in rounds[:3]] == [8.0, 20.0, 32.0]


def test_salt_that_is_refused_is_not_wanted_on_the_sheet():
    text = hospital(demo_plan("sturgeon_fin"))
    assert "none: what was intended is refused" in text
    assert "g/L wanted" not in text


def test_what_the_course_passes_stands_on_the_sheet_of_a_tank_that_fails():
    assert "Dissolved oxygen under 4 mg/L (emergency)" in hospital(demo_plan("sturgeon_fin"))


def test_food_is_weighed_for_each_meal():
    text = (DEMO_PONDS / "heron_goldfish.toml").read_text(encoding="utf-8")
    fed = plan_of(text.replace('feed = "0 %/day"', 'feed = "0.5 %/day"'))
    # 0.5 % of 620 g in two meals.
    assert "2 meals a day of 1.55 g" in Page(hospital_page(fed, Ahead(why_not="not asked"), METRIC)).text
    assert "2 meals" not in hospital(demo_plan("heron_goldfish"))


def test_a_us_sheet_weighs_in_ounces():
    plan = demo_plan("heron_goldfish")
    text = hospital(plan, US)
    # 3.785411784 L to the US gallon; 2 °C are 3.6 °F.
    assert f"{plan.pictures.sheet.change_l / 3.785411784:.3g} US gal each day" in text
    assert "changed by over 3.6 °F in a day" in text
    # Thiosulphate is weighed in grams everywhere; the salt of a tank is not.
    assert not re.search(r"\d k?g(?![/\w])(?! of thiosulphate)", text)


def test_without_a_hospital_tank_the_sheet_says_what_to_give():
    assert 'use = "hospital"' in hospital(plan_of(SMALLEST))


def test_without_a_course_the_sheet_says_why():
    text = Page(hospital_page(demo_plan("heron_goldfish"), Ahead(why_not="Give the pH."), METRIC)).text
    assert "No ledger. Give the pH." in text


@pytest.mark.parametrize("case", DEMOS)
def test_the_page_for_failures_gives_each_tub_the_plans_short_end(case):
    plan, text = demo_plan(case), failing(demo_plan(case))
    for vessel in plan.case.vessels:
        low = plan.finding(f"emergency: {vessel.name}").low
        whole = float(int(low))
        shown = "at once" if low < 1.0 else METRIC.number(whole, "min")
        assert re.search(rf"^{re.escape(shown)}$", text, flags=re.MULTILINE), (vessel.name, shown)


def test_the_shortest_tub_comes_first():
    text = failing(demo_plan("heron_goldfish"))
    names = ("reservoir", "white basin", "blue tub", "hospital tank")
    assert [text.index(f"\n{name}\n") for name in names] == sorted(text.index(f"\n{name}\n") for name in names)


def test_each_failure_says_what_comes_first():
    text = failing(demo_plan("heron_goldfish"))
    for words in ("The air stops", "The power fails", "The heater sticks on", "The bag is opened"):
        assert words in text
    for words in ("Battery pump or oxygen on", "Pull its plug", "no air stone in its water"):
        assert words in text
    assert "from 21 °C to 26 °C with 300 W stuck on" in text


def test_a_case_without_heater_bag_or_tank_still_has_its_page():
    text = failing(plan_of(SMALLEST))
    assert "No time can be told: no heater is named" in text
    assert "The case does not say how the fish travels." in text


def test_a_plan_whose_course_cannot_be_made_says_why():
    text = Page(plan_page(plan_of(SMALLEST), METRIC)).text
    assert "No course of the tank: Give" in text


def test_an_event_that_cannot_be_is_named_with_its_time():
    text = (DEMO_PONDS / "heron_goldfish.toml").read_text(encoding="utf-8")
    wrong = text.replace('what = "fish handled"', 'what = "water change"\nvolume = "5000 L, marked tub"')
    days = days_of(plan_of(wrong))
    assert days.course is None
    assert days.why_not.startswith("Water change at 2026-05-17 11:00: ")
