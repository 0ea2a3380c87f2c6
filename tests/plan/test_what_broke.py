"""What broke when it was pushed, each of it planned once: names that are keys, salt by two doors, numbers, a power cut."""

import re
from functools import cache

import pytest

from tests.actions.written import exactly
from tests.plan import comparisons as compare
from tests.plan.invariants import accepted
from waterplan.actions.record import Kind
from waterplan.case.reading import read_case
from waterplan.hazards.record import Hazard
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.words.terminal import full_page

CASE = """
waterplan_case = 1
[patient]
species = "koi"
weight = "2 kg, scales"
eaten = "no"
[home_pond]
volume = "{pond}"
[home_water]
{water}[mains_water]
chlorine = "1 mg/L, photometer"
[[vessels]]
name = "{name}"
use = "hospital"
volume = "600 ± 0 L"
filled_with = "home water"
nitrite = "{nitrite} ± 0 mg/L as NO2"
salinity = "0 ± 0 g/L"
[intended]
operation_at = 2026-05-14T10:00:00
days = "3 days"
salt = "{salt}"
"""
DOSES = """
[[doses]]
substance = "tricaine"
use = "induction"
into = "12 L"
strength = "100 mg/L"
bottle = "powder"
[[doses]]
substance = "tricaine"
use = "maintenance"
into = "12 L"
strength = "50 mg/L"
bottle = "powder"
"""


@cache
def made(
    *, name: str = "grey tub", salt: str = "2 g/L", nitrite: str = "0", pond: str = "8000 L", more: str = ""
) -> Plan:
    water = exactly(temperature=18, oxygen=8, ph=7.6, alkalinity=100, tan=0, nitrite=nitrite, salinity=0)
    text = CASE.format(name=name, salt=salt, nitrite=nitrite, pond=pond, water=water) + more
    return plan(read_case(text, file="case"), draws=64)


@pytest.mark.longer
def test_tubs_called_by_other_things_names_change_nothing() -> None:
    tub = '[[vessels]]\nname = "{}"\nuse = "revival"\nvolume = "60 L, marked tub"\n' + DOSES
    plans = made(more=tub.format("tub")), made(name="home pond", more=tub.format("bucket 2"))
    assert compare.differences(*(compare.without_names(one) for one in plans)) == []
    assert sum(one.kind is Kind.DOSE for one in plans[1].actions) == 2


def _salt_of(made_plan: Plan) -> float:
    """The grams of salt that all actions put into the tank."""
    return sum(
        sum(one.part_amounts.get(name, ()) or (made_plan.figures[path].act_on or 0.0,))
        for one in accepted(made_plan)
        if one.water == "hospital-1" and one.substance == "salt" and one.kind in {Kind.SALT, Kind.DOSE, Kind.CHEMISTRY}
        for name, path in one.amounts.items()
        if made_plan.figures[path].unit == "g"
    )


SALT_DOSE = """
[[doses]]
substance = "salt"
use = "prolonged"
into = "hospital-1"
strength = "3 g/L"
grade = "non-iodised table salt"
"""


@pytest.mark.parametrize(
    ("salt", "nitrite", "more"),
    [
        ("3 g/L", "20", SALT_DOSE),
        pytest.param("3 g/L", "0", SALT_DOSE, marks=pytest.mark.slow),
        pytest.param("2 g/L", "20", "", marks=pytest.mark.slow),
        pytest.param("1 g/L", "6", SALT_DOSE * 2, marks=pytest.mark.slow),
    ],
)
def test_salt_by_every_door_stays_under_its_ceiling(salt: str, nitrite: str, more: str) -> None:
    """The level meant, a bath and what guards against nitrite: at most 5 g/L x 600 L = 3,000 g between them.

    The ceiling of a carp-like fish is a row; the higher of the levels written, 3 g/L or the guard's, is below it.
    """
    found = made(salt=salt, nitrite=nitrite, more=more)
    ceiling = next(
        one.limit.value
        for one in found.judgements
        if one.water == "hospital-1" and one.hazard is Hazard.SALT and one.limit and one.limit.unit == "g/L"
    )
    assert ceiling is not None
    assert _salt_of(found) <= min(ceiling, 5.0) * 600.0


def test_a_dip_that_is_meant_and_one_that_is_dosed_are_one_dip() -> None:
    """25 g/L in 50 L are 1,250 g, whichever table they stand in and however often."""
    tub = '[[vessels]]\nname = "dip"\nuse = "dip"\nvolume = "50 ± 0 L"\nsalinity = "0 ± 0 g/L"\n'
    dip = '[[doses]]\nsubstance = "salt"\nuse = "dip"\ninto = "dip-1"\nstrength = "25 g/L"\n'
    text = f'waterplan_case = 1\n[patient]\nspecies = "koi"\neaten = "no"\n{tub}{dip}[intended]\nsalt_dip = "25 g/L"\n'
    found = plan(read_case(text, file="case"), draws=64)
    grams = [
        found.figures[path].act_on or 0.0
        for one in accepted(found)
        if one.water == "dip-1" and one.substance == "salt"
        for path in one.amounts.values()
        if found.figures[path].unit == "g"
    ]
    assert 0.0 < sum(grams) <= 1250.0


def test_a_big_pond_is_printed_as_a_person_writes_it() -> None:
    text = full_page(made(pond="5000000 L", salt="3 g/L"))
    assert re.findall(r"\d(?:e[+-]?\d|\.\d{5,})", text.partition("\nSources")[0]) == []
    assert "nan" not in text.casefold().split()
    assert not re.search(r"(?<![\d.,])0(?:\.0+)? k?g of", text)


def test_salt_for_a_jug_is_told_in_grams() -> None:
    found = made(salt="3 g/L", nitrite="20", more=SALT_DOSE)
    assert _salt_of(found) > 0.0
    for one in accepted(found):
        if one.kind is Kind.SALT:
            assert {found.figures[path].unit for path in one.amounts.values()} >= {"g"}


@pytest.mark.longer
def test_a_big_fish_beside_the_patient_shortens_a_power_cut() -> None:
    """Nine kilograms beside 2 kg use the oxygen of the pond at least twice as fast."""
    another = '[[other_fish]]\nspecies = "koi"\ncount = 1\nweight = "9 kg, scales"\n'
    alone, both = (
        {
            one.id: found.figures[one.until_harm].act_on
            for one in found.judgements
            if one.water == "home-pond" and "power off" in one.id and one.until_harm
        }
        for found in (made(pond="1500 L"), made(pond="1500 L", more=another))
    )
    assert alone
    for path, minutes in alone.items():
        assert both[path] is not None
        assert minutes is None or both[path] <= minutes / 2.0
