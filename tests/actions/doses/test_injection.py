"""Drugs by weight: mg/kg x kg / (mg/mL), the dilution that a syringe measures, and what is refused."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.actions.doses.dosed import amount, cautions, codes, injected, table
from waterplan.actions.doses.draft import Stopped
from waterplan.actions.doses.injection import draw


def syringe(dose: str, stock: str, **keys: str) -> dict[str, str]:
    return {"dose": dose, "stock": stock, "syringe": "0.01 mL", **keys}


@pytest.mark.parametrize(
    ("drug", "dose", "stock", "weight", "drawn", "vial", "given_mg", "sites"),
    [
        # 0.5 x 2.4 = 1.2 mg = 0.024 mL of 50 mg/mL: 1 in 10, 0.24 mL of 5 mg/mL. Ten divisions make the mixture: 0.1 mL.
        ("flunixin", "0.5 mg/kg", "50 mg/mL", "2.4 ± 0 kg", 0.24, 0.1, 1.2, (0.24,)),
        # 2.2 x 2.4 = 5.28 mg = 0.1056 mL, down.
        ("flunixin", "2.2 mg/kg", "5 % w/v", "2.4 ± 0 kg", 0.1, 0.1, 5.0, (0.1,)),
        # 1 x 1.5 / 5 = 0.3 mL.
        ("meloxicam", "1 mg/kg", "5 mg/mL", "1.5 ± 0 kg", 0.3, 0.3, 1.5, (0.3,)),
        # 0.4 x 3 / 10 = 0.12 mL.
        ("butorphanol", "0.4 mg/kg", "10 mg/mL", "3 ± 0 kg", 0.12, 0.12, 1.2, (0.12,)),
        # 5 x 2 / 10 = 1.0 mL, which is 0.5 mL/kg: split.
        ("morphine", "5 mg/kg", "10 mg/mL", "2 ± 0 kg", 1.0, 1.0, 10.0, (0.5, 0.5)),
        # 2 x 1.2 = 2.4 mg = 0.024 mL of 100 mg/mL: 1 in 10, 0.24 mL.
        ("ketoprofen", "2 mg/kg", "100 mg/mL", "1.2 ± 0 kg", 0.24, 0.1, 2.4, (0.24,)),
        # D36: 1 x 0.39 / 5 = 0.078 mL; a 0.01 mL syringe draws 0.08 of the vial itself.
        ("meloxicam", "1 mg/kg", "5 mg/mL", "0.39 ± 0 kg", 0.08, 0.08, 0.4, (0.08,)),
    ],
)
def test_what_is_drawn_up_by_hand(
    drug: str, dose: str, stock: str, weight: str, drawn: float, vial: float, given_mg: float, sites: tuple[float, ...]
) -> None:
    made, at_hand = injected(drug, case={"weight": weight}, **syringe(dose, stock))
    assert codes(made) == set()
    assert amount(made, at_hand, "draw") == pytest.approx(drawn)
    assert amount(made, at_hand, "vial") == pytest.approx(vial)
    assert amount(made, at_hand, "given") == pytest.approx(given_mg)
    assert made.action.part_amounts["draw"] == pytest.approx(sites)
    assert not made.effects


def test_a_mixture_is_made_of_ten_divisions_of_the_vial_and_diluent() -> None:
    # 0.2 x 0.5 = 0.1 mg = 0.02 mL of 5 mg/mL, two divisions of 0.01 mL. Ten divisions are 0.1 mL; with 0.9 mL of
    # diluent they are 1 mL at 0.5 mg/mL, of which 0.1 mg is 0.2 mL.
    made, at_hand = injected("meloxicam", case={"weight": "0.5 ± 0 kg"}, **syringe("0.2 mg/kg", "5 mg/mL"))
    found = [amount(made, at_hand, one) for one in ("vial", "diluent", "strength diluted", "draw")]
    assert found == pytest.approx([0.1, 0.9, 0.5, 0.2])


def test_what_the_error_of_the_weight_does_is_told() -> None:
    # 1 kg ± 10 % (95 %): 1 mg/kg asked, 0.92 to 1.09 mg/kg given at the 5th and 95th percentiles.
    made, at_hand = injected("meloxicam", case={"weight": "1 ± 0.1 kg"}, **syringe("1 mg/kg", "5 mg/mL"))
    reached = at_hand.figures.record(made.action.amounts["dose reached"])
    assert reached.low == pytest.approx(1 / 1.084, abs=0.015)
    assert reached.high == pytest.approx(1 / 0.916, abs=0.015)


@pytest.mark.parametrize(
    ("texts", "case", "refused", "told"),
    [
        ({}, {"weight": "0.6 kg, estimate"}, "weigh-the-fish", ""),
        ({}, {"weight": "0.6 kg"}, "weigh-the-fish", ""),
        ({"weight_confirmed": "yes"}, {"weight": "1.5 kg, estimate"}, "", ""),
        ({}, {"eaten": "yes"}, "forbidden-by-rule", ""),
        ({}, {"eaten": ""}, "enter-whether-it-may-be-eaten", ""),
        ({"dose": "0 mg/kg"}, {}, "nothing-is-to-be-given", ""),
        ({"dose": ""}, {}, "enter-the-dose", ""),
        ({"stock": ""}, {}, "enter-the-strength-on-the-vial", ""),
        # 0.12 mg in 0.024 mL of 5 mg/mL: a site of 0.06 mL takes no dilution that ten divisions show.
        ({}, {"weight": "0.12 ± 0 kg"}, "no-dilution-fits", ""),
        ({"drug": "adrenaline"}, {}, "dose-withheld", ""),
        ({"drug": "lidocaine"}, {}, "dose-withheld", ""),
        # More than five times the highest that is printed (5 mg/kg) looks like a slip of the decimal point.
        ({"dose": "30 mg/kg", "stock": "50 mg/mL"}, {}, "write-it-a-second-time", ""),
        ({"dose": "30 mg/kg", "stock": "50 mg/mL", "again": "3 mg/kg"}, {}, "written-twice-and-not-the-same", ""),
        ({"dose": "30 mg/kg", "stock": "50 mg/mL", "again": "30 mg/kg"}, {}, "", "far-from-the-printed-range"),
        ({"dose": "0.1 mg/kg", "stock": "0.5 mg/mL"}, {}, "", "far-from-the-printed-range"),
        ({"dose": "8 mg/kg", "stock": "50 mg/mL"}, {}, "", "outside-the-printed-range"),
        ({"drug": "something else"}, {}, "write-it-a-second-time", ""),
        ({"drug": "something else", "again": "1 mg/kg"}, {}, "", "no-printed-level-to-set-beside-it"),
        ({"expires": "2020-01-31"}, {}, "past-its-date", ""),
    ],
)
def test_what_is_refused_asked_or_told(texts: dict[str, str], case: dict[str, str], refused: str, told: str) -> None:
    keys = {"drug": "meloxicam", **syringe("1 mg/kg", "5 mg/mL")} | texts
    made, _ = injected(case={"weight": "2 ± 0 kg"} | case, **keys)
    assert not refused or refused in codes(made)
    assert bool(refused) == bool(made.action.refused_because)
    assert not told or told in cautions(made)


def test_two_anti_inflammatories_are_not_given_together() -> None:
    more = table("injections", drug="ketoprofen", **syringe("2 mg/kg", "100 mg/mL"))
    made, _ = injected("meloxicam", more=more, **syringe("1 mg/kg", "5 mg/mL"))
    assert made.action.refused_because[0].words["rule"] == "two anti-inflammatories"


def test_what_was_injected_yesterday_is_not_ordered_again() -> None:
    more = table("done", at="2026-05-13T10:00:00", what="injected meloxicam")
    made, _ = injected("meloxicam", more=more, **syringe("1 mg/kg", "5 mg/mL"))
    assert made.action.done is not None


@settings(max_examples=200, deadline=None)
@given(
    weight=st.floats(0.02, 12.0),
    dose=st.floats(0.05, 20.0),
    stock=st.sampled_from([0.3, 2.0, 5.0, 10.0, 50.0, 100.0]),
    division=st.sampled_from([0.005, 0.01, 0.02, 0.1]),
)
def test_sites_add_up_to_the_draw_and_none_is_over_full(
    weight: float, dose: float, stock: float, division: float
) -> None:
    try:
        made = draw(weight, dose_mg_per_kg=dose, stock_mg_per_ml=stock, division_ml=division)
    except Stopped:
        return
    assert math.fsum(made.sites) == pytest.approx(made.draw_ml, abs=1e-9)
    # 0.5 mL/kg a site, four sites at the most (from memory; judgement).
    assert max(made.sites) <= 0.5 * weight * (1.0 + 1e-9)
    assert len(made.sites) <= 4
    assert all(math.isclose(one / division, round(one / division), rel_tol=1e-6) for one in made.sites)
    assert made.given_mg == pytest.approx(made.draw_ml / made.dilution * stock)
    # Ten divisions leave the vial for a mixture (judgement), and the mixture is enough for the draw.
    if made.dilution > 1.0:
        assert made.vial_ml >= 10 * division * (1.0 - 1e-9)
        assert made.vial_ml * made.dilution >= made.draw_ml
    # A tenth either way where few divisions are read; else never above what was asked for.
    assert made.given_mg <= weight * dose * (1.1 if made.few_divisions else 1.0) * (1.0 + 1e-9)
