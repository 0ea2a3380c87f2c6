"""Disinfectants, limits of baths, the filter, disposal."""

import math

import pytest

from waterplan import tables
from waterplan.dose.disinfectants import filter_damage
from waterplan.errors import ImpossibleInput
from waterplan.published import Status


@pytest.mark.parametrize(
    ("agent", "use", "value", "unit"),
    [
        ("hypochlorite", "equipment", 200.0, "mg/L"),  # USFWS 1982, page 283
        ("hypochlorite", "equipment_khv", 3.0, "mg/L"),  # Yoshimizu 2005: ten times 0.30 mg/L measured
        ("hypochlorite", "mycobacteria", 50_000.0, "mg/L"),  # Mainous & Smith 2005
        ("ethanol", "equipment_khv", 30.0, "% v/v"),  # Yoshimizu 2005
        ("quaternary_ammonium", "equipment_khv", 60.0, "mg/L"),  # Yoshimizu 2005
    ],
)
def test_published_strengths(agent: str, use: str, value: float, unit: str) -> None:
    row = tables.row("disinfectants", agent=agent, use=use)
    assert (row.value, row.unit, row.status) == (value, unit, Status.PUBLISHED)


@pytest.mark.parametrize("row", tables.table("disinfectants"), ids=lambda row: f"{row['agent']} {row['use']}")
def test_each_says_what_it_does_not_kill_and_how_it_is_neutralised(row: tables.Row) -> None:
    assert row["does_not_kill"]
    assert row["neutralise_with"]


def test_what_failed_against_mycobacteria_says_so() -> None:
    # Mainous & Smith 2005: 1 % peroxymonosulphate and benzalkonium did nothing in 60 minutes.
    for agent, use in (("peroxymonosulphate", "nets"), ("quaternary_ammonium", "equipment_khv")):
        assert "mycobacteria: no use in 60 min" in tables.row("disinfectants", agent=agent, use=use)["does_not_kill"]


@pytest.mark.parametrize(
    ("agent", "level", "effect"),
    [
        ("oxytetracycline", 12.5, "failed"),  # Klaver & Matthews 1994
        ("oxytetracycline", 5.0, None),
        ("peroxide", 100.0, "failed"),  # Schwartz et al. 2000
        ("formalin", 167.0, None),
        ("formalin", 300.0, "damaged"),
        ("chlorine", 0.1, "failed"),
        ("chlorine", 0.0, None),
        ("water", 5.0, None),
    ],
)
def test_filter(agent: str, level: float, effect: str | None) -> None:
    damage = filter_damage(agent, level=level)
    assert (damage["effect"] if damage else None) == effect
    if damage:
        assert float(damage["days"]) >= 7


def test_filter_with_no_number() -> None:
    with pytest.raises(ImpossibleInput):
        filter_damage("chlorine", level=math.nan)


def test_disposal_neutralises_before_it_drains() -> None:
    for agent in ("hypochlorite", "iodine", "peroxymonosulphate"):
        first, last = tables.rows("disposal", agent=agent)
        assert "neutralise" in first["words"]
        assert "sewer" in last["words"]


def test_the_steps_of_a_disposal_stand_in_their_order() -> None:
    for agent in {row["agent"] for row in tables.table("disposal")}:
        steps = [int(row["order"]) for row in tables.rows("disposal", agent=agent)]
        assert steps == list(range(1, len(steps) + 1))


def test_every_disinfectant_with_a_neutraliser_has_one_in_the_table() -> None:
    named = {row["neutralise_with"] for row in tables.table("disinfectants")} - {"none", "water and time"}
    jars = {row["neutraliser"] for row in tables.table("neutralisers")}
    assert all(any(name in jar for jar in jars) for name in named)
