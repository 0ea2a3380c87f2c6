"""First aid by what was seen: nothing is asked before it is given, and its order is people, source, air, then the rest.

The table `first_aid` is held against a critical reader's list of signs; figures are worked by hand beside each check.
"""

from datetime import UTC, datetime
from functools import cache

import pytest

from tests.actions.written import koi_in_a_pond
from tests.demos import longer_but_for
from waterplan import tables
from waterplan.actions.record import Kind
from waterplan.case import read_case
from waterplan.case.seen import SIGNS
from waterplan.hazards.record import Hazard, Verdict
from waterplan.papers.whole_set import papers
from waterplan.plan.quick_call import quick_call
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.words.catalogue import language
from waterplan.words.terminal import first_page

AT = datetime(2026, 7, 21, 5, 10, tzinfo=UTC)
WITH_AID = tuple(sign for sign in SIGNS if sign != "nothing yet")
GOOD = {
    "temperature": "17 °C, thermometer",
    "oxygen": "9.2 mg/L, oxygen meter",
    "ph": "7.6, pH meter",
    "tan": "0.1 ± 0.01 mg/L as N",
    "nitrite": "0.05 ± 0.01 mg/L as NO2",
    "chlorine": "0 ± 0.001 mg/L",
    "volume": "8000 ± 200 L",
}


@cache
def call(*signs: str, **texts: str) -> Plan:
    return quick_call({"species": "koi", **texts}, signs, as_of=AT, draws=64)


def of_kind(plan: Plan, kind: Kind) -> list:
    return [one for one in plan.actions if one.kind is kind]


def act_on(plan: Plan, kind: Kind, amount: str) -> float | None:
    (action,) = of_kind(plan, kind)
    return plan.figures[action.amounts[amount]].act_on


@pytest.mark.parametrize("sign", WITH_AID)
def test_a_species_and_a_sign_are_a_plan_that_acts_and_says_what_to_read(sign: str) -> None:
    plan = call(sign)
    (seen,) = [one for one in plan.judgements if one.hazard is Hazard.SIGN and one.before is None]
    assert seen.verdict is Verdict.ACT_NOW
    wanted = [row["code"] for row in tables.rows("first_aid", sign=sign) if row["kind"] == "first aid"]
    (aid,) = of_kind(plan, Kind.FIRST_AID)
    told = [why.code for why in aid.steps]
    assert told == [code for code in wanted if code in told]
    assert told
    assert aid.id in plan.first_page.do_now
    assert plan.first_page.measure_next
    assert plan.moments[0].state == "not ready"
    assert "Never" in first_page(plan)


@pytest.mark.parametrize("sign", WITH_AID)
def test_people_come_before_the_source_and_the_source_before_all_else(sign: str) -> None:
    order = [one.kind for one in call(sign).actions if not one.refused_because]
    first = [kind for kind in order if kind in (Kind.PEOPLE, Kind.SOURCE_OFF)]
    assert first == sorted(first, key=[Kind.PEOPLE, Kind.SOURCE_OFF].index)
    assert order[: len(first)] == first
    dosing = {Kind.DOSE, Kind.SALT, Kind.CHEMISTRY, Kind.NEUTRALISE, Kind.CHANGE}
    amounts = [number for number, kind in enumerate(order) if kind in dosing]
    assert all(number > order.index(Kind.FIRST_AID) for number in amounts)


@pytest.mark.parametrize("sign", longer_but_for(WITH_AID[::4], WITH_AID))
def test_a_reading_that_is_good_takes_no_first_aid_away(sign: str) -> None:
    def steps(plan: Plan) -> set[str]:
        return {why.code for one in of_kind(plan, Kind.FIRST_AID) for why in (*one.steps, *one.cautions)}

    read = {key: text for key, text in GOOD.items() if key != "temperature"}  # a cold water shuts a virus out
    # What a kit without a basis means is no aid once its basis is stated; a low nitrite that was read is read again.
    assert steps(call(sign, **read)) - {"aid-read-nitrite-again"} == steps(call(sign)) - {"aid-nitrite-basis"}


def test_that_nothing_was_seen_is_no_judgement_and_no_first_aid() -> None:
    plan = call("nothing yet")
    assert not of_kind(plan, Kind.FIRST_AID)
    assert Hazard.SIGN not in {one.hazard for one in plan.judgements}
    assert plan.moments[0].state == "not known"


def test_a_pond_of_which_nothing_is_known_is_never_ready() -> None:
    assert call().moments[0].state == "not known"


