"""A fish of a kind that nobody knows: what is cold for one is right for another, and no kind lives in hot water."""

import pytest

from tests.actions.made import ground_of
from waterplan.actions.record import Kind
from waterplan.hazards.judging import judge_all
from waterplan.hazards.record import Verdict
from waterplan.plan.quick_call import quick_call
from waterplan.stay.effects import Effects
from waterplan.stay.whole import stay


def verdict_at(degrees: float, species: str = "unknown") -> Verdict:
    ground = ground_of(
        f'waterplan_case = 1\n[patient]\nspecies = "{species}"\n[home_water]\ntemperature = "{degrees} ± 0 °C"\n'
    )
    return judge_all(stay(ground, Effects()))["home-pond/temperature"].record.verdict


@pytest.mark.parametrize(
    ("degrees", "verdict"),
    [
        (6.0, Verdict.NOT_KNOWN),  # a tropical fish dies, a koi rests
        (26.0, Verdict.NOT_KNOWN),  # a trout dies, a tilapia grows
        (45.0, Verdict.ACT_NOW),  # above the 41 °C of the hardiest, a goldfish
    ],
)
def test_a_temperature_that_some_kinds_bear_is_not_known_and_one_that_none_bears_is_a_danger(
    degrees: float, verdict: Verdict
) -> None:
    assert verdict_at(degrees) is verdict


def test_what_is_known_of_a_fish_decides_for_it() -> None:
    assert verdict_at(6.0, "koi") is Verdict.WITHIN_LIMIT
    assert verdict_at(6.0, "oscar") is Verdict.ACT_NOW


@pytest.mark.parametrize("sign", ["gasping at the surface", "many fish down", "nothing yet"])
def test_nobody_is_told_to_cool_or_warm_a_pond_of_which_no_temperature_was_read(sign: str) -> None:
    made = quick_call({}, [sign], draws=64)
    assert not [one.id for one in made.actions if one.kind in {Kind.COOL, Kind.WARM}]
