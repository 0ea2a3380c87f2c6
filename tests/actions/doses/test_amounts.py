"""Doses as actions: each expected amount is worked out by hand beside it, or printed in the source that is named."""

import pytest

from tests.actions.doses.dosed import amount, cautions, codes, one

POWDER = {"bottle": "powder", "scale": "0.1 g"}


@pytest.mark.parametrize(
    ("substance", "use", "into", "keys", "name", "expected"),
    [
        # 100 mg/L x 40 L = 4.0 g, or 400 mL of 10 mg/mL (1 g to 100 mL, Lewbart 2005).
        ("tricaine", "induction", "40 ± 0 L", {"strength": "100 mg/L", **POWDER}, "mass", 4.0),
        ("tricaine", "induction", "40 ± 0 L", {"strength": "100 mg/L", "bottle": "10 mg/mL"}, "stock", 400.0),
        # The same of a powder that is four fifths tricaine: 4.0 / 0.8 = 5.0 g.
        (
            "tricaine",
            "induction",
            "40 ± 0 L",
            {"strength": "100 mg/L", "bottle": "80 % pure", "scale": "0.1 g"},
            "mass",
            5.0,
        ),
        # 60 mg/L x 20 L = 1.2 g.
        ("tricaine", "maintenance", "20 ± 0 L", {"strength": "60 mg/L", **POWDER}, "mass", 1.2),
        # 40 mg/L x 20 L = 0.8 g, 8 mL of 1 part in 10 with ethanol (100 mg/mL, Lewbart 2005).
        (
            "eugenol",
            "induction",
            "20 ± 0 L",
            {"strength": "40 mg/L", "bottle": "100 mg/mL", "syringe": "0.1 mL"},
            "stock",
            8.0,
        ),
        # 0.8 g of eugenol in an oil of 85 %: 0.9412 g, down to the division.
        (
            "eugenol",
            "induction",
            "20 ± 0 L",
            {"strength": "40 mg/L", "bottle": "85 % eugenol", "scale": "0.01 g"},
            "mass",
            0.94,
        ),
        # 25 uL/L x 600 L = 15 mL.
        ("formalin", "indefinite", "600 ± 0 L", {"strength": "25 uL/L"}, "stock", 15.0),
        # 75 mg/L x 100 L = 7.5 g: 250 mL of 3 % w/v; of 396.1 mg/mL (21 CFR 529.1150) 18.93 mL, down.
        ("hydrogen peroxide", "bath", "100 ± 0 L", {"strength": "75 mg/L", "bottle": "3 % w/v"}, "stock", 250.0),
        (
            "hydrogen peroxide",
            "bath",
            "100 ± 0 L",
            {"strength": "75 mg/L", "bottle": "35 % w/w, 1.1317 kg/L", "syringe": "0.1 mL"},
            "stock",
            18.9,
        ),
        # 2 mg/L x 600 L = 1.2 g.
        (
            "potassium permanganate",
            "bath",
            "600 ± 0 L",
            {"strength": "2 mg/L", "scale": "0.01 g"},
            "mass",
            1.2,
        ),
        # 2 mg/L x 200 L = 400 mg, four tablets of 100 mg; in 10 L 20 mg, 1 mL of 20 mg/mL, 20 drops of 0.05 mL.
        (
            "praziquantel",
            "bath",
            "200 ± 0 L",
            {"strength": "2 mg/L", "again": "2 mg/L", "bottle": "100 mg tablets"},
            "tablets",
            4.0,
        ),
        (
            "praziquantel",
            "bath",
            "10 ± 0 L",
            {"strength": "2 mg/L", "again": "2 mg/L", "bottle": "20 mg/mL", "drop": "0.05 mL"},
            "drops",
            20.0,
        ),
        # 2.35 mg/L are 23.5 drops, down to 23.
        (
            "praziquantel",
            "bath",
            "10 ± 0 L",
            {"strength": "2.35 mg/L", "again": "2.35 mg/L", "bottle": "20 mg/mL", "drop": "0.05 mL"},
            "drops",
            23.0,
        ),
        # 200 mg/L x 20 L = 4 g: 80 mL of 5 %, 32 mL of 12.5 %.
        ("hypochlorite", "equipment", "20 ± 0 L", {"strength": "200 mg/L", "bottle": "5 % w/v"}, "stock", 80.0),
        ("hypochlorite", "equipment", "20 ± 0 L", {"strength": "200 mg/L", "bottle": "12.5 % w/v"}, "stock", 32.0),
        # 100 mg/L x 10 L = 1 g of available iodine: 100 mL of 1 % available, which is 10 % PVP-I.
        ("povidone-iodine", "nets", "10 ± 0 L", {"bottle": "10 % PVP-I"}, "stock", 100.0),
        ("povidone-iodine", "nets", "10 ± 0 L", {"bottle": "1 % available iodine"}, "stock", 100.0),
        # 70 % of 1 L is 700 mL of pure spirit: 729.2 mL of 96 %, up.
        ("ethanol", "instruments", "1 ± 0 L", {"bottle": "96 % v/v"}, "stock", 730.0),
        # 25 g/L x 50 L = 1,250 g; 3 g/L in the tank's 600 L 1,800 g.
        ("salt", "prolonged", "tank", {"strength": "3 g/L"}, "mass", 1800.0),
    ],
)
def test_the_amount_by_hand(
    substance: str, use: str, into: str, keys: dict[str, str], name: str, expected: float
) -> None:
    made, at_hand = one(substance, use, into, **keys)
    assert codes(made) == set()
    assert amount(made, at_hand, name) == pytest.approx(expected)
    assert sum(made.action.part_amounts[name]) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("substance", "use", "litres", "keys", "by_hand"),
    [
        # 25 uL/L x 100 L = 2.5 mL: the syringe shows 1 mL, of which ten are read. 10 mL with 90 mL of water are 10 % v/v;
        # 2.5 mL of formalin are in 25 mL of that. From the bottle 25 mL would be ten times the dose.
        (
            "formalin",
            "indefinite",
            100.0,
            {"strength": "25 uL/L", "syringe": "1 mL"},
            {"bottle": 10.0, "diluent": 90.0, "strength diluted": 10.0, "mixture": 25.0},
        ),
        # 25 uL/L x 20 L = 0.5 mL, 5 mL of 1 in 10: still too few; 10 mL with 990 mL are 1 % v/v, 50 mL of that.
        (
            "formalin",
            "indefinite",
            20.0,
            {"strength": "25 uL/L", "syringe": "1 mL"},
            {"bottle": 10.0, "diluent": 990.0, "strength diluted": 1.0, "mixture": 50.0},
        ),
        # 100 mg/L x 2 L = 0.2 g on a scale of 1 g: ten divisions, 10 g in 1 L, are 10 mg/mL; 200 mg are 20 mL.
        (
            "tricaine",
            "induction",
            2.0,
            {"strength": "100 mg/L", "bottle": "powder", "scale": "1 g"},
            {"weigh": 10.0, "make up to": 1000.0, "strength diluted": 10.0, "mixture": 20.0},
        ),
    ],
)
def test_what_cannot_be_measured_is_drawn_from_a_mixture_with_its_strength(
    substance: str, use: str, litres: float, keys: dict[str, str], by_hand: dict[str, float]
) -> None:
    made, at_hand = one(substance, use, f"{litres:g} ± 0 L", **keys)
    assert codes(made) == set()
    assert {name: amount(made, at_hand, name) for name in by_hand} == pytest.approx(by_hand)
    assert "stock" not in made.action.amounts  # of the bottle itself nothing goes in


