"""One budget for a substance in a water, whatever door it came in by, and parts that add up and never pass a ceiling."""

import math
from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.actions.doses.dosed import all_doses, amount, cautions, codes, context, dose, one, table
from waterplan.actions.doses.draft import Stopped
from waterplan.actions.doses.orders import doses
from waterplan.actions.doses.portions import Bench, portion, split, summed
from waterplan.actions.doses.sums import highest, needed, require_room
from waterplan.actions.proposing import Context, Proposal
from waterplan.actions.record import Kind
from waterplan.actions.salts.salt import salt
from waterplan.case.bottle import parse_bottle
from waterplan.case.reading import read_case
from waterplan.dose.rounding import Safe
from waterplan.dose.substances import substance
from waterplan.spread import Draws, band
from waterplan.stay.effects import Effects, SubstanceIn
from waterplan.stay.quantities import Q
from waterplan.stay.whole import lay_out, stay

SALT = {"grade": "non-iodised table salt"}


def test_what_is_there_already_is_topped_up() -> None:
    # From 15 to 25 uL/L in 10,000 L: 100 mL.
    text = dose("formalin", "indefinite", "home pond", strength="25 uL/L", syringe="0.1 mL")
    made, at_hand = all_doses(text + table("already", what="formalin", where="home pond", level="15 ± 0 uL/L"))
    assert amount(made[0], at_hand, "stock") == pytest.approx(100.0)


def test_the_error_of_what_is_there_is_counted() -> None:
    # 15 ± 3 uL/L is 17.5 at its 95th percentile (15 + 1.645 x 3 / 1.960): 7.5 uL/L x 10,000 L is 75 mL.
    text = dose("formalin", "indefinite", "home pond", strength="25 uL/L", syringe="0.1 mL")
    made, at_hand = all_doses(text + table("already", what="formalin", where="home pond", level="15 ± 3 uL/L"))
    assert amount(made[0], at_hand, "stock") == pytest.approx(75.0, abs=2.0)


BATHS = {
    "formalin": {"use": "indefinite", "strength": "25 uL/L", "syringe": "1 mL"},
    "praziquantel": {"use": "bath", "strength": "2 mg/L", "again": "2 mg/L", "bottle": "powder", "scale": "0.1 g"},
    "salt": {"use": "prolonged", "strength": "2 g/L", "scale": "100 g", "grade": "pool or softener salt, pure"},
}


def bath_of(substance: str, **keys: str) -> str:
    return dose(substance, into="home pond", **BATHS[substance], **keys)


@pytest.mark.parametrize("substance", BATHS)
@pytest.mark.parametrize("since", ["", "2026-05-08"])
@pytest.mark.parametrize("at", ["", "2026-05-13T12:00:00"])
def test_what_is_there_at_a_level_that_nobody_knows_is_asked_for_and_ticks_no_dose(
    substance: str, since: str, at: str
) -> None:
    there = table("already", what=substance, where="home pond", since=since)
    made = [one for one in all_doses(bath_of(substance, at=at) + there, salinity="")[0] if one.action.kind is Kind.DOSE]
    assert codes(made[0]) == {"enter-the-level-that-is-there"}
    assert made[0].action.done is None


@pytest.mark.parametrize("since", ["", "2026-05-08"])
@pytest.mark.parametrize("at", ["", "2026-05-13T12:00:00"])
def test_salt_that_is_there_and_was_read_since_is_made_up_to_its_level(since: str, at: str) -> None:
    # From 1 to 2 g/L in 10,000 L: 10 kg.
    there = table("already", what="salt", where="home pond", since=since)
    made, at_hand = all_doses(bath_of("salt", at=at) + there, salinity="1 ± 0 g/L", home="taken = 2026-05-13T09:00:00")
    (salted,) = [one for one in made if one.action.kind is Kind.DOSE]
    assert amount(salted, at_hand, "mass") == pytest.approx(10_000.0)


def done_with(substance: str, at: str, amount_: str = "") -> str:
    return table("done", at=at, what="dose", water="home pond", substance=substance, amount=amount_)


