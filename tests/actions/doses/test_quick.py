"""Sums without a case: the bad input that a dose must stand, told or refused alike, and the same answers as in a plan."""

from datetime import UTC, datetime

import pytest

from tests.actions.doses import dosed
from waterplan.errors import CaseError
from waterplan.plan.quick_doses import quick_dose, quick_injection, quick_iodine, quick_salt
from waterplan.plan.record import Plan
from waterplan.words.short import short_answer, shown_figures

TODAY = datetime(2026, 5, 14, 10, tzinfo=UTC)
BATH = {
    "substance": "tricaine",
    "use": "induction",
    "into": "40 L, marked tub",
    "strength": "100 mg/L",
    "bottle": "powder",
}
SALT = {"substance": "salt", "use": "dip", "into": "40 L, marked tub", "strength": "25 g/L", "salinity": "0 ± 0 g/L"}
COPPER = {
    "substance": "copper",
    "use": "bath",
    "into": "400 L, marked tub",
    "strength": "0.2 mg/L",
    "again": "0.2 mg/L",
    "bottle": "10 mg/mL",
}
FISH = {"species": "goldfish", "eaten": "no"}
WATER = {
    "temperature": "20 ± 0 °C",
    "ph": "7.6 ± 0",
    "alkalinity": "100 ± 0 mg/L as CaCO3",
    "oxygen": "8.6 ± 0 mg/L",
    "tan": "0.2 ± 0 mg/L as N",
    "chlorine": "0 ± 0 mg/L",
}

# What is wrong with the words of a value is told by its name; what is wrong with the dose refuses it.
BAD = [
    pytest.param(BATH | {"bottle": "120 % pure"}, FISH, "bottle", id="above pure, by share"),
    pytest.param(
        {"substance": "hypochlorite", "use": "equipment", "into": "20 L, marked tub", "bottle": "150 % w/v"},
        FISH,
        "bottle",
        id="above pure, by volume",
    ),
    pytest.param(BATH | {"strength": "-100 mg/L"}, FISH, "strength", id="negative level"),
    pytest.param(BATH | {"strength": "0 mg/L"}, FISH, "nothing-is-to-be-given", id="nothing"),
    pytest.param(BATH | {"into": "0 L, marked tub"}, FISH, "into", id="no water"),
    pytest.param(BATH | {"into": "-5 L, marked tub"}, FISH, "into", id="negative water"),
    pytest.param(BATH | {"strength": "100 ppm"}, FISH, "strength", id="ppm without its basis"),
    pytest.param(BATH | {"bottle": "10 %"}, FISH, "bottle", id="% without its basis"),
    pytest.param(BATH | {"bottle": "1:10"}, FISH, "bottle", id="1 to n without its meaning"),
    pytest.param(BATH | {"into": "40 gal, marked tub"}, FISH, "into", id="a gallon without its country"),
    pytest.param(BATH, FISH | {"eaten": "yes"}, "forbidden-by-rule", id="a food fish"),
    pytest.param(BATH, {"species": "goldfish"}, "enter-whether-it-may-be-eaten", id="a food fish, not said"),
    pytest.param(COPPER, FISH | {"species": "sturgeon"}, "forbidden-by-rule", id="a species that bears no copper"),
    pytest.param(
        SALT, FISH | {"species": "sturgeon"}, "above-the-highest-level", id="a species that bears little salt"
    ),
    pytest.param(
        SALT | {"use": "prolonged", "strength": "7 g/L"}, FISH, "above-the-highest-level", id="above the ceiling, salt"
    ),
    pytest.param(
        {"substance": "formalin", "use": "bath", "into": "400 L, marked tub", "strength": "300 uL/L"},
        FISH,
        "above-the-highest-level",
        id="above the ceiling, formalin",
    ),
    pytest.param(BATH | {"strength": "1000 mg/L"}, FISH, "more-than-twice-the-highest-level", id="a slip of ten"),
    pytest.param(
        BATH | {"bottle": "10 mg/mL", "opened": "2020-01-01"}, FISH, "stock-too-old", id="a stock past its age"
    ),
    pytest.param(BATH | {"expires": "2020-01-01"}, FISH, "past-its-date", id="a label past its date"),
    pytest.param(BATH, FISH | {"chlorine": "0.4 ± 0 mg/L"}, "chlorine-in-the-bath", id="chlorine-in-the-bath"),
    pytest.param(BATH | {"substance": "water"}, FISH, "substance", id="no such substance"),
]


def codes(plan: Plan) -> set[str]:
    return {why.code for why in plan.actions[0].refused_because}


def act_on(plan: Plan, name: str) -> float | None:
    return plan.figures[plan.actions[0].amounts[name]].act_on


@pytest.mark.parametrize(("dose", "fish", "told"), BAD)
def test_bad_input_is_told_or_refused(dose: dict[str, str], fish: dict[str, str], told: str) -> None:
    plan, places = _tried(WATER | dose | fish)
    assert told in (places if plan is None else codes(plan))
    assert plan is None or not plan.actions[0].amounts


