"""Drugs by body weight."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterplan import tables
from waterplan.dose.drugs import drug_doses, withdrawal_days, withdrawal_questions
from waterplan.dose.injection import Injection, WeightFrom, draw_up, injection_ml
from waterplan.errors import ImpossibleInput, Refused
from waterplan.published import Status

DIVISION = st.sampled_from([0.005, 0.01, 0.02, 0.1])


def drawn(weight_kg: float, dose: float, stock: float, division: float = 0.01) -> Injection:
    return draw_up(
        weight_kg,
        dose_mg_per_kg=dose,
        stock_mg_per_ml=stock,
        division_ml=division,
        weight_from=WeightFrom.WEIGHED,
    )


@settings(max_examples=150)
@given(st.floats(0.02, 20.0), st.floats(0.05, 20.0), st.floats(1.0, 200.0), DIVISION)
def test_never_above_the_dose_never_unmeasurable_never_above_a_site(
    weight_kg: float, dose: float, stock: float, division: float
) -> None:
    try:
        injection = drawn(weight_kg, dose, stock, division)
    except Refused:
        return
    assert injection.given_mg <= weight_kg * dose * (1.0 + 1e-9)
    assert injection.given_mg >= weight_kg * dose * 0.89  # one division of at least ten is lost at most
    assert injection.draw_ml >= 9.0 * division
    assert injection.site_ml <= 0.5 * weight_kg * (1.0 + 1e-9)
    assert injection.sites <= 4
    assert injection.dilution == 1.0 or injection.sites == 1 or injection.draw_ml >= 0.5 * weight_kg * (1.0 - 1e-9)


def test_where_no_dilution_is_both_measurable_and_small_enough_that_is_said() -> None:
    # 1 mg/kg in 0.12 kg of 5 mg/mL: 0.024 mL; 1 in 10 is 0.24 mL, but a site of this fish takes 0.06 mL and a 1 mL
    # syringe measures 0.1 mL at least.
    with pytest.raises(Refused, match=r"0\.024 mL cannot be drawn up.*0\.1 mL or more.*0\.06 mL or less"):
        drawn(0.12, 1.0, 5.0)
    # A syringe that measures 0.04 mL finds a way: 1 in 10 and 1 in 5 are too much for the site, 1 in 2 is 0.048 mL.
    finer = drawn(0.12, 1.0, 5.0, division=0.004)
    assert finer.dilution == 2.0
    assert finer.draw_ml == pytest.approx(0.048)


def test_too_much_for_its_sites_is_refused() -> None:
    # 5 mg/kg of 1 mg/mL is 5 mL/kg, ten sites and one.
    with pytest.raises(Refused, match="11 sites"):
        drawn(2.0, 5.0, 1.0)


@pytest.mark.parametrize("weight_from", [WeightFrom.LENGTH, WeightFrom.GUESSED])
def test_a_weight_that_was_not_weighed_must_be_confirmed(weight_from: WeightFrom) -> None:
    def dose(confirmed: bool) -> Injection:
        return draw_up(
            1.5,
            dose_mg_per_kg=1.0,
            stock_mg_per_ml=5.0,
            division_ml=0.01,
            weight_from=weight_from,
            weight_confirmed=confirmed,
        )

    with pytest.raises(Refused, match="weigh the fish"):
        dose(False)
    assert dose(True).draw_ml == pytest.approx(0.30)


@pytest.mark.parametrize("weight_kg", [-1.0, float("nan"), 2000.0])
def test_impossible_weights(weight_kg: float) -> None:
    with pytest.raises(ImpossibleInput):
        injection_ml(weight_kg, dose_mg_per_kg=1.0, stock_mg_per_ml=5.0)


def test_nothing_to_give_is_refused() -> None:
    with pytest.raises(Refused, match="nothing"):
        drawn(0.0, 1.0, 5.0)


def test_adrenaline_is_withheld_with_its_reason() -> None:
    with pytest.raises(Refused, match="20 to 50 times"):
        drug_doses("adrenaline")


def test_flunixin_is_common_practice_and_no_default() -> None:
    low, tested = drug_doses("flunixin")
    assert (low.value, low.status) == (0.5, Status.COMMON_PRACTICE)
    # Comparative pharmacokinetics ... in tilapia, Fishes 2021, 6(4):68: 2.2 mg/kg IM.
    assert (tested.value, tested.status) == (2.2, Status.PUBLISHED)


def test_no_dose_is_chosen_for_the_veterinarian() -> None:
    assert not any(row.is_default for row in tables.table("drugs"))
    with pytest.raises(LookupError):
        drug_doses("snake oil")


def test_the_questions_of_withdrawal_stand_in_their_order() -> None:
    assert [int(row["order"]) for row in withdrawal_questions()] == [1, 2, 3, 4, 5]


def test_withdrawal_never_ends_in_ice() -> None:
    assert withdrawal_days(0.0) == float("inf")
