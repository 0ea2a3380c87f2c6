"""The owner's page of every invented case: plain words, short sentences, what a kit shows, and only what was done."""

import re

import pytest

from tests.demos import DEMOS, demo_papers, demo_plan, one_paper
from tests.visible_text import blocks
from waterplan.actions.record import Who
from waterplan.case import read_case
from waterplan.plan.whole import plan

# What an owner of twelve does not know, or a kit does not show.
TRADE = (
    *("acclimat", "aerat", "un-ionised", "as N", "CaCO", "posture", "probab", "degree-day", "judgement", "verdict"),
    *("stocking", "occupant", "ceiling", "saturation", "times in 20", "best estimate", "elective", "anaesth", "sedat"),
    *("operculum", "biofilter", "TAN", "alkalinity of", "induction", "irrigation", "hypothetical", "dosage", "basis"),
)
MOST_WORDS = 20
CASE = """
waterplan_case = 1
[patient]
species = "goldfish"
weight = "0.5 kg, scales"
eaten = false
{wound}
[home_water]
temperature = "18 ± 0.01 °C"
ph_taken = 2026-06-03T16:00:00
ph = "8.0 ± 0.001"
oxygen = "8.8 mg/L, oxygen meter"
tan = "0.1 mg/L as N, drop kit"
nitrite = "{nitrite}"
alkalinity = "150 mg/L as CaCO3, drop kit"
[[vessels]]
name = "blue tub"
use = "revival"
volume = "80 L, marked tub"
[intended]
operation_at = 2026-06-04T10:00:00
"""
OWNERS = "owner.html"
CLOSED = 'wound = "closed"\ndone = "flank wound closed"'


def page(owners: str) -> list[str]:
    """The visible text of the owner's page, a block each, without what the case says in its own words."""
    found = []
    for block in blocks(owners):
        kept = [piece.text for piece in block if not any(name == "data-case" for name, _ in piece.marks)]
        found.append(" ".join("".join(kept).split()))
    return found


def of_case(wound: str = CLOSED, nitrite: str = "0.1 mg/L as NO2, drop kit") -> str:
    return "\n".join(page(one_paper(plan(read_case(CASE.format(wound=wound, nitrite=nitrite)), draws=64), OWNERS)))


@pytest.mark.parametrize("name", DEMOS)
def test_no_trade_word_stands_on_it(name: str) -> None:
    text = "\n".join(page(demo_papers(name)[OWNERS]))
    assert [word for word in TRADE if word in text] == []


@pytest.mark.parametrize("name", DEMOS)
def test_no_sentence_has_more_than_twenty_words(name: str) -> None:
    for block in page(demo_papers(name)[OWNERS]):
        for sentence in re.split(r"(?<=[a-z\d)])[.!?;:](?:\s|$)", block):
            # a number with its unit is read as one word
            words = re.sub(r"[\d,.]+\s(?:mg/L|g/L|L/min|°C|L|kg|g|h|min|%)(?=\W|$)", "number", sentence).split()
            assert len(words) <= MOST_WORDS, sentence


@pytest.mark.parametrize("name", DEMOS)
def test_it_has_the_ammonia_that_a_kit_shows(name: str) -> None:
    """The total at its limit, at the low end: no higher than the best estimate, and never a number `as N`; of what is below
    the first step of what it was read with, 0.25 mg/L of a drop kit and 0.05 of a photometer, no colour at all.
    """
    made = demo_plan(name)
    if not any(one.hazard == "ammonia" and one.water == "home-pond" for one in made.judgements):
        pytest.skip("no pond is judged")
    figure = made.figures["home-pond/ammonia/limit"]
    assert figure.act_on is not None
    assert figure.best is not None
    assert figure.act_on <= figure.best
    lines = page(demo_papers(name)[OWNERS])
    at = lines.index("Ammonia, the total that the kit shows")
    read = [one.text for one in made.written if (one.section, one.key) == ("home_water", "tan")]
    if figure.act_on < (0.05 if any("photometer" in text for text in read) else 0.25):
        assert lines[at + 1] == "no colour at all"
    else:
        assert re.fullmatch(r"at most [\d.]+ mg/L", lines[at + 1])


def test_the_limit_of_total_ammonia_is_that_of_this_water() -> None:
    """Emerson 1975 at 18 °C: pKa = 0.09018 + 2729.92 / 291.15 = 9.4665; at pH 8 the share is
    1 / (1 + 10^1.4665) = 0.03302. The law's 0.02 mg/L of NH3 is 0.02 x 14.007 / 17.031 = 0.016449 as N;
    0.016449 / 0.03302 = 0.498. Both were read with next to no error: 0.49 is what a kit must not pass.
    """
    lines = of_case().splitlines()
    assert lines[lines.index("Ammonia, the total that the kit shows") + 1] == "at most 0.49 mg/L"


@pytest.mark.parametrize(
    ("nitrite", "shown"),
    # The row is 0.1 mg/L as N: 0.1 x 46.005 / 14.007 = 0.328 as NO2; of an unstated basis the lower number is safe.
    [("0.1 mg/L as NO2, drop kit", "0.32"), ("0.05 mg/L as N, drop kit", "0.1"), ("0.1 mg/L, basis unknown", "0.1")],
)
def test_nitrite_reads_as_the_kit_shows_it(nitrite: str, shown: str) -> None:
    lines = of_case(nitrite=nitrite).splitlines()
    assert lines[lines.index("Nitrite") + 1] == f"at most {shown} mg/L"


@pytest.mark.parametrize(
    ("wound", "said", "not_said"),
    [
        (CLOSED, {"loose stitch", "looks at the stitches"}, set()),
        ('wound = "none"\ndone = "fin clipped"', set(), {"titch", "The wound"}),
        ('wound = "open"\ndone = "abscess opened"', {"The wound"}, {"titch"}),
        ('done = "scales lifted"', {"The wound", "looks at the fish"}, {"titch"}),
    ],
)
def test_it_tells_of_stitches_only_where_there_are_some(wound: str, said: set[str], not_said: set[str]) -> None:
    text = of_case(wound)
    assert [one for one in said if one not in text] == []
    assert [one for one in not_said if one in text] == []


def test_it_tells_the_day_of_coming_home_and_the_grams_for_new_water() -> None:
    # Ten days in the tank from 4 June, 12:40: home on 14 June. The tap has chlorine: so many grams for so many litres.
    text = "\n".join(page(demo_papers("ordinary_goldfish")[OWNERS]))
    assert "Sun 14 Jun: the fish comes home." in text
    assert re.search(r"put [\d.]+ g of sodium thiosulphate crystals into each 100 L", text)


def test_a_change_of_the_owners_has_its_grams() -> None:
    """Every amount of a change that the owner makes stands on the page."""
    made = demo_plan("heron_goldfish")
    change = next(one for one in made.actions if one.kind == "change" and not one.refused_because)
    mine = change.model_copy(update={"water": "home-pond", "who": Who.OWNER, "id": "home/change/home-pond"})
    html = one_paper(made.model_copy(update={"actions": (*made.actions, mine)}), OWNERS)
    for name in ("litres", "thiosulphate", "salt", "bicarbonate"):
        assert f'data-figure="{change.amounts[name]}"' in html


def test_what_is_refused_is_forbidden_in_so_many_words() -> None:
    """A name alone under "Do not do this" would read like what to use."""
    bans = [one for one in page(one_paper(demo_plan("sturgeon_fin"), OWNERS)) if "odium bicarbonate" in one]
    assert bans == ["⊘ No sodium bicarbonate in the home pond."]
