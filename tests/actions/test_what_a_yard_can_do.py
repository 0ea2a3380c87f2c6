"""What no yard and no van can do is not ordered: it is refused with what there is instead, in litres, kilograms and degrees."""

import pytest

from tests.demos import demo_plan
from waterplan.actions.record import Action, Kind
from waterplan.case import read_case
from waterplan.plan.quick import quick_tank
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan

POND = """
waterplan_case = 1
[patient]
species = "{species}"
weight = "{weight} ± 0 kg"
eaten = "no"
wound = "none"
[place]
altitude = "0 ± 0 m"
[home_pond]
volume = "6000 ± 0 L"
[home_water]
temperature = "{temperature} ± 0 °C"
ph = "7.6 ± 0"
oxygen = "7.5 ± 0 mg/L"
tan = "0.05 ± 0 mg/L as N"
nitrite = "0.05 ± 0 mg/L as NO2"
alkalinity = "120 ± 0 mg/L as CaCO3"
chlorine = "0 ± 0 mg/L"
"""
TANK = """
[[vessels]]
name = "tank"
use = "hospital"
volume = "{litres} ± 0 L"
filter = "unseeded"
air = "{air} L/min"
outlets = 2
temperature = "18 ± 0 °C"
ph = "7.6 ± 0"
[intended]
operation_at = 2026-06-04T10:00:00
days = "10 days"
"""
BAG = """
[[transports]]
by = "bag with oxygen"
volume = "20 ± 0 L"
oxygen = "0.2 ± 0 L"
hours = "3 h"
temperature = "18 ± 0 °C"
"""


def planned(more: str = "", *, species: str = "koi", weight: float = 1.0, temperature: float = 18.0) -> Plan:
    text = POND.format(species=species, weight=weight, temperature=temperature) + more
    return plan(read_case(text), draws=64)


def action(found: Plan, kind: Kind, water: str, part: str = "") -> Action:
    return next(one for one in found.actions if one.kind is kind and one.water == water and part in one.id)


def acted_on(found: Plan, path: str) -> float:
    value = found.figures[path].act_on
    assert value is not None
    return value


def test_a_pond_is_not_cooled_by_hundreds_of_kilograms_of_ice() -> None:
    """6,000 L from 32 °C by 2 °C, the cap of a day: 4.19 kJ a litre and degree, 334 + 4.19 x 30 = 459 kJ from a kilogram.

    6,000 x 4.19 x 2 / 459 = 109 kg; 50 kg can be brought: 50 x 459 / (6,000 x 4.19) = 0.91 °C of it now, or all of the
    2 °C in a tub of 50 x 459 / (4.19 x 2) = 2,740 L.
    """
    found = planned(species="orfe", temperature=32.0)
    one = action(found, Kind.COOL, "home-pond")
    (why,) = one.refused_because
    assert not one.amounts
    assert found.figures[why.figures["ice"]].best == pytest.approx(109.0, rel=0.02)
    assert found.figures[why.figures["most"]].best == 50.0
    told = {why.code: why.figures for way in one.instead for why in way.because}
    assert acted_on(found, told["ice-that-there-is"]["fall"]) == pytest.approx(0.91, abs=0.02)
    assert acted_on(found, told["a-shaded-tub-takes-the-ice"]["litres"]) == pytest.approx(2740.0, rel=0.02)
    assert {"shade-first", "air-while-it-is-hot"} <= told.keys()


def test_what_can_be_brought_is_ordered() -> None:
    """300 L by 2 °C take 300 x 4.19 x 2 / 459 = 5.5 kg."""
    found = planned(species="orfe", temperature=32.0)
    small = POND.format(species="orfe", weight=1.0, temperature=32.0).replace("6000", "300")
    one = action(plan(read_case(small), draws=64), Kind.COOL, "home-pond")
    assert action(found, Kind.COOL, "home-pond").refused_because
    assert not one.refused_because
    assert "ice" in one.amounts


