"""That all papers are made of a case with any doses, and that what goes into the van is added up part by part."""

import math
import re

import pytest

from tests.demos import FEW, longer_but_for, one_paper
from waterplan import tables
from waterplan.case import read_case
from waterplan.dose import substances
from waterplan.papers.whole_set import papers
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.stay.figures import rounded
from waterplan.stay.record import ActEnd

WATER = """
taken = 2026-06-10T07:00:00
temperature = "17.8 °C, digital thermometer"
ph = "7.6, pH meter"
oxygen = "8.4 mg/L, oxygen meter"
tan = "<0.05 mg/L as N, photometer"
nitrite = "<0.02 mg/L as NO2, photometer"
alkalinity = "115 mg/L as CaCO3, photometer"
salinity = "0.2 g/L, conductivity meter"
"""
CASE = f"""
waterplan_case = 1
[patient]
species = "goldfish"
weight = "0.31 kg, scales"
eaten = false
wound = "open"
[home_pond]
volume = "9000 L, meter fill"
filter = "seeded"
zeolite = false
[home_water]{WATER}
chlorine = "0 mg/L, photometer"
[[vessels]]
name = "blue tub"
use = "induction"
volume = "40 L, marked tub"{WATER}
[[vessels]]
name = "ward"
use = "hospital"
volume = "400 L, marked tub"
filter = "unseeded"
air = "8 L/min"
outlets = 2
filled_with = "home water"{WATER}
chlorine = "0.2 mg/L, photometer"
[intended]
operation_at = 2026-06-10T10:00:00
days = "14 days"
feed = "0 %/day"
salt = "2 g/L"
salt_dip = "10 g/L"
"""
SALT = """
[[doses]]
substance = "salt"
use = "prolonged"
into = "home pond"
strength = "2 g/L"
bottle = "powder"
grade = "rock salt, fit for people or livestock"
scale = "10 g"
at = 2026-06-10T16:00:00
"""
LABELS = {"powder": "powder", "oil": "85 % eugenol", "liquid": "37 % w/v"}


def dose(name: str, use: str, into: str) -> str:
    """A dose at a level that is printed for it, else at one of a unit."""
    row = substances.substance(name)
    columns = (("anaesthetics", "stage"), ("bath_limits", "use"), ("disinfectants", "use"))
    rows = (one for table, column in columns for one in tables.rows(table, agent=row["agent"]) if one[column] == use)
    printed = [one for one in rows if math.isfinite(one.high)]
    level = printed[0].high if printed else 1.0
    labels = {"povidone-iodine": "10 % PVP-I", "ethanol": "96 % v/v", "hypochlorite": "5 % available chlorine"}
    bottle = labels.get(name, LABELS[row["form"]])
    added = 'added = "800 L, owner\'s word"\n' if use == "hose left running" else ""
    grade = 'grade = "rock salt, fit for people or livestock"\n' if name == "salt" else ""
    strength = f'strength = "{level:g} {row.unit}"\n' if use != "tap water" and not added else ""
    return (
        f'[[doses]]\nsubstance = "{name}"\nuse = "{use}"\ninto = "{into}"\n{strength}{added}{grade}'
        f'bottle = "{bottle}"\nscale = "0.1 g"\nsyringe = "0.1 mL"\n'
    )


def planned(*more: str) -> Plan:
    return plan(read_case(CASE + "".join(more)), draws=FEW)


def is_added_up(made: Plan) -> None:
    """Each load is a figure of its own: what it is of, with the spare of its own part."""
    figures = [one.figure for one in made.van]
    assert len(set(figures)) == len(figures), figures
    for one in made.van:
        if one.part in ("reagent", "drug"):
            unit, spare = made.figures[one.figure].unit, tables.row("van_spares", part=one.part).value
            of = zip(one.of, one.times, strict=True)
            total = sum(times * (made.figures[path].act_on or 0.0) for path, times in of)
            assert made.figures[one.figure].act_on == rounded(total * (1.0 + spare), unit=unit, end=ActEnd.HIGH), one
            assert one.spare in made.rows


def test_salt_that_is_intended_and_salt_that_is_dosed_are_weighed_apart() -> None:
    """They were one figure, the pond's 19 kg, on both lines; and papers without chlorine in the ward were not made."""
    made = planned(SALT)
    salts = {one.part: made.figures[one.figure].act_on or 0.0 for one in made.van if one.what == "salt"}
    assert salts["reagent"] < 3_000.0  # 400 L
    assert salts["drug"] > 15_000.0  # 9,000 L
    is_added_up(made)


@pytest.mark.parametrize("name", longer_but_for(("copper",), substances.known_substances()))
def test_all_papers_are_made_whatever_is_dosed_beside_salt(name: str) -> None:
    every = [
        dose(name, use, into)
        for use in substances.uses_of(name)
        for into in ("home pond", "ward", "blue tub", "20 L, marked tub")
    ]
    for beside in ("", SALT):
        made = planned(beside, *every)
        is_added_up(made)
        assert papers(made)


def test_what_takes_permanganate_out_is_peroxide_by_the_bottle_and_nothing_is_put_back() -> None:
    """By hand: 18 g into 9,000 L take 18 x 0.3229 = 5.8 g of pure peroxide, 194 mL at 3 g in 100 mL; somewhat less as the
    grams are for the low end of the pond. The card said "6 g of neutraliser" and "4 g of put back".
    """
    given = dose("potassium permanganate", "bath", "home pond") + "at = 2026-06-10T16:00:00\n"
    made = planned(given)
    (card,) = (one for one in made.actions if one.substance == "potassium permanganate")
    assert card.is_open
    grams, drawn = (made.figures[card.amounts[name]] for name in ("mass", "neutraliser"))
    assert drawn.unit == "mL"
    assert drawn.act_on == math.ceil((grams.act_on or 0.0) * 0.3229 / 0.03)
    assert "put back" not in card.amounts
    (loaded,) = (one for one in made.van if card.amounts["neutraliser"] in one.of)
    assert loaded.what == "hydrogen peroxide"
    text = " ".join(re.sub(r"<[^>]*>", " ", one_paper(made, "dose-cards.html")).split())
    assert re.search(r"☐ 1\d\d mL of hydrogen peroxide of 3 % , to have ready", text)
    assert "put back" not in text


def test_a_level_is_one_figure_on_the_card_of_the_dose_and_on_that_of_the_tub() -> None:
    """The high end on both: 98 mg/L stood on the one and 100 on the other."""
    made = planned(dose("tricaine", "induction", "blue tub"))
    (ordered,) = (one for one in made.actions if one.substance == "tricaine")
    (tub,) = (one for one in made.waters if one.id == "induction-1")
    (held,) = (one for one in tub.states[-1].contents if one.substance == "tricaine")
    assert ordered.is_open
    assert held.level is not None
    assert made.figures[held.level].act_on == made.figures[ordered.amounts["level"]].act_on
