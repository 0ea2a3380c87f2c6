"""The hospital sheet: every day to the day it leaves, each part with its hour and its grams, the ammonia limit of this tank."""

import re
from collections import defaultdict
from collections.abc import Mapping
from datetime import timedelta
from functools import cache
from itertools import pairwise
from typing import Any

import pytest

from tests.demos import DEMOS, WITH_A_TANK, demo_papers, demo_plan, longer_but_for
from tests.visible_text import text_of
from waterplan.actions.heat.rungs import rungs
from waterplan.case import read_case
from waterplan.papers.drawings import Drawings
from waterplan.papers.ward import hospital_page, wards
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.words.lines import action_line, part_times
from waterplan.words.speaker import Speaker


class Undrawn(Drawings):
    """What stands on a sheet beside its drawings, which take a second."""

    courses: Mapping[str, str] = defaultdict(str)  # type: ignore[assignment]
    clocks: Mapping[str, str] = defaultdict(str)  # type: ignore[assignment]


def wards_of(made: Plan) -> list[dict[str, Any]]:
    """What a hospital sheet is made of."""
    found: list[dict[str, Any]] = hospital_page(Undrawn(Speaker(made)))["wards"]
    return found


@cache
def sheets(name: str) -> list[dict[str, Any]]:
    """That of an invented case."""
    return wards_of(demo_plan(name))


@pytest.mark.parametrize("name", DEMOS)
def test_a_fish_that_stays_in_a_tank_has_a_sheet(name: str) -> None:
    assert bool(wards(demo_plan(name))) is (name in WITH_A_TANK)


@pytest.mark.parametrize("name", WITH_A_TANK)
def test_every_day_of_the_stay_has_its_rows(name: str) -> None:
    """From the day on which the fish goes in, the day 0, to the one on which it leaves; what is due later is not on it."""
    made = demo_plan(name)
    for ward in sheets(name):
        (stay,) = ward["water"].occupants
        assert stay.start is not None
        assert stay.until is not None
        days = (stay.until.date() - stay.start.date()).days
        assert [row["day"] for row in ward["days"] if "day" in row] == list(range(days + 1))
        told = [one for one in made.days if one.water == ward["water"].id]
        assert [one.day for one in told] == list(range(days + 1))  # the record has the days of the sheet
        assert stay.start <= told[0].at <= told[-1].at <= stay.until
        assert (told[0].at.date(), told[-1].at.date()) == (stay.start.date(), stay.until.date())
        assert len(ward["rounds"]) == 2 * (days + 1)
        assert all(one.at is None or one.at <= stay.until for one in ward["actions"])


def test_each_dose_of_salt_and_each_step_of_warming_stands_on_its_day_with_its_amount() -> None:
    """Salt in two parts twelve hours apart from 12:40, so that the second is due at 00:40 of the next day; a rise of more
    than 2 °C goes in steps, each once."""
    made = demo_plan("heron_goldfish")
    (ward,) = sheets("heron_goldfish")
    due = {row["day"]: row["others"] for row in ward["days"] if "day" in row}
    salt = next(one for one in made.actions if one.kind == "salt" and one.is_open).part_amounts["salt"]
    assert f"salt in the hospital tank: 12:40 {salt[0]:g} g" in due[0]
    assert f"salt in the hospital tank: 00:40 {salt[1]:g} g" in due[1]
    steps = [one.parts for one in made.actions if one.kind in ("warm", "cool") and one.parts > 1 and one.is_open]
    assert sum(text.count(" to ") for text in due.values()) == sum(steps) > 0
    assert due[14].endswith("the fish leaves")


def test_a_change_in_parts_has_the_hour_and_the_grams_of_each() -> None:
    """Ten days from 4 June: 270 L a day is 135 L at 10:00 and 135 L at 10:30 (the rule `change part every`, half an
    hour); 0.6 g of thiosulphate is 0.3 + 0.3 and 448 g of salt 224 + 224.
    """
    made = demo_plan("ordinary_goldfish")
    change = next(one for one in made.actions if one.id == "hospital/change/hospital-1")
    (ward,) = sheets("ordinary_goldfish")
    second = next(place for place, row in enumerate(ward["days"]) if row.get("day") == 2)
    rows = ward["days"][second : second + 2]
    assert [row["at"] for row in rows] == ["10:00", "10:30"]
    for place, name in enumerate(("litres", "thiosulphate", "salt")):
        whole = made.figures[change.amounts[name]].act_on
        assert sum(float(row["cells"][place]) for row in rows) == pytest.approx(whole)
    assert "each day; in 2 parts at 10:00, 10:30: 135 + 135" in action_line(Speaker(made), change)
    (first, last) = part_times(change)
    assert last - first == timedelta(minutes=30)


