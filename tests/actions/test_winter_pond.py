"""A pond on the cold limit of its fish: what the thermometer alone may be wrong by moves none and chills no water."""

import pytest

from tests.actions.written import koi_in_a_pond
from waterplan.actions.record import Kind
from waterplan.case import read_case
from waterplan.hazards.record import Hazard, Verdict
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.words.lines import action_line, judgement_line
from waterplan.words.speaker import Speaker

TUB = '[[vessels]]\nname = "tub"\nuse = "revival"\nvolume = "200 ± 0 L"\ntaken = 2026-05-14T05:00:00\ntemperature = "5 ± 0 °C"\n'


def made(celsius: str, *, ph: str = "7.8 ± 0", oxygen: str = "12 ± 0 mg/L") -> Plan:
    text = koi_in_a_pond(20000, water=f'oxygen = "{oxygen}"\nalkalinity = "178 ± 0 mg/L as CaCO3"\n')
    text = text.replace('"18 ± 0 °C"', f'"{celsius} °C"').replace('"7.6 ± 0"', f'"{ph}"')
    return plan(read_case(text + TUB + "[intended]\noperation_at = 2026-05-14T10:00:00\n"), draws=64)


def temperature(of: Plan) -> Verdict:
    return next(one.verdict for one in of.judgements if one.water == "home-pond" and one.hazard is Hazard.TEMPERATURE)


# Koi bear 3 to 35 °C by their row, and 3 °C is where care for them begins.
@pytest.mark.parametrize(
    ("celsius", "verdict"),
    [
        ("3 ± 0.5", Verdict.WATCH),
        ("3.2 ± 0.5", Verdict.WATCH),
        ("2.9 ± 0.5", Verdict.ACT_NOW),
        ("5 ± 0.5", Verdict.WITHIN_LIMIT),
    ],
)
def test_what_only_the_error_of_the_thermometer_takes_past_a_limit_is_watched(celsius: str, verdict: Verdict) -> None:
    found = made(celsius)
    assert temperature(found) is verdict
    moves = [one for one in found.actions if one.kind is Kind.MOVE and "abort" not in one.words]
    assert bool(moves) is (verdict is Verdict.ACT_NOW)


@pytest.mark.parametrize(("celsius", "said"), [("3 ± 0.5", "may harm already"), ("2.9 ± 0.5", "no time left")])
def test_what_is_only_watched_has_no_time_that_ran_out(celsius: str, said: str) -> None:
    """Nothing falls in a pond that stands on its limit; what must be done at once has no time left."""
    found = made(celsius)
    now = next(one for one in found.judgements if one.id == "home-pond/temperature/call")
    line = judgement_line(Speaker(found), now)
    assert {one for one in ("harm", "no time left") if one in line} == {
        said.removeprefix("may ").removesuffix(" already")
    }
    assert said in line


def airs(of: Plan) -> list[str]:
    speaker = Speaker(of)
    orders = [one for one in of.actions if one.kind is Kind.AIR and one.water == "home-pond"]
    return [action_line(speaker, one) for one in orders if one.is_open and "back-up" not in one.words]


def test_air_is_for_what_called_for_it_and_chills_no_pond_that_is_on_its_limit() -> None:
    """178 mg/L as CaCO3 are 3.56 meq/L: at pK1 6.53 and pH 7.5 there are 17 mg/L of carbon dioxide, at pH 7.34 24: over 20."""
    cold, mild = made("3 ± 0.5", ph="7.5 ± 0.2"), made("8 ± 0.5", ph="7.5 ± 0.2")
    for found in (cold, mild):
        now = next(one for one in found.judgements if one.id == "home-pond/carbon dioxide/call")
        assert now.verdict is Verdict.WATCH
    assert airs(cold) == []
    assert ["to bring carbon dioxide under 20 mg/L within 24 h" in line for line in airs(mild)] == [True]
    assert ["mg/L of oxygen" in line for line in airs(mild)] == [False]
    (short,) = airs(made("3 ± 0.5", ph="7.5 ± 0.2", oxygen="4 ± 0 mg/L"))
    assert "mg/L of oxygen" in short
