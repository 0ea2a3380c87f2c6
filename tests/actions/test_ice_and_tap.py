"""Ice has a most that can be brought, whatever it is for; and tap water is named only where the source may be a tap."""

import re
from collections import Counter

import numpy as np
import pytest

from waterplan.actions.record import Action, Kind
from waterplan.case import read_case
from waterplan.papers.ordered import heat_steps
from waterplan.papers.whole_set import papers
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.words.lines import action_line
from waterplan.words.speaker import Speaker

_CASE = """
waterplan_case = 1
[patient]
species = "koi"
weight = "2 ± 0 kg"
length = "50 ± 0 cm"
eaten = "no"
wound = "none"
[home_pond]
volume = "10000 ± 0 L"
[home_water]
taken = 2026-05-14T07:30:00
temperature = "{pond} ± 0 °C"
ph = "7.6 ± 0"
tan = "0 ± 0 mg/L as N"
nitrite = "0 ± 0 mg/L as NO2"
oxygen = "9 ± 0 mg/L"
alkalinity = "120 ± 0 mg/L as CaCO3"
{more}
[[vessels]]
name = "tank"
use = "hospital"
heater = "300 W"
volume = "{litres} L"
taken = 2026-05-14T07:30:00
temperature = "{tank} ± 0 °C"
[intended]
operation_at = 2026-05-14T10:00:00
days = "{days}"
{kept}
"""


def made(
    *, litres: int | str, pond: float = 15.0, tank: float = 15.0, kept: str = "", more: str = "", days: str = "1 days"
) -> Plan:
    volume = f"{litres} ± 0" if isinstance(litres, int) else litres
    text = _CASE.format(litres=volume, pond=pond, tank=tank, kept=kept, more=more, days=days)
    return plan(read_case(text), draws=64)


def cooled(of: Plan, path: str) -> Action:
    return next(one for one in of.actions if one.id == path)


@pytest.mark.longer
def test_a_tank_that_wants_more_ice_than_there_is_is_filled_anew() -> None:
    """2,000 L from 21 to 15 °C: 2,000 x 4.18 x 6 = 50,200 kJ; a kilogram takes 334 + 4.18 x 15 = 397: 126 kg, of 50."""
    action = cooled(made(litres=2000, tank=21.0), "prepare/cool/hospital-1")
    assert [why.code for why in action.refused_because] == ["more-ice-than-can-be-brought"]
    assert [one.kind for one in action.instead] == [Kind.CHANGE, Kind.COOL]
    assert action.instead[0].because[0].words == {"as": "home-pond"}


def test_a_tank_that_does_not_is_cooled() -> None:
    """600 L: a third of 126 kg and a little less, 38 kg."""
    plan = made(litres=600, tank=21.0)
    action = cooled(plan, "prepare/cool/hospital-1")
    assert not action.refused_because
    assert plan.figures[action.amounts["ice"]].best == pytest.approx(38.0, rel=0.02)


def test_no_more_ice_is_ordered_than_there_is() -> None:
    """770 L from 21 to 15 °C: 770 x 4.18 x 6 / 397 = 49 kg, and 51 kg for the 805 L that it may be: 50 kg can be brought.

    The band is of what is brought, so that the figure to act by is at its high end as every such figure is.
    """
    found = made(litres="770 ± 40", tank=21.0)
    ordered = found.figures[cooled(found, "prepare/cool/hospital-1").amounts["ice"]]
    assert ordered.best == pytest.approx(48.7, abs=0.2)
    assert ordered.high == ordered.act_on == 50.0


@pytest.mark.longer
@pytest.mark.parametrize(("litres", "refused"), [(600, False), (4000, True)])
def test_on_the_way_home_too(litres: int, refused: bool) -> None:
    """Kept at 19 °C beside a pond at 15: 4 °C. 600 L: 600 x 4.18 x 4 / 397 = 25 kg; 4,000 L: 168 kg."""
    plan = made(litres=litres, days="4 days", kept='temperature = "19 ± 0 °C"\nroom = "19 ± 0 °C"')
    action = cooled(plan, "hospital/cool/hospital-1/home")
    assert bool(action.refused_because) is refused
    assert [one.kind for one in action.instead] == ([Kind.COOL, Kind.ACCLIMATE] if refused else [])
    assert ("ice" in action.amounts) is not refused


