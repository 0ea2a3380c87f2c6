"""A power cut at home starts from the lowest oxygen before dawn, never from the reading of an afternoon."""

from datetime import UTC, datetime

from waterplan.case import read_case
from waterplan.hazards.record import Judgement, Verdict
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan

CASE = """waterplan_case = 1
[patient]
species = "goldfish"
weight = "0.5 ± 0.001 kg"
[home_pond]
volume = "8000 ± 80 L"
[home_water]
taken = 2026-07-20T{taken}
temperature = "18 ± 0.1 °C"
oxygen = "{oxygen} ± 0.05 mg/L"
"""


def made(taken: str, oxygen: float) -> Plan:
    case = read_case(CASE.format(taken=taken, oxygen=oxygen))
    return plan(case, as_of=datetime(2026, 7, 20, 16, 30, tzinfo=UTC), draws=256)


def judged(made: Plan) -> Judgement:
    return next(one for one in made.judgements if one.id.startswith("home-pond/") and "power off" in one.id)


def hours(made: Plan) -> float | None:
    return made.figures[judged(made).until_harm or ""].act_on


def test_an_afternoons_reading_starts_no_clock() -> None:
    # Water of 18 °C holds 9.47 mg/L in air. By dawn a pond sinks to 0.25 to 1 of that: to 0.25 x 9.47 = 2.4 mg/L at worst.
    # A cyprinid at rest is in an emergency below 3 mg/L: the worst dawn is below it already, and the power gives no time.
    pond = made("16:00", 9.3)
    assert hours(pond) == 0.0
    assert judged(pond).verdict is Verdict.NOT_KNOWN
    assert "oxygen at dawn" in {one.quantity for one in judged(pond).measure}


def test_a_reading_before_dawn_starts_the_clock_itself() -> None:
    # 4.5 mg/L at 05:30 is what this pond sinks to: it is above 3 mg/L, so that there is time, and nothing is assumed.
    pond = made("05:30", 4.5)
    assert (hours(pond) or 0.0) > 0.0
    assert "oxygen at dawn" not in {one.quantity for one in judged(pond).inputs}
