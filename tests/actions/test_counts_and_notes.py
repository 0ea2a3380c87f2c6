"""What is counted and kept: days of a quarantine, degree-days since a drug, a drug among what was done, notes at the recheck."""

from datetime import datetime, timedelta

import pytest

from tests.actions.written import OPERATED
from tests.demos import one_paper
from waterplan.actions.record import Action, Kind
from waterplan.case import read_case, read_log
from waterplan.errors import CaseError
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.words.lines import action_line
from waterplan.words.speaker import Speaker
from waterplan.words.terminal import full_page

CASE = """
waterplan_case = 1
[patient]
name = "Copper"
species = "koi"
weight = "1 ± 0 kg"
wound = "closed"
done = "flank closed"
eaten = false
quarantined = 2026-04-29T10:00:00
[[vessels]]
name = "tank"
use = "hospital"
volume = "600 ± 0 L"
temperature = "20 ± 0 °C"
[intended]
operation_at = 2026-05-01T10:00:00
temperature = "20 ± 0 °C"
days = "DAYS days"
room = "ROOM"
"""
NOTE = '[[notes]]\nof = "the wound"\nwords = "edges pale, 4 cm"\npicture = "wound-1.jpg"\nat = {}\n'
INJECTED = '[[done]]\nat = 2026-05-06T10:00:00\nwhat = "injected"\nsubstance = "meloxicam"\ndose = "1 mg/kg"\namount = "0.2 mL"\n'


def written(room: str = "20 ± 0 °C", *, days: int = 12) -> str:
    return CASE.replace("ROOM", room).replace("DAYS", str(days))


def made(
    more: str = "", *, day: float = 10.0, temps: tuple[float, ...] = (), room: str = "20 ± 0 °C", days: int = 12
) -> Plan:
    """The plan so many days after the operation, with a temperature of the tank at noon of each day from the first."""
    case = read_case(written(room, days=days) + more)
    noon = OPERATED + timedelta(hours=2)
    lines = [f"{noon + timedelta(days=at):%Y-%m-%dT%H:%M},tank,temperature,{c} ± 0 °C" for at, c in enumerate(temps)]
    as_of = OPERATED + timedelta(days=day)
    rows = read_log("taken,water,what,reading\n" + "\n".join(lines) + "\n", case=case, as_of=as_of).rows
    return plan(case, readings=rows, as_of=as_of, draws=16)


def wait(found: Plan, amount: str) -> Action:
    (one,) = [one for one in found.actions if one.kind is Kind.WAIT and amount in one.amounts]
    return one


@pytest.mark.longer
def test_days_of_a_quarantine_are_counted_by_their_temperature_and_clear_nothing() -> None:
    """Kept apart since two days before the operation: twelve days on the tenth after it.

    Read on seven of them: 19, 20 and 28 °C lie in the warm range of 18 to 28, 17 and 16.5 °C in the cool one of 16 to 18,
    18 °C in both, 15 °C in none: warm 4, cool 3. Of the days that nobody read nothing is counted.
    """
    found = made(temps=(19.0, 20.0, 28.0, 17.0, 16.5, 18.0, 15.0))
    one = wait(found, "quarantined")
    values = {name: found.figures[path].best for name, path in one.amounts.items()}
    assert values == {"quarantined": 12, "warm days": 4, "cool days": 3, "warm days wanted": 30, "cool days wanted": 52}
    line = action_line(Speaker(found), one)
    assert "4 days of 30 days" in line
    assert "clears nothing by itself" in line
    assert line in full_page(found, None, "metric").replace("\n    ", " ")
    assert "apart" in one_paper(found, "hospital.html")


def test_a_quarantine_that_nobody_states_is_not_counted() -> None:
    text = written().replace("quarantined = 2026-04-29T10:00:00\n", "")
    found = plan(read_case(text), as_of=OPERATED + timedelta(days=3), draws=16)
    assert not [one for one in found.actions if "quarantined" in one.amounts]


