"""The pictures of a dose: boxes that can be counted, and the level beside what is told of."""

import pytest

from tests.plans import METRIC, US
from waterplan.charts.doses import level_chart, measure_chart, syringe_chart
from waterplan.first_plan.quick_dose import quick_dose, quick_injection

GIVEN = {
    "species": "koi",
    "eaten": "no",
    "substance": "tricaine",
    "use": "induction",
    "into": "40 ± 0 L",
    "scale": "0.1 g",
}


def rows(spec, *columns):
    """All rows of a chart's data that have these columns."""
    found = [row for data in spec["datasets"].values() for row in data]
    return [row for row in found if set(columns) <= set(row)]


def test_what_is_filled_is_the_amount_in_its_boxes():
    card, _ = quick_dose({**GIVEN, "strength": "65 mg/L"})  # 65 x 40 / 1000 = 2.6 g
    spec = measure_chart(card, METRIC).to_dict()
    filled = {}
    for row in rows(spec, "colour", "y2"):
        filled[round(row["y"], 6)] = (
            filled.get(round(row["y"], 6), 0.0) + (row["y2"] - row["y"]) / 0.44
        )  # the height of a box
    assert sorted(filled.values()) == pytest.approx([2.6, 4.0])  # grams of 1 g, and 40 L of 10 L
    words = {row["words"]: row["small"] for row in rows(spec, "words", "small")}
    assert words == {"2.6 g: tricaine, pure powder": "each box 1 g", "40 L: the water, tub": "each box 10 L"}


def test_a_slip_of_ten_is_told_by_the_size_of_a_box():
    # 0.4 g and 4 g: four boxes either way, of a tenth of a gram and of a gram.
    for strength, each in (("10 mg/L", "each box 0.1 g"), ("100 mg/L", "each box 1 g")):
        card, _ = quick_dose({**GIVEN, "strength": strength, "scale": "0.01 g"})
        assert each in str(measure_chart(card, METRIC).to_dict())


def test_a_syringe_is_filled_to_scale():
    # 1 mg/kg x 1.5 kg / 5 mg/mL = 0.3 mL, in a syringe of 1 mL.
    card = quick_injection(
        {
            "drug": "meloxicam",
            "dose": "1 mg/kg",
            "stock": "5 mg/mL",
            "weight": "1.5 ± 0 kg",
            "species": "koi",
            "eaten": "no",
        }
    )
    spec = syringe_chart(card).to_dict()
    ends = sorted(row["high"] for row in rows(spec, "low", "high", "y2"))
    assert ends == [0.3, 1.0]
    assert "0.3 mL of 5 mg/mL" in str(spec)


def test_an_injection_that_is_refused_has_no_syringe():
    card = quick_injection(
        {"drug": "adrenaline", "dose": "1 mg/kg", "species": "koi", "eaten": "no", "weight": "1.5 kg"}
    )
    assert card.draw_ml is None
    assert syringe_chart(card) is None


def test_the_water_is_in_the_readers_unit_and_the_drug_in_grams():
    card, _ = quick_dose({**GIVEN, "strength": "100 mg/L"})
    text = str(measure_chart(card, US).to_dict())
    assert "10.57 US gal: the water, tub" in text  # 40 L / 3.785
    assert "4 g: tricaine" in text


def test_the_level_stands_beside_what_is_told_of():
    card, _ = quick_dose({**GIVEN, "strength": "110 mg/L", "into": "40 ± 4 L"})
    spec = level_chart(card).to_dict()
    bars = {row["row"]: (row["low"], row["high"]) for row in rows(spec, "row", "low", "high")}
    assert bars["told of (common practice)"] == (100.0, 200.0)
    low, high = bars["this dose"]
    assert low == pytest.approx(92.9, abs=1.0)
    assert high == pytest.approx(110.0, abs=1.0)
    assert "not above 200" in str(spec)


def test_a_dose_without_a_level_has_no_level_chart():
    card, _ = quick_dose(GIVEN)
    assert level_chart(card) is None
