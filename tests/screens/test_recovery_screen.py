"""The page of the recovery and the hospital tank, as a person goes through it."""

import tomllib
from html import unescape

import pytest
from streamlit.testing.v1 import AppTest

from tests.plans import DEMO_PONDS, DEMOS, HOSTILE, METRIC, SMALLEST
from tests.screens.running import app, checked, field, open_demo, press, texts
from waterplan.first_plan.first_case.reading import read_case
from waterplan.first_plan.first_case.writing import document_to_text
from waterplan.first_plan.whole import plan
from waterplan.papers.sheet import TITLES, sheet


def plan_of(test):
    return test.session_state["draft"].plan


def test_an_empty_page_asks_for_a_case_and_shows_no_plan():
    test = app()
    assert [title.value for title in test.title] == ["Recovery and hospital tank"]
    assert plan_of(test) is None
    assert test.get("vega_lite_chart") == []
    assert "it does not prescribe" in texts(test)


def test_an_empty_form_gets_its_mistakes_beside_their_fields():
    test = press(app(), "Make the plan")
    assert plan_of(test) is None
    told = [mistake.where for mistake in test.session_state["draft"].mistakes]
    assert {"patient.species", "patient.weight", "vessels[1].name", "vessels[1].use"} <= set(told)
    errors = [error.value for error in test.error]
    assert sum(error.startswith("Read ") for error in errors) == len(told) == 5
    assert any(tab.label == "Fish (put right)" for tab in test.tabs)
    assert any(tab.label == "Tubs (put right)" for tab in test.tabs)
    assert not any(tab.label == "Water (put right)" for tab in test.tabs)


@pytest.mark.parametrize("name", DEMOS)
def test_a_demo_is_opened_planned_and_shown(name):
    test = press(open_demo(app(), name), "Make the plan")
    plan = plan_of(test)
    assert plan.case.patient == read_case(DEMO_PONDS / f"{name}.toml").patient
    assert len(test.get("vega_lite_chart")) == 3
    assert [tab.label for tab in test.tabs if tab.label in TITLES.values()] == list(TITLES.values())
    said = unescape(texts(test))
    for finding in plan.findings:
        assert finding.title in said
    assert str(plan.finding("saturation").verdict) in said


def test_the_screen_shows_what_the_command_prints():
    test = press(open_demo(app(), "hooked_tench"), "Make the plan")
    expected = plan(read_case(DEMO_PONDS / "hooked_tench.toml"))
    shown = {line.key: line.answer for part in sheet(plan_of(test), METRIC).parts for line in part.lines}
    assert shown == {line.key: line.answer for part in sheet(expected, METRIC).parts for line in part.lines}


def test_nothing_is_planned_before_the_button():
    test = open_demo(app(), "heron_goldfish")
    assert plan_of(test) is None
    assert test.get("vega_lite_chart") == []


def test_an_edit_changes_no_plan_until_the_button_and_the_page_says_so():
    test = press(open_demo(app(), "heron_goldfish"), "Make the plan")
    before = plan_of(test)
    assert "edited after" not in texts(test)
    field(test, "patient", "weight").input("0.9 kg, scales")
    checked(test.run())
    assert plan_of(test) is before
    assert any("edited after this plan was made" in warning.value for warning in test.warning)
    test = press(test, "Make the plan")
    assert plan_of(test).case.patient.weight.measured.best == 0.9
    assert not any("edited after" in warning.value for warning in test.warning)


def test_a_half_typed_number_takes_the_old_plan_away_only_by_the_button_and_is_told_beside_its_field():
    test = press(open_demo(app(), "heron_goldfish"), "Make the plan")
    field(test, "patient", "length").input("31")
    checked(test.run())
    assert plan_of(test) is not None
    test = press(test, "Make the plan")
    assert plan_of(test) is None
    assert [(one.where, one.read) for one in test.session_state["draft"].mistakes] == [("patient.length", "'31'")]
    # Once beside the field, and once in the list at the end.
    assert sum("Read '31'" in error.value.replace("\\", "") for error in test.error) == 1
    assert "patient.length" in texts(test).replace("\\", "")
    field(test, "patient", "length").input("31 cm, tape")
    test = press(checked(test.run()), "Make the plan")
    assert plan_of(test) is not None
    assert not any("Read" in error.value for error in test.error)


def test_units_are_the_readers_choice_and_change_no_plan():
    test = press(open_demo(app(), "hooked_tench"), "Make the plan")
    plan = plan_of(test)
    assert "14,000 L" in texts(test)
    test = checked(test.radio(key="units").set_value("us").run())
    assert plan_of(test) is plan
    # 14,000 L over 3.785411784 L.
    assert "3,698 US gal" in texts(test)
    assert "14,000 L" not in texts(test)


