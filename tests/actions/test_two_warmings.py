"""A tank that is matched before its fish go in and then kept at another temperature: the second begins where the first ends."""

import pytest

from tests.actions.made import EXACT
from waterplan.actions.record import Action, Kind
from waterplan.case import read_case
from waterplan.hazards.record import Hazard
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan

TANK = "hospital-1"
COLD = EXACT.replace('name = "long tank"', 'name = "long tank"\ntemperature = "{tank} ± 0 °C"\nheater = "300 W"')


def made(tank: float, kept: float) -> Plan:
    """The pond and the tub at 18 °C, the tank at another; the room as warm as the tub, so that nothing drifts."""
    text = COLD.replace("{tank}", str(tank))
    return plan(read_case(f'{text}temperature = "{kept} ± 0 °C"\nroom = "18 ± 0 °C"\ndays = "4 days"\n'), draws=64)


def both(of: Plan) -> tuple[Action, Action]:
    """What is done before the fish goes in, and what is done with it in the tank."""
    own = {one.id: one for one in of.actions if one.water == TANK and one.kind in (Kind.WARM, Kind.COOL)}
    first = next(one for path, one in own.items() if path.startswith("prepare/"))
    return first, own[f"hospital/warm/{TANK}/kept"]


def best(of: Plan, path: str) -> float:
    return of.figures[path].best or 0.0


@pytest.mark.longer
@pytest.mark.parametrize("tank", [13.0, 21.0])
def test_each_has_its_own_temperature_and_the_second_its_steps_from_the_first(tank: float) -> None:
    """To 18 °C first, as the tub is. Then to 22 °C by 1 °C an hour and 2 °C a day: 19, 20, and 21, 22 a day later."""
    plan = made(tank, 22.0)
    first, second = both(plan)
    assert best(plan, first.amounts["temperature"]) == pytest.approx(18.0, abs=0.5)
    assert best(plan, second.amounts["temperature"]) == 22.0
    (steps,) = (one.figures for one in second.cautions if one.code == "warm-in-steps")
    found = [best(plan, path) for name, path in steps.items() if name.startswith("step")]
    begun = best(plan, first.amounts["temperature"])
    assert second.parts == len(found) == 4
    assert found[0] == pytest.approx(begun + 1.0)
    assert found[-1] == 22.0
    assert second.until is not None
    assert second.at is not None
    assert second.until > second.at


@pytest.mark.longer
def test_one_step_has_no_end_of_its_own_and_no_list() -> None:
    """From 18 to 18.7 °C is one step: it is set as the fish goes in, and held."""
    _, second = both(made(13.0, 18.7))
    assert second.parts == 1
    assert second.until is None
    assert "warm-in-steps" not in {one.code for one in second.cautions}


@pytest.mark.longer
def test_no_water_is_both_cooled_and_warmed_before_its_fish_go_in() -> None:
    """A hot pond, cooled by 2 °C, and tubs that are warmer: each tub has one temperature by one time."""
    text = EXACT.replace('[home_water]\ntemperature = "18', '[home_water]\ntemperature = "32')
    text = text.replace('name = "grey tub"', 'name = "grey tub"\ntemperature = "31 ± 0 °C"')
    made = plan(read_case(text), draws=64)
    ordered = [one for one in made.actions if one.kind in (Kind.COOL, Kind.WARM) and one.is_open]
    by = [(one.water, one.by) for one in ordered]
    assert len(set(by)) == len(by)


def test_a_tank_that_is_right_is_left_alone_where_the_tub_before_it_is_brought_along() -> None:
    """The pond and the tank at 18 °C, the tub at 15: it is warmed to 18, and the tank is as warm as that already."""
    text = EXACT.replace('name = "grey tub"', 'name = "grey tub"\ntemperature = "15 ± 0 °C"')
    text = text.replace('name = "long tank"', 'name = "long tank"\ntemperature = "18.2 ± 0 °C"')
    text = text.replace('tan = "0.2 ±', 'tan = "0.02 ±')
    made = plan(read_case(f'{text}room = "18 ± 0 °C"\n'), draws=64)
    changed = {one.water for one in made.actions if one.kind in (Kind.COOL, Kind.WARM) and one.is_open}
    assert changed == {"revival-1"}


def test_a_tank_is_warmed_to_what_the_tub_before_it_is_cooled_to() -> None:
    """The pond at 18 °C, the bath at 16.5, the tub at 25 and the tank at 12: the fish meets 18 in each, and 25 in none."""
    bath = (
        '[[vessels]]\nname = "bath"\nuse = "induction"\nvolume = "40 ± 0 L"\ntemperature = "16.5 ± 0 °C"\n[[vessels]]\n'
    )
    text = EXACT.replace("[[vessels]]\n", bath, 1)
    text = text.replace('name = "grey tub"', 'name = "grey tub"\ntemperature = "25 ± 0 °C"')
    text = text.replace('name = "long tank"', 'name = "long tank"\ntemperature = "12 ± 0 °C"')
    made = plan(read_case(f'{text}room = "18 ± 0 °C"\n'), draws=64)
    ordered = {one.water: one for one in made.actions if one.kind in (Kind.COOL, Kind.WARM) and one.is_open}
    kinds = {"induction-1": Kind.WARM, "revival-1": Kind.COOL, TANK: Kind.WARM}
    assert {path: one.kind for path, one in ordered.items()} == kinds
    assert [best(made, one.amounts["temperature"]) for one in ordered.values()] == pytest.approx([18.0] * 3, abs=0.5)


ON_THE_WAY_HOME = """
waterplan_case = 1
[patient]
[[vessels]]
name = "bath"
use = "induction"
[[vessels]]
name = "tub"
use = "irrigation"
shape = "rectangle"
length = "60 ± 0 cm"
width = "40 ± 0 cm"
depth = "30 ± 0 cm"
temperature = "1 ± 0 °C"
[[transports]]
by = "box with air"
temperature = "5 ± 0 °C"
"""


def test_a_box_is_not_matched_to_a_tub_that_stays_as_it_is() -> None:
    """From 1 °C to a pond of 16 or so a tub fills with gas, and stays cold: its fish meets the box at 5 °C, not at 16."""
    made = plan(read_case(ON_THE_WAY_HOME), draws=64)
    warmed = {one.water: one for one in made.actions if one.kind is Kind.WARM}
    assert warmed["irrigation-1"].refused_because
    (because,) = warmed["box-1"].refused_because
    assert because.words["judgement"] == "box-1/temperature step"
    (step,) = (one for one in made.judgements if one.water == "box-1" and one.hazard is Hazard.TEMPERATURE_STEP)
    assert best(made, step.figure or "") == pytest.approx(4.0, abs=1.0)