# -- thiosulphate by the worst plausible level --------------------------------------------------------------------------
# 4 Cl2 + S2O3(2-) + 5 H2O -> 2 SO4(2-) + 8 HCl + 2 H+ would take 248.18 / (4 x 70.906) = 0.875 g of the pentahydrate for
# each gram of chlorine; in water at a pond's pH it goes only part of the way and 7 g are taken in practice. Mains hold
# 4 mg/L at the most: 1,000 L of tap water take 1,000 x 4 / 1,000 x 7 = 28 g.


def test_litres_of_a_hose_take_seven_grams_for_each_gram_of_chlorine_at_its_worst() -> None:
    # 600 L x 4 mg/L = 2.4 g of chlorine at the most; x 7 = 16.8 g.
    plan = call("hose left running", litres="600 ± 0.1 L", volume="8000 L, guess")
    assert act_on(plan, Kind.NEUTRALISE, "thiosulphate") == pytest.approx(16.8, rel=0.03)
    assert act_on(plan, Kind.NEUTRALISE, "thiosulphate") >= 16.8


def test_without_the_litres_the_whole_pond_takes_it_at_its_high_end() -> None:
    # 8,000 L x 4 mg/L x 7 / 1,000 = 224 g; the high end of ± 200 L: 8,200 L and 229.6 g
    grams = act_on(call("hose left running", volume="8000 ± 200 L"), Kind.NEUTRALISE, "thiosulphate")
    assert 224.0 < grams <= 235.0


def test_of_a_pond_without_litres_it_is_told_for_each_thousand() -> None:
    plan = call("hose left running")
    assert act_on(plan, Kind.NEUTRALISE, "thiosulphate") == 28.0
    assert act_on(plan, Kind.NEUTRALISE, "litres") == 1000.0
    assert "28 g of sodium thiosulphate crystals to each 1,000 L" in " ".join(first_page(plan).split())


def test_a_chlorine_that_was_read_is_what_the_grams_are_for() -> None:
    # 8,000 L x 0.3 mg/L x 7 / 1,000 = 16.8 g, at the high ends of both a little more
    plan = call("hose left running", volume="8000 ± 1 L", chlorine="0.3 ± 0.001 mg/L")
    assert act_on(plan, Kind.NEUTRALISE, "thiosulphate") == pytest.approx(16.8, rel=0.05)


def test_gasping_alone_asks_first_whether_tap_water_ran_in() -> None:
    (one,) = of_kind(call("gasping at the surface"), Kind.NEUTRALISE)
    assert "only-if-tap-water-ran-in" in {why.code for why in one.cautions}


# -- a part change ------------------------------------------------------------------------------------------------------

TAP = '[mains_water]\nph = "7.6, pH meter"\ntan = "0.05 ± 0.01 mg/L as N"\nchlorine = "0.3 mg/L, photometer"\n'


def pond(signs: str, water: str, tap: str = TAP) -> Plan:
    from waterplan.case import read_case
    from waterplan.plan.whole import plan

    seen = "".join(f'[[seen]]\nsign = "{sign}"\n' for sign in signs.split("; "))
    text = f'waterplan_case = 1\n[patient]\nspecies = "koi"\n[home_pond]\nvolume = "8000 ± 1 L"\n{seen}[home_water]\n{water}\n{tap}'
    return plan(read_case(text), as_of=AT, draws=64)


READ = 'temperature = "17 °C"\nph = "7.6 ± 0.05"\ntan = "0.1 ± 0.01 mg/L as N"\nnitrite = "0.05 mg/L as NO2"'
READ += "\nph_taken = 2026-07-20T16:00"


def test_a_part_change_waits_for_ammonia_and_ph_of_both_waters() -> None:
    for water, tap in (('temperature = "17 °C"', TAP), (READ, '[mains_water]\nchlorine = "0.3 mg/L"\n')):
        (one,) = of_kind(pond("gasping at the surface", water, tap), Kind.CHANGE)
        assert [why.code for why in one.refused_because] == ["ammonia-and-ph-not-read"]


def test_a_fifth_is_changed_for_gasping_fish_where_ammonia_allows_it() -> None:
    # 20 % of 8,000 L
    (one,) = of_kind(plan := pond("gasping at the surface", READ), Kind.CHANGE)
    assert not one.refused_because
    assert plan.figures[one.amounts["litres"]].act_on == pytest.approx(1600.0, rel=0.01)