@pytest.mark.longer
def test_a_tank_that_is_too_small_names_the_one_that_is_not() -> None:
    """9 kg at 2.5 kg in a cubic metre, where no filter works, are 3,600 L at the least; ammonia may ask for more.

    As much at the least as without a case (`waterplan tank`): airing, which is ordered, raises the pH and with it the
    un-ionised share. No word of several tanks for one fish.
    """
    found = planned(TANK.format(litres=150, air=10), weight=9.0)
    one = action(found, Kind.ASK, "hospital-1")
    alone = quick_tank(
        species_name="koi", weight="9 ± 0 kg", temperature="18 ± 0 °C", ph="7.6 ± 0", filter_state="unseeded"
    ).figures["hospital/size/needed"]
    assert acted_on(found, one.amounts["needed"]) >= 3600.0
    here = found.figures[one.amounts["needed"]].best
    assert here is not None
    assert alone.best is not None
    assert 0.95 * alone.best <= here <= 2.0 * alone.best
    assert "several" not in one.words
    larger = planned(TANK.format(litres=60000, air=40), weight=9.0)
    assert not [one for one in larger.actions if one.kind is Kind.ASK and "needed" in one.amounts]


def test_air_that_cannot_be_blown_names_the_water_that_takes_it() -> None:
    """A third of a litre of air a minute is blown through a litre at most: 0.3 x 150 = 45 L/min, and what the fish needs
    over 0.3 is the water that takes it. Of one fish none can be moved away."""
    found = planned(TANK.format(litres=150, air=10), weight=9.0)
    costs = {why.code: why for why in action(found, Kind.AIR, "hospital-1", "air/hospital-1").costs}
    why = costs["more-air-than-can-be-blown"]
    needed, room = (found.figures[why.figures[name]].best for name in ("needed", "room"))
    assert needed is not None
    assert room == pytest.approx(needed / 0.3, rel=0.01)
    assert acted_on(found, why.figures["blown"]) <= 45.0
    assert "several" not in why.words


def test_a_bag_that_is_too_short_of_oxygen_is_packed_with_more() -> None:
    """0.2 L of oxygen (1.33 g/L at 18 °C: 266 mg) and 20 L x (9 - 5) mg/L = 80 mg last less than 3 h: the usual bag holds
    three times its water of oxygen, 60 L; the least part of that which lasts is told, and with it the bag is fit."""
    found = planned(BAG, weight=0.9)
    one = action(found, Kind.PACK, "bag-1")
    assert 0.2 < acted_on(found, one.amounts["gas"]) <= 60.0
    assert acted_on(found, one.amounts["hours"]) < 180.0  # or a shorter way
    after = next(one for one in found.judgements if one.id == "bag-1/oxygen/after")
    assert after.verdict.rank < next(one for one in found.judgements if one.id == "bag-1/oxygen").verdict.rank


def test_a_fish_that_no_bag_holds_is_told_its_litres() -> None:
    """3 kg at 50 kg in a cubic metre are 60 L, where a bag holds 20."""
    found = planned(BAG, weight=3.0)
    one = action(found, Kind.PACK, "bag-1")
    (why,) = (why for why in (*one.refused_because, *one.costs) if why.code == "no-bag-will-do")
    assert acted_on(found, why.figures["wanted"]) == pytest.approx(60.0)


def test_no_tank_is_heated_by_more_than_the_sockets_carry() -> None:
    """20,000 L in a room of 8 °C at 26 °C: some 20 m2 of surface at 9.1 W and as much of wall at 6.2 W/m2/K over 18 °C
    alone are 20 x 15.3 x 18 = 5.5 kW, where 3 kW are carried."""
    text = TANK.format(litres=20000, air=40) + 'temperature = "26 ± 0 °C"\nroom = "8 ± 0 °C"\n'
    one = action(planned(text), Kind.WARM, "hospital-1", "kept")
    assert "more-heat-than-a-yard-has" in {why.code for why in one.refused_because}


def test_each_remedy_says_what_it_does_where_no_change_holds_the_limit() -> None:
    """270 L a day, half of the tank, are the most; some 500 L would be needed in the worst case. What is taken out goes with
    the litres, so that 270 of those hold as large a share of the fish; and of a tank of twice those half is as many."""
    found = demo_plan("ordinary_goldfish")
    change = next(one for one in found.actions if one.id == "hospital/change/hospital-1")
    not_enough, each = (why for why in change.costs if why.code in ("change-not-enough", "what-each-remedy-does"))
    needed, litres = found.figures[not_enough.figures["needed"]].high, found.figures[change.amounts["litres"]].act_on
    assert needed is not None
    assert litres is not None
    assert needed > litres
    assert found.figures[each.figures["held"]].low == pytest.approx(100.0 * litres / needed)
    assert found.figures[each.figures["tank"]].high == pytest.approx(2.0 * needed)
