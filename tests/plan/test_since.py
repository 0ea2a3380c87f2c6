"""What changed against the last plan: told by identity, the dates and what is worse first, and nothing left out."""

import json
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path

import pytest

from tests.demos import FEW, demo_plan
from waterplan.case import read_case, read_log
from waterplan.errors import CaseError
from waterplan.hazards.record import Verdict
from waterplan.plan.record import Differs, Plan
from waterplan.plan.since import read_last, since
from waterplan.plan.whole import plan
from waterplan.tables import shipped
from waterplan.words.lines import action_line, cautions, measure_line
from waterplan.words.since import since_lines
from waterplan.words.speaker import Speaker
from waterplan.words.terminal import first_page, full_page

DEMOS = shipped("demo_ponds")
OPERATED = datetime.fromisoformat("2026-05-14T10:00:00+02:00")


@cache
def heron(days: float | None = None, *, changed: tuple[tuple[str, str], ...] = ()) -> Plan:
    """The demo so many days after its operation with what its log has by then; before it without."""
    if days is None and not changed:
        return demo_plan("heron_goldfish")
    text = (DEMOS / "heron_goldfish.toml").read_text(encoding="utf-8")
    for old, new in changed:
        assert old in text
        text = text.replace(old, new)
    as_of = None if days is None else OPERATED + timedelta(days=days)
    case = read_case(text, file="heron_goldfish.toml")
    log = () if as_of is None else read_log(DEMOS / "heron_goldfish_readings.csv", case=case, as_of=as_of)
    return plan(case, readings=tuple(log), as_of=as_of, draws=FEW)


def told(now: Plan, last: Plan) -> Plan:
    return since(now, last)


EARLY = [pytest.param(before, after, marks=pytest.mark.longer) for before, after in ((None, 0.95), (0.95, 2.95))]
PAIRS = [(None, 2.95), *EARLY, pytest.param(2.95, 16.0, marks=pytest.mark.slow)]


def test_a_plan_is_not_different_from_itself() -> None:
    same = told(heron(2.95), heron(2.95))
    assert same.changes is not None
    assert (same.changes.differences, same.changes.read, same.changes.written) == ((), (), ())
    assert since_lines(Speaker(same)) == ["Nothing reads differently."]
    assert same.figures == heron(2.95).figures


def _page(made: Plan) -> dict[str, tuple[str, ...]]:
    """What the first page says of each action, moment and reading, by its path; the dates of the stitches of their action."""
    speaker = Speaker(made)
    found = {}
    for path in (*made.first_page.do_now, *made.first_page.refused):
        one = speaker.actions[path]
        found[path] = (action_line(speaker, one), *(() if one.refused_because else cautions(speaker, one)))
    for one in made.moments:
        found[one.moment] = (one.state, *map(speaker.title, one.because))
        for path in one.actions:
            action = speaker.actions[path]
            if "due" in action.words and action.at is not None:
                found[path] = (action.words["due"], speaker.clock(action.at), speaker.clock(action.until))
    for reading in made.first_page.measure_next:
        found[f"{reading.water}/{reading.quantity}"] = (measure_line(speaker, reading),)
    return found


@pytest.mark.longer
@pytest.mark.parametrize(("before", "after"), PAIRS)
def test_whatever_reads_differently_on_the_first_page_is_listed(before: float | None, after: float) -> None:
    now = told(heron(after), heron(before))
    assert now.changes is not None
    listed = {one.of for one in now.changes.differences}
    was, is_now = _page(heron(before)), _page(now)
    differ = {path for path in was.keys() & is_now.keys() if was[path] != is_now[path]}
    there_alone = {path for path in is_now.keys() - was.keys() if path not in {one.id for one in heron(before).actions}}
    assert differ | there_alone <= listed


@pytest.mark.parametrize(("before", "after"), PAIRS)
def test_dates_come_first_and_the_worst_before_the_less_bad(before: float | None, after: float) -> None:
    now = told(heron(after), heron(before))
    assert now.changes is not None
    order = [list(Differs).index(one.what) for one in now.changes.differences]
    assert order == sorted(order)
    worse = [Verdict(one.now).rank for one in now.changes.differences if one.what is Differs.WORSE]
    assert worse == sorted(worse, reverse=True)


@pytest.mark.longer
def test_what_was_read_since_is_told_with_what_hangs_on_it() -> None:
    """By the morning of day 1 the log has a temperature of day 0, and temperature, ammonia and pH of day 1: four rows."""
    now = told(heron(0.95), heron())
    assert now.changes is not None
    assert len(now.changes.read) == 4
    behind = {path for one in now.changes.differences for path in one.because}
    assert "hospital-1/temperature" in behind
    assert not {path for path in behind if path.startswith("home-pond/")}  # nobody read the pond again
    back = told(heron(0.95), told(heron(0.95), heron()))
    assert back.changes is not None
    assert back.changes.taken_back == ()


@pytest.mark.longer
def test_a_line_of_the_case_that_was_written_otherwise_is_told_with_both_texts() -> None:
    """Another pH of the pond: the line is named, and no judgement is laid to a reading that is the same."""
    was, now_is = (f'ph_taken = 2026-05-13T16:00:00\nph = "{ph}, pH meter"' for ph in ("7.9", "8.9"))  # the afternoon's
    line = 'ph = "7.9, pH meter"'
    now = told(heron(changed=((line, now_is),)), heron(changed=((line, was),)))
    assert now.changes is not None
    assert [(one.key, one.before, one.now) for one in now.changes.written] == [("ph", "7.9, pH meter", "8.9, pH meter")]
    worse = [one for one in now.changes.differences if one.what is Differs.WORSE]
    ammonia = [one for one in worse if one.of.startswith("home-pond/ammonia/")]
    assert ammonia
    assert {one.because for one in ammonia} == {("home-pond/ph",)}


def test_it_is_told_on_the_first_page_and_in_the_whole_plan() -> None:
    now = told(heron(2.95), heron())
    assert "What changed since the plan" in first_page(now)
    assert len(first_page(now).splitlines()) <= 60
    assert "What changed since the plan" in full_page(now)
    assert "What changed" not in first_page(heron(2.95))


@pytest.mark.longer
def test_a_plan_of_something_else_is_refused_in_plain_words(tmp_path: Path) -> None:
    last = heron()
    other = heron(changed=(('name = "Copper"', 'name = "Rusty"'),))
    with pytest.raises(CaseError, match="a plan for 'Copper', goldfish, and this case is of 'Rusty', goldfish"):
        since(other, last)
    with pytest.raises(CaseError, match="later than this one"):
        since(heron(0.95), heron(2.95))
    old = tmp_path / "plan.json"
    for text, said in (
        (json.dumps({**json.loads(last.model_dump_json(by_alias=True)), "waterplan_plan": 1}), "a plan of the form 1"),
        ("[]", "no plan"),
        ("moved: 6 May", "no JSON"),
        (json.dumps({"waterplan_plan": 2}), "a plan of another version"),
    ):
        old.write_text(text, encoding="utf-8")
        with pytest.raises(CaseError, match=said):
            read_last(old)
    old.write_text(last.model_dump_json(by_alias=True), encoding="utf-8")
    assert read_last(tmp_path) == last  # the folder of its papers will do
