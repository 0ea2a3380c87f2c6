"""A pH that was read is what is judged; one that is worked out after air that is only ordered counts on that air."""

import pytest

from tests.actions.written import exactly
from waterplan.case import read_case
from waterplan.hazards.record import Hazard, Judgement, Verdict
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan

TANK = "hospital-1"
# Whether it is turned on for oxygen or for the gas that it drives out.
AIRED = {f"prepare/air/{TANK}", f"prepare/degas/{TANK}"}


def made(alkalinity: float, ph: float = 8.9) -> Plan:
    """A tank without air whose pH was read."""
    return plan(
        read_case(f"""
waterplan_case = 1
[patient]
species = "goldfish"
weight = "0.3 ± 0 kg"
length = "25 ± 0 cm"
[home_pond]
volume = "6000 ± 0 L"
[home_water]
{exactly(temperature=18, ph=7.6, oxygen=8.5, tan=0.01, alkalinity=100, salinity=0.2)}[[vessels]]
name = "tank"
use = "hospital"
volume = "500 ± 0 L"
ph = "{ph} ± 0.01, pH meter"
{exactly(temperature=18, oxygen=8.5, tan=0.01, alkalinity=alkalinity, salinity=0.2)}chlorine = "0 ± 0.001 mg/L"
[intended]
operation_at = 2026-06-04T10:00:00
days = "3 days"
"""),
        draws=64,
    )


def both(of: Plan, hazard: Hazard) -> tuple[Judgement, Judgement]:
    """Before anything is done, and after."""
    path = f"{TANK}/{hazard}"
    found = {one.id: one for one in of.judgements}
    return found[path], found[f"{path}/after"]


@pytest.mark.parametrize("alkalinity", [90.0, 300.0])
def test_both_stand_and_what_follows_from_air_counts_on_it(alkalinity: float) -> None:
    """In air of 420 ppm and more the pH of 90 mg/L as CaCO3 comes to 8.2 or so, that of 300 to 8.7: 8.9 was read."""
    plan = made(alkalinity)
    before, after = both(plan, Hazard.PH)
    assert plan.figures[before.figure or ""].best == pytest.approx(8.9, abs=0.001)
    assert before.verdict is Verdict.WATCH  # above 8.5 and under 9
    assert (plan.figures[after.figure or ""].best or 0.0) < 8.8
    assert AIRED & set(after.given_done)
    assert {"ph-as-read"} <= {one.code for one in after.why}


def test_the_change_of_ph_counts_on_the_air_too() -> None:
    """From 7.6 to 8.9 is 1.3; into the aired tank less, once the air has run."""
    _, after = both(made(90.0), Hazard.PH_CHANGE)
    assert AIRED & set(after.given_done)


def test_where_the_reading_is_judged_nothing_is_said_of_it() -> None:
    before, _ = both(made(90.0), Hazard.PH)
    assert "ph-as-read" not in {one.code for one in before.why}
