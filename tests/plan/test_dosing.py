"""Doses into waters: each expected amount is worked out by hand beside it, or printed in the source that is named."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plan.by_hand import EXACT
from tests.plans import METRIC, US, case_of
from waterplan.errors import CaseError
from waterplan.findings import Finding, Moment, Verdict, Who
from waterplan.first_plan.dose_cards import DoseCard
from waterplan.first_plan.quick_dose import quick_dose
from waterplan.first_plan.whole import Plan, plan

WATER = {
    "species": "koi",
    "eaten": "no",
    "temperature": "20 ± 0 °C",
    "ph": "7.6 ± 0",
    "alkalinity": "100 ± 0 mg/L as CaCO3",
    "oxygen": "8.6 ± 0 mg/L",
    "tan": "0.2 ± 0 mg/L as N",
}


def dose(substance: str, use: str, into: str, **texts: str) -> tuple[DoseCard, dict[str, Finding]]:
    card, findings = quick_dose({**WATER, "substance": substance, "use": use, "into": into, **texts})
    return card, {finding.key.partition(":")[0].partition(" 1")[0]: finding for finding in findings}


def counted(card: DoseCard) -> list[str]:
    return [portion.counted for portion in card.portions]


@pytest.mark.parametrize(
    ("substance", "use", "into", "texts", "amount"),
    [
        # 100 mg/L x 40 L = 4.0 g, or 400 mL of 10 mg/mL (1 g to 100 mL, Lewbart 2005).
        ("tricaine", "induction", "40 ± 0 L", {"strength": "100 mg/L", "bottle": "powder", "scale": "0.1 g"}, "4 g"),
        ("tricaine", "induction", "40 ± 0 L", {"strength": "100 mg/L", "bottle": "10 mg/mL"}, "400 mL"),
        # The same of a powder that is four fifths tricaine: 4.0 / 0.8 = 5.0 g.
        (
            "tricaine",
            "induction",
            "40 ± 0 L",
            {"strength": "100 mg/L", "bottle": "80 % pure", "scale": "0.1 g"},
            "5 g",
        ),
        # 60 mg/L x 20 L = 1.2 g.
        ("tricaine", "maintenance", "20 ± 0 L", {"strength": "60 mg/L", "bottle": "powder", "scale": "0.1 g"}, "1.2 g"),
        # 40 mg/L x 20 L = 0.8 g, 8 mL of 1 part in 10 with ethanol (100 mg/mL, Lewbart 2005).
        (
            "eugenol",
            "induction",
            "20 ± 0 L",
            {"strength": "40 mg/L", "bottle": "100 mg/mL", "syringe": "0.1 mL"},
            "8 mL",
        ),
        # 0.8 g of eugenol in an oil of 85 %: 0.9412 g, down to the division.
        (
            "eugenol",
            "induction",
            "20 ± 0 L",
            {"strength": "40 mg/L", "bottle": "85 % eugenol", "scale": "0.01 g"},
            "0.94 g",
        ),
        # 25 uL/L x 600 L = 15 mL.
        ("formalin", "indefinite", "600 ± 0 L", {"strength": "25 uL/L"}, "15 mL"),
        # 75 mg/L x 100 L = 7.5 g: 250 mL of 3 % w/v; of 396.1 mg/mL (21 CFR 529.1150) 18.93 mL, down.
        ("hydrogen peroxide", "bath", "100 ± 0 L", {"strength": "75 mg/L", "bottle": "3 % w/v"}, "250 mL"),
        (
            "hydrogen peroxide",
            "bath",
            "100 ± 0 L",
            {"strength": "75 mg/L", "bottle": "35 % w/w, 1.1317 kg/L", "syringe": "0.1 mL"},
            "18.9 mL",
        ),
        # 2 mg/L x 600 L = 1.2 g.
        ("potassium permanganate", "bath", "600 ± 0 L", {"strength": "2 mg/L", "scale": "0.01 g"}, "1.2 g"),
        # 2 mg/L x 200 L = 400 mg, four tablets of 100 mg.
        (
            "praziquantel",
            "bath",
            "200 ± 0 L",
            {"strength": "2 mg/L", "again": "2 mg/L", "bottle": "100 mg tablets"},
            "4 tablets",
        ),
        # 2 mg/L x 10 L = 20 mg, 1 mL of 20 mg/mL, 20 drops of 0.05 mL.
        (
            "praziquantel",
            "bath",
            "10 ± 0 L",
            {"strength": "2 mg/L", "again": "2 mg/L", "bottle": "20 mg/mL", "drop": "0.05 mL"},
            "20 drops",
        ),
        # 2.35 mg/L are 23.5 drops, down to 23; what takes chlorine out goes up: 1 mg/L x 10 L x 7 = 70 mg of 20 mg/mL,
        # 3.5 mL or 35 drops of 0.1 mL, and of 0.03 mL 116.7, 117.
        (
            "praziquantel",
            "bath",
            "10 ± 0 L",
            {"strength": "2.35 mg/L", "again": "2.35 mg/L", "bottle": "20 mg/mL", "drop": "0.05 mL"},
            "23 drops",
        ),
        (
            "thiosulphate pentahydrate",
            "tap water",
            "10 ± 0 L",
            {"chlorine": "1 ± 0 mg/L", "bottle": "20 mg/mL", "drop": "0.03 mL"},
            "117 drops",
        ),
        # 200 mg/L x 20 L = 4 g: 80 mL of 5 %, 32 mL of 12.5 % (there 32 mL).
        ("hypochlorite", "equipment", "20 ± 0 L", {"strength": "200 mg/L", "bottle": "5 % w/v"}, "80 mL"),
        ("hypochlorite", "equipment", "20 ± 0 L", {"strength": "200 mg/L", "bottle": "12.5 % w/v"}, "32 mL"),
        # 100 mg/L x 10 L = 1 g of available iodine: 100 mL of 1 % available, which is 10 % PVP-I.
        ("povidone-iodine", "nets", "10 ± 0 L", {"bottle": "10 % PVP-I"}, "100 mL"),
        ("povidone-iodine", "nets", "10 ± 0 L", {"bottle": "1 % available iodine"}, "100 mL"),
        # 70 % of 1 L is 700 mL of pure spirit: 729.2 mL of 96 %, up.
        ("ethanol", "instruments", "1 ± 0 L", {"bottle": "96 % v/v"}, "730 mL"),
        # 7.00 g of pentahydrate for each g of Cl2: 150 L x 1.0 mg/L x 7 = 1.05 g, up. Ascorbic acid 2.5: 0.375 g, up.
        (
            "thiosulphate pentahydrate",
            "tap water",
            "150 ± 0 L",
            {"chlorine": "1 ± 0 mg/L", "scale": "0.01 g"},
            "1.05 g",
        ),
        ("ascorbic acid", "tap water", "150 ± 0 L", {"chlorine": "1 ± 0 mg/L", "scale": "0.01 g"}, "0.38 g"),
        # 25 g/L x 50 L = 1,250 g; from 1 to 3 g/L in 600 L 1,200 g.
        ("salt", "dip", "50 ± 0 L", {"strength": "25 g/L"}, "1,250 g"),
        ("salt", "prolonged", "600 ± 0 L", {"strength": "3 g/L", "salinity": "1 ± 0 g/L"}, "1,200 g"),
    ],
)
def test_the_amount_by_hand(substance: str, use: str, into: str, texts: dict[str, str], amount: str) -> None:
    card, _ = dose(substance, use, into, **texts)
    assert counted(card) == [amount]
    assert card.order
    assert card.finding.citations


def test_twice_the_litres_take_twice_the_grams() -> None:
    one, _ = dose("tricaine", "induction", "40 ± 0 L", strength="100 mg/L", scale="0.001 g")
    two, _ = dose("tricaine", "induction", "80 ± 0 L", strength="100 mg/L", scale="0.001 g")
    assert two.portions[0].amount == pytest.approx(2.0 * one.portions[0].amount)


def test_the_volume_that_was_used_is_named_with_what_its_error_does() -> None:
    # 40 ± 4 L, a 95 % interval: the 5th percentile is 40 - 1.645 x 4 / 1.960 = 36.64 L; 110 mg/L of it is 4.03 g.
    card, _ = dose("tricaine", "induction", "40 ± 4 L", strength="110 mg/L", scale="0.01 g")
    assert counted(card) == ["4.03 g"]
    assert card.level is not None
    # At the 95th percentile, 43.36 L, that is 92.9 mg/L; at the 5th 110.
    assert card.level.low == pytest.approx(92.9, abs=0.4)
    assert card.level.high == pytest.approx(110.0, abs=0.4)
    text = METRIC.render(card.finding.answer)
    assert "36.6 L, the low end of its volume" in text
    assert "By the error of the volume it makes" in text


@settings(max_examples=12, deadline=None)
@given(wanted=st.integers(1, 250), error=st.floats(0.0, 0.3))
def test_no_volume_in_the_band_passes_the_ceiling(wanted: int, error: float) -> None:
    card, _ = dose("formalin", "bath", f"100 ± {100 * error:.1f} L", strength=f"{wanted} uL/L", syringe="0.01 mL")
    if card.level is not None:
        assert card.level.high <= 250.0 * (1 + 1e-6)
        assert card.level.high <= wanted * (1 + 1e-6)


@settings(max_examples=12, deadline=None)
@given(chlorine=st.floats(0.1, 4.0), error=st.floats(0.0, 0.3))
def test_an_antidote_at_any_volume_in_the_band_is_enough(chlorine: float, error: float) -> None:
    card, _ = dose(
        "thiosulphate pentahydrate", "tap water", f"100 ± {100 * error:.1f} L", chlorine=f"{chlorine:.2f} ± 0 mg/L"
    )
    # 7 mg for each mg of chlorine, of the whole of the band.
    assert card.portions[0].amount >= 7.0 * round(chlorine, 2) * card.litres.high / 1000.0 * (1 - 1e-6)


@pytest.mark.parametrize(
    ("substance", "use", "texts", "level", "verdict"),
    [
        # 4 g in 40 L is 100 mg/L; 400 mL of 10 mg/mL the same; 40 g is ten times that.
        ("tricaine", "induction", {"went_in": "4 g", "bottle": "powder"}, 100.0, Verdict.PASS),
        ("tricaine", "induction", {"went_in": "400 mL", "bottle": "10 mg/mL"}, 100.0, Verdict.PASS),
        ("tricaine", "induction", {"went_in": "40 g", "bottle": "powder"}, 1000.0, Verdict.ACT),
        # 20 drops of 0.05 mL of 20 mg/mL are 20 mg, four tablets of 100 mg 400 mg; 1 mL of formalin is 25 uL/L.
        ("praziquantel", "bath", {"went_in": "20 drops", "drop": "0.05 mL", "bottle": "20 mg/mL"}, 0.5, Verdict.FIGURE),
        ("praziquantel", "bath", {"went_in": "4 tablets", "bottle": "100 mg tablets"}, 10.0, Verdict.FIGURE),
        ("formalin", "indefinite", {"went_in": "1 mL"}, 25.0, Verdict.PASS),
    ],
)
def test_backwards_from_what_has_gone_in(
    substance: str, use: str, texts: dict[str, str], level: float, verdict: Verdict
) -> None:
    card, _ = dose(substance, use, "40 ± 0 L", **texts)
    assert card.finding.value == pytest.approx(level)
    assert card.finding.verdict is verdict
    assert not card.portions


@settings(max_examples=10, deadline=None)
@given(wanted=st.integers(20, 390), litres=st.integers(5, 500))
def test_a_dose_and_then_its_dilution_returns_the_level(wanted: int, litres: int) -> None:
    there, _ = dose("tricaine", "induction", f"{litres} ± 0 L", strength=f"{wanted} mg/L", scale="0.001 g")
    grams = there.portions[0].amount
    back, _ = dose("tricaine", "induction", f"{litres} ± 0 L", went_in=f"{grams} g", bottle="powder")
    # Rounded down to a milligram.
    assert back.finding.value == pytest.approx(wanted, abs=1.001 / litres)


def test_drops_without_their_size_are_asked_for() -> None:
    card, _ = dose("tricaine", "induction", "40 ± 0 L", went_in="20 drops", bottle="10 mg/mL")
    assert card.finding.verdict is Verdict.QUESTION
    assert "size" in card.finding.answer


def test_what_a_change_of_water_takes_and_what_puts_it_back() -> None:
    # A quarter of 600 L at 25 uL/L: 18.75 are left, and 150 L x 25 uL/L = 3.75 mL put it back.
    _, found = dose("formalin", "indefinite", "600 ± 0 L", strength="25 uL/L")
    assert "leaves 18.75 µL/L" in found["change"].answer
    assert "3.75 mL" in found["change"].answer


def test_what_is_in_the_water_already_is_topped_up() -> None:
    # From 15 to 25 uL/L in 600 L: 6 mL.
    text = EXACT.replace('species = "koi"\nname', 'species = "koi"\neaten = "no"\nname', 1)
    more = """
