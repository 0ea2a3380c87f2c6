"""The day of the recheck: whether the stitches are due stands first, and what is over is neither due nor read again."""

from datetime import datetime, timedelta
from functools import cache

import pytest

from tests.demos import demo_plan
from waterplan.actions.record import Kind
from waterplan.case import read_case
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.stay.record import Moment
from waterplan.tables import shipped
from waterplan.words.terminal import first_page

OPERATED = datetime.fromisoformat("2026-06-04T10:00:00+02:00")


@cache
def after(days: int) -> Plan:
    case = read_case(shipped("demo_ponds") / "ordinary_goldfish.toml")
    return plan(case, as_of=OPERATED + timedelta(days=days), draws=64)


# 300 degree-days, at which stitches are examined, at some 19 °C in the demo's tank and pond: on day 15 or 16.
@pytest.mark.longer
@pytest.mark.parametrize(("days", "said"), [(2, "Stitches not due yet"), (30, "Examine the stitches now")])
def test_whether_the_stitches_are_due_stands_among_the_first_lines(days: int, said: str) -> None:
    assert said in first_page(after(days)).split("Do now")[0]


# Of a log without a reading the first plan says day 16, 20 June, and day 35, 9 July: 19 °C x 16 = 304 degree-days, of 300.
def test_a_recheck_that_was_due_keeps_its_day() -> None:
    for days in (20, 30):
        now = OPERATED + timedelta(days=days)
        (wait,) = (one for one in after(days).actions if one.kind is Kind.WAIT)
        # A gap in the log makes the days before it warmer at most: due on day 16, or sooner, never on the day of the plan.
        assert wait.at is not None
        assert OPERATED + timedelta(days=10) <= wait.at <= OPERATED + timedelta(days=16)
        assert wait.at < now


def test_stitches_are_overdue_after_the_latest_date() -> None:
    # Nobody logged a day: after 30 of them at less than 21 °C 630 degree-days may be ahead; after 200 the pond would have had
    # to stay below 630 / 200 = 3.15 °C from June to December.
    assert "overdue since" not in first_page(after(30))
    assert "overdue since" in first_page(after(200))


def test_a_bath_whose_fish_is_out_of_it_is_past() -> None:
    baths = [one for one in after(16).actions if one.kind is Kind.DOSE and one.water in ("induction-1", "revival-1")]
    assert baths
    assert all(one.done is not None for one in baths)
    assert "tricaine" not in first_page(after(16)).split("Have ready")[-1]


def test_no_water_that_its_fish_has_left_is_read_again() -> None:
    waters = {one.water for judgement in after(16).judgements for one in judgement.measure if judgement.why}
    assert not waters & {"induction-1", "revival-1"}
    states = {one.moment: one.state for one in after(16).moments}
    assert states[Moment.HOME] == "not known"  # sixteen days after its last reading


@pytest.mark.longer
def test_no_drug_of_the_operation_is_due_a_second_time() -> None:
    case = read_case(shipped("demo_ponds") / "heron_goldfish.toml")
    made = plan(case, as_of=datetime.fromisoformat("2026-05-23T09:00:00+02:00"), draws=64)
    drugs = [one for one in made.actions if one.kind is Kind.INJECTION]
    assert drugs
    assert all(one.done is not None for one in drugs)
    before = demo_plan("heron_goldfish")
    assert [
        one for one in before.actions if one.kind is Kind.INJECTION and one.done is None and not one.refused_because
    ]


def test_a_solution_for_a_wound_is_no_bath() -> None:
    from waterplan.plan.quick_doses import quick_iodine
    from waterplan.words.short import short_answer

    said = short_answer(quick_iodine(use="wound", volume="1 L", stock="10 % PVP-I"))
    assert "take the fish out" not in said
