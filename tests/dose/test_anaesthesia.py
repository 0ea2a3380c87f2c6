"""Anaesthetic baths."""

import pytest

from waterplan import tables
from waterplan.dose.anaesthesia import (
    Depth,
    anaesthesia_stages,
    anaesthetic_agent,
    anaesthetic_range,
    clove_oil_mg_per_l,
    overdose_survivals,
    revival_steps,
    time_sheet,
)
from waterplan.errors import ImpossibleInput, Refused, Unanswerable
from waterplan.published import Status

AGENTS = sorted({row["agent"] for row in tables.table("anaesthetics")})


@pytest.mark.parametrize(
    ("agent", "depth", "group", "low", "high"),
    [
        ("isoeugenol", Depth.INDUCTION, "carp_like", 40.0, 150.0),  # Gladden et al. 2010
        ("alfaxalone", Depth.MAINTENANCE, "carp_like", 1.0, 2.5),  # Minter et al. 2014
        ("alfaxalone", Depth.INDUCTION, "goldfish", 5.0, 7.5),  # Bauquier et al. 2013
        ("propofol", Depth.INDUCTION, "carp_like", 2.5, 10.0),  # Oda et al. 2014
        ("eugenol", Depth.INDUCTION, "tench", 25.0, 50.0),  # Lewbart: freshwater and marine species
    ],
)
def test_published_ranges(agent: str, depth: Depth, group: str, low: float, high: float) -> None:
    row = anaesthetic_range(agent, depth, group=group)
    assert (row.low, row.high, row.status) == (low, high, Status.PUBLISHED)


def test_no_figure_is_refused_and_not_borrowed_from_another_species() -> None:
    with pytest.raises(Refused, match="no figure"):
        anaesthetic_range("propofol", Depth.INDUCTION, group="sturgeon")


def test_clove_oil_needs_its_share_of_eugenol() -> None:
    assert clove_oil_mg_per_l(40.0, eugenol_fraction=0.1) == pytest.approx(400.0)
    with pytest.raises(Unanswerable, match="share of eugenol"):
        clove_oil_mg_per_l(40.0, eugenol_fraction=None)
    with pytest.raises(ImpossibleInput):
        clove_oil_mg_per_l(40.0, eugenol_fraction=1.2)


@pytest.mark.parametrize("agent", AGENTS)
def test_each_agent_says_what_its_mg_are_of(agent: str) -> None:
    row = anaesthetic_agent(agent)
    assert row["basis"]
    assert row["prepare"]
    assert row["cautions"]
    assert row["law"]


def test_stages_are_words_in_order_and_end_in_an_emergency() -> None:
    stages = anaesthesia_stages()
    assert [int(row["order"]) for row in stages] == list(range(7))
    assert not any(character.isdigit() for row in stages for character in row["stage"])
    assert "EMERGENCY" in stages[-1]["use"]


def test_revival_begins_with_water_and_names_no_adrenaline_dose() -> None:
    steps = revival_steps()
    assert steps[0]["words"].startswith("drug-free water")
    assert not any("mL/kg" in row["words"] for row in steps)


def test_the_time_sheet_runs_from_before_to_the_watch() -> None:
    phases = [row["phase"] for row in time_sheet()]
    assert phases == sorted(phases, key=["before", "induction", "procedure", "revival", "watch"].index)


def test_overdoses_that_were_lived_through() -> None:
    # Balko et al. 2018 and Perret-Thiry et al. 2022: 5, 6, 6 and 5 of 6.
    assert [row.value for row in overdose_survivals("tricaine")] == [5.0, 6.0, 6.0, 5.0]