@pytest.mark.parametrize("substance", BATHS)
@pytest.mark.parametrize(
    ("done_at", "at", "taken"),
    [
        ("2026-05-13T12:00:00", "2026-05-13T12:00:00", "2026-05-13T09:00:00"),
        ("2026-05-13T15:00:00", "2026-05-13T12:00:00", "2026-05-13T09:00:00"),
        ("2026-05-13T09:00:00", "", "2026-05-13T09:00:00"),
        ("2026-05-13", "2026-05-13T12:00:00", ""),  # some hour of that day
        ("2026-05-13T12:00:00", "", ""),
    ],
)
def test_a_dose_is_ticked_by_what_was_done_at_its_own_time_or_later(
    substance: str, done_at: str, at: str, taken: str
) -> None:
    # 25 uL/L, 2 mg/L or 2 g/L of 10,000 L: 250 mL, 20 g or 20 kg.
    went_in = {"formalin": "250 mL", "salt": "20 kg"}.get(substance, "20 g")
    told = bath_of(substance, at=at) + done_with(substance, done_at, went_in)
    made, _ = all_doses(told, home=f"taken = {taken}" if taken else "")
    assert made[0].action.done is not None
    assert not made[0].effects


@pytest.mark.parametrize("substance", BATHS)
@pytest.mark.parametrize(
    ("due", "done_at", "ticked"),
    [
        (("", ""), ("12:00",), (True, False)),
        (("", ""), ("12:00", "15:00"), (True, True)),
        (("11:00", "15:00"), ("12:00",), (True, False)),
        (("11:00", "15:00"), ("15:30",), (False, True)),
        (("11:00", "15:00"), ("12:00", "15:30"), (True, True)),
        (("", ""), (), (False, False)),
    ],
)
def test_what_was_done_once_ticks_one_dose(
    substance: str, due: tuple[str, str], done_at: tuple[str, ...], ticked: tuple[bool, bool]
) -> None:
    went_in = {"formalin": "100 mL", "salt": "5 kg"}.get(substance, "5 g")
    doses = "".join(bath_of(substance, at=f"2026-05-13T{at}:00" if at else "") for at in due)
    told = "".join(done_with(substance, f"2026-05-13T{at}:00", went_in) for at in done_at)
    made = [one.action for one in all_doses(doses + told)[0] if one.action.kind is Kind.DOSE]
    assert tuple(one.done is not None for one in made) == ticked


def test_what_was_done_in_a_water_ticks_no_litres_that_are_made_up() -> None:
    dip = dose("salt", "dip", "50 ± 0 L", strength="10 g/L")
    made, _ = all_doses(dip + done_with("salt", "2026-05-13T12:00:00", "5 kg"))
    assert made[0].action.done is None


@pytest.mark.parametrize("substance", BATHS)
def test_a_dose_of_before_its_time_ticks_no_other_one(substance: str) -> None:
    taken = {"home": "taken = 2026-05-13T06:00:00", "salinity": ""}
    half = {"formalin": "125 mL", "salt": "10 kg"}.get(substance, "10 g")
    early, later = "2026-05-08T10:00:00", "2026-05-13T12:00:00"

    def made(told: str, **more: str) -> tuple[Proposal, Context]:
        found, at_hand = all_doses(told, **{**taken, **more})
        return next(one for one in found if one.action.kind is Kind.DOSE), at_hand

    # Of which nobody said how much, or whether it is this one.
    assert codes(made(bath_of(substance, at=later) + done_with(substance, early))[0]) == {
        "enter-the-level-that-is-there"
    }
    told = bath_of(substance) + done_with(substance, early, half)
    assert codes(made(told)[0]) == {"enter-the-time-of-another-dose"}
    # The half that went in is counted: of 25 uL/L, 2 mg/L, 2 g/L in 10,000 L the other half is missing.
    if substance != "salt":
        found, at_hand = made(bath_of(substance, at=later) + done_with(substance, early, half))
        weighed = amount(found, at_hand, {"formalin": "stock"}.get(substance, "mass"))
        assert weighed == pytest.approx(float(half.split()[0]))
    else:  # as the meter reads it: from 0.5 to 2 g/L 15 kg
        found, at_hand = made(bath_of("salt") + done_with("salt", early, half), salinity="0.5 ± 0 g/L")
        assert amount(found, at_hand, "mass") == pytest.approx(15_000.0)


