"""A disease stop: when nothing is moved, what is refused then, and that no reading and no gap in them clears it.

Ranges by hand from the table `disease_stops`: koi herpesvirus 16 to 28 °C, carp oedema virus 6 to 25 °C and spring viraemia
8 to 18 °C in koi; viral haemorrhagic septicaemia 4 to 14 °C in trout. A reading of ± 0.1 °C at 17 °C lies in the first three,
at 21 °C in the first two, at 27 °C in the first, at 3 °C in none. New fish count for 60 days: of fish that came on 1 June,
30 July is day 59 and 1 August day 61.
"""

from datetime import UTC, datetime
from functools import cache

import pytest

from waterplan.actions.record import Action, Kind
from waterplan.case import read_case
from waterplan.hazards.record import Hazard, Verdict
from waterplan.plan.quick_call import quick_call
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.words.terminal import first_page

JULY = datetime(2026, 7, 21, 9, tzinfo=UTC)
CASE = """
waterplan_case = 1
[patient]
species = "koi"
weight = "2 kg, scales"
[place]
authority = "district veterinary office, 01234 5678"
[home_pond]
volume = "8000 L, timed fill"
{pond}
[home_water]
temperature = "17 ± 0.1 °C"
oxygen = "{oxygen}"
[[seen]]
sign = "{sign}"
fish = "{fish}"
[[vessels]]
name = "grey tub"
use = "revival"
volume = "300 L, marked tub"
[[vessels]]
name = "tank"
use = "hospital"
volume = "900 L, marked tub"
[transport]
by = "bag with oxygen"
volume = "20 L, marked tub"
oxygen = "40 L"
[intended]
operation_at = 2026-07-21T10:00:00
days = "5 days"
temperature = "22 °C"
"""


def call(sign: str, **texts: str) -> Plan:
    return quick_call(texts, [sign], as_of=JULY, draws=64)


@cache
def whole(sign: str = "ill for days", fish: str = "several", *, pond: str = "", oxygen: str = "3 ± 0.1 mg/L") -> Plan:
    text = CASE.format(sign=sign, fish=fish, pond=pond, oxygen=oxygen)
    return plan(read_case(text), as_of=JULY, draws=64)


def stops(found: Plan) -> list[Action]:
    return [one for one in found.actions if one.kind is Kind.MOVE_NOTHING]


def named(found: Plan) -> str:
    return "".join(why.words["diseases"] for one in stops(found) for why in one.cautions if why.code == "many-sick")


@pytest.mark.parametrize(
    ("species", "temperature", "diseases"),
    [
        ("koi", "17 ± 0.1 °C", "koi herpesvirus, carp oedema virus, spring viraemia"),
        ("koi", "21 ± 0.1 °C", "koi herpesvirus, carp oedema virus"),
        ("koi", "27 ± 0.1 °C", "koi herpesvirus"),
        ("koi", "3 ± 0.1 °C", ""),
        ("goldfish", "21 ± 0.1 °C", ""),
        ("goldfish", "12 ± 0.1 °C", "spring viraemia"),
        ("rainbow trout", "12 ± 0.1 °C", "viral haemorrhagic septicaemia"),
        ("sturgeon", "12 ± 0.1 °C", ""),
    ],
)
def test_many_sick_fish_are_a_stop_where_a_disease_of_theirs_may_be_at_work(
    species: str, temperature: str, diseases: str
) -> None:
    found = call("many fish down", species=species, temperature=temperature)
    assert named(found) == diseases
    assert len(stops(found)) == bool(diseases)


def test_a_temperature_and_a_species_that_nobody_knows_shut_nothing_out() -> None:
    every = "koi herpesvirus, carp oedema virus, spring viraemia, viral haemorrhagic septicaemia"
    assert named(call("many fish down")) == every


@pytest.mark.parametrize(("fish", "stopped"), [("one", 0), ("several", 1), ("most", 1), ("", 0)])
def test_fish_ill_for_days_are_a_stop_where_they_are_several(fish: str, stopped: int) -> None:
    assert len(stops(call("ill for days", species="koi", temperature="20 ± 0.1 °C", fish=fish))) == stopped


@pytest.mark.parametrize(("came", "stopped"), [("2026-06-01", 1), ("2026-05-20", 0), ("", 0)])
def test_one_sick_fish_within_sixty_days_of_new_ones_is_a_stop_at_any_temperature(came: str, stopped: int) -> None:
    # 1 June to 21 July are 50 days, 20 May to 21 July 62.
    for temperature in ("3 ± 0.1 °C", "20 ± 0.1 °C"):
        found = call("gasping at the surface", species="koi", temperature=temperature, fish="one", new_fish=came)
        assert len(stops(found)) == stopped


def test_gasping_alone_is_no_stop_and_neither_is_a_hose() -> None:
    for sign in ("gasping at the surface", "hose left running", "nothing yet"):
        assert not stops(call(sign, species="koi", temperature="20 ± 0.1 °C", fish="most", new_fish=""))


def test_while_it_stands_no_fish_is_moved_no_tank_is_warmed_and_no_bag_goes() -> None:
    stood, without = whole(), whole("nothing yet")
    for path in ("call/move/home-pond", "hospital/warm/hospital-1/kept"):
        because = [
            {why.code for one in found.actions if one.id == path for why in one.refused_because}
            for found in (stood, without)
        ]
        assert "nothing-moves" in because[0], path
        assert "nothing-moves" not in because[1], path
    verdicts = {one.water: one.verdict for one in stood.judgements if one.hazard is Hazard.DISEASE}
    assert verdicts == {"home-pond": Verdict.ACT_NOW, "hospital-1": Verdict.REFUSED, "bag-1": Verdict.REFUSED}
    assert not [one for one in without.judgements if one.hazard is Hazard.DISEASE]  # what was not seen clears nothing


def test_air_is_turned_on_all_the_same_and_the_fish_can_still_be_woken() -> None:
    actions = {one.kind: one for one in whole().actions if one.water == "home-pond" and not one.refused_because}
    assert {Kind.AIR, Kind.MOVE_NOTHING, Kind.FIRST_AID} <= actions.keys()


@pytest.mark.longer
def test_the_authority_of_the_case_is_named_on_the_first_page_and_one_is_asked_for_without_it() -> None:
    assert "district veterinary office, 01234 5678" in " ".join(first_page(whole()).split())
    told = " ".join(first_page(call("many fish down", species="koi")).split())
    assert "Call the authority that takes reports of fish disease" in told


def test_no_good_reading_of_the_water_takes_the_stop_away() -> None:
    good = {"oxygen": "9 ± 0.1 mg/L", "ph": "7.5 ± 0.1", "tan": "0.05 ± 0.01 mg/L as N", "temperature": "20 ± 0.1 °C"}
    assert stops(call("many fish down", species="koi", **good))
