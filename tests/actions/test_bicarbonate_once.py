"""Bicarbonate goes once into water that goes on into tubs, and by parts only where a fish is in it; it has a time to begin."""

from datetime import datetime, timedelta
from functools import cache

import pytest

from tests.actions.written import exactly
from waterplan.actions.record import Action, Kind
from waterplan.case import read_case
from waterplan.papers.drawings import Drawings
from waterplan.papers.whole_set import paper
from waterplan.plan.begin import begins
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.words.lines import action_line
from waterplan.words.speaker import Speaker

# Soft water: 15 mg/L of alkalinity in the pond, of which both tubs are filled.
CASE = """
waterplan_case = 1
[patient]
species = "tench"
weight = "0.9 ± 0 kg"
eaten = false
[home_pond]
volume = "9000 ± 0 L"
[home_water]
taken = {read}
{pond}[[vessels]]
name = "tray"
use = "induction"
volume = "30 ± 0 L"
filled_with = "home water"
air = "3 L/min"
{tray}
[[vessels]]
name = "green tub"
use = "revival"
volume = "80 ± 0 L"
filled_with = "home water"
air = "6 L/min"
[intended]
operation_at = 2026-09-09T09:30:00
days = "0 days"
"""
POND = exactly(temperature=15, ph=6.8, oxygen=8.6, tan=0.05, alkalinity=15, chlorine=0)


@cache
def plan_of(read: str = "2026-09-09T06:20:00", tray: str = "") -> Plan:
    return plan(read_case(CASE.format(read=read, tray=tray, pond=POND)), draws=64)


def buffered(found: Plan) -> dict[str | None, Action]:
    return {one.water: one for one in found.actions if one.kind is Kind.CHEMISTRY and one.is_open}


def test_a_tub_that_is_filled_from_the_buffered_pond_needs_none() -> None:
    found = plan_of()
    assert set(buffered(found)) == {"home-pond"}
    of_tubs = [
        one for one in found.judgements if one.id in {"induction-1/alkalinity/after", "revival-1/alkalinity/after"}
    ]
    assert {one.verdict.value for one in of_tubs} == {"within limit"}


def test_a_tub_that_was_read_itself_is_filled_already_and_gets_its_own_at_once() -> None:
    """30 L from 15 to 60 mg/L as CaCO3: 45 / 50.04 x 84.007 x 30 / 1000 = 2.3 g; no fish is in it that parts would spare."""
    found = plan_of(tray='alkalinity = "15 ± 0 mg/L as CaCO3"')
    assert set(buffered(found)) == {"home-pond", "induction-1"}
    tray, pond = buffered(found)["induction-1"], buffered(found)["home-pond"]
    assert (tray.parts, tray.every_h) == (1, None)
    assert found.figures[tray.amounts["bicarbonate"]].best == pytest.approx(2.27, rel=0.02)
    assert pond.parts > 1


@pytest.mark.parametrize(("read", "late"), [("2026-09-09T06:45:00", True), ("2026-09-08T18:00:00", False)])
def test_what_takes_hours_says_when_to_begin_and_where_that_is_past(read: str, late: bool) -> None:
    """Parts half an hour apart end at 07:30, two hours before the operation: n of them begin (n - 1) / 2 hours before that."""
    found = plan_of(read)
    pond, speaker = buffered(found)["home-pond"], Speaker(found)
    begin = datetime(2026, 9, 9, 7, 30) - timedelta(minutes=30 * (pond.parts - 1))
    found_begin, is_past = begins(found, pond)
    assert is_past is late
    assert found_begin is not None
    assert found_begin.replace(tzinfo=None) == begin
    line = action_line(speaker, pond)
    assert f"begin by {speaker.clock(found_begin)}" in line
    assert ("which is past" in line) is late
    owner = paper("owner.html", Drawings(Speaker(found)))
    assert ("Start now: it will not be done in time" in owner) is late
    assert (f"Start by {speaker.clock(found_begin)}" in owner) is not late