@pytest.mark.parametrize(
    ("what", "water", "day", "counted"),
    [
        ("dose", "home pond", 12, 2.0),
        ("salted", "home pond", 12, 2.0),
        ("stirred in", "home pond", 12, 2.0),
        ("dose", "tank", 12, 0.0),
        ("salted", "tank", 12, 0.0),
        ("dose", "home pond", 14, 0.0),
    ],
)
def test_salt_that_was_done_is_in_its_own_water_by_whatever_word(
    what: str, water: str, day: int, counted: float
) -> None:
    # 20 kg in 10,000 L: 2 g/L.
    told = table("done", at=f"2026-05-{day}T10:00:00", what=what, water=water, substance="salt", amount="20 kg")
    at_hand = context(told, as_of=datetime(2026, 5, 13, 12, tzinfo=UTC))
    assert at_hand.stay["home-pond"].start[Q.SALT][0] == pytest.approx(counted)


@pytest.mark.parametrize("error", ["1000 L", "3000 L"])
def test_what_went_in_as_it_was_ordered_leaves_nothing_to_order(error: str) -> None:
    # Both the litres and what was there first have an error: the rest of it is no second dose.
    there = table("already", what="formalin", where="home pond", level="10 ± 2 uL/L")
    litres = {"pond_l": f"10000 ± {error}", "home": "taken = 2026-05-13T06:00:00"}
    first, at_hand = all_doses(bath_of("formalin", at="2026-05-13T12:00:00") + there, **litres)
    weighed = amount(first[0], at_hand, "stock")
    assert weighed > 0.0
    again = bath_of("formalin", at="2026-05-13T12:00:00") + there
    made, _ = all_doses(again + done_with("formalin", "2026-05-13T08:00:00", f"{weighed:g} mL"), **litres)
    assert codes(made[0]) == {"nothing-to-add"}


@pytest.mark.parametrize(
    ("since", "read"), [("2026-05-01", "1 ± 0 g/L"), ("2026-05-01", ""), ("2026-05-10", "6 ± 0 g/L")]
)
def test_a_filter_is_waited_for_by_the_level_that_was_read_and_not_beyond_the_days(since: str, read: str) -> None:
    # The table's 7 days, of 5 g/L or more: from the 1st they are over on the 8th, from the 10th on the 17th.
    there = table("already", what="salt", where="home pond", since=since)
    texts = {"salinity": read, "home": "taken = 2026-05-13T06:00:00", "pond": 'filter = "seeded"'}
    waits = [one.action for one in all_doses(there, **texts)[0] if one.action.kind is Kind.WAIT]
    assert [one.is_open for one in waits] == {"1 ± 0 g/L": [], "": [False], "6 ± 0 g/L": [True]}[read]
    assert all(one.until is not None and (one.until.day, one.until.month) in {(8, 5), (17, 5)} for one in waits)


def test_a_dose_that_has_been_done_is_not_ordered_again() -> None:
    text = dose("formalin", "indefinite", "home pond", strength="25 uL/L")
    done = table(
        "done", at="2026-05-13T10:00:00", what="dosed", water="home pond", substance="formalin", amount="250 mL"
    )
    made, at_hand = all_doses(text + done)
    assert made[0].action.done is not None
    assert not made[0].effects
    # 250 mL in 10,000 L are 25 uL/L.
    assert at_hand.stay["home-pond"].start.contents["formalin"].draws[0] == pytest.approx(25.0)


def test_what_went_in_is_in_the_water_and_its_level_is_told() -> None:
    # B13: 15 mL of formalin in 10,000 L are 1.5 uL/L.
    made, at_hand = all_doses(dose("formalin", "indefinite", "home pond", went_in="15 mL"))
    level = at_hand.figures.record(made[0].action.amounts["level"])
    assert level.best == pytest.approx(1.5)
    assert at_hand.stay["home-pond"].start.contents["formalin"].draws[0] == pytest.approx(1.5)


def test_a_second_dose_of_one_substance_finds_the_first_there() -> None:
    # H57: the second of two doses to 150 uL/L adds nothing; to 200 it adds 50 uL/L x 40 L = 2 mL.
    first = dose("formalin", "bath", strength="150 uL/L", syringe="0.1 mL")
    same, _ = all_doses(first + first)
    assert codes(same[0]) == set()
    assert codes(same[1]) == {"nothing-to-add"}
    more, at_hand = all_doses(first + first.replace("150", "200"))
    assert amount(more[1], at_hand, "stock") == pytest.approx(2.0)


