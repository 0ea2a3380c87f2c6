"""An action whose amount rounds to nothing is no action, and no amount of nothing stands beside one."""

import numpy as np
import pytest

from tests.actions.made import ground_of
from tests.actions.written import exactly, held_goldfish
from tests.plan.soundness import nothing_is_weighed
from waterplan.actions.record import Action, Kind
from waterplan.case import read_case
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.stay.effects import Changed
from waterplan.stay.filling import source_for
from waterplan.stay.quantities import Q

# The tank starts at 62 mg/L of alkalinity, two above the level to watch, and its filter uses it up within days: nothing is
# missing when the fish goes in.
FALLS = """
waterplan_case = 1
[patient]
species = "koi"
weight = "3 ± 0 kg"
[home_pond]
volume = "10000 ± 0 L"
[home_water]
temperature = "20 ± 0 °C"
ph = "7.6 ± 0"
nitrite = "0 ± 0 mg/L as NO2"
tan = "0 ± 0 mg/L as N"
alkalinity = "{pond} ± 0 mg/L as CaCO3"
[[vessels]]
name = "tank"
use = "hospital"
volume = "400 ± 0 L"
filter = "seeded"
alkalinity = "{tank} ± 0 mg/L as CaCO3"
air = "10 L/min"
[intended]
operation_at = 2026-05-14T10:00:00
days = "2 days"
feed = "1 %/day"
"""


def test_no_step_is_made_of_an_amount_of_nothing() -> None:
    made = plan(read_case(FALLS.format(pond=65, tank=62)), draws=64)
    assert not [one for one in made.actions if one.kind is Kind.CHEMISTRY]
    assert nothing_is_weighed(made) == []


def test_what_is_missing_is_still_ordered() -> None:
    """From 50 to 60 mg/L in 400 L: 10 x 1.679 x 0.4 = 6.71 g, rounded up to 6.8."""
    made = plan(read_case(FALLS.format(pond=65, tank=50)), draws=64)
    (one,) = [one for one in made.actions if one.kind is Kind.CHEMISTRY]
    assert made.figures[one.amounts["bicarbonate"]].act_on == 6.8


# A goldfish in 200 L without a filter, meant to hold 1 g/L of salt and holding it, changed each day from the pond.
CHANGED = held_goldfish(
    patient='weight = "0.6 ± 0 kg"\n',
    home=exactly(temperature=18, ph=7.5, tan=0, nitrite=0, chlorine=0, alkalinity=100) + 'salinity = "{pond}"\n',
    tank=f'filled_with = "home water"\nvolume = "200 ± 0 L"\nair = "15 L/min"\n{exactly(temperature=18, salinity=1)}',
    intended='operation_at = 2026-05-01T10:00:00\ntemperature = "18 °C"\nroom = "17 ± 0 °C"\ndays = "6 days"\nsalt = "1 g/L"\n',
)


def changed(pond: str) -> tuple[Plan, Action]:
    made = plan(read_case(CHANGED.format(pond=pond)), draws=64)
    return made, next(one for one in made.actions if one.kind is Kind.CHANGE and one.is_open and one.every_h)


@pytest.mark.parametrize(
    ("pond", "ends"),
    [
        pytest.param("0.3 g/L, refractometer", 0.3, id="good to a division, which is the level itself"),
        pytest.param("3 ± 0 g/L", 3.0, id="more than is meant"),
    ],
)
def test_new_water_that_may_hold_the_salt_already_gets_none_and_the_tank_comes_to_what_is_poured(
    pond: str, ends: float
) -> None:
    made, daily = changed(pond)
    assert "salt" not in daily.amounts
    assert nothing_is_weighed(made) == []
    told = [one for one in daily.cautions if one.code == "read-salt-of-new-water-first"]
    assert bool(told) is ("refractometer" in pond)
    course = made.series["hospital-1/salt/stay"].best
    assert abs(course[-1] - ends) < abs(course[0] - ends) - 0.2


def test_new_water_that_is_known_to_lack_salt_is_salted() -> None:
    """0.7 g/L are missing, of which a scale shows whole grams."""
    made, daily = changed("0.3 ± 0 g/L")
    grams, litres = (made.figures[daily.amounts[name]].act_on for name in ("salt", "litres"))
    assert grams is not None
    assert litres is not None
    assert 0.7 * litres - 1.0 <= grams <= 0.7 * litres
    assert made.series["hospital-1/salt/stay"].best[-1] == pytest.approx(1.0, abs=0.02)


@pytest.mark.parametrize(
    ("alkalinity", "surely"), [("50 ± 0", 10.0), ("70 ± 20", 0.0)], ids=["short by ten", "short in some draws alone"]
)
def test_new_water_that_may_be_short_of_alkalinity_gets_what_it_may_be_short_of(alkalinity: str, surely: float) -> None:
    """1.679 mg of sodium bicarbonate for each mg/L that the new water is under 60 mg/L as CaCO3."""
    text = CHANGED.replace("100 ± 0 mg/L as CaCO3", f"{alkalinity} mg/L as CaCO3")
    made = plan(read_case(text.format(pond="0.3 ± 0 g/L")), draws=64)
    daily = next(one for one in made.actions if one.kind is Kind.CHANGE and one.is_open and one.every_h)
    grams, litres = (made.figures[daily.amounts[name]] for name in ("bicarbonate", "litres"))
    assert grams.act_on is not None
    assert litres.act_on is not None
    assert grams.high is not None
    assert max(surely * 0.001679 * litres.act_on, grams.high, 1e-9) - 1e-6 <= grams.act_on
    assert grams.act_on <= max(surely * 0.001679 * litres.act_on, grams.high) * 1.001 + 0.1
    assert nothing_is_weighed(made) == []


def test_salting_takes_no_salt_out() -> None:
    ground = ground_of(CHANGED.format(pond="3 ± 0 g/L"))
    temp_c = np.full(ground.inputs.size, 18.0)
    poured = source_for(ground, temp_c, Changed(litres=0.0, source="home-pond", salted_g_per_l=1.0))
    assert poured[Q.SALT] == pytest.approx(3.0)


@pytest.mark.parametrize(("begins", "days"), [pytest.param("14", 1, id="one night"), pytest.param("10", 6, id="days")])
def test_no_change_is_ordered_for_after_the_fish_has_left(begins: str, days: int) -> None:
    """In at 14:00, six hours of a box until 14:00 of the next day: the fish leaves at 08:00, two hours before the change."""
    text = CHANGED.format(pond="0.3 ± 0 g/L").replace("10:00:00", f"{begins}:00:00").replace("6 days", f"{days} days")
    box = '[[transports]]\nby = "box with air"\nhours = "6 h"\nvolume = "30 L, marked tub"\n'
    made = plan(read_case(text + box), draws=64)
    (left,) = (one.until for water in made.waters for one in water.occupants if water.id == "hospital-1")
    changes = [one for one in made.actions if one.kind is Kind.CHANGE and one.is_open and one.every_h]
    assert bool(changes) is (days > 1)
    assert all(one.at is not None and one.until is not None and one.at <= one.until <= left for one in changes)