def test_an_oil_is_not_thinned_a_hundredfold_with_ethanol() -> None:
    # 40 mg/L x 2 L = 80 mg, 0.8 mL of 100 mg/mL; 1 in 10 are 8 mL, eight divisions; 1 in 100 would be 80 mL, nearly all
    # ethanol, in 2 L: 4 %.
    made, _ = one("eugenol", "induction", "2 ± 0 L", strength="40 mg/L", bottle="100 mg/mL", syringe="1 mL")
    assert codes(made) == {"use-a-finer-syringe"}


def test_the_litres_that_were_used_are_named_with_what_their_error_does() -> None:
    # 40 ± 4 L, a 95 % interval: the 5th percentile is 40 - 1.645 x 4 / 1.960 = 36.64 L; 110 mg/L of it is 4.03 g.
    made, at_hand = one(
        "tricaine", "induction", case={"tub": "40 ± 4 L"}, strength="110 mg/L", bottle="powder", scale="0.01 g"
    )
    assert amount(made, at_hand, "mass") == pytest.approx(4.03, abs=0.021)
    made_level = at_hand.figures.record(made.action.amounts["level"])
    # At the 95th percentile, 43.36 L, that is 92.9 mg/L; at the 5th 110.
    assert made_level.low == pytest.approx(92.9, abs=1.0)
    assert made_level.high == pytest.approx(110.0, abs=0.5)
    assert made.action.worked_out_for["volume"] == "low"


def test_tricaine_salt_and_an_injection_end_to_end() -> None:
    made, at_hand = one("tricaine", "induction", strength="100 mg/L", buffer="one to one", **POWDER)
    assert codes(made) == set()
    # Gram for gram is by the grams that are weighed.
    assert amount(made, at_hand, "mass") == 4.0
    assert amount(made, at_hand, "bicarbonate") == 4.0
    # 100 mg/L of tricaine take 19.2 mg/L as CaCO3 (50.04 g an equivalent over 261.3 g).
    assert at_hand.figures.record(made.action.amounts["alkalinity taken"]).best == pytest.approx(19.2, abs=0.05)
    # Alkalinity 100, pH 7.6, 20 °C, 1 to 1 by mass: begins near pH 7.13 and airs towards 8.6 (corrections, 5).
    assert at_hand.figures.record(made.action.amounts["ph closed"]).best == pytest.approx(7.13, abs=0.05)
    assert at_hand.figures.record(made.action.amounts["carbon dioxide closed"]).best == pytest.approx(22.0, abs=1.0)
    assert "air-the-carbon-dioxide-out-first" in cautions(made)
    assert made.effects[0].action == made.action.id