@pytest.mark.parametrize("name", WITH_A_TANK)
def test_parts_of_a_change_add_up(name: str) -> None:
    made = demo_plan(name)
    for one in (each for each in made.actions if each.kind == "change" and each.is_open):
        for amount, parts in one.part_amounts.items():
            assert sum(parts) == pytest.approx(made.figures[one.amounts[amount]].act_on)
            assert min(parts) > 0.0


def test_no_day_has_two_changes() -> None:
    # The last daily change ends an hour before the one that lets the salt out: that day has one, at 10:00.
    made = demo_plan("ordinary_goldfish")
    for day in made.days:
        assert sum(path.split("/")[1] == "change" for path in day.actions) <= 1, day.at


def test_what_comes_more_than_once_a_day_in_parts_reads_one_way() -> None:
    made = demo_plan("ordinary_goldfish")
    salt = next(one for one in made.actions if one.kind == "salt" and one.is_open)
    line = action_line(Speaker(made), salt)
    assert re.search(r"in 2 parts: \d+ \+ \d+, one every 12 h", line)
    assert "twice a day" not in line


@pytest.mark.longer
@pytest.mark.parametrize("name", WITH_A_TANK)
def test_the_limit_of_the_tank_is_the_total_at_its_ph_and_temperature(name: str) -> None:
    made = demo_plan(name)
    (ward,) = sheets(name)
    ammonia = dict(ward["limits"])["ammonia"]
    figure = made.figures[f"{ward['water'].id}/ammonia/limit"]
    assert f"{figure.act_on:g}" in ammonia
    assert "as N" in ammonia
    # No cell of the table by pH and temperature that is warmer and of higher pH allows more than that of this tank.
    grid = made.grids[f"{ward['water'].id}/ammonia at its limit"]
    assert figure.act_on <= max(max(row) for row in grid.cells)


def test_a_fish_whose_way_home_is_refused_does_not_leave_on_the_sheet() -> None:
    """The owner reads that it does not come home yet; the sheet of its tank said on which hour it leaves."""
    refused, open_way = (
        text_of(demo_papers(one)["hospital.html"]) for one in ("orfe_in_a_heatwave", "ordinary_goldfish")
    )
    assert "the fish stays until the vet says so" in refused
    assert "the fish leaves" not in refused
    assert "the fish leaves" in open_way


STURGEON = """
waterplan_case = 1
[patient]
species = "sturgeon"
weight = "1.9 ± 0 kg"
eaten = false
wound = "closed"
[home_pond]
volume = "20000 ± 0 L"
[home_water]
temperature = "22.486 ± 0 °C"
ph = "7.6 ± 0"
oxygen = "8 ± 0 mg/L"
tan = "0 ± 0.01 mg/L as N"
nitrite = "0 ± 0.01 mg/L as NO2"
alkalinity = "100 ± 0 mg/L as CaCO3"
salinity = "0.2 ± 0 g/L"
chlorine = "0 ± 0 mg/L"
[[vessels]]
name = "round tank"
use = "hospital"
volume = "2200 ± 0 L"
filled_with = "home water"
temperature = "{begins} ± 0 °C"
[intended]
operation_at = 2026-07-15T08:00:00
temperature = "{kept} °C"
days = "2 days"
salt = "{salt} g/L"
"""


@pytest.mark.parametrize("salt", longer_but_for(("0.5", "0.7"), ("0.4", "0.5", "0.7", "0.9")))
def test_the_salt_that_is_ordered_is_within_the_limit_beside_it(salt: str) -> None:
    """The table's levels for sturgeon: usually up to 0.5 g/L, never above 1."""
    made = plan(read_case(STURGEON.format(begins=20, kept=20, salt=salt), file="case"), draws=64)
    (ward,) = wards_of(made)
    told = dict(ward["limits"])["salt"]
    assert f"ordered: {salt} g/L" in told
    limits = [float(one) for one in re.findall(r"(?:at most|never above) ([\d.]+)", told)]
    assert limits
    assert min(limits) >= float(salt)


@pytest.mark.parametrize("begins", [22.486382155002502, 20.03, 18.06, 15.97, 12.0])
def test_no_two_steps_of_a_day_read_the_same(begins: float) -> None:
    for kept in (18.0, 18.12):
        steps = rungs(begins, kept, 0.0)
        levels = [begins, *(temp for _, temp in steps)]
        assert levels[-1] == kept
        assert all(abs(one - two) >= 0.05 for one, two in pairwise(levels))
        # A degree an hour and two a day, to what a thermometer shows: the rows of the table.
        assert all(abs(one - two) <= 1.05 for one, two in pairwise(levels))
        hours = [at for at, _ in steps]
        assert hours == sorted(set(hours))