def _tried(texts: dict[str, str]) -> tuple[Plan | None, set[str]]:
    """The plan, or the places of the mistakes."""
    try:
        return quick_dose(texts, today=TODAY), set()
    except CaseError as wrong:
        return None, {one.where for one in wrong.mistakes}


def test_a_bath_without_a_case_is_that_of_a_case() -> None:
    keys = {"strength": "100 mg/L", "bottle": "powder", "scale": "0.1 g", "buffer": "one to one"}
    made, at_hand = dosed.one("tricaine", "induction", **keys)
    plan = quick_dose(WATER | FISH | BATH | {"into": "40 ± 0 L"} | keys, today=TODAY)
    for name in ("mass", "bicarbonate", "level"):
        assert act_on(plan, name) == dosed.amount(made, at_hand, name)
    for name in ("ph closed", "ph aired", "carbon dioxide closed"):
        there = at_hand.figures.record(made.action.amounts[name]).best
        assert plan.figures[plan.actions[0].amounts[name]].best == pytest.approx(there, abs=0.03)


def test_the_unit_tells_a_level_that_is_wanted_from_what_has_gone_in() -> None:
    """4 g of powder in 40 L are 4,000 / 40 = 100 mg/L."""
    keys = {"into": "40 ± 0 L", "bottle": "powder", "scale": "0.1 g", "buffer": "one to one"}
    gone_in = quick_dose(WATER | FISH | BATH | keys | {"strength": "4 g"}, today=TODAY)
    (level,) = (one.best for path, one in gone_in.figures.items() if path.endswith("tricaine/level"))
    assert level == pytest.approx(100.0, abs=0.5)
    wanted = quick_dose(WATER | FISH | BATH | keys | {"strength": "100 mg/L"}, today=TODAY)
    assert act_on(wanted, "mass") == 4.0


def test_salt_iodine_and_an_injection_without_a_case() -> None:
    # 3 g/L x 600 L; 100 mg/L of available iodine in 10 L: 100 mL of the usual bottle; ten divisions of the vial.
    salt = quick_salt(exposure="level", strength="3 g/L", volume="600 ± 0 L", species_name="koi")
    assert act_on(salt, "mass") == 1800.0
    iodine = quick_iodine(use="nets", volume="10 ± 0 L")
    assert act_on(iodine, "stock") == 100.0
    assert codes(quick_iodine(use="fish", volume="10 ± 0 L")) == {"no-fish-into-iodine"}
    texts = {"drug": "flunixin", "dose": "0.5 mg/kg", "stock": "50 mg/mL", "weight": "2.4 ± 0 kg", **FISH}
    drawn = quick_injection(texts, today=TODAY)
    assert act_on(drawn, "vial") == 0.1
    assert act_on(drawn, "draw") == 0.24


def test_what_cannot_be_read_is_told_with_the_example_of_its_key() -> None:
    with pytest.raises(CaseError, match=r"weight: read 'heavy'.*such as '0.62 kg, scales'"):
        quick_injection({"drug": "meloxicam", "weight": "heavy"}, today=TODAY)


def test_what_is_there_already_is_told_beside_a_quick_dose() -> None:
    bath = {"substance": "formalin", "use": "bath", "into": "40 ± 0 L", "strength": "100 uL/L"}
    plan = quick_dose(WATER | FISH | bath, already=["open wound"], today=TODAY)
    assert codes(plan) == {"forbidden-by-rule"}
    assert codes(quick_dose(WATER | FISH | bath, already=["permanganate"], today=TODAY)) == {"forbidden-by-rule"}
    with pytest.raises(CaseError):
        quick_dose(WATER | FISH | bath, already=["a hammer"], today=TODAY)


def test_nothing_measured_is_told_once_a_quantity() -> None:
    plan = quick_dose(BATH | FISH, today=TODAY)
    measure = [
        why.words["quantity"] for why in plan.actions[0].cautions if why.code == "measure-before-the-fish-goes-in"
    ]
    assert len(measure) == len(set(measure))


@pytest.mark.parametrize("strength", ["0.7 g/L", "3 g/L"])
@pytest.mark.parametrize(("species", "named"), [("unknown", "fish of unknown species"), ("sturgeon", "sturgeon")])
def test_a_level_that_is_too_high_says_for_which_fish(species: str, named: str, strength: str) -> None:
    """Both bear 0.5 g/L and never more than 1: whoever has another fish may say so."""
    texts = {"substance": "salt", "use": "prolonged", "strength": strength, "into": "100 US gal"}
    told = short_answer(quick_dose(texts | {"species": species}, today=TODAY))
    assert told.startswith("⊘ Refused")
    assert f"for {named}" in told.replace("For", "for")
    assert ("State the species" in told) is (species == "unknown")


@pytest.mark.parametrize(("dose", "fish", "told"), BAD)
def test_what_a_reason_says_is_no_figure_of_its_own(dose: dict[str, str], fish: dict[str, str], told: str) -> None:
    plan, _ = _tried(WATER | dose | fish)
    if plan is not None:
        assert "in a reason" not in short_answer(plan)
        assert not any(path.split("/")[-2] in codes(plan) for path in shown_figures(plan) if "/" in path)