def homewards(room: str) -> tuple[Plan, Action]:
    kept = f'temperature = "19 ± 0 °C"\nroom = "{room} °C"\nroom_swing = "0 ± 0 °C"'
    found = made(litres=600, days="6 days", kept=kept)
    return found, cooled(found, "hospital/cool/hospital-1/home")


def test_what_a_colder_room_takes_is_no_work_for_the_ice() -> None:
    """From 19 °C by a degree an hour: with ice for all of it a room of 8 °C would make more than a degree of the first hour.

    What is hung is for the rest, and the tank is at the pond's 15 °C as the fish leaves all the same.
    """
    warm, cold = homewards("19 ± 0"), homewards("8 ± 0")
    hung = [sum(one.part_amounts["ice"]) for _, one in (warm, cold)]
    assert 0.0 < hung[1] < 0.6 * hung[0]
    course = cold[0].series["hospital-1/temperature/stay"]
    begin_h = 118.0  # Tue 19 May, 08:00: two before the last day of six that began at 10:00
    before, after = (np.interp(begin_h + later, course.hours, course.best) for later in (0.0, 1.0))
    assert before - after < 1.05
    assert min(course.best) == pytest.approx(15.0, abs=0.15)


def test_a_room_that_may_be_no_colder_takes_nothing() -> None:
    """16 °C, but by its error perhaps 26: nothing is surely taken, the ice is that of the fall: 600 x 4.18 x 4 / 397 = 25 kg."""
    _, action = homewards("16 ± 10")
    assert sum(action.part_amounts["ice"]) == pytest.approx(25.0, abs=0.5)


def test_a_step_that_the_room_makes_has_no_ice_on_any_paper() -> None:
    """22 hours of a room of 8 °C take more than a degree: the step before the night is left to it."""
    found, action = homewards("8 ± 0")
    assert 0.0 in action.part_amounts["ice"]
    assert " 0 g" not in re.sub(r"<[^>]+>", "", papers(found)["hospital.html"])


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ("", True),
        ('[mains_water]\nkind = "well"', False),
        pytest.param('[mains_water]\nkind = "rain"', False, marks=pytest.mark.longer),
        pytest.param('[mains_water]\nkind = "softened"', True, marks=pytest.mark.longer),
        ('[mains_water]\nkind = "well"\n[[seen]]\nsign = "hose left running"', True),
    ],
)
def test_tap_water_is_named_where_the_source_may_be_a_tap(more: str, told: bool) -> None:
    """A hose that was seen running tells more than the kind of the source does."""
    found = [one for one in made(litres=600, more=more).actions if one.id == "call/neutralise/home-pond"]
    assert bool(found) is told


@pytest.mark.parametrize(("room", "named"), [("6", True), ("19", False)])
def test_a_heater_off_is_told_with_the_hours_that_the_room_takes_or_as_not_enough(room: str, named: bool) -> None:
    """Kept at 19 °C beside a pond at 13: steps of 2 °C a day are 48 h and more; a room at 19 °C takes no heat out of it."""
    found = made(litres=4000, pond=13.0, kept=f'temperature = "19 ± 0 °C"\nroom = "{room} ± 0 °C"', days="20 days")
    action = cooled(found, "hospital/cool/hospital-1/home")
    told = next(why for way in action.instead for why in way.because if why.code == "thermostat-down-and-shade")
    assert bool(told.figures) is named
    if named:
        hours = found.figures[told.figures["hours"]]
        # 4,000 L lose heat over some 12 m2 of wall and surface at 5 to 15 W/m2/K: 4,650 Wh/K by 60 to 180 W/K are a day to
        # three, times ln((19 - 6) / (16 - 6)), a quarter of that: from six hours to a day beside the steps.
        assert 48.0 + 6.0 < hours.best < 48.0 + 30.0
    assert ("keeps it too warm" in Speaker(found).why(told)) is not named


