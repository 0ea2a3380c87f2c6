"""Drugs by weight: mg/kg x kg / (mg/mL), the dilution that a syringe measures, and what is refused."""

import pytest

from tests.plans import METRIC, case_of
from waterplan.findings import Finding, Moment, Verdict
from waterplan.first_plan.quick_dose import quick_injection
from waterplan.first_plan.whole import plan


def draw(drug: str, dose: str, stock: str, weight: str, **texts: str) -> Finding:
    given = {
        "species": "koi",
        "eaten": "no",
        "syringe": "0.01 mL",
        "weight": weight,
        "drug": drug,
        "dose": dose,
        "stock": stock,
    }
    return quick_injection({**given, **texts}).finding


@pytest.mark.parametrize(
    ("drug", "dose", "stock", "weight", "words"),
    [
        # 0.5 x 2.4 = 1.2 mg = 0.024 mL of 50 mg/mL: 1 in 10, 0.24 mL of 5 mg/mL.
        (
            "flunixin",
            "0.5 mg/kg",
            "50 mg/mL",
            "2.4 ± 0 kg",
            ("1 part of the vial in 10", "5 mg/mL", "draw up 0.24 mL", "1.2 mg"),
        ),
        # 2.2 x 2.4 = 5.28 mg = 0.1056 mL, down.
        ("flunixin", "2.2 mg/kg", "5 % w/v", "2.4 ± 0 kg", ("Draw up 0.1 mL", "5.28 mg")),
        # 1 x 1.5 / 5 = 0.3 mL.
        ("meloxicam", "1 mg/kg", "5 mg/mL", "1.5 ± 0 kg", ("Draw up 0.3 mL",)),
        # 0.4 x 3 / 10 = 0.12 mL.
        ("butorphanol", "0.4 mg/kg", "10 mg/mL", "3 ± 0 kg", ("Draw up 0.12 mL",)),
        # 5 x 2 / 10 = 1.0 mL, which is 0.5 mL/kg: split.
        ("morphine", "5 mg/kg", "10 mg/mL", "2 ± 0 kg", ("Draw up 1 mL, in 2 sites of 0.5 mL",)),
        # 2 x 1.2 = 2.4 mg = 0.024 mL of 100 mg/mL: 1 in 10, 0.24 mL.
        ("ketoprofen", "2 mg/kg", "100 mg/mL", "1.2 ± 0 kg", ("1 part of the vial in 10", "draw up 0.24 mL")),
    ],
)
def test_what_is_drawn_up_by_hand(drug: str, dose: str, stock: str, weight: str, words: tuple[str, ...]) -> None:
    text = METRIC.render(draw(drug, dose, stock, weight).answer)
    assert [word for word in words if word not in text] == []


def test_what_the_error_of_the_weight_does_is_told() -> None:
    # 1 kg ± 10 % (95 %): 1 mg/kg asked, 0.92 to 1.09 mg/kg given at the 5th and 95th percentiles.
    text = draw("meloxicam", "1 mg/kg", "5 mg/mL", "1 ± 0.1 kg").answer
    low, high = text.partition("the fish gets ")[2].partition(" mg/kg")[0].split(" to ")
    assert float(low) == pytest.approx(1 / 1.084, abs=0.01)
    assert float(high) == pytest.approx(1 / 0.916, abs=0.01)


def test_a_value_in_circulation_is_marked_as_such_and_none_is_chosen() -> None:
    finding = draw("flunixin", "", "50 mg/mL", "2.4 ± 0 kg")
    assert finding.verdict is Verdict.QUESTION
    assert "0.5 mg/kg IM in any (common practice" in finding.answer
    assert "2.2 mg/kg IM in tilapia (published" in finding.answer
    assert "None is chosen" in finding.answer


@pytest.mark.parametrize(
    ("texts", "verdict", "words"),
    [
        ({"weight": "0.6 kg, estimate"}, Verdict.REFUSED, "weigh the fish"),
        ({"weight": "", "length": "40 cm, tape"}, Verdict.REFUSED, "worked out from the length"),
        ({"weight": "0.6 kg"}, Verdict.REFUSED, "guessed"),
        ({"eaten": "yes"}, Verdict.REFUSED, "food law"),
        ({"eaten": ""}, Verdict.QUESTION, "may be eaten"),
        ({"dose": "0 mg/kg"}, Verdict.REFUSED, "nothing is to be given"),
        ({"stock": ""}, Verdict.QUESTION, "strength on the vial"),
        ({"weight": "0.12 ± 0 kg", "stock": "5 mg/mL"}, Verdict.REFUSED, "no dilution is both"),
        ({"drug": "adrenaline"}, Verdict.REFUSED, "no dose of adrenaline is shown"),
        ({"drug": "lidocaine"}, Verdict.REFUSED, "per fish"),
        # More than five times the highest that is told of (5 mg/kg) looks like a slip of the decimal point.
        ({"dose": "30 mg/kg", "stock": "50 mg/mL"}, Verdict.REFUSED, "slip of the decimal point"),
        ({"dose": "30 mg/kg", "stock": "50 mg/mL", "again": "3 mg/kg"}, Verdict.REFUSED, "and then as 3 mg/kg"),
        ({"dose": "30 mg/kg", "stock": "50 mg/mL", "again": "30 mg/kg"}, Verdict.ACT, "draw up"),
        # Too little kills no fish: marked and worked out.
        ({"dose": "0.1 mg/kg", "stock": "0.5 mg/mL"}, Verdict.ACT, "draw up"),
        ({"dose": "8 mg/kg", "stock": "50 mg/mL"}, Verdict.WATCH, "draw up"),
        ({"drug": "something else"}, Verdict.REFUSED, "write it a second time"),
        ({"drug": "something else", "again": "1 mg/kg"}, Verdict.WATCH, "The tables hold no dose of it"),
        ({"expires": "2020-01-31"}, Verdict.REFUSED, "past the date on its label, 31 Jan 2020"),
    ],
)
def test_what_is_refused_asked_or_marked(texts: dict[str, str], verdict: Verdict, words: str) -> None:
    given = {"drug": "meloxicam", "dose": "1 mg/kg", "stock": "5 mg/mL", "weight": "2 ± 0 kg"} | texts
    finding = draw(**given)
    assert finding.verdict is verdict
    assert words.lower() in finding.answer.lower()


def test_the_veterinarian_may_confirm_a_weight() -> None:
    finding = draw("meloxicam", "1 mg/kg", "5 mg/mL", "1.5 kg, estimate", weight_confirmed="yes")
    assert "Draw up 0.3 mL" in finding.answer


def test_a_drug_in_a_plan_comes_with_the_questions_of_food_law() -> None:
    case = case_of(
        """
waterplan_case = 1
[patient]
species = "koi"
weight = "1.5 ± 0 kg"
eaten = "no"
[home_water]
temperature = "20 ± 0 °C"
[[vessels]]
name = "tub"
use = "revival"
volume = "60 L, marked tub"
[[injections]]
drug = "meloxicam"
dose = "1 mg/kg"
stock = "5 mg/mL"
"""
    )
    made = plan(case, draws=64)
    assert made.finding("injection 1: meloxicam").moment is Moment.PROCEDURE
    # 500 degree-days at 20 °C.
    assert made.finding("withdrawal").value == pytest.approx(25.0)
    assert "eaten by people or animals" in made.finding("withdrawal").answer
