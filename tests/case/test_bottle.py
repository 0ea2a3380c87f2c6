"""Labels against hand arithmetic: 1 % w/v is 10 mg/mL, 1 % by mass of 1.1 kg/L is 11 mg/mL."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterplan.case.bottle import parse_bottle
from waterplan.case.values import BadValue


@pytest.mark.parametrize(
    ("text", "mg_per_ml"),
    [
        ("10 mg/mL", 10.0),
        ("5 % w/v", 50.0),
        ("40 g/L", 40.0),
        ("40 G/l", 40.0),
        # 0.35 x 1.1317 kg/L = 396.1 mg/mL, as 21 CFR 529.1150 prints it.
        ("35 % w/w, 1.1317 kg/L", 396.1),
        ("10 % PVP-I", 10.0),
        ("1 % available iodine", 10.0),
        ("5 % available chlorine", 50.0),
        ("1 in 10 of 50 mg/mL", 5.0),
        ("1 plus 9 of 50 mg/mL", 5.0),
        ("1 plus 10 of 55 mg/mL", 5.0),
        ("85 % eugenol, 1.05 kg/L", 892.5),
    ],
)
def test_a_label_as_milligrams_in_a_millilitre(text: str, mg_per_ml: float) -> None:
    assert parse_bottle(text).mg_per_ml == pytest.approx(mg_per_ml, rel=1e-4)


def test_a_powder_a_share_a_tablet_and_a_spirit() -> None:
    assert parse_bottle("powder").active_fraction == 1.0
    assert parse_bottle("98 % pure").active_fraction == pytest.approx(0.98)
    assert parse_bottle("85 % eugenol").of_eugenol
    assert parse_bottle("100 mg tablets").tablet_mg == 100.0
    assert parse_bottle("96 % v/v").percent_vv == 96.0


@pytest.mark.parametrize(
    ("text", "would_do"),
    [
        ("5 %", "a bare % does not say of what"),
        ("20 ppm", "ppm has no stated basis"),
        ("1:10 of 5 % w/v", "read in two ways"),
        ("1:100", "read in two ways"),
        ("35 % w/w", "density"),
        ("120 % w/v", "not stronger than the pure substance"),
        ("101 % pure", "nothing is purer"),
        ("101 % v/v", "at most 100"),
        ("0 mg/mL", "above 0"),
        ("-5 mg/mL", "write what the label says"),
        ("1 in 10 of powder", "a dilution is of a liquid"),
        ("200 % PVP-I", "0.001 to 100"),
        ("strong", "write what the label says"),
        ("", "write what the label says"),
    ],
)
def test_a_label_that_cannot_be_taken_says_what_would_do(text: str, would_do: str) -> None:
    with pytest.raises(BadValue) as wrong:
        parse_bottle(text)
    assert would_do in wrong.value.would_do


@settings(max_examples=60)
@given(st.floats(0.01, 90.0))
def test_the_same_strength_in_every_way_of_writing_it(percent: float) -> None:
    # 1 % w/v is 10 mg/mL, 10 g/L, 10,000 mg/L; by mass in a liquid of 1 kg/L the same; 10 % PVP-I is 1 % available iodine.
    strength = parse_bottle(f"{percent:.6f} % w/v").mg_per_ml
    assert strength == pytest.approx(percent * 10.0, abs=1e-5)
    for same in (
        f"{percent * 10.0:.6f} mg/mL",
        f"{percent * 10.0:.6f} g/L",
        f"{percent * 1e4:.6f} mg/L",
        f"{percent:.6f} % w/w, 1 kg/L",
        f"{percent * 1e4:.6f} ppm by mass, 1 kg/L",
        f"1 in 10 of {percent * 100.0:.6f} mg/mL",
        f"1 plus 9 of {percent * 100.0:.6f} mg/mL",
    ):
        if percent * 100.0 > 1000.0 and "of" in same:
            continue  # the stock of such a dilution would be stronger than pure
        assert parse_bottle(same).mg_per_ml == pytest.approx(strength, abs=1e-5), same
    iodine = parse_bottle(f"{percent:.6f} % PVP-I")
    again = parse_bottle(f"{percent / 10.0:.7f} % available iodine")
    assert again.mg_per_ml == pytest.approx(iodine.mg_per_ml, abs=1e-5)


@pytest.mark.parametrize(
    ("written", "same"),
    [
        ("80 % Pure", "80 % pure"),
        ("POWDER", "powder"),
        ("2.5%W/V", "2.5 % w/v"),
        ("10 MG/ML", "10 mg/mL"),
        ("100 MG Tablets", "100 mg tablets"),
        ("10 % pvp-i", "10 % PVP-I"),
        ("96%V/V", "96 % v/v"),
        ("85 % Eugenol", "85 % eugenol"),
        ("1 IN 10 of 50 mg/mL", "1 in 10 of 50 mg/mL"),
        ("35 % W/W, 1.13 KG/L", "35 % w/w, 1.13 kg/L"),
    ],
)
def test_capitals_and_blanks_of_a_label_change_nothing(written: str, same: str) -> None:
    assert replace(parse_bottle(written), text="") == replace(parse_bottle(same), text="")
