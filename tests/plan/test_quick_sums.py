"""Four sums that need no case."""

import math

import pytest

from tests.plan.by_hand import figures, routine_uptake_mg_per_kg_h, shown
from waterplan.errors import CaseError
from waterplan.findings import Finding, Verdict
from waterplan.first_plan.quick import IODINE_USES, quick_iodine, quick_oxygen, quick_salt, quick_tank
from waterplan.published import Status


def mistakes_of(error: pytest.ExceptionInfo[CaseError]) -> dict[str, str]:
    return {mistake.where: mistake.would_do for mistake in error.value.mistakes}


# -- oxygen -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("temperature", "altitude", "mg_per_l", "within"),
    [
        # Benson & Krause as APHA 4500-O prints it, and with the standard atmosphere at 1,500 m.
        ("20 ± 0 °C", "0 ± 0 m", 9.092, 0.0015),
        ("15 ± 0 °C", "0 ± 0 m", 10.084, 0.0015),
        ("30 ± 0 °C", "0 ± 0 m", 7.559, 0.0015),
        ("20 ± 0 °C", "1500 ± 0 m", 7.553, 0.005),
        ("68 ± 0 °F", "0 ± 0 ft", 9.092, 0.0015),
    ],
)
def test_oxygen_at_a_temperature_and_altitude(temperature: str, altitude: str, mg_per_l: float, within: float) -> None:
    finding = quick_oxygen(temperature=temperature, altitude=altitude)
    assert finding.value == pytest.approx(mg_per_l, abs=within)
    assert finding.low < finding.value < finding.high, "the weather"
    assert finding.citations


def test_oxygen_is_judged_by_the_species() -> None:
    assert quick_oxygen(temperature="26 °C", altitude="1500 m", species="goldfish").verdict is Verdict.PASS
    assert quick_oxygen(temperature="36 °C", altitude="1800 m", species="rainbow trout").verdict is Verdict.ACT


def test_what_oxygen_assumes_is_said() -> None:
    texts = " ".join(caution.text for caution in quick_oxygen(temperature="20 °C").cautions)
    assert "sea level is assumed" in texts
    assert "none is counted" in texts


# -- tank ---------------------------------------------------------------------------------------------------------


def test_the_tank_for_a_species_and_weight() -> None:
    smallest, *demands = quick_tank(
        species="koi", weight="1 ± 0 kg", length="40 ± 0 cm", temperature="20 ± 0 °C", ph="7 ± 0", filter_state="seeded"
    )
    by_name = {finding.key: finding for finding in demands}
    start = 0.95 * 9.092
    by_hand = {
        "turning room": 1.6 * 0.8 * 0.4 * 1000,
        "litres by length": 280.0,
        "stocking": 200.0,  # 5 kg/m3 with a seeded filter
        "oxygen": 2.5 * routine_uptake_mg_per_kg_h(1000.0, 20.0) * 2 / (start - 5) + 1.0,
        "ammonia": 3.0 * 24 / 2.0,  # a day without the filter, under the cap of 2 mg/L
    }
    for name, litres in by_hand.items():
        assert by_name[name].value == pytest.approx(litres, rel=2e-3), name
    assert smallest.value == pytest.approx(max(by_hand.values()))
    assert "turning room rules" in smallest.answer


def test_a_tank_without_its_water_says_what_it_did_not_count() -> None:
    smallest, *demands = quick_tank(species="koi", weight="1 kg")
    assert smallest.value is not None
    assert "Not counted: oxygen" in smallest.answer
    assert "[home_water]" not in " ".join(finding.answer for finding in (smallest, *demands))
    assert {finding.verdict for finding in demands if finding.key in {"oxygen", "ammonia"}} == {Verdict.QUESTION}


# -- salt ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("exposure", "strength", "present", "grams"),
    [
        # Handbook arithmetic: 600 L to 3 g/L is 1,800 g, from 1 g/L 1,200 g; 50 L at 25 g/L is 1,250 g.
        ("prolonged", "3 g/L", "0 ± 0 g/L", 1800.0),
        ("prolonged", "3 g/L", "1 ± 0 g/L", 1200.0),
        ("bath", "10 g/L", "0 ± 0 g/L", 6000.0),
        ("bath", "10 g/L", "2 ± 0 g/L", 4800.0),
    ],
)
def test_salt_by_hand(exposure: str, strength: str, present: str, grams: float) -> None:
    finding = quick_salt(exposure=exposure, strength=strength, volume="600 ± 0 L", species="koi", present=present)
    assert finding.value == pytest.approx(grams)
    assert finding.verdict is Verdict.PASS