[[doses]]
substance = "formalin"
use = "indefinite"
into = "600 ± 0 L"
strength = "25 uL/L"
syringe = "0.1 mL"
[[already]]
what = "formalin"
level = "15 uL/L"
"""
    assert [portion.counted for portion in plan(case_of(text + more), draws=64).dose_cards[0].portions] == ["6 mL"]


def test_salt_is_read_from_conductivity() -> None:
    # 1.99 mS/cm at 25 °C is 1 g/L of sodium chloride (Robinson & Stokes 1959): from there to 3 g/L in 600 L 1.2 kg.
    card, _ = dose("salt", "prolonged", "600 ± 0 L", strength="3 g/L", salinity="1.99 ± 0 mS/cm at 25 °C")
    assert card.portions[0].amount == pytest.approx(1200.0, abs=4.0)


# -- the veterinarian chooses -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("substance", "use", "texts", "told"),
    [
        ("tricaine", "induction", {}, "100 to 200 mg/L (common practice)"),
        ("eugenol", "induction", {}, "25 to 50 mg/L (published)"),
        ("formalin", "bath", {}, "up to 250 µL/L (published)"),
        ("salt", "prolonged", {"salinity": "0 ± 0 g/L"}, "ceiling 5 g/L (judgement)"),
    ],
)
def test_without_a_level_what_is_told_of_is_shown_and_none_is_chosen(
    substance: str, use: str, texts: dict[str, str], told: str
) -> None:
    card, _ = dose(substance, use, "40 ± 0 L", **texts)
    assert card.finding.verdict is Verdict.QUESTION
    assert told in METRIC.render(card.finding.answer)
    assert not card.portions


def test_a_level_outside_what_is_told_of_is_worked_out_and_marked() -> None:
    for strength in ("250 mg/L", "60 mg/L"):
        card, _ = dose("tricaine", "induction", "40 ± 0 L", strength=strength)
        assert card.finding.verdict is Verdict.WATCH
        assert any(caution.serious and "told of" in caution.text for caution in card.finding.cautions)


@pytest.mark.parametrize(
    ("substance", "use", "into", "texts", "why"),
    [
        ("tricaine", "induction", "40 ± 0 L", {"strength": "1000 mg/L"}, "twice the highest"),  # a slip of ten
        ("tricaine", "induction", "40 L, owner's word", {"strength": "150 mg/L"}, "measure the volume first"),
        (
            "formalin",
            "bath",
            "40 ± 0 L",
            {"strength": "300 uL/L"},
            "250 µL/L is the highest level allowed (published, Merck",
        ),
        ("copper", "bath", "1000 L", {"strength": "0.2 mg/L", "bottle": "10 mg/mL"}, "measure the volume"),
        ("quaternary ammonium", "bath", "40 ± 0 L", {"strength": "1 mg/L", "bottle": "50 % w/v"}, "2 mg/L in an hour"),
        ("malachite green", "bath", "40 ± 0 L", {"strength": "0.1 mg/L"}, "Intorre"),
        ("povidone-iodine", "fish", "40 ± 0 L", {}, "158.8 mg/L"),
        ("chlorhexidine", "instruments", "1 ± 0 L", {"bottle": "5 % w/v"}, "as the label says"),
        ("potassium permanganate", "equipment", "1 ± 0 L", {}, "others are surer"),
        ("tricaine", "induction", "40 ± 0 L", {"strength": "100 mg/L", "oxygen": "4 ± 0 mg/L"}, "breathes less"),
        ("tricaine", "induction", "40 ± 0 L", {"strength": "100 mg/L", "eaten": "yes"}, "food law"),
        ("salt", "prolonged", "600 ± 0 L", {"strength": "7 g/L", "salinity": "0 ± 0 g/L"}, "ceiling of 6 g/L"),
        ("salt", "dip", "50 ± 0 L", {"strength": "5 g/L", "species": "sturgeon"}, "ceiling of 1 g/L"),
        (
            "tricaine",
            "induction",
            "1 ± 0 L",
            {"strength": "100 mg/L", "bottle": "0.05 mg/mL"},
            "at most what the bottle holds",
        ),
    ],
)
def test_what_is_refused_says_why(substance: str, use: str, into: str, texts: dict[str, str], why: str) -> None:
    card, _ = dose(substance, use, into, **texts)
    assert card.finding.verdict is Verdict.REFUSED
    assert why in METRIC.render(card.finding.answer)
    assert not card.portions


@pytest.mark.parametrize(
    ("substance", "use", "texts", "lacks"),
    [
        ("tricaine", "induction", {"strength": "100 mg/L", "eaten": ""}, "may be eaten"),
        ("eugenol", "induction", {"strength": "40 mg/L"}, "share of eugenol"),
        ("propofol", "induction", {"strength": "5 mg/L"}, "strength on the label"),
        ("ethanol", "instruments", {}, "96 % v/v"),
        ("thiosulphate pentahydrate", "hose left running", {}, "the most water that the hose can have brought"),
    ],
)
def test_what_is_lacking_is_asked_for(substance: str, use: str, texts: dict[str, str], lacks: str) -> None:
    card, _ = dose(substance, use, "40 ± 0 L", **texts)
    assert card.finding.verdict is Verdict.QUESTION
    assert lacks in card.finding.answer


def test_an_amount_below_the_scale_gets_a_stock_that_holds_it() -> None:
    # 100 mg/L in 2 L is 0.2 g: on a scale of 1 g weigh 10 g to 100 mL, of which 2 mL would be too few divisions; to
    # 1,000 mL, of which 20 mL hold 0.2 g.
    card, _ = dose("tricaine", "induction", "2 ± 0 L", strength="100 mg/L", scale="1 g")
    assert counted(card) == ["20 mL"]
    assert "weigh 10 g" in card.order[0]
    assert "1,000 mL" in card.order[0]
    assert card.level is not None
    assert card.level.best == pytest.approx(100.0)


@pytest.mark.parametrize(
    ("substance", "use", "into", "texts", "drawn", "first", "level"),
    [
        # 40 mg/L in 1 L is 0.4 mL of 100 mg/mL; of 1 in 10 it is 4 mL, four divisions of a syringe of 1 mL; of 1 in 100
        # 40 mL, forty divisions.
        (
            "eugenol",
            "induction",
            "1 ± 0 L",
            {"strength": "40 mg/L", "bottle": "100 mg/mL"},
            "40 mL",
            "with ethanol: 1 part of eugenol, 100 mg/mL in 100 parts",
            40.0,
        ),
        # 100 uL/L in 40 L is 4 mL: four divisions, an eighth either way by half a division. 40 mL of 1 part in 10.
        (
            "formalin",
            "bath",
            "40 ± 0 L",
            {"strength": "100 uL/L"},
            "40 mL",
            "with water: 1 part of formalin (37 % solution) in 10 parts",
            100.0,
        ),
    ],
)
def test_a_volume_below_the_syringe_gets_a_dilution_that_holds_it(
    substance: str, use: str, into: str, texts: dict[str, str], drawn: str, first: str, level: float
) -> None:
    card, _ = dose(substance, use, into, **texts, syringe="1 mL")
    assert counted(card) == [drawn]
    assert first in card.order[0]
    assert card.level is not None
    assert card.level.best == pytest.approx(level)


def test_what_no_dilution_can_show_is_refused() -> None:
    # 15 uL/L in 2 L is 0.03 mL: a hundredfold dilution of it is 3 mL, three divisions.
    card, _ = dose("formalin", "indefinite", "2 ± 0 L", strength="15 uL/L", syringe="1 mL")
    assert card.finding.verdict is Verdict.REFUSED
    assert "finer syringe" in card.finding.answer


def test_permanganate_goes_in_two_at_a_time() -> None:
    card, _ = dose("potassium permanganate", "staged bath", "600 ± 0 L", strength="6 mg/L", scale="0.01 g")
    assert counted(card) == ["3.6 g"]  # 6 mg/L x 600 L
    assert any("In 3 equal parts (1.2 g each)" in text for text in card.order)


@pytest.mark.parametrize(
    ("opened", "verdict"),
    [("2026-05-01", Verdict.PASS), ("2026-03-01", Verdict.REFUSED), ("2027-01-01", Verdict.QUESTION)],
)
def test_a_stock_past_its_time_is_refused(opened: str, verdict: Verdict) -> None:
    text = EXACT.replace('species = "koi"\nname', 'species = "koi"\neaten = "no"\nname', 1)
    case = case_of(
        text
        + f'[[doses]]\nsubstance = "tricaine"\nuse = "induction"\ninto = "tub"\nstrength = "110 mg/L"\nbottle = "10 mg/mL"\n'
        f"opened = {opened}\n"
    )
    made = plan(case, draws=64)
    assert made.finding("dose 1: tricaine, tub").verdict is verdict  # the operation is in May 2026, a month at the most


# -- the bath, the filter, the drain ------------------------------------------------------------------------------


def test_the_acid_of_tricaine_and_its_bicarbonate() -> None:
    # 100 mg/L of tricaine take 19.2 mg/L as CaCO3 (50.04 g an equivalent over 261.3 g); gram for gram in 40 L is 4 g.
    card, found = dose("tricaine", "induction", "40 ± 0 L", strength="100 mg/L", scale="0.1 g", buffer="one to one")
    assert counted(card) == ["4 g", "4 g"]
    assert "takes 19.2 mg/L as CaCO3" in METRIC.render(found["buffer"].answer)
    # 100 - 19.2 leaves more than 60: none is needed. From 45: 60 + 19.2 - 45 = 34.2, x 84.007 / 50.04 x 40 L = 2.29 g.
    assert "needs sodium bicarbonate, none;" in METRIC.render(found["buffer"].answer)
    low, found = dose(
        "tricaine",
        "induction",
        "40 ± 0 L",
        strength="100 mg/L",
        scale="0.1 g",
        alkalinity="45 ± 0 mg/L as CaCO3",
        buffer="what the water needs",
    )
    assert counted(low) == ["4 g", "2.3 g"]


def test_ph_and_gas_of_the_bath_closed_and_aired() -> None:
    # Alkalinity 100, pH 7.6, 20 °C, 1 to 1 by mass: begins near pH 7.1 with about 22 mg/L of CO2 and airs to about 8.6;
    # as the test of waterplan.dose.tricaine checks against PyCO2SYS.
    _, found = dose("tricaine", "induction", "40 ± 0 L", strength="100 mg/L", scale="0.01 g", buffer="one to one")
    numbers = [float(n) for n in re.findall(r"pH ([\d.]+) before, ([\d.]+) when", found["bath ph"].answer)[0]]
    assert numbers == [pytest.approx(7.6, abs=0.05), pytest.approx(7.1, abs=0.1)]
    assert re.search(r"8\.[56] once it has aired", found["bath ph"].answer)
    assert found["bath nh3"].value is not None
    # 0.2 mg/L of ammonia at pH 8.6 and 20 °C: 13.6 % un-ionised by Emerson 1975 (pKa 9.40).
    assert found["bath nh3"].value == pytest.approx(0.2 * 0.136, rel=0.15)
    assert found["fit"].verdict is Verdict.PASS


def test_bicarbonate_is_the_veterinarians_choice_too() -> None:
    card, found = dose("tricaine", "induction", "40 ± 0 L", strength="100 mg/L", scale="0.1 g")
    assert counted(card) == ["4 g"]
    assert found["buffer"].verdict is Verdict.QUESTION


def test_formalin_and_its_oxygen() -> None:
    # 1 mg/L for each 5 uL/L (US Fish and Wildlife Service 1982): 25 take 5; the answer is air and somebody beside it.
    _, found = dose("formalin", "indefinite", "600 ± 0 L", strength="25 uL/L", syringe="0.1 mL")
    assert found["oxygen"].value == pytest.approx(5.0)
    assert "Strong air and somebody beside it" in found["oxygen"].answer


def test_what_an_oxidant_is_neutralised_with() -> None:
    # 4 g of chlorine x 7.00 = 28.0 g; 1 g of iodine x 1.956 = 1.96 g, up to 2.0.
    card, found = dose("hypochlorite", "equipment", "20 ± 0 L", strength="200 mg/L", bottle="5 % w/v", scale="0.1 g")
    assert "28 g of thiosulphate pentahydrate" in found["drain"].answer
    assert "mycobacteria" in card.finding.answer
    _, found = dose("povidone-iodine", "nets", "10 ± 0 L", bottle="10 % PVP-I", scale="0.1 g")
    assert "2 g of thiosulphate pentahydrate" in found["drain"].answer
    assert "starch-iodide" in found["drain"].answer


def test_a_hose_left_running_is_answered_for_all_that_came_in() -> None:
    # 500 L at 1 mg/L: 500 x 7 / 1000 = 3.5 g; a third of 1,500 L is new, 0.33 mg/L.
    card, _ = dose(
        "thiosulphate pentahydrate",
        "hose left running",
        "1000 ± 0 L",
        added="500 ± 0 L",
        overflowed="no",
        chlorine="1 ± 0 mg/L",
    )
    assert card.portions[0].amount >= 3.5
    worst, _ = dose("thiosulphate pentahydrate", "hose left running", "1000 ± 0 L", added="500 ± 0 L", overflowed="no")
    # Nobody measured the mains: 4 mg/L, the worst that is plausible, x 500 L x 7 = 14 g.
    assert counted(worst) == ["14 g"]
    assert "33 % of it new water" in worst.finding.answer


def test_peroxide_costs_a_filter() -> None:
    _, found = dose("chloramine-T", "bath", "600 ± 0 L", strength="10 mg/L", again="10 mg/L")
    assert "count it as nothing for 7 days" in found["filter"].answer


# -- in a plan ----------------------------------------------------------------------------------------------------

DOSES = """
[[doses]]
substance = "tricaine"
use = "induction"
into = "tub"
strength = "110 mg/L"
bottle = "powder"
scale = "0.1 g"
buffer = "one to one"
[[doses]]
substance = "potassium permanganate"
use = "bath"
into = "home pond"
strength = "2 mg/L"
[[already]]
what = "formalin"
where = "home pond"
"""


@pytest.fixture(scope="module")
def dosed() -> Plan:
    text = EXACT.replace('species = "koi"\nname', 'species = "koi"\neaten = "no"\nname', 1)
    return plan(case_of(text + DOSES), draws=64)


def test_a_dose_stands_in_its_moment_with_its_card(dosed: Plan) -> None:
    finding = dosed.finding("dose 1: tricaine, tub")
    assert finding.moment is Moment.PREPARE
    # 110 mg/L x 41 L = 4.51 g, down to 4.5; as much bicarbonate.
    assert [portion.counted for portion in dosed.dose_cards[0].portions] == ["4.5 g", "4.5 g"]
    assert dosed.finding("bath ph 1: tricaine, tub").moment is Moment.PROCEDURE
    assert dosed.finding("breathing stops").moment is Moment.REVIVAL


def test_formalin_and_permanganate_are_refused_together(dosed: Plan) -> None:
    assert dosed.finding("dose 2: potassium permanganate, home pond").verdict is Verdict.REFUSED
    clash = dosed.finding("conflicts: home pond")
    assert clash.verdict is Verdict.REFUSED
    assert "explode" in clash.answer
    assert "francis_floyd_klinger_1997" in {citation.source for citation in clash.citations}


def test_the_owner_never_gets_a_dose(dosed: Plan) -> None:
    owners = [step.what for part in dosed.moments for step in part.steps if step.who is Who.OWNER]
    assert not [text for text in owners if "tricaine" in text or "bicarbonate" in text]


def test_a_weighed_drug_stays_in_grams_for_a_us_reader(dosed: Plan) -> None:
    text = US.render(dosed.finding("dose 1: tricaine, tub").answer)
    assert text.startswith("4.5 g of tricaine")
    assert "US gal" in text


def test_what_is_wrong_with_a_quick_dose_is_told_by_its_own_names() -> None:
    with pytest.raises(CaseError) as wrong:
        quick_dose({**WATER, "substance": "tricaine", "use": "induction", "into": "40 gal", "strength": "1 %"})
    assert {one.where for one in wrong.value.mistakes} == {"into", "strength"}