def test_no_change_comes_from_the_tap_that_may_be_the_cause() -> None:
    (one,) = of_kind(pond("gasping at the surface; hose left running", READ), Kind.CHANGE)
    assert [why.code for why in one.refused_because] == ["source-seen-as-cause"]


# -- who it is, and what else is known ----------------------------------------------------------------------------------


@pytest.mark.parametrize("sign", longer_but_for(WITH_AID[::4], WITH_AID))
def test_a_fish_of_no_known_species_is_never_salted(sign: str) -> None:
    plan = call(sign, **{**GOOD, "species": "unknown", "nitrite": "6 ± 0.1 mg/L as NO2"})
    assert not [one for one in of_kind(plan, Kind.SALT) if not one.refused_because]


def test_chloramine_is_thought_of_unless_the_company_uses_none() -> None:
    for disinfectant, may in (("", True), ("chloramine", True), ("chlorine", False), ("none", False)):
        (aid,) = of_kind(call("hose left running", disinfectant=disinfectant), Kind.FIRST_AID)
        assert ("aid-read-ph-and-ammonia-after" in {why.code for why in aid.steps}) is may


# -- the tables ----------------------------------------------------------------------------------------------------------


def test_every_row_of_first_aid_is_of_a_sign_and_a_kind_and_has_a_phrase() -> None:
    kinds = {*map(str, Kind), "never"}
    for row in tables.table("first_aid"):
        assert row["sign"] in SIGNS
        assert row["kind"] in kinds
        assert bool(row["code"]) == (row["kind"] in ("first aid", "never", "people")), row.id
        assert not row["code"] or f"why.{row['code']}" in language(), row.id
        if row.status == "from memory" and row["kind"] == "first aid" and row.value == row.value:
            assert "from memory" in language()[f"why.{row['code']}"], row.id
    assert {row["sign"] for row in tables.table("first_aid")} == set(WITH_AID)


@pytest.mark.parametrize("use", ["revival", "hospital"])
def test_a_fish_on_its_side_where_it_wakes_is_first_got_out_of_its_drug(use: str) -> None:
    """It was told to look at the other fish, of which there are none in the tub."""
    text = (
        'waterplan_case = 1\n[patient]\nspecies = "koi"\nweight = "1 kg, scales"\n'
        f'[[vessels]]\nname = "tub"\nuse = "{use}"\nvolume = "60 L, marked tub"\n'
        '[[seen]]\nsign = "lying on its side"\nwater = "tub"\n[intended]\noperation_at = 2026-05-14T10:00:00\n'
    )
    found = plan(read_case(text), as_of=datetime(2026, 5, 14, 10, 50, tzinfo=UTC), draws=16)
    (aid,) = [one for one in of_kind(found, Kind.FIRST_AID) if one.water == f"{use}-1"]
    assert (aid.steps[0].code == "aid-out-of-the-drug") is (use == "revival")
    assert ("aid-look-at-the-others" in {why.code for why in aid.steps}) is (use == "hospital")


@pytest.mark.parametrize(
    ("salt", "zeolite", "signs"),
    [("1.4", "true", ()), ("1.4", "true", ("salt was tipped in",)), ("1.4", "false", ()), ("0.1", "true", ())],
)
def test_zeolite_that_stands_in_salt_is_taken_out_and_nobody_is_told_to_wait(
    salt: str, zeolite: str, signs: tuple[str, ...]
) -> None:
    water = f'oxygen = "8 ± 0 mg/L"\nsalinity = "{salt} ± 0.01 g/L"\n'
    seen = "".join(f'[[seen]]\nsign = "{sign}"\n' for sign in signs)
    made = plan(
        read_case(koi_in_a_pond(8000, pond=f"zeolite = {zeolite}\n", water=water) + seen, file="case"), draws=64
    )
    (met, *_) = [one for one in made.judgements if one.hazard is Hazard.CONFLICT and one.water == "home-pond"]
    steps = [why.code for one in of_kind(made, Kind.FIRST_AID) if one.is_open for why in one.steps]
    # Salt above 0.5 g/L beside zeolite: the row of the table `conflicts`.
    if salt == "1.4" and zeolite == "true":
        assert met.verdict is Verdict.ACT_NOW
        assert steps.count("aid-zeolite-out") == 1
        assert "Take the zeolite out" in first_page(made)
        assert signs or "Take the zeolite out" in papers(made)["triage.html"]
        assert not any(one for one in of_kind(made, Kind.ASK) if met.id in one.answers)
    else:
        assert met.verdict is not Verdict.ACT_NOW
        assert "aid-zeolite-out" not in steps