@pytest.mark.longer
def test_a_drug_that_was_done_counts_as_given() -> None:
    """Injected on the fifth day, seen on the tenth: 5 days at 20 °C are 100 degree-days; of 500 / 20 = 25 days 20 are left."""
    found = made(INJECTED, temps=(20.0,) * 10, days=36)
    one = wait(found, "withdrawal")
    assert found.figures[one.amounts["degree-days"]].best == pytest.approx(100.0)
    assert found.figures[one.amounts["withdrawal"]].best == pytest.approx(20.0)
    assert "100 degree-days so far" in action_line(Speaker(found), one)
    assert "clears nothing by itself" in action_line(Speaker(found), one)
    written = {(one.key, one.text) for one in found.written if one.section == "done"}
    assert {("substance", "meloxicam"), ("dose", "1 mg/kg"), ("amount", "0.2 mL")} <= written


@pytest.mark.longer
def test_degree_days_since_a_drug_are_those_that_were_read() -> None:
    """15 °C on each noon since: 5 days are 75 degree-days, and of 500 the other 425 take 425 / 20 = 21.25 days at 20 °C."""
    found = made(INJECTED, temps=(15.0,) * 10, days=36)
    one = wait(found, "withdrawal")
    assert found.figures[one.amounts["degree-days"]].best == pytest.approx(75.0)
    assert found.figures[one.amounts["withdrawal"]].best == pytest.approx(21.25)


@pytest.mark.longer
def test_a_gap_in_the_log_counts_for_a_withdrawal_at_its_coldest() -> None:
    """Injected on the fifth day, read at 20 °C that noon and then no more: of the 5 days to the tenth the last 4 are a gap, in
    which the tank may have stood at the 12 °C of its room. 20 + 4 x 12 = 68 degree-days at least, 5 x 20 = 100 at most; of 500
    the other 432 take 432 / 20 = 21.6 days at 20 °C: 22.
    """
    found = made(INJECTED, temps=(20.0,) * 6, room="12 ± 0 °C", days=36)
    one = wait(found, "withdrawal")
    degree_days, left = (found.figures[one.amounts[name]] for name in ("degree-days", "withdrawal"))
    assert (degree_days.low, degree_days.high, left.act_on) == (pytest.approx(68.0), pytest.approx(100.0), 22.0)
    assert [why.code for why in one.cautions] == ["gap-in-the-count-bounded"]
    assert "after meloxicam" in one_paper(found, "recheck.html")


def test_a_drug_that_was_done_is_not_ordered_again() -> None:
    ordered = '[[injections]]\ndrug = "meloxicam"\ndose = "1 mg/kg"\nstock = "5 mg/mL"\n'
    (one,) = [one for one in made(INJECTED + ordered).actions if one.kind is Kind.INJECTION]
    assert one.done == datetime.fromisoformat("2026-05-06T10:00:00+00:00")


@pytest.mark.longer
def test_an_anti_inflammatory_among_what_was_done_stands_against_another() -> None:
    other = '[[injections]]\ndrug = "flunixin"\ndose = "0.5 mg/kg"\nstock = "5 mg/mL"\n'
    case = read_case(written() + INJECTED.replace("2026-05-06", "2026-04-28") + other)
    found = plan(case, as_of=OPERATED - timedelta(hours=1), draws=16)
    (one,) = [one for one in found.actions if one.kind is Kind.INJECTION]
    assert "two anti-inflammatories" in {why.words.get("rule") for why in one.refused_because}


def test_a_drug_that_no_table_knows_is_asked_about() -> None:
    with pytest.raises(CaseError, match="substance"):
        read_case(written() + INJECTED.replace("meloxicam", "snake oil"))


def test_a_note_of_the_wound_is_shown_at_the_recheck_with_its_date() -> None:
    found = made(NOTE.format("2026-05-01T11:00:00") + NOTE.format("2026-05-20T11:00:00").replace("pale", "red"))
    (one,) = [one for one in found.actions if one.kind is Kind.WAIT and "inspect" in one.amounts]
    told = [why for why in one.cautions if why.code == "compare-with-the-note"]
    assert [why.words["said"] for why in told] == ["edges pale, 4 cm"]  # the other is of a day to come
    line = "Compare it with the note on the wound, Fri 1 May, 11:00: edges pale, 4 cm (wound-1.jpg)."
    assert line in Speaker(found).why(told[0])
    assert "edges pale, 4 cm" in one_paper(found, "recheck.html")
