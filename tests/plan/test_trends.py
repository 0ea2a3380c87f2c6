"""What a log shows over time, worked by hand: beyond the errors of both readings, against the limit, against the last plan."""

from datetime import datetime, timedelta

import pytest

from waterplan.case import read_case, read_log
from waterplan.plan.record import Direction, Plan, Trend
from waterplan.plan.since import since
from waterplan.plan.whole import plan
from waterplan.tables import shipped
from waterplan.words.speaker import Speaker
from waterplan.words.trends import trend_lines

START = datetime.fromisoformat("2026-06-04T18:00:00+02:00")


def made(*rows: tuple[float, str, str], days: float) -> Plan:
    """The demo of an operation on 4 June at 10:00 with readings of its long tank: days after the evening, what, reading."""
    case = read_case(shipped("demo_ponds") / "ordinary_goldfish.toml")
    lines = [f'{START + timedelta(days=at):%Y-%m-%dT%H:%M},long tank,{what},"{text}"' for at, what, text in rows]
    as_of = START + timedelta(days=days)
    log = read_log("taken,water,what,reading\n" + "\n".join(lines) + "\n", case=case, as_of=as_of)
    return plan(case, readings=tuple(log), as_of=as_of, draws=32, actions=False)


def trend(plan_: Plan, quantity: str) -> Trend:
    return next(one for one in plan_.trends if (one.water, one.quantity) == ("hospital-1", quantity))


# ± 0.5 at 95 % is a standard deviation of 0.5/1.96 = 0.2551, and 5th and 95th percentiles 1.645 times that away: ± 0.42.
# The bands of 20.0 and 20.8 are 19.58 to 20.42 and 20.38 to 21.22: they meet. That of 20.9 begins at 20.48: they do not.
@pytest.mark.longer
@pytest.mark.parametrize(
    ("first", "last", "said"),
    [(20.0, 20.8, Direction.STEADY), (20.0, 20.9, Direction.RISES), (20.9, 20.0, Direction.FALLS)],
)
def test_only_a_change_beyond_both_errors_has_a_direction(first: float, last: float, said: Direction) -> None:
    found = made((0.0, "temperature", f"{first} ± 0.5 °C"), (1.0, "temperature", f"{last} ± 0.5 °C"), days=1.1)
    assert trend(found, "temperature").direction is said


@pytest.mark.longer
def test_total_ammonia_is_held_against_the_un_ionised_limit_at_this_ph_and_temperature() -> None:
    """At 20 °C pKa = 0.09018 + 2729.92/293.15 = 9.4025; at pH 7.5 the share is 1/(1 + 10^1.9025) = 0.01236.

    The law's 0.0164 mg/L as N of NH3 is 0.0164/0.01236 = 1.327 mg/L of total ammonia, on the safe side 1.3: of 0.5,
    1.2 and 1.5 one is beyond it. Where the worst hour of the tank has a stricter one, which the ward is told, it is that.
    """
    rows = [(0.0, "temperature", "20.0 ± 0.1 °C"), (0.0, "ph", "7.5 ± 0.05")]
    rows += [(day, "tan", f"{tan} ± 0.1 mg/L as N") for day, tan in ((0.1, 0.5), (1.0, 1.2), (2.0, 1.5))]
    now = made(*rows, days=2.1)
    found, ward = trend(now, "ammonia"), now.figures["hospital-1/ammonia/limit"].act_on
    assert found.limit is not None
    assert ward is not None
    level = min(1.3, ward)
    assert (found.limit.value, found.outside, found.count) == (level, sum(one > level for one in (0.5, 1.2, 1.5)), 3)
    assert found.direction is Direction.RISES


@pytest.mark.longer
def test_lowest_and_highest_are_of_all_readings_and_the_limit_is_that_of_the_hazard() -> None:
    rows = [(day, "nitrite", f"{one} ± 0.02 mg/L as NO2") for day, one in enumerate((0.3, 2.5, 0.1, 0.3))]
    now = made(*rows, days=3.1)
    found = trend(now, "nitrite")
    judged = next(one for one in now.judgements if one.id == "hospital-1/nitrite")
    assert found.limit == judged.limit
    assert [now.figures[path].act_on for path in (found.lowest, found.highest)] == [0.1, 2.5]
    assert found.direction is Direction.STEADY


@pytest.mark.longer
def test_one_reading_is_no_trend_and_what_is_later_than_the_plan_is_not_counted() -> None:
    found = made((0.0, "temperature", "20.0 °C, logger"), (0.5, "temperature", "21.0 °C, logger"), days=0.2)
    assert found.trends == ()


def test_a_gap_in_the_log_is_named_with_its_ends() -> None:
    """The rule lets three days pass: from day 1 to day 4 nothing is said, from day 4 to day 9 it is a gap."""
    rows = [(day, "temperature", "20.0 °C, logger") for day in (0.0, 1.0, 4.0, 9.0)]
    now = made(*rows, days=9.1)
    gaps = [(gap.start, gap.until) for gap in trend(now, "temperature").gaps]
    assert gaps == [(START + timedelta(days=4), START + timedelta(days=9))]
    said = next(line for line in trend_lines(Speaker(now)) if "temperature" in line)
    assert "Nothing was read from" in said


@pytest.mark.longer
def test_the_last_reading_is_held_against_what_the_last_plan_expected_by_then() -> None:
    """The last plan's course at the hour of the reading is read off its series; two degrees more are beyond both errors."""
    last = made(days=0.0)
    course = next(one for one in last.series.values() if (one.water, one.quantity) == ("hospital-1", "temperature"))
    assert course.start is not None
    number = next(n for n, hour in enumerate(course.hours) if hour >= 24.0)
    at = (course.start + timedelta(hours=course.hours[number]) - START) / timedelta(days=1)
    for more, said in ((0.0, Direction.STEADY), (3.0, Direction.RISES), (-3.0, Direction.FALLS)):
        warm = course.best[number] + more
        rows = [(0.1, "temperature", "18.5 °C, logger"), (at, "temperature", f"{warm:.2f} ± 0.1 °C")]
        now = since(made(*rows, days=at + 0.1), last)
        found = trend(now, "temperature")
        assert found.expected is not None
        assert now.figures[found.expected].best == pytest.approx(course.best[number], abs=0.02)
        assert found.against_plan is said
