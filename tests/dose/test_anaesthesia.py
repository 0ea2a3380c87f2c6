"""Anaesthetic baths."""

import pytest

from waterplan import tables
from waterplan.dose.anaesthesia import clove_oil_mg_per_l
from waterplan.errors import ImpossibleInput

AGENTS = sorted({row["agent"] for row in tables.table("anaesthetics")})


def test_clove_oil_needs_its_share_of_eugenol() -> None:
    assert clove_oil_mg_per_l(40.0, eugenol_fraction=0.1) == pytest.approx(400.0)
    with pytest.raises(ImpossibleInput):
        clove_oil_mg_per_l(40.0, eugenol_fraction=1.2)


@pytest.mark.parametrize("agent", AGENTS)
def test_each_agent_says_what_its_mg_are_of(agent: str) -> None:
    row = tables.row("anaesthetic_agents", agent=agent)
    assert row["basis"]
    assert row["prepare"]
    assert row["cautions"]
    assert row["law"]


def test_overdoses_that_were_lived_through() -> None:
    # Balko et al. 2018 and Perret-Thiry et al. 2022: 5, 6, 6 and 5 of 6.
    assert [row.value for row in tables.rows("overdose_survivals", agent="tricaine")] == [5.0, 6.0, 6.0, 5.0]
