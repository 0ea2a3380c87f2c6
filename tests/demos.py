"""The invented cases, and their plans made once with few draws."""

from functools import cache
from pathlib import Path

from waterplan import tables
from waterplan.case import read_case, read_log
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan

DEMO_PONDS = Path(tables.shipped("demo_ponds"))
DEMOS = tuple(sorted(path.stem for path in DEMO_PONDS.glob("*.toml")))
FEW = 128


@cache
def demo_plan(name: str, *, draws: int = FEW, readings: bool = False) -> Plan:
    """The plan of an invented case."""
    case = read_case(DEMO_PONDS / f"{name}.toml")
    log = read_log(DEMO_PONDS / f"{name}_readings.csv", case=case) if readings else ()
    return plan(case, readings=tuple(log), draws=draws)
