"""Air against carbon dioxide: as much as brings it under its limit in time, or it is said that the flow is for oxygen."""

from datetime import UTC, datetime

import pytest

from waterplan.actions.record import Action, Kind
from waterplan.case import read_case
from waterplan.hazards.record import Hazard
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.words.terminal import full_page

BEFORE, HELD = datetime(2026, 5, 14, 8, tzinfo=UTC), datetime(2026, 5, 15, 8, tzinfo=UTC)


def case(litres: int, read: str, *, taken: datetime = BEFORE) -> str:
    """A small goldfish whose tank is full of oxygen."""
    return f"""
waterplan_case = 1
[patient]
species = "goldfish"
weight = "0.3 ± 0 kg"
[intended]
operation_at = 2026-05-14T10:00:00
[home_water]
taken = {BEFORE:%Y-%m-%dT%H:%M:%S}
temperature = "18 ± 0 °C"
ph = "7.6 ± 0"
oxygen = "9 ± 0 mg/L"
alkalinity = "100 ± 0 mg/L as CaCO3"
[[vessels]]
name = "long tank"
use = "hospital"
volume = "{litres} ± 0 L"
air_depth = "50 ± 0 cm"
air = "1 L/min"
outlets = 1
taken = {taken:%Y-%m-%dT%H:%M:%S}
temperature = "18 ± 0 °C"
oxygen = "9 ± 0 mg/L"
tan = "0 ± 0 mg/L as N"
{read}
"""


def heavy(mg_per_l: float) -> str:
    """Carbon dioxide as a kit read it, in water so soft at such a pH that they agree."""
    return f'carbon_dioxide = "{mg_per_l} ± 0 mg/L"\nph = "6.6 ± 0"\nalkalinity = "80 ± 0 mg/L as CaCO3"\n'


def aired(text: str, as_of: datetime = BEFORE) -> tuple[Plan, Action]:
    """The air that is ordered for the tank, for carbon dioxide alone."""
    found = plan(read_case(text), draws=64, as_of=as_of)
    (air,) = (one for one in found.actions if one.kind is Kind.AIR and one.id.endswith("air/hospital-1"))
    answered = {one.split("/")[1] for one in air.answers}
    assert Hazard.CARBON_DIOXIDE.value in answered
    assert Hazard.OXYGEN.value not in answered
    return found, air


def flow(text: str, as_of: datetime = BEFORE) -> float:
    found, air = aired(text, as_of)
    return float(found.figures[air.amounts["air flow"]].best or 0.0)


def codes(whys: object) -> set[str]:
    return {one.code for one in whys}  # type: ignore[attr-defined]


def test_twice_the_water_takes_about_twice_the_air() -> None:
    """What comes down goes with the litres, and what holds the level is little beside it; for oxygen more water takes less."""
    assert flow(case(800, heavy(45))) == pytest.approx(2.0 * flow(case(400, heavy(45))), rel=0.2)


def test_more_carbon_dioxide_takes_more_air() -> None:
    """By hand: from 60 to 20 is ln 3 against ln 2.25 from 45, with about one in the air."""
    assert flow(case(400, heavy(60))) == pytest.approx(1.36 * flow(case(400, heavy(45))), rel=0.15)


def test_a_fish_in_it_has_no_hours_to_wait() -> None:
    """An hour in place of the two before it goes in."""
    ahead, held = flow(case(400, heavy(45))), flow(case(400, heavy(45), taken=HELD), HELD)
    assert held == pytest.approx(2.0 * ahead, rel=0.1)


def test_the_line_says_the_level_the_time_and_when_to_begin() -> None:
    found, air = aired(case(400, heavy(45)))
    assert found.figures[air.amounts["carbon dioxide under"]].act_on == 20.0
    assert "read-carbon-dioxide-again" in codes(air.cautions)
    page = " ".join(full_page(found).split())
    assert "to bring carbon dioxide under 20 mg/L within 2 h; begin by Thu 14 May, 08:00" in page


def test_where_nobody_read_it_the_flow_is_said_to_be_for_oxygen() -> None:
    unread = case(400, 'ph = "6.2 ± 0"\n').replace('alkalinity = "100 ± 0 mg/L as CaCO3"\n', "")
    _, air = aired(unread)
    assert "flow-is-for-oxygen" in codes(air.cautions)
    assert "carbon dioxide under" not in air.amounts
    assert "oxygen to hold" in air.amounts


def test_more_than_a_yard_can_blow_is_said_to_be_slower() -> None:
    found, air = aired(case(8000, heavy(80)))
    assert "carbon-dioxide-falls-slower" in codes(air.costs)
    assert "carbon dioxide under" not in air.amounts
    assert float(found.figures[air.amounts["air flow"]].best or 0.0) == 120.0
