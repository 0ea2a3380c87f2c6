"""The page of the case, as a person goes through it: open, edit, put right, save."""

import tomllib
from dataclasses import replace

import pytest
from streamlit.testing.v1 import AppTest

from tests.demos import DEMO_PONDS, DEMOS, HOSTILE, SMALLEST, longer_but_for
from tests.screens.running import (
    app,
    checked,
    downloads,
    field,
    open_demo,
    open_drawer,
    page,
    press,
    started,
    texts,
    turn_to,
)
from waterplan.case import read_case, write_case
from waterplan.screens import draft


def plan_of(test):
    kept = test.session_state["answer case"]
    return kept.plan if kept else None


def mistakes_of(test):
    kept = test.session_state["answer case"]
    return [one.where for one in kept.mistakes] if kept else []


def test_an_empty_form_gets_its_mistakes_beside_their_fields():
    test = page("case_form")
    field(test, "patients[1]", "species").select("koi")
    test = press(press(turn_to(test, "Tubs"), "add vessels"), "make")
    assert plan_of(test) is None
    told = mistakes_of(test)
    assert {"vessels[1].name", "vessels[1].use"} <= set(told)
    beside = [one.value for one in test.error if one.value.startswith("Read ")]
    assert len(beside) == len(told)
    assert "To put right on: Tubs." in texts(test)


def test_nothing_is_planned_before_the_button():
    test = open_demo(app(), "heron_goldfish")
    assert plan_of(test) is None


def test_an_edit_changes_no_plan_until_the_button_and_the_page_says_so():
    test = press(open_demo(page("case_form"), "goldfish_recheck"), "make")
    before = plan_of(test)
    assert "Out of date" not in texts(test)
    field(test, "patients[1]", "name").input("Mossy")
    checked(test.run())
    assert plan_of(test) is before
    assert "Out of date" in texts(test)
    test = press(test, "make")
    assert plan_of(test).title["patient"] == "Mossy"
    assert "Out of date" not in texts(test)


def test_the_tab_that_was_open_stays_open_when_a_plan_is_made_and_another_case_begins_at_its_fish():
    test = press(turn_to(open_demo(page("case_form"), "well_and_new_fish"), "Pond and place"), "make")
    assert field(test, "home_pond", "volume") is not None
    again = open_demo(test, "ordinary_goldfish")
    assert field(again, "patients[1]", "weight") is not None


def test_what_is_written_in_sentences_has_a_box_that_grows_and_a_name_has_one_of_one_line():
    test = open_demo(page("case_form"), "ordinary_goldfish")
    kinds = {name: field(test, "patients[1]", name).type for name in ("done", "name")}
    assert kinds == {"done": "text_area", "name": "text_input"}


def test_a_half_typed_number_is_told_beside_its_field():
    test = open_demo(page("case_form"), "goldfish_recheck")
    field(test, "patients[1]", "length").input("31")
    test = press(checked(test.run()), "make")
    assert plan_of(test) is None
    assert mistakes_of(test) == ["patients[1].length"]
    assert sum(one.value.replace("\\", "").startswith("Read '31'") for one in test.error) == 1
    assert "Length of the fish (Patient 1)" in texts(test)


def test_a_tub_is_added_and_taken_away():
    test = turn_to(open_demo(page("case_form"), "orfe_in_a_heatwave"), "Tubs")
    count = test.session_state["draft"].counts["vessels"]
    test = press(test, "add vessels")
    assert test.session_state["draft"].counts["vessels"] == count + 1
    added = f"vessels[{count + 1}]"
    # Only the new one is open, so that four tubs cost what one does; closed, it keeps what was typed, and is called by it.
    assert {one.key.partition(".")[0] for one in test.text_input if "/vessels[" in one.key} == {f"1/{added}"}
    field(test, added, "name").input("wading bin")
    checked(test.run())
    open_drawer(test, added, is_open=False)
    assert any("wading bin" in one.label for one in test.expander)
    assert not any("/vessels[" in one.key for one in test.text_input)
    open_drawer(test, added)
    assert field(test, added, "name").value == "wading bin"
    test = press(test, "drop vessels")
    assert not any("wading bin" in one.label for one in test.expander)


def test_another_case_brings_none_of_the_last_ones_fields():
    test = open_demo(page("case_form"), "heron_goldfish")
    test = open_demo(test, "orfe_in_a_heatwave")
    assert field(test, "patients[1]", "name").value == "Sliver"
    assert field(test, "patients[1]", "weight").value == ""


def _document():
    import streamlit as st

    from waterplan.screens import case_form, draft, planning

    draft.keep_fields()
    case_form.page()
    st.session_state["saved"] = planning.document()


