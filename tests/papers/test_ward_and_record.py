"""What the papers of the ward, of a dose and of the file hold, of real plans: each half day, each basis, each old reading."""

import html
import re
from datetime import timedelta
from functools import cache

import pytest

from tests.demos import DEMO_PONDS, demo_papers, demo_plan, one_paper
from waterplan.case import read_case
from waterplan.plan.whole import plan
from waterplan.words.catalogue import language


@cache
def text(name: str, paper: str, *, readings: bool = False) -> str:
    """A paper of an invented case, without its markup."""
    made = demo_papers(name, readings=readings)[paper]
    bare = re.sub(r"<[^>]+>", " ", re.sub(r"<(style|svg).*?</\1>", " ", made, flags=re.S))
    return re.sub(r"\s+", " ", html.unescape(bare))


def test_a_hospital_sheet_has_both_halves_of_each_day_and_the_basis_of_each_reading() -> None:
    # Operated on 4 June, ten days in the tank: from that day to 14 June, on which the fish leaves.
    sheet = text("ordinary_goldfish", "hospital.html")
    start = demo_plan("ordinary_goldfish").made.operation_at
    assert start is not None
    for day in range(1, 11):
        date = f"{start + timedelta(days=day):%a} {(start + timedelta(days=day)).day} Jun"
        assert f"{date} early" in sheet
        assert f"{date} {'late' if day < 10 else 'on leaving'}" in sheet
    assert "Thu 4 Jun on arrival" in sheet
    assert "total ammonia mg/L as N" in sheet
    assert "nitrite mg/L as NO₂" in sheet


def test_the_sheet_goes_from_total_ammonia_to_its_limit() -> None:
    # Emerson 1975 at 20 °C: pKa 0.09018 + 2729.92 / 293.15 = 9.4025; at pH 8 the un-ionised share is
    # 1 / (1 + 10^1.4025) = 0.0381; 0.0164 mg/L of it is at its limit: 0.0164 / 0.0381 = 0.43 mg/L in all.
    grid = demo_plan("ordinary_goldfish").grids["hospital-1/ammonia at its limit"]
    cell = grid.cells[grid.rows.index(20.0)][grid.columns.index(8.0)]
    assert cell == pytest.approx(0.43, abs=0.005)
    assert "as N" in grid.unit


def test_no_fish_goes_into_the_water_that_runs_over_its_gills() -> None:
    step = language()["dose.step before the fish"]
    assert isinstance(step, str)
    cards = text("heron_goldfish", "dose-cards.html").split("The veterinarian decides and answers")
    (basin,) = (card for card in cards if "tricaine in the white basin" in card)
    (reservoir,) = (card for card in cards if "tricaine in the reservoir" in card)
    assert step in basin
    assert step not in reservoir


@pytest.mark.longer
def test_the_record_keeps_readings_that_newer_ones_replaced_and_the_case_as_it_was_written() -> None:
    record = text("heron_goldfish", "plan.html", readings=True)
    log = (DEMO_PONDS / "heron_goldfish_readings.csv").read_text(encoding="utf-8")
    read = re.findall(r'"([^"]+)"', log)
    assert len(read) > 5
    for one in (*read, "1.40 m, tape", "20 g/L", "<0.25 mg/L as N, drop kit"):
        assert one in record
    assert "Signature" in record


def test_the_card_of_an_injection_makes_the_mixture_before_it_draws_from_it() -> None:
    # Heron: 0.5 mg/kg of a 50 mg/mL vial. What is drawn from the mixture would be many times the dose from the vial, so
    # that the strength of the mixture stands in the largest print, and the vial is measured once, in ten divisions.
    plan = demo_plan("heron_goldfish")
    (one,) = (action for action in plan.actions if action.kind == "injection" and action.substance == "flunixin")
    vial, diluent, mixed, drawn, strength = (
        plan.figures[one.amounts[name]].act_on for name in ("vial", "diluent", "strength diluted", "draw", "strength")
    )
    assert vial == pytest.approx(0.1)  # ten divisions of 0.01 mL
    assert mixed == pytest.approx(strength * vial / (vial + diluent))
    (card,) = (one for one in text("heron_goldfish", "dose-cards.html").split("injection of ") if one[:8] == "flunixin")
    heading, _, order = card.partition("In this order")
    assert f"{drawn:g} mL of flunixin mixture at {mixed:g} mg/mL" in heading
    make, draw = order.index(f"{vial:g} mL from the vial"), order.index(f"{drawn:g} mL from the mixture")
    assert order.index("second person") < make < draw


def test_the_drug_record_names_what_a_diluted_draw_is_of() -> None:
    """0.12 mL from the 50 mg/mL vial would be 6 mg for a fish of 620 g, twenty times the 0.5 mg/kg that is meant."""
    record = text("heron_goldfish", "drug-record.html")
    assert "flunixin mixture at 2.5 mg/mL 0.12 mL" in record
    assert "tricaine ( 10 mg/mL ) 87 mL" in record


def test_every_caution_of_a_dose_stands_on_its_card_once_and_a_level_names_its_fish() -> None:
    """Meloxicam has one reported level of 1 mg/kg in tilapia, in trout and in rockfish, and one of 5 in goldfish: none is
    cut off, and no two lines read the same."""
    case = (DEMO_PONDS / "ordinary_goldfish.toml").read_text(encoding="utf-8")
    case += '\n[[injections]]\ndrug = "meloxicam"\ndose = "0.2 mg/kg"\nstock = "5 mg/mL"\nsyringe = "0.01 mL"\n'
    made = one_paper(plan(read_case(case), draws=64), "dose-cards.html")
    (card,) = (one for one in made.split("<section") if "meloxicam" in one)
    lines = [re.sub(r"<[^>]+>", "", one) for one in re.findall(r'<li class="serious">(.*?)</li>', card)]
    assert len(lines) == len(set(lines))
    reported = [one for one in lines if one.startswith("Reported level")]
    for fish, level in (("tilapia", 1), ("trout", 1), ("rockfish", 1), ("goldfish", 5)):
        assert any(f"in {fish}" in one and f"{level} mg/kg" in one for one in reported)
    assert any("Label the mixture" in one for one in lines)
