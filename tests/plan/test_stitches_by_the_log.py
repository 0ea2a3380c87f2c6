"""The day on which stitches are examined, by the temperatures that were logged: in the tank, then in the pond, or there alone."""

from datetime import datetime

from waterplan.actions.record import Kind
from waterplan.case import read_case, read_log
from waterplan.plan.whole import plan

CASE = """waterplan_case = 1
[patient]
species = "goldfish"
weight = "0.5 kg, scales"
wound = "closed"
[home_pond]
volume = "6000 ± 60 L"
[home_water]
taken = 2026-06-04T05:30:00
temperature = "15 ± 0 °C"
[[vessels]]
name = "tub"
use = "{use}"
volume = "300 ± 3 L"
temperature = "15 ± 0 °C"
[intended]
operation_at = 2026-06-04T10:00:00
temperature = "15 °C"
days = "10 days"
"""


def inspected(use: str, readings: dict[int, tuple[str, float]]) -> float:
    """The day, counted from the operation, of a log of one reading a day."""
    case = read_case(CASE.format(use=use))
    rows = [
        f'2026-06-{4 + day:02}T10:30,{water},temperature,"{temp} ± 0 °C"' for day, (water, temp) in readings.items()
    ]
    log = read_log("\n".join(["taken,water,what,reading", *rows, ""]), case=case)
    now = datetime.fromisoformat("2026-06-24T12:00:00+00:00")
    made = plan(case, readings=tuple(log), as_of=now, draws=16)
    (found,) = (one for one in made.actions if one.kind is Kind.WAIT and "inspect" in one.amounts)
    best = made.figures[found.amounts["inspect"]].best
    assert best is not None
    return best


# The pond is cold again at last: a sum that took its last reading for the days before would come to a later day.
COLD = dict.fromkeys(range(17, 20), ("home water", 10.0))


def test_the_pond_counts_after_the_tank() -> None:
    # Ten days at 15 °C are 150 of the 300 degree-days; at 25 °C in the pond the rest takes six days: day 16.
    tank = dict.fromkeys(range(10), ("tub", 15.0))
    pond = dict.fromkeys(range(10, 17), ("home water", 25.0))
    assert abs(inspected("hospital", tank | pond | COLD) - 16.0) < 0.1


def test_without_a_tank_the_pond_counts_from_the_first_day() -> None:
    # 300 degree-days at 25 °C are twelve days.
    assert abs(inspected("revival", dict.fromkeys(range(17), ("home water", 25.0)) | COLD) - 12.0) < 0.1
