"""One case in hand: the bar on every page, what an old answer says, what stays, what is asked before it is overwritten."""

import pytest

from tests.screens.running import (
    FEW,
    app,
    checked,
    downloads,
    field,
    fill,
    open_demo,
    page,
    planned,
    press,
    texts,
    widget,
)
from waterplan.screens import answers, draft
from waterplan.screens.answers import Answer

PAGES = ("plan_pages.first", "case_form", "call", "volume", "doses", "quick_sums", "sources")


@pytest.mark.parametrize("name", PAGES)
def test_every_page_names_the_fish_and_that_nothing_is_saved(name):
    typed = {"0/patients[1].name": "Bramble", "0/patients[1].species": "koi", "0/patients[1].weight": "2.4 kg"}
    test = page(name, draft=draft.Draft(texts=typed | {"0/home_water.temperature": "17 °C", "0/.invented": "yes"}))
    said = texts(test)
    for words in ("Bramble", "koi", "2.4 kg", "17 °C", "INVENTED", "not saved"):
        assert words in said


def test_a_saved_case_is_not_called_unsaved():
    test = open_demo(app(), "hooked_tench")
    assert "number 4" in texts(test)
    assert "not saved" not in texts(test)


def test_an_old_answer_says_which_field_changed_from_what_to_what():
    typed = {"0/patients[1].weight": "0.24 kg"}
    kept = Answer(given=planned().given | {"patients[1]": "", "patients[1].weight": "2.4 kg"}, plan=planned().plan)
    for name in ("plan_pages.first", "plan_pages.moment"):
        given = '__import__("waterplan.stay.record").stay.record.Moment.PROCEDURE' if name.endswith("moment") else ""
        said = texts(page(name, given, answer_case=kept, draft=draft.Draft(texts=typed)))
        assert "Weight of the fish (Patient 1): was 2.4 kg, now 0.24 kg" in said
        assert "Out of date" in said


def test_a_wrong_field_leaves_the_last_plan_and_its_mistake_goes_with_the_next_edit():
    weight = "2.4 kg"
    kept = Answer(given=planned().given | {"patients[1]": "", "patients[1].weight": weight}, plan=planned().plan)
    test = page("case_form", answer_case=kept, draft=draft.Draft(texts={"0/patients[1].weight": weight}))
    field(test, "patients[1]", "weight").input("heavy")
    test = press(checked(test.run()), "make")
    after = test.session_state["answer case"]
    assert after.plan is planned().plan or after.plan == kept.plan
    assert [one.where for one in after.mistakes] == ["patients[1].weight"]
    assert any("heavy" in one.value for one in test.error)
    field(test, "patients[1]", "weight").input("2.5 kg")
    checked(test.run())
    assert not any("heavy" in one.value for one in test.error)
    assert "Out of date" in texts(test)
    # What the plan was made of once more: it is of now again.
    field(test, "patients[1]", "weight").input(weight)
    checked(test.run())
    assert "Out of date" not in texts(test)


def test_a_question_stands_before_what_was_typed_is_overwritten():
    test = page("case_form")
    field(test, "patients[1]", "name").input("Bramble")
    test = open_demo(checked(test.run()), "hooked_tench")
    assert "would overwrite it" in texts(test)
    assert field(test, "patients[1]", "name").value == "Bramble"
    test = press(test, "keep typed")
    assert "would overwrite it" not in texts(test)
    assert field(test, "patients[1]", "name").value == "Bramble"
    test = press(press(test, "new case"), "overwrite typed")
    assert field(test, "patients[1]", "name").value == ""
    assert "No case in hand" in texts(test)


def test_an_empty_case_has_no_tub():
    test = page("case_form")
    assert "vessels" not in test.session_state["draft"].counts


SALT = {
    "salt": "1 ± 0 kg",
    "purity": "99.5 ± 0 %",
    "reads": "salinity in g/L",
    "reads_to": "0.002",
    "before": "inlet 0.1",
    "after": "inlet 3 0.3",
}


def test_the_same_survey_goes_into_the_case_once_and_the_case_and_water_are_named():
    test = page("volume", draft=draft.Draft(texts={"0/patients[1].name": "Bramble"}))
    checked(widget(test, "quick/volume/by").select("tracer").run())
    test = press(fill(test, SALT, "quick/volume/"), "work volume")
    test = press(test, "into case")
    assert "Put into the case Bramble, for the home pond" in texts(test)
    test = press(test, "into case")
    assert "Not put in" in texts(test)
    assert test.session_state["draft"].counts["volumes"] == 1


def test_a_file_of_soundings_asks_before_it_replaces_typed_ones():
    test = page("volume")
    fill(test, {"soundings": "1 1 0.8"}, "quick/volume/")
    test.session_state["soundings wait"] = "9 9 0.1"
    checked(test.run())
    test = press(test, "keep typed")
    assert widget(test, "quick/volume/soundings").value == "1 1 0.8"


def test_what_differs_is_told_of_any_inputs():
    # A table that came, a field that was filled, one that was emptied; the same value is not told.
    before, now = (
        {"a": "1", "ph": "7.8", "patients[1].name": "x"},
        {"a": "1", "patients[1].name": "y", "vessels[1]": ""},
    )
    lines = answers.changes(before, now)
    assert len(lines) == 3
    assert any("was x, now y" in line for line in lines)
    assert any("was 7.8, now empty" in line.replace("\\", "") for line in lines)
    assert any("Tub 1" in line for line in lines)


def test_an_old_dose_hands_out_no_card():
    given = {"already": [], "drug": "x", "draws": FEW}
    test = page("doses", answer_injection=Answer(given=given, plan=planned().plan))
    assert downloads(test) == {"Dose cards (out of date)": True}
