"""Amounts for a pond of which nobody knows the litres: for each 1,000 L, as the neutraliser, or not at all."""

import pytest

from tests.actions.doses.dosed import codes, one
from tests.actions.made import EXACT, act_on, context_of, ground_of, judged, only
from waterplan.actions.record import Kind
from waterplan.actions.salts.salt import salt
from waterplan.actions.treating import chemistry
from waterplan.case import read_case
from waterplan.hazards.record import Hazard, Side, Verdict
from waterplan.plan.whole import plan
from waterplan.words.lines import action_line
from waterplan.words.speaker import Speaker

UNSTATED = EXACT.replace('[home_pond]\nvolume = "10000 ± 0 L"\n', "").replace("salinity", "chloride", 1)
UNSTATED = UNSTATED.replace('chloride = "0.2 ± 0 g/L"', 'chloride = "0 ± 0 mg/L"')


def test_salt_against_nitrite_is_for_each_thousand_litres() -> None:
    """2 mg/L ask for 20 of chloride, 32.97 mg/L of salt: 33 g for each 1,000 L."""
    text = UNSTATED.replace('nitrite = "0.05 ± 0', 'nitrite = "2 ± 0', 1)
    ground = ground_of(text)
    context = context_of(ground, judged(ground, "home-pond", Hazard.NITRITE, limit=1.6))
    made = only(salt(context), Kind.SALT).action
    assert act_on(context, made.amounts["salt"]) == 33.0
    assert act_on(context, made.amounts["litres"]) == 1000.0
    assert "volume" not in made.worked_out_for
    found = plan(read_case(text), draws=64)
    (line,) = [one for one in found.actions if one.id == "call/salt/home-pond/nitrite"]
    said = action_line(Speaker(found), line)
    assert "33 g of salt for each 1,000 L of the home pond" in said
    after = {one.id: one.verdict for one in found.judgements}
    assert after["home-pond/nitrite/call/after"] is Verdict.WATCH  # in every draw of the litres


def test_bicarbonate_is_for_each_thousand_litres() -> None:
    """From 20 to 60 mg/L: 40 x 1.679 = 67.1 mg/L, 68 g for each 1,000 L."""
    text = UNSTATED.replace('alkalinity = "100 ±', 'alkalinity = "20 ±', 1).replace('tan = "0.2 ±', 'tan = "0.01 ±', 1)
    ground = ground_of(text)
    short = judged(ground, "home-pond", Hazard.ALKALINITY, limit=60.0, side=Side.AT_LEAST, verdict=Verdict.WATCH)
    context = context_of(ground, short)
    made = only(chemistry(context), Kind.CHEMISTRY).action
    assert act_on(context, made.amounts["bicarbonate"]) == 68.0
    assert act_on(context, made.amounts["litres"]) == 1000.0


@pytest.mark.parametrize(
    ("substance", "use", "strength"), [("salt", "prolonged", "2 g/L"), ("formalin", "indefinite", "15 uL/L")]
)
def test_a_dose_is_not_worked_out_for_invented_litres(substance: str, use: str, strength: str) -> None:
    made, _ = one(substance, use, "home pond", strength=strength, case={"pond_l": ""})
    assert codes(made) == {"litres-not-stated"}
    assert [way.kind for way in made.action.instead] == [Kind.MEASURE]
    assert not made.effects
    assert not made.action.amounts