def test_products_of_one_substance_share_its_budget() -> None:
    # 40 mg/L of eugenol and then isoeugenol to 60: 20 mg/L x 40 L = 0.8 g, 8 mL of 100 mg/mL.
    text = dose("eugenol", "induction", strength="40 mg/L", bottle="100 mg/mL", syringe="0.1 mL")
    text += dose("isoeugenol", "induction", strength="60 mg/L", bottle="100 mg/mL", syringe="0.1 mL")
    made, at_hand = all_doses(text)
    assert amount(made[1], at_hand, "stock") == pytest.approx(8.0)


def test_salt_goes_in_parts_of_a_gram_a_litre_and_a_second_dose_counts_what_is_to_follow() -> None:
    text = dose("salt", "prolonged", "tank", strength="3 g/L", **SALT)
    made, at_hand = all_doses(text + text.replace("3 g/L", "4 g/L"))
    # 1 g/L at once (common practice): three parts of 600 g, and then 600 g more.
    assert made[0].action.part_amounts["mass"] == (600.0, 600.0, 600.0)
    assert made[0].action.every_h == 12.0
    assert amount(made[1], at_hand, "mass") == pytest.approx(600.0)


def test_the_salt_that_is_there_counts_at_its_high_end() -> None:
    # 0.5 ± 0.2 g/L is 0.668 at its 95th percentile: (3 - 0.668) x 600 L = 1,399 g.
    made, at_hand = one(
        "salt", "prolonged", "tank", case={"in_tank": 'salinity = "0.5 ± 0.2 g/L"'}, strength="3 g/L", **SALT
    )
    assert amount(made, at_hand, "mass") == pytest.approx(1399.0, abs=12.0)
    assert sum(made.action.part_amounts["mass"]) == amount(made, at_hand, "mass")


def test_the_salt_of_a_tank_comes_down_again() -> None:
    # A quarter at a time from 3 to 0.5 g/L: ln(1/6) / ln(0.75) is 6.2, so 7.
    made, at_hand = one("salt", "prolonged", "tank", strength="3 g/L", **SALT)
    assert amount(made, at_hand, "changes to come down") == 7.0


def test_permanganate_goes_in_two_at_a_time() -> None:
    made, at_hand = one("potassium permanganate", "staged bath", "600 ± 0 L", strength="6 mg/L", scale="0.01 g")
    assert amount(made, at_hand, "mass") == pytest.approx(3.6)  # 6 mg/L x 600 L
    assert made.action.part_amounts["mass"] == pytest.approx((1.2, 1.2, 1.2))


def test_a_dose_into_a_water_of_the_plan_changes_its_state() -> None:
    made, at_hand = one(
        "tricaine", "induction", strength="100 mg/L", bottle="powder", scale="0.1 g", buffer="one to one"
    )
    after = stay(at_hand.ground, at_hand.effects.with_(*made.effects))["induction-1"].start
    # 4.0 g in 40 L; alkalinity 100 - 19.2 + 4000 / 84.007 x 50.04 / 40 = 140.4 mg/L as CaCO3.
    assert after.contents["tricaine"].draws[0] == pytest.approx(100.0)
    assert after[Q.ALKALINITY][0] == pytest.approx(140.4, abs=0.2)
    assert after[Q.CARBON_DIOXIDE][0] <= 10.5


@pytest.mark.parametrize("state", ["seeded", "maturing", "damaged"])
def test_a_filter_that_a_dose_harms_is_lost(state: str) -> None:
    keys = {"strength": "10 mg/L", "again": "10 mg/L", "scale": "0.1 g"}
    made, _ = one("chloramine-T", "bath", "tank", case={"filter": state}, **keys)
    assert "filter-harmed" in cautions(made)
    assert [type(effect).__name__ for effect in made.effects] == ["SubstanceIn", "FilterLost"]


