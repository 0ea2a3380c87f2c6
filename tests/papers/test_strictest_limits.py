"""The limit of a paper that a kit is read against: the strictest in force for that water, and none laxer for a worse reading."""

import re
from collections.abc import Iterator
from functools import cache
from itertools import islice, pairwise

import pytest

from tests.demos import DEMOS, demo_plan, longer_but_for, one_paper
from tests.plan.generated_cases import cases
from tests.visible_text import text_of
from waterplan.actions.record import Kind
from waterplan.case import read_case
from waterplan.hazards.record import Hazard, Side, Verdict
from waterplan.papers.parts import in_a_kit
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.stay.record import Moment
from waterplan.words.speaker import Speaker
from waterplan.words.terminal import first_page

CASE = """waterplan_case = 1
[[patients]]
species = "goldfish"
count = 4
weight = "0.18 kg, scales"
[place]
altitude = "0 ± 0 m"
[home_pond]
volume = "2500 ± 25 L"
zeolite = false
[home_water]
taken = 2026-06-15T06:00
temperature = "19 ± 0.2 °C"
ph = "7.6 ± 0.05"
oxygen = "7.4 ± 0.1 mg/L"
tan = "0.1 ± 0.02 mg/L as N"
nitrite = "{nitrite}"
alkalinity = "90 ± 2 mg/L as CaCO3"
chloride = "{chloride} ± 1 mg/L"
chlorine = "0 ± 0.002 mg/L"
[mains_water]
taken = 2026-06-15T06:30
disinfectant = "none"
temperature = "19 ± 0.2 °C"
ph = "7.5 ± 0.05"
chlorine = "0 ± 0.002 mg/L"
tan = "0 ± 0.01 mg/L as N"
nitrite = "0 ± 0.005 mg/L as NO2"
alkalinity = "90 ± 2 mg/L as CaCO3"
[[vessels]]
name = "wake tub"
use = "revival"
volume = "60 ± 1 L"
[intended]
operation_at = 2026-06-15T10:00
days = "0 days"
{seen}
"""
SEEN = '[[seen]]\nsign = "brown gills"\nat = 2026-06-15T06:00\nfish = "several"\n'


@cache
def made(nitrite: str, chloride: int = 25, seen: str = "") -> Plan:
    return plan(read_case(CASE.format(nitrite=nitrite, chloride=chloride, seen=seen)), draws=64)


def laxer_than_judged(found: Plan) -> Iterator[str]:
    for water in found.waters:
        for one in in_a_kit(Speaker(found), water.id):
            kept = one.limit
            assert kept is not None
            for other in found.judgements:
                limit = other.limit
                if (other.water, other.hazard) != (water.id, one.hazard) or limit is None or limit.value is None:
                    continue
                if (limit.unit, limit.side) != (kept.unit, kept.side) or kept.value is None:
                    continue
                over = kept.value > limit.value if kept.side is Side.AT_MOST else kept.value < limit.value
                wide = None not in (kept.upper, limit.upper) and kept.upper > limit.upper > kept.value  # type: ignore[operator]
                if over or wide:
                    yield f"{other.id}: {limit.value:g} to {limit.upper}, and on paper {kept.value:g} to {kept.upper}"


@pytest.mark.parametrize("name", DEMOS)
def test_no_limit_of_a_demo_is_laxer_than_one_that_it_is_judged_by(name: str) -> None:
    assert list(laxer_than_judged(demo_plan(name))) == []


@pytest.mark.parametrize("begin", longer_but_for((), range(0, 40, 8)))
def test_no_limit_of_a_generated_case_is_laxer_than_one_that_it_is_judged_by(begin: int) -> None:
    """Slow: each case is planned."""
    for case in islice(cases(begin + 8, 10), begin, None):
        assert list(laxer_than_judged(case.plan())) == [], case.number


def nitrite_of(found: Plan) -> float:
    (one,) = [one for one in in_a_kit(Speaker(found), "home-pond") if one.hazard == "nitrite"]
    assert one.limit is not None
    assert one.limit.value is not None
    return one.limit.value


READ = (0.05, 0.4, 1.0, 1.7, 2.0, 2.4, 2.6, 4.0)


@pytest.mark.parametrize("chloride", longer_but_for((25,), (2, 5, 15, 25, 60)))
@pytest.mark.parametrize(
    "seen", [pytest.param("", id="nothing seen", marks=pytest.mark.longer), pytest.param(SEEN, id="brown gills")]
)
def test_a_worse_nitrite_makes_no_limit_laxer(chloride: int, seen: str) -> None:
    """A tenth of the chloride, at most half a milligram as N, 1.64 as the ion: 25 mg/L allow no more than that, 5 mg/L 0.5."""
    limits = [nitrite_of(made(f"{nitrite} ± 0.05 mg/L as NO2", chloride, seen)) for nitrite in READ]
    assert all(later <= earlier + 1e-9 for earlier, later in pairwise(limits)), limits
    assert max(limits) <= max(min(chloride / 10.0, 1.6423), 0.3285)
    assert min(limits) >= 0.328


