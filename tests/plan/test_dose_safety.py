"""What keeps a dose from hurting: the second key, the date on the label, the wound, what is there, two doses of one thing."""

from datetime import datetime

import pytest

from tests.plan.by_hand import EXACT, exact
from tests.plans import METRIC, case_of
from waterplan.findings import Finding, Verdict
from waterplan.first_plan.dose_cards import DoseCard
from waterplan.first_plan.first_case.schema import GRADES
from waterplan.first_plan.quick_dose import quick_dose
from waterplan.first_plan.whole import Plan, plan

TODAY = datetime(2026, 5, 14, 10)
WATER = {"species": "koi", "eaten": "no", "temperature": "20 ± 0 °C", "oxygen": "8.6 ± 0 mg/L", "wound": "none"}
TRICAINE = {"substance": "tricaine", "use": "induction", "into": "40 ± 0 L", "strength": "110 mg/L", "bottle": "powder"}
PRAZIQUANTEL = {
    "substance": "praziquantel",
    "use": "bath",
    "into": "100 ± 0 L",
    "strength": "2 mg/L",
    "bottle": "powder",
    "scale": "0.01 g",
}
NETS = {"substance": "povidone-iodine", "use": "nets", "into": "10 ± 0 L", "bottle": "10 % PVP-I"}


def dose(**texts: str) -> tuple[DoseCard, dict[str, Finding]]:
    card, findings = quick_dose({**WATER, **texts}, today=TODAY)
    return card, {finding.key: finding for finding in findings}


def said(finding: Finding) -> str:
    return METRIC.render("\n".join([finding.answer, *(caution.text for caution in finding.cautions)]))


def case_with(more: str, *, wound: str = "") -> Plan:
    line = f'wound = "{wound}"\n' if wound else ""
    text = EXACT.replace('species = "koi"\nname', f'species = "koi"\neaten = "no"\n{line}name', 1)
    return plan(case_of(text + more), draws=64)


# -- written twice ------------------------------------------------------------------------------------------------


def test_a_level_that_no_table_tells_of_is_written_twice() -> None:
    card, _ = dose(**PRAZIQUANTEL)
    assert card.finding.verdict is Verdict.REFUSED
    assert "write it a second time" in card.finding.answer
    assert not card.portions
    slip, _ = dose(**PRAZIQUANTEL, again="20 mg/L")
    assert slip.finding.verdict is Verdict.REFUSED
    assert "2 mg/L and then as 20 mg/L" in slip.finding.answer
    card, _ = dose(**PRAZIQUANTEL, again="2 mg/L")
    assert [portion.counted for portion in card.portions] == ["0.2 g"]  # 2 mg/L x 100 L
    assert card.finding.verdict is Verdict.WATCH


def test_a_solution_far_from_what_is_told_of_is_written_twice() -> None:
    # Told of: 100 to 250 mg/L. 10,000 is the bottle itself; 5 is a twentieth of the least.
    for strength in ("10000 mg/L", "5 mg/L"):
        card, _ = dose(**NETS, strength=strength)
        assert card.finding.verdict is Verdict.REFUSED
        card, _ = dose(**NETS, strength=strength, again=strength)
        assert card.portions


# -- the bottle ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("texts", [TRICAINE, {**PRAZIQUANTEL, "again": "2 mg/L", "bottle": "100 mg tablets"}, NETS])
def test_a_label_past_its_date_is_refused(texts: dict[str, str]) -> None:
    card, _ = dose(**texts, expires="2026-05-13")
    assert card.finding.verdict is Verdict.REFUSED
    assert "past the date on its label, 13 May 2026" in card.finding.answer
    card, _ = dose(**texts, expires="2026-05-14")  # the last day itself
    assert card.portions


def test_an_antidote_past_its_date_is_better_than_none() -> None:
    texts = {
        "substance": "thiosulphate pentahydrate",
        "use": "tap water",
        "into": "150 ± 0 L",
        "chlorine": "1 ± 0 mg/L",
    }
    card, _ = dose(**texts, expires="2020-01-01")
    assert card.portions
    assert any(caution.serious and "past the date" in caution.text for caution in card.finding.cautions)


def test_an_old_tin_of_powder_is_marked() -> None:
    card, _ = dose(**TRICAINE, opened="2024-05-14")
    assert card.portions
    assert any("The stock is old: opened or made 730 days ago" in caution.text for caution in card.finding.cautions)
    card, _ = dose(**TRICAINE, opened="2026-01-14")
    assert "stock is old" not in said(card.finding)


