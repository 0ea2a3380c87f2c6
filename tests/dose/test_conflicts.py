"""The rule table."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterplan import tables
from waterplan.dose.conflicts import Severity, conflict_things, conflicts
from waterplan.errors import ImpossibleInput

RULES = tables.table("conflicts")


def rules(things: dict[str, float | None]) -> set[str]:
    return {conflict.rule for conflict in conflicts(things)}


@pytest.mark.parametrize("row", RULES, ids=lambda row: row["rule"])
def test_each_rule_can_hold_and_is_complete(row: tables.Row) -> None:
    known = conflict_things()
    things: dict[str, float | None] = {}
    for which in ("first", "second"):
        if row[which]:
            assert row[which] in known
            things[row[which]] = None
    assert row["rule"] in rules(things)
    assert row["words"].endswith(".")
    assert Severity(row["severity"])
    assert row.source in tables.sources()


@pytest.mark.parametrize("row", [row for row in RULES if row["second"]], ids=lambda row: row["rule"])
def test_one_of_two_is_not_enough(row: tables.Row) -> None:
    assert row["rule"] not in rules({row["first"]: None})
    assert row["rule"] not in rules({row["second"]: None})


def test_names_are_unique() -> None:
    names = [row["rule"] for row in RULES]
    assert len(names) == len(set(names))
    assert len(conflict_things()) == len(tables.table("conflict_things"))


def test_everything_that_is_spoken_of_is_used() -> None:
    used = {row[which] for row in RULES for which in ("first", "second") if row[which]}
    assert set(conflict_things()) == used


@pytest.mark.parametrize(
    ("things", "rule", "severity"),
    [
        ({"salt": 3.0, "zeolite": None}, "salt with zeolite", Severity.ACT),
        ({"formalin": 25.0, "permanganate": 2.0}, "formalin with permanganate", Severity.REFUSE),
        ({"permanganate": 2.0, "thiosulphate": None}, "permanganate with thiosulphate left over", Severity.ACT),
        ({"bicarbonate": 100.0, "tan": 2.0}, "bicarbonate with ammonia", Severity.ACT),
        ({"formalin": 25.0, "algae": None}, "formalin with an algal bloom", Severity.ACT),
        ({"temperature": 22.0, "khv_suspected": None}, "warm water and herpesvirus", Severity.ACT),
    ],
)
def test_the_conflicts_the_trade_knows(things: dict[str, float | None], rule: str, severity: Severity) -> None:
    found = {conflict.rule: conflict.severity for conflict in conflicts(things)}
    assert found[rule] is severity


def test_thresholds() -> None:
    # Gilad et al. 2003: no death at 13 °C, deaths at 18, 23 and 28.
    assert rules({"temperature": 13.0, "khv_suspected": None}) == set()
    assert rules({"temperature": 28.0, "khv_suspected": None}) == {"warm water and herpesvirus"}
    # A little salt against nitrite does not touch zeolite, plants or filter.
    assert rules({"salt": 0.05, "zeolite": None, "plants": None, "biofilter": None}) == set()
    # Formalin with 9 mg/L of oxygen: air and attendance, not a block.
    found = conflicts({"formalin": 25.0, "oxygen": 9.0})
    assert [conflict.severity for conflict in found] == [Severity.CAUTION]
    assert conflicts({"formalin": 25.0, "oxygen": 4.0})[0].severity is Severity.REFUSE


def test_what_is_not_known_is_refused_and_a_nan_too() -> None:
    with pytest.raises(ImpossibleInput, match="unobtainium"):
        conflicts({"unobtainium": None})
    with pytest.raises(ImpossibleInput, match="salt"):
        conflicts({"salt": float("nan")})
    assert conflicts({}) == ()


@settings(max_examples=30)
@given(st.sets(st.sampled_from(sorted(conflict_things())), max_size=8), st.sampled_from(sorted(conflict_things())))
def test_more_in_the_water_never_silences_a_rule(things: set[str], more: str) -> None:
    assert rules(dict.fromkeys(things)) <= rules(dict.fromkeys({*things, more}))