@pytest.mark.parametrize("nitrite", [2.0, 2.4, 2.6])
def test_the_owner_of_fish_with_brown_gills_is_told_no_limit_that_an_anaesthetic_has(nitrite: float) -> None:
    """Chloride 25 over ten would be 2.5; and half of the pond changed for water without chloride leaves less than 1.64."""
    told = text_of(one_paper(made(f"{nitrite} ± 0.05 mg/L as NO2", 25, SEEN), "owner.html"))
    found = re.search(r"Nitrite\W+at most\s+([\d.]+)", told)
    assert found, told
    assert float(found[1]) <= 1.6


def test_salt_against_nitrite_is_among_the_first_where_gills_are_brown() -> None:
    """Air, first aid, new water, salt; food that is not given comes after."""
    found = made("4 ± 0.05 mg/L as NO2", 25, SEEN)
    kinds = [{one.id: one for one in found.actions}[path].kind for path in found.first_page.do_now]
    assert kinds.index(Kind.AIR) < kinds.index(Kind.FIRST_AID) < kinds.index(Kind.CHANGE) < kinds.index(Kind.SALT)
    assert Kind.STOP_FEEDING not in kinds[: kinds.index(Kind.SALT)]
    salt = next(one for one in found.actions if one.kind is Kind.SALT and one.is_open)
    assert any(path.endswith("brown gills") for path in salt.answers)


@pytest.mark.parametrize(
    ("nitrite", "asked"),
    [
        ("2.0 ± 0.05 mg/L as NO2", False),
        pytest.param("2 ± 0.05 mg/L as N", False, marks=pytest.mark.longer),
        ("2 mg/L, basis unknown", True),
    ],
)
def test_the_basis_of_a_kit_is_a_step_only_where_nobody_stated_it(nitrite: str, asked: bool) -> None:
    told = " ".join(first_page(made(nitrite, 25, SEEN)).split())
    assert "No chasing and no anaesthetic" in told
    assert ("does not say its basis" in told) is asked


BATH = '[[vessels]]\nname = "bath"\nuse = "induction"\nvolume = "40 ± 1 L"\n[intended]'


@pytest.mark.parametrize("nitrite", ["0.2", "0.4", "2.0"])
def test_a_reading_has_one_limit_at_a_moment(nitrite: str) -> None:
    """Chloride 60 over ten would be 6 mg/L of nitrite before an anaesthetic, beside the 1.64 of the pond: it is a ratio of its own.

    By hand 60 to 2.0 is 30 to 1, of which 10 are asked.
    """
    text = CASE.format(nitrite=f"{nitrite} ± 0.005 mg/L as NO2", chloride=60, seen="").replace("[intended]", BATH)
    found = plan(read_case(text), draws=64)
    judged = [one for one in found.judgements if one.water == "home-pond" and one.moment is Moment.CALL]
    nitrites = [one for one in judged if one.hazard is Hazard.NITRITE]
    assert len(nitrites) == 2
    units = [one.limit.unit for one in nitrites if one.limit is not None]
    assert len(units) == len(set(units))
    (before,) = (one for one in nitrites if one.id.endswith("before an anaesthetic"))
    assert before.verdict is Verdict.WITHIN_LIMIT
    if nitrite == "2.0":
        assert found.figures[str(before.figure)].best == pytest.approx(30.0)
        assert before.limit is not None
        assert before.limit.value == 10.0


TANK = """[[vessels]]
name = "long tank"
use = "hospital"
volume = "300 ± 3 L"
air = "6 L/min"
taken = 2026-06-15T06:30
nitrite = "{nitrite}"
chloride = "2 ± 1 mg/L"
"""
UNTIL_SALTED = re.compile(
    r"[Nn]itrite\W+at most ([\d.]+) mg/L(?: as NO₂)? until all the salt is in, then at most ([\d.]+)"
)


@pytest.mark.parametrize("paper", ["owner.html", "hospital.html", "handover.html"])
def test_until_the_salt_is_in_the_limit_of_so_little_chloride_holds_and_then_that_of_the_salt(paper: str) -> None:
    """Salt for ten times as much chloride as a nitrite of 4.0: at most half a milligram as N, 1.64, is allowed even then."""
    before, _, after = CASE.partition("[mains_water]")
    text = before + after[after.index("[[vessels]]") :].replace('days = "0 days"', 'days = "3 days"') + TANK
    found = plan(read_case(text.format(nitrite="4.0 ± 0.05 mg/L as NO2", chloride=2, seen="")), draws=64)
    water = "home-pond" if paper == "owner.html" else "hospital-1"
    assert [one for one in found.actions if one.kind is Kind.SALT and one.water == water and one.is_open]
    told = UNTIL_SALTED.search(" ".join(text_of(one_paper(found, paper)).split()))
    assert told
    now, then = map(float, told.groups())
    assert now <= 0.3285
    assert 1.6 <= then <= 1.6423


def test_without_salt_ordered_one_limit_of_nitrite_stands_on_the_owners_page() -> None:
    assert "until all the salt is in" not in text_of(one_paper(made("0.05 ± 0.05 mg/L as NO2", 5), "owner.html"))
