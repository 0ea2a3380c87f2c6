"""The first page of a plan: what is to be fetched, times as people say them, and what a move is called."""

from datetime import UTC, datetime, timedelta

import pytest

from tests.demos import DEMOS, demo_plan
from tests.plan.invariants import PUT_IN, due_at
from waterplan.actions.record import Action, Kind
from waterplan.hazards.record import Verdict
from waterplan.plan.quick_call import quick_call
from waterplan.plan.record import Plan
from waterplan.stay.record import ActEnd
from waterplan.words.lines import judgement_line
from waterplan.words.speaker import Speaker
from waterplan.words.terminal import first_page, have_lines

AT = datetime(2026, 7, 17, 6, tzinfo=UTC)
FETCHED = {"g", "kg", "mg", "mL", "L", "L/min", "W", "pieces"}
SIGNS = ("hose left running", "gasping at the surface", "brown gills", "very hot")


def call(sign: str, **texts: str) -> Plan:
    return quick_call({"species": "koi", **texts}, [sign], as_of=AT, draws=64)


@pytest.mark.parametrize("sign", SIGNS)
@pytest.mark.parametrize("pond", ["", "8000 L, guess"])
def test_have_ready_lists_what_is_fetched_and_neither_a_level_nor_the_water_that_is_there(sign: str, pond: str) -> None:
    found = call(sign, volume=pond)
    units = {found.figures[path].unit for path in found.first_page.have_ready}
    assert units <= FETCHED
    names = {path.rpartition("/")[2] for path in found.first_page.have_ready}
    assert not names & {"level", "chlorine", "litres", "volume", "per"}
    told = " ".join(have_lines(Speaker(found)))
    assert "mg/L" not in told
    assert "home pond 1,000 L" not in told


def test_litres_of_a_change_are_made_up_and_stand_among_what_is_fetched() -> None:
    read = {"temperature": "17 °C", "ph": "7.6 ± 0.05", "tan": "0.1 ± 0.01 mg/L as N"}
    refused = call("gasping at the surface", volume="8000 ± 1 L", **read)
    assert not [path for path in refused.first_page.have_ready if "change" in path]  # it has no source of new water


@pytest.mark.parametrize(("minutes", "said"), [(119.0, "119 min"), (120.0, "2 h"), (140.0, "2 h 20 min")])
def test_from_two_hours_on_a_time_is_told_in_hours(minutes: float, said: str) -> None:
    speaker = Speaker(call("nothing yet"))
    assert speaker.amount(minutes, "min", ActEnd.LOW) == said


def test_a_move_is_called_by_the_water_that_is_left() -> None:
    told = " ".join(first_page(call("hose left running", volume="8000 L, guess")).split())
    assert "moving the fish out of the home pond" in told
    assert "move into the home pond" not in told


def test_what_begins_more_than_a_day_later_is_counted_and_not_done_now() -> None:
    """The salt is let out on the day before the discharge, more than a week after the operation."""
    found = demo_plan("ordinary_goldfish")
    by_path = {one.id: one for one in found.actions}
    open_ones = [one for one in found.actions if one.is_open and one.kind is not Kind.WAIT]
    begins = min(when for one in open_ones if (when := one.at or one.by))
    later = [one.id for one in open_ones if (when := one.at or one.by) and when > begins + timedelta(days=1)]
    assert later
    assert not set(later) & set(found.first_page.do_now)
    assert found.first_page.and_more == len(open_ones) - len(found.first_page.do_now)
    for one in later:
        soon = {each for other in open_ones if other.id not in later for each in other.amounts.values()}
        assert not (set(by_path[one].amounts.values()) - soon) & set(found.first_page.have_ready)


@pytest.mark.parametrize("name", DEMOS)
def test_no_first_page_is_too_full_to_say_what_is_refused(name: str) -> None:
    """Where room was short all refusals of four cases were among "26 more lines"."""
    found = demo_plan(name)
    page = first_page(found)
    assert ("\nRefused\n" in page) is bool(found.first_page.refused)
    assert len(page.splitlines()) <= 60


def test_what_is_not_known_is_told_at_its_worst_and_with_no_chance() -> None:
    """A chance over what was only assumed counts the range of the assumption and no error of a reading."""
    found = demo_plan("heron_goldfish")
    lines = {
        one.id: judgement_line(Speaker(found), one) for one in found.judgements if one.verdict is Verdict.NOT_KNOWN
    }
    assert lines
    assert not [line for line in lines.values() if "in 20" in line]
    assert "worst case" in lines["home-pond/chlorine/call"]
    assert (
        "worst case" not in lines["home-pond/ph/call"]
    )  # too low or too high: it has no worst end, and its band is told


def test_have_ready_says_how_much_of_a_thing_goes_where() -> None:
    """40 L of the basin stand in the case; an amount for a batch of new water names the batch."""
    told = {
        name: said
        for name, _, said in (one.partition(": ") for one in have_lines(Speaker(demo_plan("ordinary_goldfish"))))
    }
    assert "grey basin 40 L" in told["Water"]
    assert "each change of long tank" in told["Water"]
    assert "each 100 L of tap water" in told["Sodium thiosulphate crystals"]


@pytest.mark.parametrize("name", DEMOS)
def test_people_source_and_air_come_before_anything_that_goes_into_a_water(name: str) -> None:
    """ "Make the place safe for people first" stood fifth, under a dose."""
    found = demo_plan(name)
    first = [one for path in found.first_page.do_now for one in found.actions if one.id == path]
    for number, one in enumerate(first):
        if one.kind in PUT_IN:
            late = [each for each in first[number:] if each.kind is Kind.AIR and due_at(each) <= due_at(one)]
            assert not [each.id for each in late if one.id not in each.needs]
            assert not {Kind.PEOPLE, Kind.SOURCE_OFF} & {each.kind for each in first[number:]}
    today = [one for one in found.actions if one.kind is Kind.PEOPLE and one.is_open]
    assert {one.id for one in today} <= set(found.first_page.do_now)


@pytest.mark.parametrize("name", DEMOS)
def test_no_action_that_answers_an_act_now_gives_way_to_one_that_does_not(name: str) -> None:
    found = demo_plan(name)
    worst = {one.id for one in found.judgements if one.verdict is Verdict.ACT_NOW}
    shown = [one for one in found.actions if one.id in found.first_page.do_now and one.kind is not Kind.PEOPLE]
    if any(worst.isdisjoint(one.answers) for one in shown):
        begins = min((when for one in found.actions if one.is_open and (when := one.at or one.by)), default=None)
        today = [one for one in found.actions if one.is_open and _before(one, begins) and one not in shown]
        assert [one.id for one in today if not worst.isdisjoint(one.answers)] == []


def _before(action: Action, begins: datetime | None) -> bool:
    when = action.at or action.by
    return begins is None or when is None or when < begins + timedelta(days=1)
