"""The salt that a tracer test of the home pond takes: worked by hand, and what speaks against it."""

import pytest

from waterplan.actions.proposing import Context
from waterplan.actions.record import Action
from waterplan.actions.tracer_salt import tracer_salt
from waterplan.case import read_case
from waterplan.plan.whole import plan
from waterplan.spread import Draws
from waterplan.stay.effects import Effects
from waterplan.stay.figures import Figures
from waterplan.stay.whole import lay_out, stay
from waterplan.tables import shipped
from waterplan.words.terminal import first_page

CASE = """waterplan_case = 1
[patient]
species = "koi"
weight = "1.1 kg, scales"
[home_pond]
{pond}[home_water]
temperature = "18 ± 0 °C"
salinity = "{salt} ± 0 g/L"
[[other_fish]]
species = "{other}"
count = 4
weight = "2 kg, scales"
[[vessels]]
name = "blue tub"
use = "revival"
volume = "60 L, marked tub"
"""
WANTED = 'volume = "10000 ± 2500 L"\nwanted_within = "{within} %"\n'


def proposed(pond: str, *, salt: float = 0.0, other: str = "koi") -> tuple[list[Action], Figures]:
    text = CASE.format(pond=pond, salt=salt, other=other)
    ground = lay_out(read_case(text, file="case"), draws=Draws(count=2048))
    context = Context(ground=ground, stay=stay(ground, Effects()), judged={}, accepted=())
    return [one.action for one in tracer_salt(context)], ground.figures


def test_worked_by_hand() -> None:
    # 10,000 ± 2,500 L: one sd 1,275.5, so the band is 7,902 to 12,098 L. ± 5 % is a wanted sd of 0.05/1.6449 = 0.030398;
    # of it meter and calibration take ((0.02/1.96)2 + (0.028/1.96)2)^0.5 = 0.017556 and leave 0.024816. A reading repeats
    # to 0.02/1.96 = 0.010204 g/L, the rise of two means of five to 0.0064536: a rise of 0.26006 g/L is wanted. In 12,098 L
    # that is 3,146 g, and in 7,902 L those make 0.398 g/L.
    (action,), figures = proposed(WANTED.format(within=5))
    assert figures.draws(action.amounts["salt"])[0] == pytest.approx(3146.0, rel=0.005)
    assert figures.draws(action.amounts["level reached"])[0] == pytest.approx(0.398, abs=0.004)
    assert action.worked_out_for == {"volume": "high"}
    assert [why.code for why in action.cautions] == ["tracer-plants-or-zeolite-not-stated"]


def test_the_wanted_certainty_is_the_cases() -> None:
    # ± 10 %: 0.060796 less 0.017556 in squares is 0.058206; the rise 0.0064536 / 0.058206 = 0.11088 g/L, in 12,098 L 1,341 g.
    (action,), figures = proposed(WANTED.format(within=10))
    assert figures.draws(action.amounts["salt"])[0] == pytest.approx(1341.0, rel=0.005)
    # ± 2 % is less than the meter and its calibration alone allow, 1.6449 x 1.7556 % = 2.9 %.
    (refused,), figures = proposed(WANTED.format(within=2))
    (why,) = refused.refused_because
    assert why.code == "tracer-cannot-be-that-sure"
    assert figures.draws(why.figures["best"])[0] == pytest.approx(2.888, abs=0.01)
    assert refused.amounts == {}


def test_not_where_the_volume_is_sure_or_nobody_asks() -> None:
    assert proposed('volume = "10000 ± 100 L"\nwanted_within = "5 %"\n')[0] == []
    assert proposed('volume = "10000 ± 2500 L"\n')[0] == []
    assert proposed("")[0] == []


def test_the_ceiling_is_that_of_the_fish_that_bears_least() -> None:
    # 0.2 g/L there and 0.398 g/L more pass the 0.5 g/L of a sturgeon (salt_ceilings), not the 5 g/L of a koi. Of salt that
    # lifts 7,902 L by the 0.3 g/L that are left, 2,371 g may go in.
    assert proposed(WANTED.format(within=5), salt=0.2)[0][0].refused_because == ()
    (refused,), figures = proposed(WANTED.format(within=5), salt=0.2, other="sturgeon")
    (why,) = refused.refused_because
    assert why.code == "tracer-above-salt-ceiling"
    assert figures.draws(why.figures["ceiling"])[0] == pytest.approx(0.5)
    assert figures.draws(why.figures["may go in"])[0] == pytest.approx(2371.0, rel=0.005)
    assert "tracer-with-sturgeon" in [one.code for one in refused.cautions]


def test_plants_are_told_of_and_zeolite_refuses() -> None:
    (action,), _ = proposed(WANTED.format(within=5) + 'plants = "yes"\nzeolite = "no"\n')
    assert [why.code for why in action.cautions] == ["tracer-with-plants"]
    (refused,), _ = proposed(WANTED.format(within=5) + 'plants = "no"\nzeolite = "yes"\n')
    assert [why.code for why in refused.refused_because] == ["tracer-with-zeolite"]
    assert refused.cautions == ()


def test_no_pond_is_salted_for_its_litres_while_fish_are_ill_in_it() -> None:
    """Most fish of the well's pond are ill; without the sign its guessed litres call for salt to measure them by."""
    well = (shipped("demo_ponds") / "well_and_new_fish.toml").read_text(encoding="utf-8")
    ill, sound = (plan(read_case(text), draws=16) for text in (well, well.partition("[[seen]]")[0]))
    salting = [
        [one for one in found.actions if "salt" in one.amounts and one.kind == "measure"] for found in (ill, sound)
    ]
    assert [len(one) for one in salting] == [0, 1]
    assert "home pond, to learn its litres" in first_page(sound)
    assert "salt against nitrite is for all of them" in " ".join(first_page(ill).split())
