"""The chloride that may be counted on against nitrite: what a kit has read, and salt that somebody weighed in.

A pond of 1,000 L exactly, 2 mg/L of nitrite as the ion: ten times as much chloride is 20 mg/L. A gram of sodium chloride
holds 35.45/58.44 = 0.6066 g of it. Above 1.64 mg/L (0.5 as N) nitrite without it is to be acted on; with it, watched.
"""

from datetime import UTC, datetime

import pytest

from waterplan.actions.record import Action, Kind
from waterplan.case import read_case
from waterplan.hazards.record import Verdict
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan

NOW = datetime(2026, 5, 14, 12, tzinfo=UTC)
CASE = """
waterplan_case = 1
[patient]
species = "koi"
weight = "1 ± 0 kg"
[home_pond]
volume = "1000 ± 0 L"
[home_water]
taken = 2026-05-14T11:00:00
temperature = "18 ± 0 °C"
ph = "7.5 ± 0"
tan = "0 ± 0 mg/L as N"
alkalinity = "120 ± 0 mg/L as CaCO3"
oxygen = "9 ± 0 mg/L"
"""
READ = 'nitrite = "2 ± 0 mg/L as NO2"\n'
GUARDED, BARE = Verdict.WATCH, Verdict.ACT_NOW


def made(*more: str) -> Plan:
    return plan(read_case(CASE + "".join(more)), draws=64, as_of=NOW)


def judged(*more: str) -> Plan:
    """The same before anything is done."""
    return plan(read_case(CASE + "".join(more)), draws=64, as_of=NOW, actions=False)


def verdict(found: Plan, path: str = "home-pond/nitrite") -> Verdict:
    return next(one.verdict for one in found.judgements if one.id == path)


def chloride(found: Plan, water: str = "home-pond") -> float | None:
    first = next(one for one in found.waters if one.id == water).states[0].quantities.get("chloride")
    return None if first is None else found.figures[first.figure].best


def salted(found: Plan) -> list[Action]:
    return [one for one in found.actions if one.kind is Kind.SALT and one.id.endswith("/nitrite")]


@pytest.mark.parametrize("meter", ['salinity = "0.4 g/L, conductivity meter"', 'conductivity = "0.8 mS/cm at 25 °C"'])
def test_the_minerals_of_hard_water_are_no_guard(meter: str) -> None:
    """0.4 g/L by a meter would be 243 mg/L of chloride if it were salt: nobody knows that it is."""
    found = made(READ, meter + "\n")
    assert chloride(found) is None
    assert verdict(found) is BARE
    (order,) = salted(found)
    assert "chloride-not-read-none-counted" in {one.code for one in order.cautions}


@pytest.mark.parametrize(("kit", "said"), [(21, GUARDED), (19, BARE)])
def test_a_kit_that_read_chloride_counts(kit: int, said: Verdict) -> None:
    assert verdict(judged(READ, f'chloride = "{kit} ± 0 mg/L"\n')) is said


# 50 g in 1,000 L are 0.05 g/L of salt and 30.3 mg/L of chloride.
IN = {
    "already": '[[already]]\nwhat = "salt"\nwhere = "home pond"\nlevel = "0.05 ± 0 g/L"\n',
    "done": '[[done]]\nat = 2026-05-14T10:00:00\nwhat = "salted"\nwater = "home pond"\nsubstance = "salt"\namount = "50 g"\n',
    "event": '[[events]]\nat = 2026-05-14T10:00:00\nwater = "home pond"\nwhat = "salt"\nweight = "50 ± 0 g"\n',
}


@pytest.mark.parametrize("how", IN)
@pytest.mark.parametrize(
    ("meter", "counted"),
    [
        ("", 30.33),
        ('salinity = "0.4 ± 0 g/L"\n', 30.33),  # read an hour after: no more than was weighed in
        ('salinity = "0.02 ± 0 g/L"\n', 12.13),  # and no more than is there: most was washed out
    ],
)
def test_salt_that_was_weighed_in_counts_and_no_more_than_that(how: str, meter: str, counted: float) -> None:
    found = judged(READ, meter, IN[how])
    assert chloride(found) == pytest.approx(counted, abs=0.01)
    assert verdict(found) is (GUARDED if counted > 20.0 else BARE)


@pytest.mark.parametrize(("hour", "counted"), [(11, 8.0), (10, 8.0 + 30.33)])
def test_a_kit_has_seen_the_salt_of_before_and_not_that_of_after(hour: int, counted: float) -> None:
    water = CASE.replace("T11:00:00", f"T{hour:02}:00:00") + READ + 'chloride = "8 ± 0 mg/L"\n'
    salt = IN["done"].replace("T10:00:00", "T10:30:00")
    found = plan(read_case(water + salt), draws=64, as_of=NOW, actions=False)
    assert chloride(found) == pytest.approx(counted, abs=0.01)


def test_what_the_plan_orders_is_what_guards() -> None:
    """20 mg/L of chloride are 32.97 mg/L of salt, 32.97 g for the pond, rounded up to 33: 20.02 mg/L."""
    found = made(READ)
    (order,) = salted(found)
    assert found.figures[order.amounts["salt"]].act_on == 33.0
    assert verdict(found, "home-pond/nitrite/after") is GUARDED


def test_a_tub_is_filled_with_the_chloride_of_its_source() -> None:
    tub = '[[vessels]]\nname = "tub"\nuse = "revival"\nvolume = "100 ± 0 L"\n'
    assert chloride(judged(READ, IN["done"], tub), "revival-1") == pytest.approx(30.33, abs=0.01)


@pytest.mark.parametrize("more", ["", '[[seen]]\nsign = "gasping at the surface"\n'])
def test_salt_is_never_ordered_against_a_nitrite_that_nobody_read(more: str) -> None:
    assert not salted(made(more))


@pytest.mark.longer
def test_salt_of_a_tank_guards_from_when_it_is_in() -> None:
    """A tank of 1,000 L: 30 g of salt go in as the fish does, 18.2 mg/L; nitrite at 1.8 asks for 18, at 1.9 for 19."""
    for nitrite, said in ((1.8, GUARDED), (1.9, BARE)):
        tank = (
            f'[[vessels]]\nname = "tank"\nuse = "hospital"\nvolume = "1000 ± 0 L"\nnitrite = "{nitrite} ± 0 mg/L as NO2"\n'
            'taken = 2026-05-14T11:00:00\nair = "8 L/min"\n[intended]\noperation_at = 2026-05-14T13:00:00\ndays = "0.1 days"\n'
            '[[done]]\nat = 2026-05-14T11:30:00\nwhat = "salted"\nwater = "tank"\nsubstance = "salt"\namount = "30 g"\n'
        )
        found = judged('nitrite = "0 ± 0 mg/L as NO2"\n', tank)
        assert verdict(found, "hospital-1/nitrite") is said