def test_what_an_oxidant_is_neutralised_with() -> None:
    # 4 g of chlorine x 7.00 = 28.0 g; 1 g of iodine x 1.956 = 1.96 g, up to 2.0.
    made, at_hand = one("hypochlorite", "equipment", "20 ± 0 L", strength="200 mg/L", bottle="5 % w/v", scale="0.1 g")
    assert amount(made, at_hand, "neutraliser") == 28.0
    made, at_hand = one("povidone-iodine", "nets", "10 ± 0 L", bottle="10 % PVP-I", scale="0.1 g")
    assert amount(made, at_hand, "neutraliser") == 2.0
    assert "starch" in made.action.words["neutraliser test"] or "iodine" in made.action.words["neutraliser test"]
    assert made.action.water is None


def test_litres_that_are_made_up_to_a_mark_have_its_error() -> None:
    # D33: 12 L in a marked tub, within 5 % or so, and not a pond that was guessed.
    made, at_hand = one("povidone-iodine", "nets", "12 L", bottle="10 % PVP-I")
    volume = at_hand.figures.record(made.action.amounts["volume"])
    assert volume.high < 12.0 * 1.15
    assert amount(made, at_hand, "stock") < 120.0 * 1.15


def test_light_sedation_has_its_own_sheet() -> None:
    keys = {"bottle": "powder", "scale": "0.1 g", "buffer": "one to one"}
    made, _ = one("tricaine", "sedation", strength="40 mg/L", **keys)
    assert (made.action.words["aim"], made.action.words["sheet"]) == ("deeply sedated", "sedation")
    made, _ = one("tricaine", "induction", strength="110 mg/L", **keys)
    assert (made.action.words["aim"], made.action.words["sheet"]) == ("surgical", "anaesthesia")


# -- properties ---------------------------------------------------------------------------------------------------------


@settings(max_examples=200, deadline=None)
@given(
    wanted=st.floats(1.0, 300.0),
    litres=st.floats(0.5, 20000.0),
    spread=st.floats(0.0, 0.4),
    there=st.floats(0.0, 250.0),
    error=st.floats(0.0, 50.0),
    scale=st.sampled_from([0.001, 0.01, 0.1, 1.0]),
    label=st.sampled_from(["powder", "80 % pure", "10 mg/mL", "5 % w/v", "100 mg tablets"]),
    antidote=st.booleans(),
)
def test_no_dose_passes_its_ceiling_and_no_antidote_stays_under_its_floor(
    wanted: float,
    litres: float,
    spread: float,
    there: float,
    error: float,
    scale: float,
    label: str,
    antidote: bool,
) -> None:
    rng = np.random.default_rng(1)
    volume = litres * np.exp(spread * rng.standard_normal(65))
    held = np.clip(there + error * rng.standard_normal(65), 0.0, None)
    safe = Safe.UP if antidote else Safe.DOWN
    bench = Bench(row=substance("praziquantel"), bottle=parse_bottle(label), scale_g=scale, syringe_ml=scale)
    try:
        if not antidote:
            require_room(volume, wanted=wanted, there=held, ceiling=300.0, guessed=False, unit="mg/L")
        need = needed(volume, wanted=wanted, there=held, safe=safe)
        made = portion(bench, need.amount, wanted=wanted, safe=safe)
    except Stopped:
        return
    parts = split(made.amount, division=made.division, parts=3)
    assert summed(parts) == pytest.approx(made.amount, abs=1e-9)
    assert all(math.isclose(one / made.division, round(one / made.division), rel_tol=1e-6) for one in parts)
    if antidote:
        assert band(held).low + made.given * 1000.0 / band(volume).high >= wanted * (1.0 - 1e-6)
    elif made.given > 0.0:
        assert highest(volume, there=held, given=made.given) <= wanted * (1.0 + 1e-6)


@settings(max_examples=200, deadline=None)
@given(
    count=st.integers(1, 5000),
    division=st.sampled_from([0.01, 0.1, 0.25, 0.5, 1.0, 2.0]),
    parts=st.integers(1, 6),
    most=st.none() | st.floats(1.0, 500.0),
)
def test_parts_add_up_and_none_passes_the_most(count: int, division: float, parts: int, most: float | None) -> None:
    amount_ = round(count * division, 6)
    try:
        shared = split(amount_, division=division, parts=parts, most=most)
    except Stopped:
        assert most is not None
        assert most < division
        return
    assert summed(shared) == pytest.approx(amount_, abs=1e-9)
    assert max(shared) - min(shared) <= division * (1.0 + 1e-9)
    if most is not None:
        assert max(shared) <= most * (1.0 + 1e-6)