def test_the_age_counts_to_today_where_there_is_no_operation() -> None:
    # 10 mg/mL made up 31 and 30 days before.
    for opened, verdict in (("2026-04-12", Verdict.REFUSED), ("2026-04-15", Verdict.PASS)):
        card, _ = dose(**{**TRICAINE, "bottle": "10 mg/mL"}, opened=opened)
        assert card.finding.verdict is verdict


# -- iodine: pH, dirt, rinse ----------------------------------------------------------------------------------------


def test_the_ph_that_iodine_is_made_up_with() -> None:
    # 6 to 8 for eggs (WOAH Aquatic Animal Health Code 2010, article 4.4.2).
    eggs = {**NETS, "use": "eggs"}
    card, _ = dose(**eggs, ph="8.6 ± 0")
    assert card.finding.verdict is Verdict.WATCH
    assert "may lie outside the 6 to 8 (published)" in said(card.finding)
    card, _ = dose(**eggs, ph="7.2 ± 0")
    assert card.finding.verdict is Verdict.PASS
    assert "is within the 6 to 8 (published)" in said(card.finding)
    card, _ = dose(**eggs)
    assert "6 to 8 (published) is wanted, and none was measured" in said(card.finding)


def test_dirt_takes_iodine_and_what_is_dirty_is_washed() -> None:
    card, _ = dose(**NETS)
    # Chen 2018: 20 mg/L in the water of a tank, 4,000 in a broth.
    assert "20 mg/L povidone-iodine did in the water of a tank took 4,000 in a broth" in said(card.finding)
    card, _ = dose(**NETS, washed="no")
    assert card.finding.verdict is Verdict.REFUSED
    assert "wash the things first" in card.finding.answer.lower()
    card, _ = dose(**NETS, washed="in doubt")
    # The upper level that is told of, 250 mg/L: 2.5 g in 10 L, 250 mL of 10 mg/mL.
    assert [portion.counted for portion in card.portions] == ["250 mL"]
    assert card.finding.verdict is Verdict.WATCH


def test_a_disinfected_thing_is_rinsed() -> None:
    for use in ("instruments", "nets", "eggs", "wound", "hands"):
        card, _ = dose(**{**NETS, "use": use})
        assert any("rinse" in text for text in card.order), use


def test_what_trials_found_stands_beside_the_wound() -> None:
    card, _ = dose(**{**NETS, "use": "wound"})
    assert "no better and no worse than without" in said(card.finding)  # Wagner 1999


# -- the fish, and what is there already ---------------------------------------------------------------------------

FORMALIN = """
[[doses]]
substance = "formalin"
use = "bath"
into = "tub"
strength = "150 uL/L"
syringe = "0.1 mL"
"""


def test_an_open_wound_is_a_key_and_is_asked_for() -> None:
    open_ = case_with(FORMALIN, wound="open").finding("conflicts: tub")
    assert open_.verdict is Verdict.ACT
    assert "Formalin on an open wound harms" in open_.answer
    asked = case_with(FORMALIN).finding("conflicts: tub")
    assert "Whether the fish has an open wound was not said" in said(asked)
    closed = case_with(FORMALIN, wound="closed").finding("conflicts: tub")
    assert "open wound" not in said(closed)


def test_what_is_done_to_the_fish_is_not_read_for_words() -> None:
    told = 'species = "koi"\neaten = "no"\ndone = "open wound on the flank"\nwound = "closed"\nname'
    made = plan(exact(('species = "koi"\nname', told), ("[intended]", f"{FORMALIN}[intended]")), draws=64)
    assert "open wound harms" not in said(made.finding("conflicts: tub"))


RESIDUE = """
[[already]]
what = "formalin"
where = "home pond"
"""


def with_pond(residue: str) -> Plan:
    changes = (("[home_pond]\n", '[home_pond]\nfilter = "seeded"\n'), ("[intended]", f"{residue}[intended]"))
    return plan(exact(*changes), draws=64)


def test_a_filter_is_not_counted_on_for_the_days_of_what_was_put_in() -> None:
    made = with_pond(RESIDUE + "since = 2026-05-08\n")
    found = made.finding("filter after 1: formalin, home pond")
    start = made.case.intended.operation_at
    assert start is not None
    # 7 days from the 8th: to the 15th.
    assert "to Fri 15 May 2026" in found.answer
    assert found.value == pytest.approx((datetime(2026, 5, 15) - start).total_seconds() / 86400.0)
    assert found.verdict is Verdict.WATCH


def test_since_when_is_asked_for() -> None:
    assert with_pond(RESIDUE).finding("filter after 1: formalin, home pond").verdict is Verdict.QUESTION
    late = with_pond(RESIDUE + "since = 2026-06-08\n").finding("filter after 1: formalin, home pond")
    assert late.verdict is Verdict.QUESTION
    assert "lies after" in late.answer


