"""What may be chosen hangs together with the tables that it points into."""

import pytest

from waterplan import tables
from waterplan.dose.conflicts import conflict_things
from waterplan.dose.substances import Kind, every_use, kind_of, known_substances, substance, uses_of
from waterplan.errors import ImpossibleInput

every_substance = pytest.mark.parametrize("name", known_substances())


@every_substance
def test_a_substance_points_at_rows_that_are_there(name: str) -> None:
    row = substance(name)
    assert row["form"] in {"powder", "oil", "liquid"}
    assert row["thing"] in {"", "bleach", *conflict_things()}
    assert row["drug"] in {"", "yes"}
    if row["stock"]:
        assert tables.find("stock_keeping", stock=row["stock"]) is not None
    if row["oxidant"]:
        assert tables.rows("neutralisers", oxidant=row["oxidant"])


@every_substance
def test_a_substance_has_a_use_and_each_use_a_kind(name: str) -> None:
    assert uses_of(name)
    assert all(kind_of(name, use=use) is kind for use, kind in uses_of(name).items())
    if Kind.ANAESTHETIC in uses_of(name).values():
        assert tables.row("anaesthetic_agents", agent=substance(name)["agent"])["basis"]


def test_every_use_stands_once() -> None:
    assert len(every_use()) == len(set(every_use()))


def test_every_anaesthetic_bath_and_disinfectant_of_the_tables_can_be_chosen() -> None:
    agents = {substance(name)["agent"] for name in known_substances()}
    asked = {row["agent"] for table in ("anaesthetics", "bath_limits", "disinfectants") for row in tables.table(table)}
    # Drying and heat are not poured, and an iodophor is povidone-iodine by another name.
    assert asked - agents == {"drying", "heat", "iodophor"}


def test_what_a_fish_swims_in_is_told_from_what_it_does_not() -> None:
    assert kind_of("tricaine", use="induction").with_fish
    assert not kind_of("hypochlorite", use="equipment").with_fish


def test_a_use_that_a_substance_does_not_have_is_impossible() -> None:
    with pytest.raises(ImpossibleInput, match="induction"):
        kind_of("tricaine", use="dip")
    with pytest.raises(LookupError):
        substance("snake oil")
