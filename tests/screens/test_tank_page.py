"""The set-up of the tank on its moment's page: drawn and listed for the fish in hand, also from an empty case; what if."""

import re

import pytest

from tests.screens.running import checked, downloads, fill, page, planned, press, texts, widget
from waterplan.plan.what_if import told
from waterplan.screens import draft
from waterplan.screens.answers import Answer
from waterplan.words.speaker import Speaker, capital

HOSPITAL = '__import__("waterplan.stay.record").stay.record.Moment.HOSPITAL'
GIVEN = {
    "0/patients[1].species": "koi",
    "0/patients[1].weight": "2.4 ± 0 kg",
    "0/home_water.temperature": "18 °C",
}


def moment(**state):
    return page("plan_pages.moment", HOSPITAL, **state)


@pytest.mark.longer
def test_from_species_weight_and_temperature_alone_the_tank_that_would_do_is_laid_out():
    test = moment(draft=draft.Draft(texts=GIVEN))
    assert "Which hospital tank would do" in [one.value for one in test.header]
    html = texts(press(test, "lay out"))
    assert html.count('<img class="drawn" src="data:image/svg+xml;base64,') == 2
    # What it shows is told in words as well: the fish, its room, the litres of the tank, what was assumed.
    assert re.search(r'alt="the hospital tank, [\d.]+ m long', html)
    for words in ("Target values", "At a glance", "values were assumed", "Measure next"):
        assert words in html
    # A field changed since: what stands there is old, and says so.
    test = checked(widget(test, "0/patients[1].weight").input("1.2 kg").run())
    assert "was 2.4 ± 0 kg, now 1.2 kg" in texts(test).replace("\\", "")


def test_without_weight_or_length_the_field_says_so():
    test = moment(draft=draft.Draft(texts={"0/patients[1].species": "koi"}))
    test = press(test, "lay out")
    assert any("give a weight or a length" in one.value for one in [*test.error, *test.markdown])


@pytest.mark.longer
def test_what_if_shows_both_and_is_no_plan_to_print():
    test = press(moment(draft=draft.Draft(texts=GIVEN)), "lay out")
    assert "if so" not in texts(test)
    test = fill(test, {"litres": "300 L", "air": "6 L/min"}, "quick/what if/hospital-1/")
    told = texts(test)
    head, *rows = (re.findall("<t[dh]>(.*?)</t[dh]>", row) for row in told.partition("if so")[2].split("<tr>"))
    assert head == []
    assert any(planned != so for _, planned, so in rows)
    # In words too, with the very figures of the table.
    hour = r", [\d.]+ h after the fish goes in"
    (lowest,) = (row for row in rows if row[0] == "Oxygen, lowest")
    planned_so, so = map(re.escape, lowest[1:])
    assert re.search(f"Lowest oxygen {so}{hour}; as planned: {planned_so}{hour}", told)
    assert set(downloads(test)) == {"Save"}  # the case, and no paper
    assert "never printed as the plan" in texts(test)
    # What cannot be read is told, and nothing falls over.
    assert any("lots" in one.value for one in fill(test, {"litres": "lots"}, "quick/what if/hospital-1/").error)


def test_what_if_says_in_words_that_a_change_makes_no_difference_and_only_then():
    test = press(moment(draft=draft.Draft(texts=GIVEN | {"0/intended.days": "2 days"})), "lay out")
    # 2.4 kg are 2,400 g, written otherwise; 4.8 kg breathe and give off more.
    said = "makes no difference here"
    assert said in texts(fill(test, {"weight": "2400 ± 0 g"}, "quick/what if/hospital-1/"))
    assert said not in texts(fill(test, {"weight": "4.8 ± 0 kg"}, "quick/what if/hospital-1/"))


def test_an_old_plans_tank_is_grey_too_and_has_no_what_if():
    html = texts(moment(answer_case=planned(old=True)))
    assert html.count("Out of date") == 2  # in the bar, and over the answer
    assert isinstance(planned(), Answer)
    assert "never printed as the plan" not in html


LOG = """taken,water,what,reading
2026-05-18T09:00,tank,temperature,"25 °C, thermometer"
2026-05-18T09:00,tank,oxygen,"7 mg/L, oxygen meter"
"""
IN_HAND = {
    "patients[1].species": "koi",
    "patients[1].weight": "2.3 kg, scales",
    "place.altitude": "200 m, map",
    "home_water.taken": "2026-05-16T08:00",
    "home_water.temperature": "16 °C, thermometer",
    "vessels[1].name": "tank",
    "vessels[1].use": "hospital",
    "vessels[1].volume": "900 L, marked tub",
    "vessels[1].taken": "2026-05-16T08:00",
    "vessels[1].temperature": "16 °C, thermometer",
    "intended.operation_at": "2026-05-16T10:00",
    "intended.days": "5 days",
    ".as_of": "2026-05-18T10:00",
}


def test_as_planned_is_the_plan_in_hand_with_its_readings_and_its_time():
    texts_ = {f"0/{key}": text for key, text in IN_HAND.items()}
    open_case = draft.Draft(texts=texts_, counts={"patients": 1, "vessels": 1}, log=LOG, log_name="log.csv")
    test = press(moment(draft=open_case), "make")
    plan = test.session_state["answer case"].plan
    assert plan.made.as_of is not None
    assert plan.read
    html = texts(fill(test, {"weight": "2.4 kg"}, "quick/what if/hospital-1/"))
    found = html.rpartition("if so")[2].partition("</table>")[0]
    rows = [re.findall("<t[dh]>(.*?)</t[dh]>", row) for row in found.split("<tr>")[1:]]
    spoken, own = Speaker(plan), told(plan, "hospital-1")
    named = {capital(spoken.figure_name(name)): spoken.figure(path) for name, path in own.items()}
    assert {name: planned_so for name, planned_so, _ in rows} == named
    assert "25 °C" in named["Temperature, farthest"]