def test_after_the_days_are_over_two_tests_are_still_wanted() -> None:
    found = with_pond(RESIDUE + "since = 2026-04-01\n").finding("filter after 1: formalin, home pond")
    assert found.value == 0.0
    assert "were over" in found.answer
    assert "two clean paired tests" in found.answer


def test_one_water_gets_a_substance_once() -> None:
    twice = case_with(FORMALIN + FORMALIN, wound="none")
    for number in (1, 2):
        found = twice.finding(f"dose {number}: formalin, tub")
        assert found.verdict is Verdict.QUESTION
        assert "only one dose of formalin" in found.answer
    assert not any(card.portions for card in twice.dose_cards)


# -- salt -----------------------------------------------------------------------------------------------------------

SALT = {
    "substance": "salt",
    "use": "prolonged",
    "into": "600 ± 0 L",
    "strength": "3 g/L",
    "salinity": "0 ± 0 g/L",
    "grade": "non-iodised table salt",
}


def test_the_salt_of_a_tank_with_daily_changes_balances_to_the_gram() -> None:
    # Three parts of 600 g at 0, 12 and 24 h. Each day 150 L go with the level then and 150 L come with 450 g: the level
    # stays at 3 g/L and 1,800 g. Without it: 0.75^7 x 3 = 0.40 g/L.
    card, found = dose(**SALT, changed="150 L")
    ledger = found["ledger 1: salt, tub"]
    text = METRIC.render(ledger.answer)
    assert "150 L changed each day take 450 g of salt" in text
    assert (
        "0 g were there, 1,800 g were weighed in, 3,150 g came with the changes, 3,150 g went out: 1,800 g are left"
        in text
    )
    assert "0.4 g/L" in text
    assert ledger.value == pytest.approx(3.0)
    assert [row.when for row in card.ledger] == ["first", "hour 12", "hour 24", *(f"day {day}" for day in range(1, 8))]
    assert card.ledger[-1].held == "1,800 g"


def test_a_quarter_is_taken_where_no_change_was_given() -> None:
    _, found = dose(**SALT)
    assert "a quarter of the water is taken" in said(found["ledger 1: salt, tub"])


def test_more_changed_than_there_is_is_refused() -> None:
    _, found = dose(**SALT, changed="700 L")
    assert found["ledger 1: salt, tub"].verdict is Verdict.REFUSED


@pytest.mark.parametrize("grade", GRADES)
def test_a_grade_of_salt_is_used_or_refused(grade: str) -> None:
    card, _ = dose(**{**SALT, "grade": grade})
    harms = grade in {"road salt", "scented or bath salt", "curing salt (nitrite)"}
    assert (card.finding.verdict is Verdict.REFUSED) == harms
    assert bool(card.portions) != harms


def test_without_a_grade_all_are_told() -> None:
    card, _ = dose(**{**SALT, "grade": ""})
    assert "Salt to use: non-iodised table salt" in said(card.finding)
    assert "never: road salt" in said(card.finding)


def test_a_tank_is_not_salted_twice() -> None:
    more = '[[doses]]\nsubstance = "salt"\nuse = "prolonged"\ninto = "tank"\nstrength = "2 g/L"\n[intended]'
    both = plan(exact(("[intended]", more)), draws=64)
    assert both.finding("dose 1: salt, tank").verdict is Verdict.QUESTION
    assert "it would be salted twice" in both.finding("dose 1: salt, tank").answer
    one = plan(exact(("[intended]", more), ('salt = "2 ± 0 g/L"\n', "")), draws=64)
    # From 0.5 to 2 g/L in 1.6 x 0.8 x 0.5 m, 640 L: 960 g.
    assert [portion.counted for portion in one.dose_cards[0].portions] == ["960 g"]
    # What the plan advises to change against ammonia is what the ledger goes by.
    ledger = one.finding("ledger 1: salt, tank")
    assert "those that the plan advises against ammonia" in said(ledger)


def test_the_litres_that_salt_was_worked_out_for_are_named() -> None:
    # 600 ± 20 L: the 5th percentile is 600 - 1.645 x 20 / 1.960 = 583 L; 3 g/L of it is 1,749 g, 2.84 g/L in 616.8 L.
    card, _ = dose(**{**SALT, "into": "600 ± 20 L"})
    text = METRIC.render(card.finding.answer)
    assert "583 L, the low end of the volume" in text
    assert "2.84 to 3 g/L" in text
    card, _ = dose(**{**SALT, "into": "600 ± 20 L", "use": "bath", "strength": "10 g/L"})
    assert "583 L, the low end of its volume" in METRIC.render(card.finding.answer)


