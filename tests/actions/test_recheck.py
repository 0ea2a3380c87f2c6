"""Days and degree-days of stitches, summed by hand: every water the fish was in, ramps, gaps, and the sums in print."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from functools import cache

import pytest

from tests.actions.written import OPERATED, held_goldfish
from tests.demos import demo_plan
from waterplan.actions.record import Action, Kind
from waterplan.case import read_case, read_log
from waterplan.plan.record import Plan
from waterplan.plan.since import since
from waterplan.plan.whole import plan
from waterplan.stay.afternoon import AFTERNOON_PH
from waterplan.words.since import since_lines
from waterplan.words.speaker import Speaker

CASE = held_goldfish(
    patient="""weight = "0.5 ± 0 kg"
length = "29 cm, measuring board"
wound = "{wound}"
done = "{done}"
""",
    home="""temperature = "15.0 ± 0 °C"
ph = "7.5 ± 0"
""",
    tank="""volume = "400 L, marked tub"
air = "8 L/min"
temperature = "{tank} ± 0 °C"
""",
    intended="""operation_at = 2026-05-01T10:00:00
temperature = "20 ± 0 °C"
room = "{room} ± 0 °C"
days = "{days} days"
""",
)
Row = tuple[float, str, float]


@cache
def recheck(
    *rows: Row,
    day: float,
    days: int = 34,
    tank: float = 20.0,
    room: float = 20.0,
    wound: str = "closed",
    done: str = "closed",
) -> Plan:
    """The plan so many days after the operation, with readings: days after it, water, °C."""
    case = read_case(CASE.format(days=days, tank=tank, room=room, wound=wound, done=done))
    lines = [f"{OPERATED + timedelta(days=at):%Y-%m-%dT%H:%M},{water},temperature,{c} ± 0 °C" for at, water, c in rows]
    as_of = OPERATED + timedelta(days=day)
    log = read_log("taken,water,what,reading\n" + "\n".join(lines) + "\n", case=case, as_of=as_of)
    return plan(case, readings=tuple(log), as_of=as_of, draws=16)


def figures(made: Plan, *names: str) -> Sequence[float | None]:
    return [made.figures[f"hospital-1/recheck/{name}"].best for name in names]


def waits(made: Plan) -> list[Action]:
    return [one for one in made.actions if one.kind is Kind.WAIT and "due" in one.words]


@pytest.mark.longer
def test_a_tank_held_at_20_degrees_in_a_room_of_20() -> None:
    """300 degree-days are 300/20 = 15 days, 450 are 22.5; the sums in print, 280 to 630, are 14 and 31.5 days.

    The plan's own course of the tank is half a degree warmer, as pump and lid keep heat in: 2.5 % fewer days.
    """
    made = recheck(day=0.0)
    assert figures(made, "inspect", "expected", "earliest", "latest") == pytest.approx(
        [15.0, 22.5, 14.0, 31.5], rel=0.025
    )


@pytest.mark.longer
def test_the_days_of_a_ramp_are_counted_as_they_are() -> None:
    """From 14 to 20 °C by 2 °C a day: the days at 16, 18 and 20 °C sum to 54, not to the 60 of the target.

    Read at 14 °C on each of five days: 5 x 14 = 70. 300 - 70 - 54 = 176 are 8.8 days at 20 °C: day 5 + 3 + 8.8 = 16.8.
    """
    rows = [(float(day), "tank", 14.0) for day in range(5)]
    made = recheck(*rows, day=5.0, tank=14.0, room=14.0)
    assert figures(made, "degree-days") == [pytest.approx(70.0)]
    assert figures(made, "inspect") == [pytest.approx(16.8, abs=0.35)]


def test_the_pond_after_the_tank_and_nothing_of_a_water_that_it_has_left() -> None:
    """Two days at 20 °C in the tank and three at 12 in the pond are 76; the tank's 25 °C of day 3 is of an empty tank.

    The stay ends 2 days and 2 h 10 min after the operation begins, as the fish is induced for 10 minutes, and nobody
    operates in a tub of this case. What is left of 300, 224, is at the pond's newest 12 °C 18.67 days: day 23.67.
    """
    rows = [(0.0, "tank", 20.0), (1.0, "tank", 20.0), (3.0, "tank", 25.0)]
    rows += [(day, "home pond", 12.0) for day in (2.5, 3.0, 4.0)]
    made = recheck(*rows, day=5.0, days=2)
    assert figures(made, "degree-days", "inspect") == pytest.approx([76.0, 23.67], abs=0.01)


@pytest.mark.longer
def test_a_missing_week_is_bounded_by_the_coldest_and_the_warmest() -> None:
    """Days 0 to 2 and 10 at 20 °C; days 3 to 9 in a room of 15 °C with a heater for 20: 7 x 15 to 7 x 20.

    So 4 x 20 + 105 = 185 to 4 x 20 + 140 = 220 by day 11. 280 after the warm week: 60 left, 3 days, day 14; 630 after
    the cool one: 445 left, 22.25 days, day 33.25.
    """
    rows = [(float(day), "tank", 20.0) for day in (0, 1, 2, 10)]
    made = recheck(*rows, day=11.0, room=15.0)
    so_far = made.figures["hospital-1/recheck/degree-days"]
    assert (so_far.low, so_far.high) == (pytest.approx(185.0), pytest.approx(220.0))
    assert figures(made, "earliest", "latest") == pytest.approx([14.0, 33.25], rel=0.025)
    assert "gap-in-the-log-bounded" in {why.code for one in waits(made) for why in one.cautions}


def test_days_since_the_last_reading_are_a_gap_too() -> None:
    """Nothing was read from day 3 to day 10: the sum is not filled in with what the tank is meant to be kept at."""
    rows = [(float(day), "tank", 20.0) for day in (0, 1, 2)]
    made = recheck(*rows, day=11.0, days=12, room=15.0)
    so_far = made.figures["hospital-1/recheck/degree-days"]
    assert (so_far.low, so_far.high) == (pytest.approx(60.0 + 8 * 15.0), pytest.approx(60.0 + 8 * 20.0))


def test_few_days_without_a_reading_lie_on_the_line_between_and_it_is_said() -> None:
    """20 on day 0 and 17 on day 3: 20 + 19 + 18 + 17 = 74 by day 4."""
    made = recheck((0.0, "tank", 20.0), (3.0, "tank", 17.0), day=4.0, days=5)
    assert figures(made, "degree-days") == [pytest.approx(74.0)]
    assert "days-between-readings-joined" in {why.code for one in waits(made) for why in one.cautions}


def test_a_day_that_has_begun_counts_by_its_hours() -> None:
    made = recheck((0.0, "tank", 20.0), (1.0, "tank", 20.0), day=1.5, days=3)
    assert figures(made, "degree-days") == [pytest.approx(30.0)]


def test_a_thermometer_wrong_by_a_degree_moves_the_band() -> None:
    case = read_case(CASE.format(days=12, tank=20.0, room=20.0, wound="closed", done=""))
    text = f"taken,water,what,reading\n{OPERATED + timedelta(days=10):%Y-%m-%dT%H:%M},tank,temperature,20 ± 1 °C\n"
    as_of = OPERATED + timedelta(days=10.5)
    made = plan(case, readings=tuple(read_log(text, case=case, as_of=as_of)), as_of=as_of, draws=64)
    so_far = made.figures["hospital-1/recheck/degree-days"]
    assert so_far.low is not None
    assert so_far.best is not None
    assert so_far.low < so_far.best


@pytest.mark.parametrize(
    ("wound", "done", "stitches"), [("open", "wound cleaned", 0), ("none", "", 0), ("closed", "", 1)]
)
def test_a_wound_that_is_not_closed_has_no_stitches_to_examine(wound: str, done: str, stitches: int) -> None:
    assert len(waits(recheck(day=0.0, days=2, wound=wound, done=done))) == stitches


@pytest.mark.longer
def test_five_cool_days_move_the_date_and_the_plan_says_so() -> None:
    """At 20 °C the stitches are examined on day 15; with five days at 14 °C, and the ramp, on day 17: see above."""
    last = recheck(day=0.0)
    rows = [(float(day), "tank", 14.0) for day in range(5)]
    now = since(recheck(*rows, day=5.0, tank=20.0, room=14.0), last)
    line = since_lines(Speaker(now))[0]
    assert "Examine the stitches from Mon 18 May" in line
    assert "not from Sat 16 May" in line
    assert "5 days more of logged temperatures, 14 °C on average, moved it" in line


def test_what_is_read_in_the_afternoon_is_not_due_before_its_end() -> None:
    made = demo_plan("goldfish_recheck")
    (asked,) = [one for one in made.actions if one.kind is Kind.MEASURE and set(one.words.values()) == {AFTERNOON_PH}]
    as_of = datetime.fromisoformat("2026-05-23T05:20:00+02:00")
    assert asked.by == as_of.replace(hour=20, minute=0)  # timetable.csv, `afternoon ends`