@settings(max_examples=15, deadline=None)
@given(
    strength=st.integers(5, 60),
    there=st.integers(0, 25),
    error=st.integers(0, 5),
    pond=st.sampled_from(["10000 ± 0 L", "10000 ± 2000 L", "10000 L, owner's word"]),
)
def test_a_pond_with_something_in_it_never_passes_the_ceiling(strength: int, there: int, error: int, pond: str) -> None:
    text = dose("formalin", "indefinite", "home pond", strength=f"{strength} uL/L", syringe="0.1 mL")
    text += table("already", what="formalin", where="home pond", level=f"{there} ± {error} uL/L")
    made, at_hand = all_doses(text, pond_l=pond)
    assert bool(made[0].effects) != bool(made[0].action.refused_because)
    if made[0].effects:
        assert isinstance(made[0].effects[0], SubstanceIn)
        water = at_hand.stay["home-pond"].start
        low, most = band(water[Q.VOLUME]).low, band(water.contents["formalin"].draws).high
        assert most + float(made[0].effects[0].grams) * 1000.0 / low <= min(strength, 25.0) * (1.0 + 1e-6)


def test_a_tracer_and_already_are_in_the_state_from_the_start() -> None:
    more = table("already", what="salt", where="tank", level="1 ± 0 g/L")
    at_hand = context(more, home="")
    assert at_hand.stay["hospital-1"].as_found[Q.SALT][0] == pytest.approx(1.0)


def test_the_dip_that_is_intended_is_a_dose_like_any_other() -> None:
    # 25 g/L in the 10 L that are made up where no tub for a dip is named: 250 g.
    made, _ = all_doses("", intended='salt_dip = "25 g/L"')
    assert codes(made[0]) == {"forbidden-by-rule"}  # the day of the anaesthetic
    text = "\n".join(
        ["waterplan_case = 1", "[patient]", 'species = "koi"', 'eaten = "no"', "[intended]", 'salt_dip = "25 g/L"']
    )
    alone = read_case(text)
    ground = lay_out(alone, draws=Draws(count=64))
    (dip,) = doses(Context(ground=ground, stay=stay(ground, Effects()), judged={}, accepted=()))
    weighed = ground.figures.record(dip.action.amounts["mass"])
    assert weighed.act_on is not None
    assert 220.0 <= weighed.act_on <= 250.0


def test_a_filter_is_not_counted_on_for_the_days_of_what_was_put_in() -> None:
    # Permanganate at 2 mg/L or more: 7 days of the table from the 8th of May, to the 15th.
    made, _ = all_doses(table("already", what="permanganate", where="tank", since="2026-05-08", level="3 ± 0 mg/L"))
    (wait,) = [one for one in made if one.action.kind is Kind.WAIT]
    assert wait.action.until is not None
    assert wait.action.until.date().isoformat() == "2026-05-15"
    assert [type(effect).__name__ for effect in wait.effects] == ["FilterLost"]
    over, _ = all_doses(table("already", what="permanganate", where="tank", since="2026-04-01", level="3 ± 0 mg/L"))
    assert not over[0].effects


def test_intended_salt_an_event_and_a_dose_share_one_budget() -> None:
    # H57: 2 g/L are intended in 600 L and 300 g are to come by an event: a dose to 3 g/L adds (3 - 2 - 0.5) x 600 = 300 g.
    event = table("events", at="2026-05-16T10:00:00", what="salt", weight="300 g")
    text = dose("salt", "prolonged", "tank", strength="3 g/L", **SALT) + event
    at_hand = context(text, intended='salt = "2 ± 0 g/L"')
    first = list(salt(at_hand))
    effects = at_hand.effects.with_(*(effect for one in first for effect in one.effects))
    after = Context(ground=at_hand.ground, stay=stay(at_hand.ground, effects), judged={}, accepted=tuple(first))
    made = [one for one in doses(after) if one.action.kind is Kind.DOSE]
    assert sum(amount_ for _, amount_ in first[0].effects[0].parts) == pytest.approx(1200.0)
    assert amount(made[0], after, "mass") == pytest.approx(300.0)