def test_a_dip_by_hand_with_its_attended_time() -> None:
    finding = quick_salt(exposure="dip", strength="25 g/L", volume="50 ± 0 L", species="koi")
    assert finding.value == pytest.approx(1250.0)
    assert "with the net in hand" in finding.answer
    assert any(caution.serious for caution in finding.cautions)


@pytest.mark.parametrize(
    ("exposure", "strength", "species"),
    [
        ("prolonged", "7 g/L", "koi"),
        ("dip", "35 g/L", "goldfish"),
        ("dip", "5 g/L", "sturgeon"),
        ("bath", "6 g/L", "orfe"),
    ],
)
def test_salt_above_the_ceiling_is_refused(exposure: str, strength: str, species: str) -> None:
    finding = quick_salt(exposure=exposure, strength=strength, volume="50 ± 0 L", species=species)
    assert finding.verdict is Verdict.REFUSED
    assert finding.value is None
    assert "ceiling" in finding.answer


def test_a_level_against_nitrite_passes_for_a_sensitive_fish() -> None:
    # Corrections to the facts: 0.05 g/L against nitrite must pass for a sensitive species: 1000 x 0.05 = 50 g.
    finding = quick_salt(exposure="prolonged", strength="0.05 g/L", volume="1000 ± 0 L", species="sturgeon")
    assert finding.value == pytest.approx(50.0)
    assert finding.verdict is Verdict.PASS


# -- iodine -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("use", "volume", "stock", "exact", "drawn"),
    [
        # Worked: 10 L at 100 mg/L from 10 % PVP-I is 100 mL; 0.5 L at 500 mg/L is 25 mL.
        ("eggs", "10 L", "10 % PVP-I", 100.0, 100.0),
        ("wound", "0.5 L", "10 % PVP-I", 25.0, 25.0),
        ("nets", "20 L", "7.5 % PVP-I", 2000 / 7.5, 267.0),  # up: a net is not harmed
        ("wound", "1 L", "7.5 % PVP-I", 500 / 7.5, 66.0),  # down: a wound is
    ],
)
def test_iodine_by_hand(use: str, volume: str, stock: str, exact: float, drawn: float) -> None:
    finding = quick_iodine(use=use, volume=volume, stock=stock)
    assert finding.value == pytest.approx(exact)
    assert figures(shown(finding))[0] == drawn
    assert "available iodine" in finding.answer


def test_what_is_too_little_for_the_syringe_says_so() -> None:
    finding = quick_iodine(use="wound", volume="0.1 L", stock="20 % PVP-I")
    # 0.1 L x 500 mg/L / 20 mg/mL = 2.5 mL, of which a syringe that shows 1 mL draws 2: a fifth too little.
    assert finding.value == pytest.approx(2.5)
    assert figures(shown(finding))[0] == 2.5
    assert any("too coarse" in caution.text for caution in finding.cautions)


def test_an_iodine_bath_for_a_fish_is_refused() -> None:
    finding = quick_iodine(use="fish", volume="10 L")
    assert finding.verdict is Verdict.REFUSED
    assert finding.standing
    assert "a fish is not put into iodine" in finding.answer.lower()


def test_a_bottle_that_was_not_named_is_a_named_default() -> None:
    finding = quick_iodine(use="nets", volume="10 L")
    assert any("10 % povidone-iodine is assumed" in caution.text for caution in finding.cautions)
    assert finding.status is not Status.PUBLISHED


# -- what is wrong is told together, by the name it was asked for -------------------------------------------------


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda: quick_oxygen(temperature=""), {"temperature"}),
        (
            lambda: quick_oxygen(temperature="60 °C", altitude="640", species="shark"),
            {"temperature", "altitude", "species"},
        ),
        (lambda: quick_tank(species="koi"), {"weight"}),
        (lambda: quick_tank(species="koi", weight="1,1 kg", filter_state="good"), {"weight", "filter"}),
        (
            lambda: quick_salt(exposure="soak", strength="", volume="60 gal", species="koi", present="-1 g/L"),
            {"exposure", "strength", "volume", "present"},
        ),
        (lambda: quick_iodine(use="pond", volume=" ", stock="1 % iodine"), {"use", "volume", "stock"}),
    ],
)
def test_all_that_is_wrong_with_a_quick_sum_is_told_together(make: object, told: set[str]) -> None:
    with pytest.raises(CaseError) as error:
        make()  # type: ignore[operator]
    assert set(mistakes_of(error)) == told
    assert all(mistakes_of(error).values())


@pytest.mark.parametrize("use", [use for use in IODINE_USES if use != "fish"])
def test_every_use_of_iodine_has_its_answer(use: str) -> None:
    finding: Finding = quick_iodine(use=use, volume="1 L")
    assert finding.value is not None
    assert math.isfinite(finding.value)
    assert finding.cautions