def test_each_step_of_a_cooling_before_the_way_home_has_its_ice_and_its_temperature() -> None:
    """A tank of 200 L kept at 16 °C beside a pond at 10 °C, of whose room nothing is sure: ice pays for the falls.

    A kilogram of ice takes 333.6 kJ to melt and 4.18 for each degree after it, a litre of water 4.18 for a degree: of the
    first degree, to 15 °C, 200 x 4.18 / (333.6 + 15 x 4.18) = 2.1 kg.
    """
    found = made(
        litres=200, pond=10.0, tank=10.0, kept='temperature = "16 ± 0 °C"\nroom = "10 ± 20 °C"', days="12 days"
    )
    action = cooled(found, "hospital/cool/hospital-1/home")
    assert action.is_open
    steps, ice = heat_steps(action), action.part_amounts["ice"]
    degrees = [found.figures[path].best for _, path in steps]
    assert degrees == pytest.approx([15.0, 14.0, 13.0, 12.0, 11.0, 10.0])
    assert ice == pytest.approx([200 * 4.18 / (333.6 + 4.18 * to) for to in degrees], abs=0.11)  # type: ignore[operator]
    assert found.figures[action.amounts["ice"]].act_on == pytest.approx(sum(ice))
    assert max(Counter(at.date() for at, _ in steps).values()) == 2
    assert "turn its thermostat down to each step" in action_line(Speaker(found), action)
    sheet = re.sub(r"<[^>]+>", "", papers(found)["hospital.html"])
    for at, part, to in zip((at for at, _ in steps), ice, degrees, strict=True):
        assert f"{at:%H:%M} {part:g} kg to {to:.0f} °C" in sheet


def test_ice_pays_for_what_a_warm_room_brings_in() -> None:
    """The same tank in a room of 20 °C takes in some 5 to 15 W a kelvin over four days: more ice than can be brought, or more."""
    case = {"litres": 400, "pond": 8.0, "tank": 8.0, "days": "20 days"}
    cold, warm = (made(kept=f'temperature = "18 ± 0 °C"\nroom = "{room} ± 0 °C"', **case) for room in (8, 22))  # type: ignore[arg-type]
    assert cooled(cold, "hospital/cool/hospital-1/home").is_open
    refused = cooled(warm, "hospital/cool/hospital-1/home")
    assert [why.code for why in refused.refused_because] == ["more-ice-than-can-be-brought"]
    assert "Cool the room." in action_line(Speaker(warm), refused)


@pytest.mark.parametrize(
    ("pond", "litres", "filled"), [("100000", 3000, True), ("5000", 3000, False), ("100000", 100, False)]
)
def test_a_tank_is_filled_anew_only_from_water_that_has_the_litres_and_is_not_where_the_fish_are(
    pond: str, litres: int, filled: bool
) -> None:
    """3,000 L from 11 to 5 °C take 3,000 x 4.18 x 6 / (334 + 21) = 212 kg of ice; a tub of 200 L with the fish in it fills none.

    A pond of 5,000 L spares no 3,000 either; 100 L take 7 kg, which is brought. What is not as the water before is not warmed.
    """
    tub = '[[vessels]]\nname = "tub"\nuse = "revival"\nvolume = "200 ± 0 L"\n'
    tub += 'taken = 2026-05-14T07:30:00\ntemperature = "5 ± 0 °C"\n'
    text = _CASE.format(
        litres=f"{litres} ± 0", pond=5.0, tank=11.0, kept='temperature = "15 ± 0 °C"', more=tub, days="28 days"
    )
    found = plan(read_case(text.replace("10000 ± 0 L", f"{pond} ± 0 L")), draws=64)
    matched, kept = cooled(found, "prepare/cool/hospital-1"), cooled(found, "hospital/warm/hospital-1/kept")
    ways = [way.because[0].words for way in matched.instead if way.kind is Kind.CHANGE]
    assert ways == ([{"as": "home-pond"}] if filled else [])
    assert kept.is_open is matched.is_open is (litres == 100)
