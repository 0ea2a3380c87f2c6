"""What is never taken back because something else got worse beside it."""

from types import SimpleNamespace
from typing import Any

import pytest

from waterplan.actions.makers import may_worsen
from waterplan.actions.proposing import Proposal
from waterplan.actions.record import Action, Kind, Who
from waterplan.case import read_case
from waterplan.hazards.record import Hazard, Verdict
from waterplan.plan.accepting import _offender
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.stay.effects import Effect
from waterplan.stay.record import Moment

POND, TANK, TAP = "home-pond", "hospital-1", "mains"


def found(water: str, hazard: Hazard, verdict: Verdict = Verdict.ACT_NOW) -> Any:
    record = SimpleNamespace(id=f"{water}/{hazard}", water=water, hazard=hazard, verdict=verdict, inputs=())
    return SimpleNamespace(id=record.id, record=record)


def stood(path: str, source: Any = None) -> Any:
    return SimpleNamespace(place=SimpleNamespace(id=path), source=source)


TAP_WATER = stood(TAP)
STAY: Any = SimpleNamespace(waters={POND: stood(POND), TANK: stood(TANK, TAP_WATER), TAP: TAP_WATER})


def on(kind: Kind, water: str = POND, answers: tuple[str, ...] = ()) -> Proposal:
    path = f"call/{kind}/{water}"
    action = Action(id=path, kind=kind, moment=Moment.CALL, water=water, who=Who.OWNER, answers=answers)
    return Proposal(action=action, effects=(Effect(action=path, water=water),))


def offender(*proposals: Proposal, worse: Any, before: tuple[Any, ...] = ()) -> Proposal | None:
    return _offender(proposals, [worse], before={one.id: one for one in before}, stay=STAY)


@pytest.mark.parametrize("kind", list(Kind))
@pytest.mark.parametrize("hazard", list(Hazard))
def test_only_what_can_worsen_a_hazard_is_its_offender(kind: Kind, hazard: Hazard) -> None:
    expected = hazard.value in may_worsen(kind)
    assert (offender(on(kind), worse=found(POND, hazard)) is not None) is expected


def test_stopping_the_food_worsens_nothing() -> None:
    assert not may_worsen(Kind.STOP_FEEDING)


def test_what_may_be_the_cause_goes() -> None:
    warmed = on(Kind.WARM)
    assert offender(on(Kind.AIR), warmed, worse=found(POND, Hazard.TEMPERATURE_STEP)) is warmed


def test_what_warmed_the_tap_is_the_cause_in_the_tank_that_is_filled_from_it() -> None:
    """Gas is driven out of warmed water: a tank filled with it is too warm, and nothing done to the tank made it so."""
    degassed, unfed = on(Kind.DEGAS, TAP), on(Kind.STOP_FEEDING, TANK)
    assert offender(degassed, unfed, worse=found(TANK, Hazard.TEMPERATURE)) is degassed


@pytest.mark.parametrize(
    ("verdict", "stays"), [(Verdict.ACT_NOW, True), (Verdict.NOT_KNOWN, True), (Verdict.WATCH, False)]
)
def test_air_stays_on_while_oxygen_is_or_may_be_a_danger(verdict: Verdict, stays: bool) -> None:
    short = found(POND, Hazard.OXYGEN, verdict)
    aired = on(Kind.AIR, answers=(short.id,))
    assert (offender(aired, worse=found(POND, Hazard.AMMONIA), before=(short,)) is None) is stays


# Water full of carbon dioxide and ammonia, in a tub in which a fish wakes.
WAKING = """
waterplan_case = 1
[patient]
species = "koi"
weight = "2 kg, scales"
[home_pond]
volume = "6000 ± 60 L"
[home_water]
temperature = "24 °C"
ph = "6.9 ± 0.05"
tan = "1.0 ± 0.05 mg/L as N"
alkalinity = "150 ± 5 mg/L as CaCO3"
oxygen = "5 mg/L"
salinity = "1 g/L"
chlorine = "0 ± 0.001 mg/L"
nitrite = "0 mg/L as NO2"
[mains_water]
disinfectant = "none"
temperature = "23 °C"
ph = "7.5"
tan = "0 mg/L as N"
alkalinity = "100 mg/L as CaCO3"
chlorine = "0 ± 0.001 mg/L"
[[vessels]]
name = "blue tub"
use = "revival"
volume = "60 L, marked tub"
[intended]
operation_at = 2026-05-14T10:00:00
"""


@pytest.fixture(scope="module")
def waking() -> Plan:
    return plan(read_case(WAKING), draws=64)


def test_air_for_a_waking_fish_stays_on_and_the_ammonia_that_it_frees_is_answered(waking: Plan) -> None:
    """At 24 °C the pKa is 0.09018 + 2729.92 / 297.15 = 9.277, and there is 1.0 mg/L of total ammonia.

    At pH 6.9 the un-ionised part is 1 / (1 + 10^2.377) = 0.42 %: 0.0042 mg/L as N, a quarter of the limit of 0.0164.
    150 mg/L as CaCO3 is 3.0 mmol/L of bicarbonate; air of 400 to 2,000 ppm leaves 0.014 to 0.07 mmol/L of carbon
    dioxide, and the pH is 6.35 + log(3.0 / 0.07 to 0.014) = 8.0 to 8.7. At 8.0 it is 1 / (1 + 10^1.277) = 5.0 %: 0.050 mg/L
    as N, three times the limit.
    """
    judged = {one.id: one for one in waking.judgements}
    actions = {one.id: one for one in waking.actions}
    assert judged["revival-1/oxygen"].verdict.rank >= Verdict.NOT_KNOWN.rank
    assert judged["revival-1/ammonia"].verdict is Verdict.WITHIN_LIMIT
    aired = actions["prepare/air/revival-1"]
    assert not aired.refused_because
    (freed,) = [one for one in aired.costs if one.code == "air-frees-ammonia"]
    figure = waking.figures[freed.figures["ammonia"]]
    assert figure.act_on is not None
    assert figure.act_on > 0.0164
    after = judged["revival-1/ammonia/after"]
    assert after.verdict is Verdict.ACT_NOW
    changed = actions["prepare/change/revival-1"]
    assert changed.id in after.answered_by
    assert changed.source == TAP  # the pond's water would bring as much again
    assert not changed.refused_because


def test_what_airing_a_pond_would_free_is_said_and_the_air_goes_on(waking: Plan) -> None:
    (aired,) = [one for one in waking.actions if one.id == "call/air/home-pond"]
    assert not aired.refused_because
    assert "air-frees-ammonia" in {one.code for one in aired.costs}
