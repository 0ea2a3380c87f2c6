"""Sedation and anaesthesia: each has its own time sheet and stages, and water over the gills is no tub for a fish."""

from functools import cache

import pytest

from tests.demos import demo_plan, one_paper
from tests.papers.reading_marks import Marks
from waterplan import tables
from waterplan.actions.record import Kind
from waterplan.case import read_case
from waterplan.papers.at_work import procedure_log
from waterplan.papers.drawings import Drawings, weighed
from waterplan.papers.to_give import doses
from waterplan.plan.whole import plan
from waterplan.words.lines import amount_name
from waterplan.words.speaker import Speaker

CASE = """
waterplan_case = 1
[patient]
species = "goldfish"
weight = "0.62 kg, scales"
length = "31 cm, measuring board"
eaten = false
wound = "closed"
[home_water]
temperature = "18 °C, thermometer"
ph = "7.6, pH meter"
oxygen = "8.8 mg/L, oxygen meter"
tan = "0.05 mg/L as N, photometer"
nitrite = "0.05 mg/L as NO2, drop kit"
alkalinity = "150 mg/L as CaCO3, drop kit"
salinity = "0.3 g/L, conductivity meter"
chlorine = "0 ± 0 mg/L"
[[vessels]]
name = "white basin"
use = "induction"
volume = "60 L, marked tub"
air = "6 L/min"
[[vessels]]
name = "reservoir"
use = "irrigation"
volume = "40 L, marked tub"
air = "6 L/min"
[[vessels]]
name = "blue tub"
use = "revival"
volume = "200 L, marked tub"
air = "6 L/min"
[intended]
operation_at = 2026-05-14T10:00:00
"""
DOSE = """
[[doses]]
substance = "tricaine"
use = "{use}"
into = "{into}"
strength = "{strength}"
bottle = "powder"
scale = "0.1 g"
buffer = "one to one"
"""
# Of the printed order of the stages (`anaesthesia_stages`): what a bath aims at, and the stages that lie beyond the next one.
BEYOND = {
    "sedation": ["balance lost", "surgical", "breathing stopped"],
    "transport": ["balance going", "balance lost", "surgical", "breathing stopped"],
}
STRENGTHS = {"sedation": "40 mg/L", "transport": "20 mg/L", "induction": "110 mg/L", "maintenance": "60 mg/L"}
FISH_IN = ("fish goes in", "put the fish in", "Before the fish", "take the fish out", "Fish out", "fish out")


@cache
def card(*doses: tuple[str, str]) -> str:
    """The dose cards of some baths: (use, into)."""
    text = CASE + "".join(DOSE.format(use=use, into=into, strength=STRENGTHS[use]) for use, into in doses)
    found = plan(read_case(text), draws=64)
    assert not [one for one in found.actions if one.kind == "dose" and one.refused_because]
    return " | ".join(Marks(one_paper(found, "dose-cards.html")).words)


@pytest.mark.parametrize("use", ["sedation", "transport"])
def test_a_sedation_has_a_sheet_of_its_own_and_no_surgical_stages(use: str) -> None:
    words = card((use, "white basin"))
    assert "do not go deeper" in words
    assert "balance lost by now in the usual range" not in words  # that is the sheet of an anaesthesia
    cells = words.split(" | ")
    assert not set(BEYOND[use]) & set(cells)
    assert "awake" in cells


@pytest.mark.longer
@pytest.mark.parametrize(("use", "into"), [("induction", "white basin"), ("maintenance", "reservoir")])
def test_an_anaesthesia_has_all_stages_and_its_sheet(use: str, into: str) -> None:
    cells = card((use, into)).split(" | ")
    assert {row["stage"] for row in tables.rows("anaesthesia_stages")} <= set(cells)
    assert "balance lost by now in the usual range" in cells


@pytest.mark.longer
def test_a_sedation_beside_an_anaesthesia_leaves_each_its_sheet() -> None:
    """The sheet of the second bath stood nowhere: one sheet was printed, that of whichever came first."""
    cells = card(("sedation", "white basin"), ("maintenance", "reservoir")).split(" | ")
    assert "balance lost by now in the usual range" in cells
    assert any("do not go deeper" in one for one in cells)


