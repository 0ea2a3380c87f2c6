"""Neutralisers against their reactions, and a hose left running."""

import math

import pytest

from waterplan import tables
from waterplan.dose.neutralise import (
    ammonia_from_chloramine_mg_n_per_l,
    neutraliser_g,
)
from waterplan.errors import ImpossibleInput

# IUPAC standard atomic weights 2021, abridged to five figures.
H, C, N, O, NA, S, CL, K, MN, I = 1.0080, 12.011, 14.007, 15.999, 22.990, 32.06, 35.45, 39.098, 54.938, 126.90  # noqa: E741
ANHYDROUS = 2 * NA + 2 * S + 3 * O
PENTAHYDRATE = ANHYDROUS + 5 * (2 * H + O)
TRIPLE_SALT = 2 * (K + H + S + 5 * O) + (K + H + S + 4 * O) + (2 * K + S + 4 * O)  # 2 KHSO5 . KHSO4 . K2SO4
REACTIONS = {
    # Cl2 + 2 S2O3 -> 2 Cl + S4O6
    ("chlorine", "thiosulphate pentahydrate"): 2 * PENTAHYDRATE / (2 * CL),
    ("chlorine", "thiosulphate anhydrous"): 2 * ANHYDROUS / (2 * CL),
    # I2 + 2 S2O3 -> 2 I + S4O6
    ("iodine", "thiosulphate pentahydrate"): 2 * PENTAHYDRATE / (2 * I),
    ("iodine", "thiosulphate anhydrous"): 2 * ANHYDROUS / (2 * I),
    # 2 MnO4 + 3 H2O2 -> 2 MnO2 + 2 OH + 3 O2 + 2 H2O
    ("permanganate", "hydrogen peroxide"): 3 * (2 * H + 2 * O) / (2 * (K + MN + 4 * O)),
    # HSO5 + 2 S2O3 + 2 H -> SO4 + S4O6 + H2O, two HSO5 in the triple salt
    ("peroxymonosulphate", "thiosulphate pentahydrate"): 4 * PENTAHYDRATE / TRIPLE_SALT,
}


@pytest.mark.parametrize(("pair", "expected"), REACTIONS.items(), ids=[" by ".join(pair) for pair in REACTIONS])
def test_neutralisers_follow_their_reactions(pair: tuple[str, str], expected: float) -> None:
    oxidant, neutraliser = pair
    # The table carries three or four figures.
    assert neutraliser_g(1.0, oxidant=oxidant, neutraliser=neutraliser) == pytest.approx(expected, rel=1e-3)


def test_ascorbic_acid_of_the_utility_guide_is_near_its_reaction() -> None:
    # C6H8O6 + Cl2 -> C6H6O6 + 2 HCl; AWWA field guide, table 7-2: 2.5 mg/mg.
    reaction = (6 * C + 8 * H + 6 * O) / (2 * CL)
    assert neutraliser_g(1.0, oxidant="chlorine", neutraliser="ascorbic acid") == pytest.approx(reaction, rel=0.01)


def test_each_derived_neutraliser_is_checked_here() -> None:
    derived = {(row["oxidant"], row["neutraliser"]) for row in tables.table("neutralisers") if row.status == "derived"}
    assert derived == set(REACTIONS)


def test_negative_chlorine_is_impossible() -> None:
    with pytest.raises(ImpossibleInput):
        ammonia_from_chloramine_mg_n_per_l(math.nan)
