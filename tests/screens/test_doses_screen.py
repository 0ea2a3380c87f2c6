"""The page of doses: what is chosen, what is shown, what is refused, and that nothing is offered."""

from streamlit.testing.v1 import AppTest

from tests.plans import DEMO_PONDS, demo_plan
from tests.screens.running import checked, page, press, texts
from waterplan.first_plan.first_case.reading import read_document
from waterplan.screens.draft import Draft


def box(test, label, form="dose"):
    return next(one for kind in (test.text_input, test.selectbox) for one in kind if one.key == f"quick/{form}/{label}")


def fill(test, **values):
    for label, value in values.items():
        one = box(test, _LABELS[label])
        one = one.select(value) if hasattr(one, "select") else one.input(value)
        test = checked(one.run())
    return test


_LABELS = {
    "substance": "Substance",
    "use": "Use",
    "water": "Water, and how its volume was found",
    "level": "Level that the veterinarian wants",
    "bottle": "What the label of the bottle says",
    "eaten": "May it, or a fish from its water, be eaten?",
    "buffer": "Bicarbonate",
}


def said(test):
    return "\n".join([texts(test), *(one.value for one in test.success)]).replace("\\", "")


def worked(**values):
    return press(fill(page("doses"), **values), "Work it out")


def test_nothing_is_offered_before_it_is_asked():
    test = page("doses")
    assert box(test, _LABELS["level"]).value == ""
    assert "none is offered" in said(test)


def test_the_uses_follow_the_substance():
    test = fill(page("doses"), substance="formalin")
    assert box(test, "Use").options == ["bath", "warm bath", "indefinite"]


def test_a_dose_is_shown_with_its_order_and_its_conflicts():
    # 100 mg/L x 40 ± 0 L = 4.0 g.
    text = said(
        worked(use="induction", water="40 ± 0 L", level="100 mg/L", bottle="powder", eaten="no", buffer="one to one")
    )
    assert "### 4 g of tricaine, powder" in text
    assert "In this order" in text
    assert "100 to 200 mg/L (common practice)" in text
    assert "No level and no time in a bath proves death" in text


def test_without_a_level_the_question_stays_open():
    assert "Give the strength: the veterinarian chooses it" in said(worked(use="induction", eaten="no"))


def test_a_guess_is_refused_until_it_is_measured():
    text = said(worked(use="induction", water="40 L, owner's word", level="150 mg/L", eaten="no"))
    assert "measure the volume first" in text
    assert "### ⊘ REFUSED: nothing is mixed or drawn up" in text
    assert " g of tricaine" not in text


def test_all_that_is_wrong_is_told_by_its_name():
    text = said(worked(use="induction", water="40 gal", level="1 %"))
    assert "into: read '40 gal'" in text
    assert "strength: read '1 %'" in text


def test_a_drug_by_weight():
    test = page("doses")
    for label, value in {
        "Drug": "meloxicam",
        "Dose that the veterinarian chose": "1 mg/kg",
        "On the vial": "5 mg/mL",
        "Weight, and how it was found": "1.5 ± 0 kg",
    }.items():
        box(test, label, "injection").input(value)  # a form is read when its button is pressed
    box(test, "May it be eaten?", "injection").select("no")
    text = said(press(test, "Work it out", 1))
    assert "Draw up 0.3 mL" in text  # 1 x 1.5 / 5
    assert "None is chosen" in text


def test_a_water_of_the_open_case_can_be_dosed():
    test = AppTest.from_string("from waterplan.screens import doses\ndoses.page()", default_timeout=60)
    fields = read_document(DEMO_PONDS / "heron_goldfish.toml")
    test.session_state["draft"] = Draft(plan=demo_plan("heron_goldfish"), planned=fields)
    test = checked(test.run())
    assert [tab.label for tab in test.tabs] == ["Into a water", "Into the fish, by weight", "Of the open case"]
    test = checked(box(test, "Use").select("sedation").run())
    test = checked(box(test, _LABELS["level"]).input("20 mg/L").run())
    text = said(press(test, "Work it out"))
    # 20 mg/L x 24.4 L, the low end of the white basin of 25 L (± 3 %), is 0.48 g: 0.4 on a scale of 0.1 g would be
    # further off than a tenth, so a stock is made.
    assert "Tricaine, sedation: white basin" in text
    assert "Make a stock" in text


def test_doses_and_injections_of_the_open_case_are_shown_and_what_is_refused_says_so():
    test = AppTest.from_string("from waterplan.screens import doses\ndoses.page()", default_timeout=60)
    fields = read_document(DEMO_PONDS / "heron_goldfish.toml")
    test.session_state["draft"] = Draft(plan=demo_plan("heron_goldfish"), planned=fields)
    test = checked(test.run())
    names = test.selectbox(key="dose of case").options
    assert len(names) == 4 + 2
    refused = next(name for name in names if "permanganate" in name)
    test = checked(test.selectbox(key="dose of case").select(refused).run())
    assert "⊘ REFUSED: nothing is mixed or drawn up" in said(test)
    injected = next(name for name in names if "Flunixin" in name)
    test = checked(test.selectbox(key="dose of case").select(injected).run())
    # 0.5 mg/kg (a value in circulation without a source) x 0.62 kg / 50 mg/mL is 0.0062 mL: 1 in 20 is 0.124 mL.
    assert "### 0.12 mL of 2.5 mg/mL" in said(test)
    unknown = next(name for name in names if "Butorphanol" in name)
    test = checked(test.selectbox(key="dose of case").select(unknown).run())
    assert "? NOT WORKED OUT: nothing is mixed or drawn up yet" in said(test)


def test_the_ledger_of_the_salt_is_on_the_page():
    test = fill(page("doses"), substance="salt", use="prolonged", water="600 ± 0 L", level="3 g/L")
    test = checked(box(test, "Salt in the water").input("0 ± 0 g/L").run())
    test = checked(box(test, "Water changed each day").input("150 L").run())
    text = said(press(test, "Work it out"))
    assert "| day 7 | 150 L changed, 450 g in | 1,800 g | 3 g/L |" in text
