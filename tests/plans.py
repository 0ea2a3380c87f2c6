"""Cases and plans that several rooms' tests look at, each made once a run."""

from functools import cache

from waterplan import tables
from waterplan.first_plan.first_case.model import Case
from waterplan.first_plan.first_case.reading import case_from_document, document_from_text, read_case
from waterplan.first_plan.tank_ahead import Ahead, ahead
from waterplan.first_plan.whole import Plan, plan
from waterplan.units import Display, System

DEMO_PONDS = tables.shipped("demo_ponds")
DEMOS = tuple(sorted(path.stem for path in DEMO_PONDS.glob("*.toml")))
METRIC, US = Display(system=System.METRIC), Display(system=System.US)
DISPLAYS = {"metric": METRIC, "us": US}
# Enough for a verdict to be settled; few enough to be quick. A course is looked at for its shape.
DRAWS, FEW = 512, 24

SMALLEST = """
waterplan_case = 1
[patient]
species = "koi"
weight = "1.1 kg, scales"
[[vessels]]
name = "blue tub"
use = "revival"
volume = "60 L, marked tub"
"""

# Names that a browser, a spreadsheet or a page of Markdown would act on if they were let through.
HOSTILE = """
waterplan_case = 1
[patient]
name = "<script>alert(1)</script>"
species = "koi"
weight = "1.1 kg, scales"
length = "41 cm, tape"
done = "=cmd|'/C calc'!A0 <b onclick='alert(2)'>![x](http://192.0.2.1/x.png)</b>"
[place]
name = "\\"><img src=x onerror=alert(3)>"
[home_water]
temperature = "18 °C, thermometer"
oxygen = "8 mg/L, oxygen meter"
[[vessels]]
name = "=1+1"
use = "revival"
volume = "60 L, marked tub"
[[vessels]]
name = "<img src=x onerror=alert(4)>"
use = "hospital"
shape = "rectangle"
length = "1.8 m, tape"
width = "0.8 m, tape"
depth = "0.6 m, tape"
lid = "yes"
outlets = 2
air = "6 L/min"
[intended]
operation_at = 2026-05-14T10:00:00
temperature = "20 °C"
"""


def case_of(text: str) -> Case:
    """The case in a TOML text."""
    return case_from_document(document_from_text(text, file="case.toml"), file="case.toml")


@cache
def plan_of(text: str) -> Plan:
    """The plan of the case in a TOML text."""
    return plan(case_of(text), draws=DRAWS)


@cache
def demo_plan(name: str) -> Plan:
    """The plan of an invented case."""
    return plan(read_case(DEMO_PONDS / f"{name}.toml"), draws=DRAWS)


_DAYS: dict[int, Ahead] = {}


def days_of(plan: Plan) -> Ahead:
    """The course of the tank of a plan, with a few draws, made once a run."""
    if id(plan) not in _DAYS:
        _DAYS[id(plan)] = ahead(plan, draws=FEW)
    return _DAYS[id(plan)]
