"""Which way signs point: to the water or to one fish, each clue of the table by itself; one fish never clears a water."""

from datetime import UTC, datetime

import pytest

from waterplan import tables
from waterplan.actions.record import Kind
from waterplan.hazards.record import Hazard, Verdict
from waterplan.plan.quick_call import quick_call
from waterplan.plan.record import Plan
from waterplan.words.terminal import first_page

NOON, DAWN = (datetime(2026, 7, 21, hour, 10, tzinfo=UTC) for hour in (12, 5))
WATER, FISH, NOWHERE = "points-to-the-water", "points-to-that-fish", "points-nowhere-yet"


def call(*signs: str, at: datetime = NOON, **texts: str) -> Plan:
    return quick_call({"species": "koi", "temperature": "12 ± 0.1 °C", **texts}, signs, as_of=at, draws=64)


def pointing(plan: Plan) -> set[tuple[str, str]]:
    """The code and the clues, as every sign's judgement and every first aid have them."""
    whys = [why for one in plan.judgements if one.hazard is Hazard.SIGN for why in one.why]
    whys += [why for one in plan.actions if one.kind is Kind.FIRST_AID for why in one.cautions]
    return {(why.code, why.words.get("clues", "")) for why in whys if why.code.startswith("points-")}


@pytest.mark.parametrize(
    ("signs", "texts", "expected"),
    [
        (["gasping at the surface"], {}, (NOWHERE, "")),
        (["gasping at the surface"], {"fish": "one"}, (FISH, "one fish")),
        (["gasping at the surface"], {"fish": "most"}, (WATER, "several fish")),
        (["gasping at the surface"], {"where": "at the inflow"}, (WATER, "at the inflow")),
        (["lying on its side"], {"where": "apart from the others"}, (FISH, "apart from the others")),
        (["lying on its side"], {"fish": "one", "where": "at the inflow"}, (WATER, "at the inflow")),
        (["many fish down"], {"fish": "one"}, (WATER, "several fish")),
        (["lying on its side", "hose left running"], {"fish": "one"}, (WATER, "seen at the water itself")),
    ],
)
def test_each_clue_points_its_way_and_the_water_goes_before_one_fish(signs, texts, expected) -> None:
    assert pointing(call(*signs, **texts)) == {expected}


def test_before_dawn_one_fish_points_to_the_water_all_the_same() -> None:
    # 05:10 lies within 3 to 8 h, 12:10 does not.
    assert pointing(call("gasping at the surface", fish="one", at=DAWN)) == {(WATER, "before dawn")}
    assert pointing(call("gasping at the surface", fish="one", at=NOON)) == {(FISH, "one fish")}


def test_of_signs_of_the_water_alone_nothing_is_asked() -> None:
    assert pointing(call("hose left running")) == set()


@pytest.mark.parametrize("sign", ["gasping at the surface", "lying on its side", "ill for days", "jumped out"])
def test_one_sick_fish_softens_no_verdict_and_takes_no_action_away(sign: str) -> None:
    most, one = (call(sign, fish=fish, temperature="3 ± 0.1 °C") for fish in ("most", "one"))
    verdicts = [{judged.id: judged.verdict for judged in plan.judgements} for plan in (most, one)]
    assert verdicts[0] == verdicts[1]
    assert Verdict.WITHIN_LIMIT not in {judged.verdict for judged in one.judgements if judged.hazard is Hazard.SIGN}
    assert [action.id for action in most.actions] == [action.id for action in one.actions]


def test_it_is_said_as_a_suspicion_on_the_first_page() -> None:
    told = " ".join(first_page(call("gasping at the surface", fish="one")).split())
    assert "It points to that fish (one fish): look closely at it. Read the water all the same" in told
    told = " ".join(first_page(call("gasping at the surface", fish="most", at=DAWN)).split())
    assert "It points to the water (several fish, before dawn): a suspicion until the water is read." in told


def test_every_clue_of_the_table_has_been_shown() -> None:
    shown = {
        "several fish",
        "one fish",
        "before dawn",
        "at the inflow",
        "at the surface",
        "apart from the others",
        "seen at the water itself",
    }
    assert {row["clue"] for row in tables.table("sign_clues")} == shown
    assert pointing(call("lying on its side", where="at the surface")) == {(WATER, "at the surface")}