@pytest.mark.parametrize("name", longer_but_for(("heron_goldfish", "night_call"), DEMOS))
def test_what_is_saved_is_the_case_that_was_opened(name):
    test = open_demo(started(AppTest.from_function(_document, default_timeout=60)), name)
    saved = test.session_state["saved"]
    case, again = read_case(DEMO_PONDS / f"{name}.toml"), read_case(write_case(saved))
    assert again.model_copy(update={"file": case.file}) == case
    assert saved == tomllib.loads(write_case(saved))


def test_no_file_is_written_before_it_is_asked_for(monkeypatch):
    written = []
    monkeypatch.setattr("waterplan.screens.case_form.write_case", lambda case: written.append(case) or "")
    test = page("case_form", draft=draft.Draft(texts={"0/patients[1].weight": "2.4 kg"}))
    assert downloads(test) == {"Save": False, "Save the case (TOML)": False}
    assert written == []


# --- a file that is handed over: the function behind the button ----------------------------------------------------------


def _open_handed_over():
    import io

    import streamlit as st

    from waterplan.screens import case_bar, case_form, draft, field

    draft.keep_fields()
    case_bar.case_bar()
    if "handed over" in st.session_state:
        name, content = st.session_state.pop("handed over")
        st.session_state["file"] = io.BytesIO(content)
        st.session_state["file"].name = name
        field.hand_over("file", case_form.open_file, "case", 1)
    case_form.page()


def opened(content, name="mine.toml"):
    return started(AppTest.from_function(_open_handed_over, default_timeout=60), handed_over=(name, content))


def test_a_file_of_ones_own_is_opened_under_its_name():
    test = opened(SMALLEST.encode())
    assert test.session_state["draft"].name == "mine.toml"
    assert field(test, "patients[1]", "species").value == "koi"
    assert mistakes_of(test) == []


@pytest.mark.parametrize(
    ("content", "words"),
    [(b"patient: koi", "write a heading"), (b"\xff\xfe", "UTF"), (b"a = [1,", "close it")],
)
def test_a_file_that_is_no_case_is_named_and_leaves_the_open_one(content, words):
    test = opened(content)
    assert words in texts(test)
    assert "mine.toml" in texts(test)
    assert test.session_state["draft"].name == draft.Draft().name


def test_what_no_field_can_hold_is_told_at_once():
    text = SMALLEST.replace('"koi"', '"unicorn"').replace("weight", "wieght") + "[moat]\ndepth = '2 m'\n"
    test = opened(text.encode())
    assert {"patients[1].species", "patients[1].wieght", "moat"} <= set(mistakes_of(test))
    assert "unicorn" in texts(test)
    # It stays in its field, to be seen and changed.
    assert field(test, "patients[1]", "species").value == "unicorn"


def test_a_section_given_twice_that_stands_once_is_told_and_opens_all_the_same():
    test = opened((SMALLEST + "[[home_pond]]\nname = 'a'\n[[home_pond]]\n").encode())
    assert any(where.startswith("home_pond") for where in mistakes_of(test))


def test_what_a_file_says_is_shown_as_written_and_not_as_markdown():
    test = opened(HOSTILE.encode())
    for one in test.expander:
        assert "<script" not in one.label.replace("\\<", "")
    for said in (*(error.value for error in test.error), *(one.value for one in test.markdown)):
        assert "![" not in said.replace(r"\!\[", "")
    assert "<script" not in "".join(element.proto.body for element in test.get("html"))


def test_readings_that_cannot_be_read_are_told():
    test = opened(SMALLEST.encode())
    test.session_state["draft"] = __import__("dataclasses").replace(
        test.session_state["draft"], log="taken,water,what,reading\nyesterday,blue tub,ph,7\n", log_name="log.csv"
    )
    test = press(checked(test.run()), "make")
    assert plan_of(test) is None
    assert mistakes_of(test)


def test_a_list_of_what_is_wrong_names_the_water_of_each():
    """The pond and the tap have the same keys: two lines that read alike would not say which field to turn to."""
    test = page("case_form")
    for section in ("home_water", "mains_water"):
        draft_of = test.session_state["draft"]
        test.session_state["draft"] = replace(draft_of, texts=draft_of.texts | {f"0/{section}.temperature": "200 °C"})
    test = press(checked(test.run()), "make")
    listed = [one.value for one in test.markdown if "Read '200 °C" in one.value.replace("\\", "")]
    assert len(listed) == len(set(listed)) == 2
    assert all(any(name in one for one in listed) for name in ("home pond", "tap water"))


def test_a_species_is_found_by_its_other_names():
    options = field(page("case_form"), "patients[1]", "species").options
    assert [one for one in options if "ghost" in one] == ["koi (also ghost carp, ghost koi, nishikigoi)"]
