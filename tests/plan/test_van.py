"""What goes into the van: the amounts of the plan, added up, with something to spare; no sum of its own."""

import math
import re
from functools import cache

import pytest

from tests.actions.made import EXACT
from tests.demos import demo_papers, demo_plan
from tests.papers.reading_marks import Marks
from waterplan import tables
from waterplan.case import read_case
from waterplan.plan.record import Plan, VanItem
from waterplan.plan.whole import plan
from waterplan.stay.figures import rounded
from waterplan.stay.record import ActEnd

DEMOS = ("heron_goldfish", "hooked_tench")
TUB = EXACT.partition('[[vessels]]\nname = "long tank"')[0] + "[intended]\noperation_at = 2026-05-14T10:00:00\n"


@cache
def exact() -> Plan:
    return plan(read_case(TUB), draws=64)


def item(found: Plan, what: str, part: str = "reagent") -> VanItem:
    (one,) = (one for one in found.van if one.what == what and one.part == part)
    return one


def acted(found: Plan, path: str) -> float:
    act_on = found.figures[path].act_on
    assert act_on is not None
    return act_on


def test_neutraliser_and_litres_by_hand() -> None:
    """By hand: 10,000 L of pond at 0.3 mg/L hold 3 g of chlorine, which take 7 g of thiosulphate each: 21 g.

    200 L of it in the grey tub hold 0.06 g: 0.42 g, 0.5 on a scale. With half as much again (21 + 0.5) x 1.5 = 32.25, and
    the scale shows whole grams above ten: 33 g. Reserve: half of the tub's 200 L.
    """
    found = item(exact(), "thiosulphate pentahydrate")
    assert [acted(exact(), path) for path in found.of] == [21.0, 0.5]
    assert acted(exact(), found.figure) == 33.0
    assert acted(exact(), item(exact(), "reserve", "water").figure) == 100.0
    assert acted(exact(), item(exact(), "litres", "water").figure) == 200.0


def test_new_water_is_buffered_by_as_many_batches_as_the_tubs_take() -> None:
    """By hand: 10 g for each 100 L of rain (see its own test), and a tub of 250 L: three batches, 30 g, 45 with the spare."""
    rain = re.sub(r"(?s)\[mains_water\].*?(?=\[\[)", '[mains_water]\nkind = "rain"\n', TUB)
    rain = rain.replace('volume = "200 ± 0 L"', 'volume = "250 ± 0 L"\nfilled_with = "mains water"')
    made = plan(read_case(rain), draws=64)
    found = item(made, "sodium bicarbonate")
    at = found.of.index("mains/new-water/bicarbonate")
    assert found.times[at] == 3
    others = sum(acted(made, path) for number, path in enumerate(found.of) if number != at)
    assert acted(made, found.figure) == math.ceil((30.0 + others) * 1.5)


@pytest.mark.parametrize("demo", DEMOS)
def test_each_amount_is_that_of_the_plan_with_the_spare_rounded_up(demo: str) -> None:
    made = demo_plan(demo)
    ordered = {path for one in made.actions if one.is_open for path in one.amounts.values()}
    added = [one for one in made.van if one.part in ("reagent", "drug", "ice")]
    assert added
    for one in added:
        assert set(one.of) <= ordered, one.what
        assert {made.figures[path].unit for path in one.of} == {made.figures[one.figure].unit}
        row = tables.row("van_spares", part=one.part)
        total = sum(times * acted(made, path) for path, times in zip(one.of, one.times, strict=True))
        scale = (
            "ice kg" if one.part == "ice" else made.figures[one.figure].unit
        )  # of ice the table has steps of its own
        wanted = rounded(total * (1.0 + row.value), unit=scale, end=ActEnd.HIGH)
        assert acted(made, one.figure) == wanted >= total


@pytest.mark.parametrize("demo", DEMOS)
def test_every_gram_of_the_visit_is_on_the_list(demo: str) -> None:
    made = demo_plan(demo)
    listed = {path for one in made.van for path in (one.figure, *one.of)}
    for one in made.actions:
        for name in ("thiosulphate", "bicarbonate", "mass"):
            if one.is_open and one.moment in ("call", "prepare", "procedure") and one.water != "mains":
                assert one.amounts.get(name) in {None, *listed}, one.id


def test_what_is_refused_or_done_takes_nothing() -> None:
    made = demo_plan("heron_goldfish")
    assert any(one.refused_because and one.substance == "potassium permanganate" for one in made.actions)
    assert "potassium permanganate" not in {one.what for one in made.van}


def test_the_paper_shows_the_plans_figures_and_the_table_has_the_same() -> None:
    made = demo_plan("heron_goldfish")
    texts = demo_papers("heron_goldfish")
    read = Marks(texts["van.html"]).figures
    assert {one.figure for one in made.van} <= set(read)
    assert {path for one in made.van for path in one.of} <= set(read)
    assert len(texts["van.csv"].splitlines()) == 1 + len(made.van)


def test_a_pond_alone_loads_no_van() -> None:
    alone = EXACT.partition("[[vessels]]")[0]
    assert plan(read_case(alone), draws=64).van == ()


def test_a_tub_in_which_something_was_read_is_full_and_nobody_carries_water_to_it() -> None:
    """40, 80 and 560 L stood among what to load, of tubs that were filled the evening before and read in the morning."""
    found = demo_plan("ordinary_goldfish")
    carried = [one.waters for one in found.van if one.part == "water" and one.what == "litres"]
    there = [one.waters for one in found.van if one.part == "filled"]
    assert carried == []
    assert there == [("induction-1",), ("revival-1",), ("hospital-1",)]
    assert {one.figure for one in found.van if one.part == "filled"} <= set(found.first_page.have_ready)
    dry = demo_plan("orfe_in_a_heatwave")  # nothing was read in its tubs
    assert [one.part for one in dry.van if one.what == "litres"] == ["water"] * 3