def test_a_tub_is_added_and_taken_away():
    test = open_demo(app(), "orfe_in_a_heatwave")
    test = press(test, "Add one", 1)
    assert test.session_state["draft"].counts["vessels"] == 4
    field(test, "vessels[4]", "name").input("wading bin")
    field(test, "vessels[4]", "use").select("irrigation")
    field(test, "vessels[4]", "volume").input("40 L, marked tub")
    test = press(checked(test.run()), "Make the plan")
    assert [vessel.name for vessel in plan_of(test).case.vessels] == ["bucket", "paddling pool", "barrel", "wading bin"]
    test = press(test, "Remove the last", 1)
    test = press(test, "Make the plan")
    assert [vessel.name for vessel in plan_of(test).case.vessels] == ["bucket", "paddling pool", "barrel"]


def test_all_tubs_taken_away_is_a_mistake_and_no_crash():
    test = open_demo(app(), "sturgeon_fin")
    for _ in range(2):
        test = checked(test.button(key="drop vessels").click().run())
    test = press(test, "Make the plan")
    # The dose that was meant for one of them has no water any more.
    assert [mistake.where for mistake in test.session_state["draft"].mistakes] == ["vessels", "doses[1].into"]


def test_another_case_brings_none_of_the_last_ones_fields():
    test = press(open_demo(app(), "heron_goldfish"), "Make the plan")
    test = open_demo(test, "orfe_in_a_heatwave")
    assert plan_of(test) is None
    assert field(test, "patient", "name").value == "Sliver"
    assert field(test, "patient", "weight").value == ""
    assert field(test, "mains_water", "chlorine").value == ""


@pytest.mark.parametrize("name", DEMOS)
def test_what_is_saved_is_the_case_that_was_opened(name):
    test = open_demo(app(), name)
    case = read_case(DEMO_PONDS / f"{name}.toml")
    again = press(test, "Make the plan").session_state["draft"]
    assert again.plan.case.vessels == case.vessels
    assert again.plan.case.home_water == case.home_water
    assert again.plan.case.intended == case.intended
    assert again.planned == tomllib.loads(document_to_text(again.planned))
    assert any(button.proto.label == "Save the case (TOML)" for button in test.get("download_button"))


# --- a file that is handed over: the function behind the button ----------------------------------------------------------


def _open_handed_over():
    import streamlit as st

    from waterplan.screens import recovery

    if "handed over" in st.session_state:
        recovery.open_file(*st.session_state.pop("handed over"))
    recovery.page()


def opened(content, name="mine.toml"):
    test = AppTest.from_function(_open_handed_over, default_timeout=60)
    test.session_state["handed over"] = (name, content)
    return checked(test.run())


def test_a_file_of_ones_own_is_opened_under_its_name():
    test = opened(SMALLEST.encode())
    assert test.session_state["draft"].name == "mine.toml"
    test = press(test, "Make the plan")
    assert plan_of(test).case.patient.species == "koi"


@pytest.mark.parametrize(
    ("content", "words"),
    [(b"patient: koi", "not TOML"), (b"\xff\xfe", "not UTF-8"), (b"[patient", "not TOML")],
)
def test_a_file_that_is_no_case_is_named_and_leaves_the_open_one(content, words):
    test = opened(content)
    (error,) = test.error
    assert words in error.value.replace("\\", "")
    assert "mine.toml" in error.value.replace("\\", "")
    assert test.session_state["draft"].name == "case.toml"


def test_what_no_field_can_hold_is_told_at_once():
    text = SMALLEST.replace('"koi"', '"unicorn"').replace("weight", "wieght") + "[moat]\ndepth = '2 m'\n"
    test = opened(text.encode())
    told = {mistake.where: mistake.read for mistake in test.session_state["draft"].mistakes}
    assert told["patient.species"] == "'unicorn'"
    assert told["patient.wieght"] == "an unknown key"
    assert told["moat"] == "an unknown section"
    assert "unicorn" in texts(test)


def test_what_a_file_says_is_shown_as_written_and_not_as_markdown():
    test = press(opened(HOSTILE.encode()), "Make the plan")
    (header,) = test.header
    assert header.value == r"Water plan for \<script\>alert\(1\)\</script\>"
    html = "\n".join(element.proto.body for element in test.get("html"))
    assert "<script" not in html
    assert "<img" not in html


def test_a_mistake_that_holds_a_picture_loads_none():
    test = opened(SMALLEST.replace("1.1 kg, scales", "![x](http://192.0.2.1/x.png)").encode())
    for said in (*(error.value for error in test.error), *(one.value for one in test.markdown)):
        assert "![" not in said.replace(r"\!\[", "")