def test_a_salted_tank_comes_down_again() -> None:
    # A quarter at a time from 3 to 0.5 g/L: ln(1/6) / ln(0.75) is 6.2, so 7.
    _, found = dose(**SALT)
    assert found["unsalting 1: salt, tub"].value == 7.0


def test_without_a_level_uses_and_trials_are_told_within_this_fishs_ceiling() -> None:
    for species, there, not_there in (
        ("koi", "5 g/L as strong support", "regulator"),
        ("sturgeon", "none died", "5 g/L as"),
    ):
        card, _ = dose(**{**SALT, "strength": "", "species": species})
        text = METRIC.render(card.finding.answer)
        assert card.finding.verdict is Verdict.QUESTION
        assert there in text
        assert not_there not in text


# -- chlorine, chloramine, a hose ------------------------------------------------------------------------------------

HOSE = {
    "substance": "thiosulphate pentahydrate",
    "use": "hose left running",
    "into": "1000 ± 0 L",
    "added": "500 ± 0 L",
    "overflowed": "no",
    "chlorine": "1 ± 0 mg/L",
    "tan": "0.2 ± 0 mg/L as N",
    "ph": "8 ± 0",
}


def test_a_hose_that_ran_into_a_stocked_pond_is_acted_on_now() -> None:
    card, found = dose(**HOSE)
    assert card.finding.verdict is Verdict.ACT
    # Any chlorine that can be measured costs the filter: counted as nothing for 28 days.
    assert found["filter 1: thiosulphate pentahydrate, tub"].value == 28.0
    card, _ = dose(**{**HOSE, "substance": "sodium sulphite"})
    assert card.finding.verdict is Verdict.REFUSED
    assert "takes oxygen" in card.finding.answer


def test_what_chloramine_leaves_is_counted_at_the_ph_of_the_water() -> None:
    # Nobody measured the mains, so 4 mg/L; a third of 1,500 L is new: 1.333 mg/L x 14.007 / 70.906 = 0.263 mg/L as N,
    # with 0.2 that is there 0.463. At pH 8 and 20 °C (pKa 0.09018 + 2729.92 / 293.15 = 9.4025, Emerson 1975) 3.81 %.
    _, found = dose(**HOSE, disinfectant="chloramine")
    ammonia = found["ammonia 1: thiosulphate pentahydrate, tub"]
    assert ammonia.value == pytest.approx(0.463 * 0.0381, rel=0.01)
    assert ammonia.verdict is Verdict.WATCH  # over 0.016, and not yet at what harms
    _, found = dose(**HOSE, disinfectant="chlorine")
    assert "ammonia 1: thiosulphate pentahydrate, tub" not in found


def test_ascorbic_acid_did_not_take_chloramine_out() -> None:
    texts = {"substance": "ascorbic acid", "use": "tap water", "into": "150 ± 0 L", "chlorine": "2 ± 0 mg/L"}
    _, found = dose(**texts, disinfectant="chloramine")
    assert found["conflicts: tub"].verdict is Verdict.ACT
    assert "Ascorbic acid did not remove monochloramine" in found["conflicts: tub"].answer


def test_no_fish_goes_into_a_bath_with_chlorine_in_it() -> None:
    for texts in (TRICAINE, {**TRICAINE, "substance": "alfaxalone", "strength": "6 mg/L", "bottle": "10 mg/mL"}):
        card, _ = dose(**texts, species="goldfish", chlorine="0.4 ± 0 mg/L")
        assert card.finding.verdict is Verdict.REFUSED
        assert "neutralise and test first" in card.finding.answer
        card, _ = dose(**texts, species="goldfish", chlorine="0 ± 0 mg/L")
        assert card.portions
    # What takes it out is not held back by it.
    for name in ("sodium sulphite", "thiosulphate anhydrous"):
        card, found = dose(substance=name, use="tap water", into="150 ± 0 L", chlorine="0.4 ± 0 mg/L")
        assert card.portions
        assert "Chlorine with a fish" not in "".join(said(one) for one in found.values())


def test_what_is_poured_in_is_not_what_stays() -> None:
    card, _ = dose(substance="hypochlorite", use="equipment khv", into="20 ± 0 L", bottle="5 % w/v", syringe="0.1 mL")
    assert "measured residual, not what was poured in" in said(card.finding).lower()


def test_the_water_of_a_fish_with_herpesvirus_in_question_is_disinfected() -> None:
    made = case_with('[[already]]\nwhat = "khv suspected"\n')
    assert "3 mg/L of chlorine that stays, measured" in made.finding("sick fish water").answer
    assert "sick fish water" not in {finding.key for finding in case_with("").findings}
