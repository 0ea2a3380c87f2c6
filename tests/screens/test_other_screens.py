"""The quick sums and the sources."""

import pytest

from tests.screens.running import app, checked, page, press, texts
from waterplan import tables
from waterplan.first_plan.provenance import all_equations
from waterplan.papers.sheet import source_words
from waterplan.screens import look

FORMS = ("oxygen", "salt", "tank", "iodine")  # as they stand on the page, column by column


def work_out(test, form):
    return press(test, "Work it out", FORMS.index(form))


def box(test, form, label):
    return next(one for kind in (test.text_input, test.selectbox) for one in kind if one.key == f"quick/{form}/{label}")


def test_nothing_is_answered_before_it_is_asked():
    test = page("quick_sums")
    assert [one.value for one in test.subheader] == ["Oxygen", "Salt", "Hospital tank", "Povidone-iodine"]
    assert "Founded on" not in texts(test)


@pytest.mark.parametrize(
    ("form", "words"),
    [
        # 9.47 mg/L at 18 °C (Standard Methods 4500-O, fresh water at 101.3 kPa); 2 g/L in 200 L is 400 g before the low
        # end of the tub is taken; 10 mL of a 1 % available stock to the litre is 100 mg/L.
        ("oxygen", ["9.47 mg/L at saturation", "For 18 °C; 0 m; goldfish:"]),
        ("salt", ["asked for 2 g/L", "in all", "For level for days; 2 g/L; 200 L, marked tub"]),
        ("tank", ["Smallest tank that serves", "rules", "pH 7.8; filter unseeded"]),
        (
            "iodine",
            ["10 mL of the 10 % PVP-I stock", "100 mg/L available iodine", "For instruments; 1 L; 10 % PVP-I:"],
        ),
    ],
)
def test_a_sum_is_answered_with_its_values_band_source_and_status(form, words):
    said = texts(work_out(page("quick_sums"), form)).replace("\\", "")
    assert [one for one in words if one not in said] == []
    assert "Founded on (" in said


def test_all_four_answers_stand_together_and_change_with_the_units():
    test = page("quick_sums")
    for form in FORMS:
        test = work_out(test, form)
    assert texts(test).count("Founded on") == 4
    assert " L" in texts(test)
    test = checked(test.radio(key="units").set_value("us").run())
    assert texts(test).count("Founded on") == 4
    assert "US gal" in texts(test)
    assert "inHg" in texts(test)


def test_the_answer_says_the_values_that_it_belongs_to():
    test = page("quick_sums")
    box(test, "oxygen", "Temperature").input("25 °C")
    test = work_out(test, "oxygen")
    assert "For 25 °C; 0 m; goldfish:" in texts(test)
    # 8.26 mg/L at 25 °C in the same table.
    assert "8.26 mg/L at saturation" in texts(test).replace("\\", "")
    box(test, "oxygen", "Temperature").input("5 °C")
    test = checked(test.run())
    assert "For 25 °C; 0 m; goldfish:" in texts(test)


@pytest.mark.parametrize(
    ("form", "label", "typed", "told"),
    [
        ("oxygen", "Temperature", "18", "temperature: read '18'"),
        ("oxygen", "Temperature", "", "temperature: read nothing"),
        ("oxygen", "Altitude", "sky", "altitude: read 'sky'"),
        ("tank", "Weight", "", "weight: read nothing"),
        ("tank", "Weight", "-2 kg", "weight: read '-2 kg'"),
        ("tank", "pH", "77", "ph: read '77'"),
        ("salt", "Strength", "2 %", "strength: read '2 %'"),
        ("salt", "Water, and how its volume was found", "50 gal", "volume: read '50 gal'"),
        ("salt", "Salt that is in it already", "some", "present: read 'some'"),
        ("iodine", "Finished solution", "1", "volume: read '1'"),
        ("iodine", "The bottle", "10 %", "stock: read '10 %'"),
    ],
)
def test_a_wrong_value_is_told_once_and_nothing_is_answered(form, label, typed, told):
    test = page("quick_sums")
    box(test, form, label).input(typed)
    test = work_out(test, form)
    (error,) = test.error
    assert told in error.value.replace("\\", "")
    assert "Founded on" not in texts(test)


def test_a_whole_fish_in_iodine_is_refused_in_words():
    test = page("quick_sums")
    box(test, "iodine", "For").select("fish")
    said = texts(work_out(test, "iodine"))
    assert "⊘" in said
    assert "(refused)" in said


def test_salt_over_its_ceiling_is_refused_in_words():
    test = page("quick_sums")
    box(test, "salt", "Species").select("sturgeon")
    box(test, "salt", "Strength").input("25 g/L")
    assert "(refused)" in texts(work_out(test, "salt"))


def test_every_equation_source_and_term_is_on_the_page():
    test = page("sources")
    equations, sources, glossary = (table.value for table in test.table)
    assert len(equations) == len(all_equations())
    assert list(sources["source"]) == [look.plain(source_words(key)) for key in tables.sources()]
    assert list(glossary["name"]) == [look.plain(name) for name in tables.glossary()]
    assert (equations["status"] != "").all()


def test_the_front_door_names_three_pages_and_holds_the_fields():
    test = app()
    test.text_input[0].input("Bramble")
    checked(test.run())
    assert test.text_input[0].value == "Bramble"


@pytest.mark.parametrize(
    "text", ["*star*", "a_b_c", "![x](y)", "<b>", "$5 & $6", "# head", "`code`", ":fish:", "1. one"]
)
def test_plain_text_keeps_its_words(text):
    shown = look.plain(text)
    assert shown.replace("\\", "") == text
    for sign in "*_`<$#![]:":
        assert shown.count(sign) == shown.count(f"\\{sign}")


def test_small_print_is_escaped():
    assert look.small("<b>&") == '<p class="small-print">&lt;b&gt;&amp;</p>'
