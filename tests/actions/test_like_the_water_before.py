"""Revival water matched to the bath in salt, and in pH to the home water: each amount by hand."""

import pytest

from tests.actions.written import exactly
from waterplan.actions.record import Action, Kind
from waterplan.case import read_case
from waterplan.hazards.record import Verdict
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.stay.record import Origin

TUB = "revival-1"
_CASE = """
waterplan_case = 1
[patient]
species = "goldfish"
weight = "0.5 ± 0 kg"
eaten = "no"
wound = "none"
[home_pond]
volume = "6000 ± 0 L"
zeolite = false
[home_water]
taken = 2026-06-04T07:30:00
{pond}[[vessels]]
name = "bath"
use = "induction"
volume = "40 ± 0 L"
air = "4 L/min"
filled_with = "home water"
[[vessels]]
name = "tub"
use = "revival"
volume = "80 ± 0 L"
air = "4 L/min"
taken = 2026-06-04T08:30:00
{tub}[intended]
operation_at = 2026-06-04T10:00:00
"""


def case(
    *, pond: float = 0.4, salt: float = 0.4, pond_ph: float = 8.2, ph: float = 8.2, alkalinity: float = 120.0
) -> str:
    """`pond` and `salt` are the salt of the pond and of the tub."""
    there = read(ph=pond_ph, alkalinity=120, salinity=pond)
    return _CASE.format(pond=there, tub=read(ph=ph, alkalinity=alkalinity, salinity=salt))


def made(**given: float) -> Plan:
    return plan(read_case(case(**given)), draws=64)


def read(*, ph: float, alkalinity: float, salinity: float) -> str:
    return exactly(
        temperature=18, ph=ph, oxygen=8.5, tan=0, nitrite=0, alkalinity=alkalinity, salinity=salinity, chlorine=0
    )


def like(of: Plan, kind: Kind) -> Action | None:
    return next((one for one in of.actions if one.id == f"prepare/{kind}/{TUB}/like"), None)


def judged(of: Plan, which: str, *, after: bool = False) -> Verdict:
    found = {one.id: one.verdict for one in of.judgements}
    path = f"{TUB}/{which}"
    return found.get(f"{path}/after", found[path]) if after else found[path]


def test_a_tub_with_less_salt_is_salted_to_the_level_of_the_bath() -> None:
    """Bath of pond water at 3 g/L, tub of 80 L at 0.4: 2.6 g/L apart (1 at once); 80 x 2.6 = 208 g bring it there."""
    plan = made(pond=3.0, salt=0.4)
    assert judged(plan, "salt step") is Verdict.WATCH
    action = like(plan, Kind.SALT)
    assert action is not None
    assert plan.figures[action.amounts["salt"]].act_on == pytest.approx(208.0, abs=1.0)
    assert judged(plan, "salt step", after=True) is Verdict.WITHIN_LIMIT
    assert like(plan, Kind.CHANGE) is None


def test_a_tub_with_more_salt_is_diluted_with_home_water() -> None:
    """Tub at 3.0, pond and bath at 0.4. Of a share s changed there stay 0.4 + 2.6 (1 - s), at most 1.0 above the bath:
    s = 1 - 1.0 / 2.6 = 0.615, by tenths 0.7, and 0.7 x 80 = 56 L; 2.6 x 0.3 = 0.78 g/L are left over the bath's."""
    plan = made(salt=3.0)
    assert judged(plan, "salt step") is Verdict.WATCH
    action = like(plan, Kind.CHANGE)
    assert action is not None
    assert action.source == "home-pond"
    assert plan.figures[action.amounts["litres"]].act_on == pytest.approx(56.0, abs=0.5)
    assert plan.figures[f"{TUB}/salt/step/after"].best == pytest.approx(0.78, abs=0.01)
    assert judged(plan, "salt step", after=True) is Verdict.WITHIN_LIMIT
    assert like(plan, Kind.SALT) is None


@pytest.mark.longer
def test_what_a_fish_meets_at_once_asks_for_nothing() -> None:
    """0.9 g/L apart either way, of 1 that is let be; 1.1 is not."""
    for pond, salt in ((1.3, 0.4), (0.4, 1.3)):
        plan = made(pond=pond, salt=salt)
        assert judged(plan, "salt step") is Verdict.WITHIN_LIMIT
        assert like(plan, Kind.SALT) is None
        assert like(plan, Kind.CHANGE) is None
    assert like(made(pond=1.5, salt=0.4), Kind.SALT) is not None


def test_no_salt_is_ordered_where_the_ceiling_forbids_it() -> None:
    """A bath at 5.5 g/L is over the 5 that a goldfish is kept at."""
    assert like(made(pond=5.5), Kind.SALT) is None


def test_a_tub_far_from_the_home_water_in_ph_is_filled_from_home() -> None:
    """Tub at pH 7.55 and alkalinity 35, pond at 8.2 and 120: 0.65 apart, of 0.5. With pK 6.40 at 18 °C the tub holds
    0.70 x 10^(6.40 - 7.55) = 0.0496 mmol/L of carbon dioxide, aired pond water at 8.31 2.40 x 10^-1.91 = 0.0295. Mixed:
    a tenth: alkalinity 0.87, carbon dioxide 0.0476, pH 6.40 + log10(18.3) = 7.66: 0.54 apart. Two tenths: 1.04 and
    0.0456, 6.40 + log10(22.8) = 7.76: 0.44 apart. So 0.2 x 80 = 16 L."""
    plan = made(ph=7.55, alkalinity=35.0)
    assert judged(plan, "ph change/from home") is Verdict.WATCH
    action = like(plan, Kind.CHANGE)
    assert action is not None
    assert plan.figures[action.amounts["litres"]].act_on == pytest.approx(16.0, abs=0.5)
    assert "do-not-adjust-ph" in {why.code for why in action.cautions}
    assert judged(plan, "ph change/from home", after=True) is Verdict.WITHIN_LIMIT


def test_home_water_that_air_makes_another_is_refused_with_both_numbers() -> None:
    """A pond at pH 6.9 whose alkalinity of 120 mg/L goes to 8.3 or so in an aired tub: no share brings them together."""
    plan = made(pond_ph=6.9, ph=8.2)
    action = like(plan, Kind.CHANGE)
    assert action is not None
    assert [why.code for why in action.refused_because] == ["home-water-is-another-when-aired"]
    assert {"there", "aired"} == set(action.refused_because[0].figures)
    assert [one.kind for one in action.instead] == [Kind.AIR]


def test_a_tub_that_is_matched_to_water_that_nobody_read_is_as_little_known() -> None:
    """The tub was read at 18 °C; brought to the temperature of a pond of 4 to 28 °C it is at one of those."""
    text = case()
    plans = [plan(read_case(one), draws=64) for one in (text, text.replace('temperature = "18 ± 0 °C"\n', "", 1))]
    found = [{one.id: one for one in of.judgements} for of in plans]
    assert f"prepare/cool/{TUB}" in {one.id for one in plans[1].actions if not one.refused_because}
    for path in (f"{TUB}/oxygen", f"{TUB}/temperature"):
        known, unknown = (one.get(f"{path}/after", one[path]) for one in found)
        assert {one.origin for one in known.inputs if one.quantity == "temperature"} == {Origin.MEASURED}
        assert {one.origin for one in unknown.inputs if one.quantity == "temperature"} == {Origin.ASSUMED}
