"""The species that the tables know."""

import pytest

from waterplan import tables
from waterplan.dose.salt import Exposure
from waterplan.errors import ImpossibleInput
from waterplan.fish.species import known_species, species

every_species = pytest.mark.parametrize("name", known_species())


def test_the_species_of_the_trade_are_there_once() -> None:
    assert len(set(known_species())) == len(known_species())
    assert {"koi", "goldfish", "orfe", "tench", "sturgeon", "rainbow trout"} <= set(known_species())


@pytest.mark.parametrize("name", ["", "Koi", "shark", "koi ", "\u2603"])
def test_an_unknown_species_is_told_with_the_list(name: str) -> None:
    with pytest.raises(ImpossibleInput, match="one of koi, common carp, goldfish"):
        species(name)


@every_species
def test_a_species_has_a_row_wherever_a_plan_looks_for_one(name: str) -> None:
    found = species(name)
    for state in ("settled", "anaesthetised"):
        alarm = tables.row("oxygen_levels", group=found.oxygen_group, state=state, level="alarm").value
        emergency = tables.row("oxygen_levels", group=found.oxygen_group, state=state, level="emergency").value
        assert 0.0 < emergency < alarm
    for exposure in Exposure:
        ceiling = tables.row("salt_ceilings", group=found.salt_group, exposure=exposure)
        assert 0.0 < ceiling.low <= ceiling.value <= ceiling.high
    assert tables.row("water_limits", quantity="nh3", group=found.law_group, level="limit").value > 0.0
    assert found.words
    assert found.side_view in {"deep", "slender", "round"}


@pytest.mark.parametrize(
    ("name", "state", "alarm", "emergency"),
    [
        # 5 and 3 mg/L for carp and goldfish; higher for trout, orfe and an anaesthetised fish (6 and 4).
        ("koi", "settled", 5.0, 3.0),
        ("goldfish", "settled", 5.0, 3.0),
        ("koi", "anaesthetised", 6.0, 4.0),
        ("rainbow trout", "settled", 6.0, 5.0),
    ],
)
def test_the_oxygen_levels_of_the_common_ones(name: str, state: str, alarm: float, emergency: float) -> None:
    group = species(name).oxygen_group
    assert tables.row("oxygen_levels", group=group, state=state, level="alarm").value == alarm
    assert tables.row("oxygen_levels", group=group, state=state, level="emergency").value == emergency


@pytest.mark.parametrize("name", ["orfe", "sturgeon", "rainbow trout"])
def test_sensitive_fish_are_never_allowed_less_oxygen_than_carp(name: str) -> None:
    for state in ("settled", "anaesthetised"):
        for level in ("alarm", "emergency"):
            own = tables.row("oxygen_levels", group=species(name).oxygen_group, state=state, level=level).value
            assert own > tables.row("oxygen_levels", group="cyprinid", state=state, level=level).value