def test_no_fish_goes_into_the_water_that_runs_over_its_gills() -> None:
    text = CASE + DOSE.format(use="maintenance", into="reservoir", strength="60 mg/L")
    found = plan(read_case(text), draws=64)
    words = " ".join(Marks(one_paper(found, "dose-cards.html")).words)
    cards = one_paper(found, "tub-cards.html").split("<h1>")[1:]
    (reservoir,) = (one for one in cards if "reservoir" in one.split("</h1>")[0])
    for phrase in FISH_IN:
        assert phrase not in words
        assert phrase not in reservoir
    assert "Before it runs over the gills" in reservoir


POND_DOSE = """
[home_pond]
volume = "10000 L, marked tub"
filter = "seeded"
[mains_water]
chlorine = "0.5 mg/L, photometer"
[[doses]]
substance = "{substance}"
into = "home pond"
{more}
"""


@pytest.mark.longer
@pytest.mark.parametrize(
    ("substance", "more"),
    [
        ("salt", 'use = "prolonged"\nstrength = "2 g/L"'),
        ("thiosulphate pentahydrate", 'use = "hose left running"\nadded = "500 L, estimate"\noverflowed = false'),
    ],
)
def test_nobody_takes_a_fish_out_of_a_pond_or_nets_it_there(substance: str, more: str) -> None:
    """A pond is stopped by air and clean water; what fails the filter is the chlorine that came, and not its antidote."""
    found = plan(read_case(CASE + POND_DOSE.format(substance=substance, more=more)), draws=64)
    (one,) = (one for one in found.actions if one.kind == "dose" and one.water == "home-pond")
    assert not one.refused_because
    words = " ".join(Marks(one_paper(found, "dose-cards.html")).words)
    for phrase in ("take the fish out", "One fish at a time", "put the fish in", "is failed by it"):
        assert phrase not in words
    assert "turn all the air on" in words
    if substance != "salt":
        assert "is failed by the chlorine" in words


def test_of_several_amounts_each_row_of_boxes_says_what_it_is() -> None:
    made = demo_plan("heron_goldfish")
    drawings = Drawings(Speaker(made))
    several = [one for one in doses(made) if len(weighed(made, one)) > 1]
    assert several
    for one in several:
        drawn = drawings.dose(one.id)[0]
        assert all(f"of {amount_name(drawings.speaker, one, each)}" in drawn for each in weighed(made, one))


def test_what_goes_in_by_equal_parts_is_drawn_as_a_part() -> None:
    made = demo_plan("heron_goldfish")
    salt = next(one for one in doses(made) if one.kind is Kind.SALT and one.parts == 2)
    (part, again), whole = salt.part_amounts["salt"], made.figures[salt.amounts["salt"]].act_on
    assert part == again == whole / 2
    drawn = Drawings(Speaker(made)).dose(salt.id)[0]
    assert f">{part:g} g (" in drawn
    assert f">{whole:g} g (" not in drawn


@pytest.mark.parametrize(
    ("tubs", "swaps"),
    [
        ("", [""]),
        ("revival", [", or move the fish into the tub 1,", ""]),
        ("revival hospital", [", or move the fish into the tub 1,", ", or move the fish into the tub 2,"]),
    ],
)
def test_the_log_moves_no_fish_into_a_tub_that_is_not_there(tubs: str, swaps: list[str]) -> None:
    """A fish is moved on into the tub that comes after: from the anaesthetic to where it wakes, from there to where it stays."""
    text, _, _ = CASE.partition("[[vessels]]")
    uses = ["induction", *tubs.split()]
    text += "".join(
        f'[[vessels]]\nname = "tub {number}"\nuse = "{use}"\nvolume = "60 L, marked tub"\n'
        for number, use in enumerate(uses)
    )
    text += "[intended]\noperation_at = 2026-05-14T10:00:00\n"
    logs = procedure_log(Drawings(Speaker(plan(read_case(text), draws=16))))["logs"]
    said = Speaker(demo_plan("ordinary_goldfish")).say("log.swap.title")
    begins, as_soon = said.split(" as soon ")
    assert [one["swap"] for one in logs] == [f"{begins}{swap} as soon {as_soon}" for swap in swaps]
