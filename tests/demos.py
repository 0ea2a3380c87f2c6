"""The invented cases, their plans and their papers, made once with few draws."""

from collections.abc import Collection, Iterable
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from tests.kept import kept
from waterplan import tables
from waterplan.case import read_case, read_log
from waterplan.papers.drawings import Drawings
from waterplan.papers.whole_set import paper, papers
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.words.speaker import Speaker

DEMO_PONDS = Path(tables.shipped("demo_ponds"))
DEMOS = tuple(sorted(path.stem for path in DEMO_PONDS.glob("*.toml")))
# Where the fish stays: the case states its tank.
WITH_A_TANK = tuple(name for name in DEMOS if 'use = "hospital"' in (DEMO_PONDS / f"{name}.toml").read_text("utf-8"))
FEW = 64


def longer_but_for(ordinary: Collection[Any], those: Iterable[Any]) -> list[Any]:
    """A sweep of which some stand for all in the ordinary run; the others are for the longer one."""
    return [one if one in ordinary else pytest.param(one, marks=pytest.mark.longer) for one in those]


@cache
def demo_plan(name: str, *, readings: bool = False) -> Plan:
    """The plan of an invented case."""
    return kept(f"{name}-{readings}-plan", lambda: planned_anew(name, readings=readings))


def planned_anew(name: str, *, readings: bool = False) -> Plan:
    """The same, made here and now."""
    case = read_case(DEMO_PONDS / f"{name}.toml")
    log = read_log(DEMO_PONDS / f"{name}_readings.csv", case=case) if readings else ()
    return plan(case, readings=tuple(log), draws=FEW)


@cache
def demo_papers(name: str, *, readings: bool = False) -> dict[str, str]:
    """All papers of an invented case."""
    return kept(f"{name}-{readings}-papers", lambda: papers(demo_plan(name, readings=readings)))


def one_paper(made: Plan, name: str) -> str:
    """A page of a plan without all the others, which take their time."""
    return paper(name, Drawings(Speaker(made, marked=True)))


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
lid = true
outlets = 2
air = "6 L/min"
[intended]
operation_at = 2026-05-14T10:00:00
temperature = "20 °C"
"""
