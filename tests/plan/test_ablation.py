"""Every section and every reading of the invented cases left out, one at a time: less known makes nothing good."""

import copy
from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest

from tests.demos import DEMO_PONDS, DEMOS, demo_plan
from tests.plan import comparisons as compare
from tests.plan.changed_cases import STEPS
from tests.plan.invariants import accepted
from waterplan.actions.record import Kind
from waterplan.case.document import document_from_text
from waterplan.case.reading import read_case
from waterplan.errors import CaseError
from waterplan.hazards.record import Hazard, Judgement, Verdict
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.stay.record import Origin

# What tells of a water and a place: without it nothing is better known. The others tell of what is done, and of dangers.
KNOWLEDGE = frozenset({"place", "home_water", "mains_water", "volumes"})
# Two that contradict each other do so no longer where one of them is gone.
OF_TWO = frozenset({Hazard.CONTRADICTION})


@cache
def document(name: str) -> dict[str, Any]:
    path = DEMO_PONDS / f"{name}.toml"
    return document_from_text(path.read_text(encoding="utf-8"), file=name)


def cuts(name: str) -> Iterator[tuple[Any, ...]]:
    """The ways to what may be left out: a section, a table of a section, a reading of a table."""
    for section, found in document(name).items():
        if section == "waterplan_case":
            continue
        yield (section,)
        tables = [((section,), found)] if isinstance(found, dict) else []
        if isinstance(found, list):
            tables = [((section, number), one) for number, one in enumerate(found)]
            yield from (way for way, _ in tables if len(tables) > 1)
        yield from ((*way, key) for way, table in tables for key in table if key in STEPS)


def without(name: str, way: tuple[Any, ...]) -> Plan | None:
    """The plan of a case without something; None where the rest is no case."""
    found = copy.deepcopy(document(name))
    inside: Any = found
    for step in way[:-1]:
        inside = inside[step]
    del inside[way[-1]]
    try:
        return plan(read_case(found, file=name), draws=64)
    except CaseError:
        return None


def complaints_of(name: str, way: tuple[Any, ...]) -> list[str]:
    """What is better without it: a verdict that became green, and a first aid that went."""
    before, after = demo_plan(name), without(name, way)
    if after is None:
        return []
    found = []
    if way[0] in KNOWLEDGE or way[-1] in STEPS:
        found += [
            f"{new.id}: {old.verdict} became within limit"
            for old, new in compare.both(before, after)
            if new.verdict is Verdict.WITHIN_LIMIT
            and old.verdict is not Verdict.WITHIN_LIMIT
            and old.hazard not in OF_TWO
            and not new.whatever
            and _alike(before, after, new)
        ]
    if way[0] not in {"seen", "vessels", "home_pond"} or way[-1] in STEPS:
        aid = [{one.id for one in accepted(made) if one.kind is Kind.FIRST_AID} for made in (before, after)]
        found += [f"{path} has gone" for path in sorted(aid[0] - aid[1])]
    return [f"{name} without {'/'.join(map(str, way))}: {one}" for one in found]


def _alike(before: Plan, after: Plan, new: Judgement) -> bool:
    """Whether the same is done in both, or what is found after it hangs on what nobody read.

    Of a reading that is bad another action may be refused, or ordered: what that leaves is not found for want of the reading.
    """
    if not new.id.endswith("/after"):
        return True
    told = {Kind.ASK, Kind.MEASURE, Kind.PEOPLE}
    done = [
        {one.id for one in accepted(made) if one.water == new.water and one.kind not in told}
        for made in (before, after)
    ]
    return done[0] == done[1] or any(one.decides and one.origin is Origin.ASSUMED for one in new.inputs)


ALL = [(name, way) for name in DEMOS for way in cuts(name)]
# Spread over the cases, their sections and their readings.
FEW = ALL[3 :: max(1, len(ALL) // 3)]


@pytest.mark.parametrize(
    ("name", "way"), FEW, ids=lambda one: "/".join(map(str, one)) if isinstance(one, tuple) else one
)
def test_less_known_makes_nothing_good(name: str, way: tuple[Any, ...]) -> None:
    """Slow: a rich case planned whole and planned without something."""
    assert complaints_of(name, way) == []


@pytest.mark.slow
@pytest.mark.parametrize("name", DEMOS)
def test_nothing_left_out_makes_anything_good(name: str) -> None:
    found = [one for way in cuts(name) for one in complaints_of(name, way)]
    assert not found, f"{len(found)} complaints:\n" + "\n".join(found[:40])
