"""Fish that are operated on one after the other in one tub: its clock is that of the fish that is in need first."""

import copy
from functools import cache

import numpy as np
import pytest

from waterplan.case.reading import read_case
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.stay import standing

SMALL, LARGE = "0.4 kg, scales", "3.2 kg, scales"
CASE = {
    "waterplan_case": 1,
    "place": {"altitude": "120 m"},
    "home_water": {"temperature": "19 °C, digital thermometer", "oxygen": "8.1 mg/L, oxygen meter"},
    "vessels": [
        {"name": "tub", "use": "induction", "volume": "40 L, marked tub", "filled_with": "home water"},
        {
            "name": "trough",
            "use": "irrigation",
            "volume": "60 L, marked tub",
            "filled_with": "home water",
            "air": "1 L/min",
        },
    ],
    "intended": {"operation_at": "2026-06-03T10:00"},
}
TUBS = ("induction-1", "irrigation-1")


def anew(*weights: str) -> Plan:
    patients = [{"species": "koi", "weight": one} for one in weights]
    return plan(read_case(copy.deepcopy(CASE) | {"patients": patients}), draws=64, actions=False)


planned = cache(anew)


def clock(made: Plan, tub: str, power: str = "") -> float | None:
    return made.figures[f"{tub}/oxygen/until-emergency{power}"].low


@pytest.mark.parametrize("tub", TUBS)
def test_without_power_the_fish_whose_turn_it_is_stays_where_it_is(tub: str) -> None:
    """So that the time is that of the worst of them alone, whichever comes first."""
    alone = {name: clock(planned(one), tub, "/power off") for name, one in (("small", SMALL), ("large", LARGE))}
    assert alone["large"] is not None
    assert alone["small"] is not None
    assert alone["large"] < 0.5 * alone["small"]
    for made in (planned(SMALL, LARGE), planned(LARGE, SMALL)):
        assert clock(made, tub, "/power off") == pytest.approx(alone["large"], rel=0.02)


@pytest.mark.parametrize("tub", TUBS)
def test_a_smaller_fish_that_comes_after_gives_the_one_before_no_longer(tub: str) -> None:
    """An operation may take longer than was planned, and the plan says what is counted."""
    alone, both = planned(LARGE), planned(LARGE, SMALL)
    assert clock(alone, tub) == pytest.approx(clock(both, tub), rel=0.01)
    told = {
        name: {why.code for one in made.judgements if one.id == f"{tub}/oxygen" for why in one.why}
        for name, made in (("alone", alone), ("both", both))
    }
    assert "clock-of-the-worst-turn" in told["both"]
    assert "clock-of-the-worst-turn" not in told["alone"]


def test_the_worst_of_three_turns_counts_wherever_it_stands() -> None:
    low = [clock(planned(*those), "irrigation-1") for those in ((LARGE, SMALL, SMALL), (SMALL, LARGE, SMALL))]
    assert None not in low
    # The large fish comes 40 min later into water that a small one has used.
    assert low[0] < low[1] < low[0] + 45.0


def test_a_clock_of_minutes_is_that_of_a_course_written_down_every_minute(monkeypatch: pytest.MonkeyPatch) -> None:
    """Oxygen falls steepest at first: straight lines over half hours read 15.5 min where every minute reads 12.1."""
    paths = [(tub, power) for tub in TUBS for power in ("", "/power off")]
    usual = [clock(planned(LARGE), *one) for one in paths]
    monkeypatch.setattr(standing, "_FIRST_H", tuple(np.arange(1.0, 60.0) / 60.0))
    every_minute = anew(LARGE)
    assert usual == pytest.approx([clock(every_minute, *one) for one in paths], rel=0.01)
    assert min(filter(None, usual)) < 15.0
