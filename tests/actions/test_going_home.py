"""Going home: salt let out and water cooled over the days before, and the rest by the clock; worked by hand."""

from datetime import datetime, timedelta
from functools import cache
from itertools import pairwise

import pytest

from tests.actions.written import OPERATED, exactly, held_goldfish
from waterplan.actions.record import Action, Kind
from waterplan.case import read_case
from waterplan.hazards.record import Verdict
from waterplan.papers.whole_set import papers
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.words.lines import action_line
from waterplan.words.speaker import Speaker

CASE = held_goldfish(
    patient="""weight = "0.3 ± 0 kg"
length = "25 cm, measuring board"
wound = "closed"
""",
    home=exactly(temperature="{pond}", ph="{ph}", alkalinity=100, salinity="{salt}"),
    mains=f"""[mains_water]
taken = 2026-05-01T08:00:00
disinfectant = "none"
{exactly(temperature=15, ph=7.5, alkalinity=100, salinity=0, tan=0)}""",
    tank=f"""filled_with = "mains water"
volume = "1000 ± 0 L"
air = "15 L/min"
{exactly(temperature=18, alkalinity=100, salinity=0, tan=0, nitrite="{nitrite}")}""",
    intended="""{at}temperature = "18 °C"
room = "17 ± 0 °C"
days = "14 days"
{intended}
""",
)


@cache
def made(
    *,
    pond: float = 18.0,
    ph: float = 7.5,
    salt: float = 0.0,
    intended: float | None = 3.0,
    nitrite: float = 0.0,
    at: str = "operation_at = 2026-05-01T10:00:00\n",
) -> Plan:
    level = "" if intended is None else f'salt = "{intended} g/L"'
    case = read_case(CASE.format(pond=pond, ph=ph, salt=salt, nitrite=nitrite, at=at, intended=level))
    return plan(case, draws=16)


def unsalted(of: Plan) -> list[Action]:
    return [one for one in of.actions if one.id.endswith("/unsalted")]


def acclimated(of: Plan) -> Action:
    return next(one for one in of.actions if one.kind is Kind.ACCLIMATE and one.water == "home-pond")


@pytest.mark.longer
def test_three_grams_are_let_out_over_the_days_before_no_more_than_a_gram_at_once() -> None:
    """From 3 g/L to within 1 g/L of a pond without salt, with unsalted water: each day's change takes its share away.

    Followed by hand: what is left after each change of the litres and the grams that the action names. The first fall
    is the largest. The fish leaves on 15 May; the last change is on the day before, and no salted one comes after the
    first of them.
    """
    plan_ = made()
    (one,) = unsalted(plan_)
    assert one.at is not None
    assert one.until is not None
    days = (one.until - one.at) // timedelta(days=1) + 1
    litres = plan_.figures[one.amounts["litres"]].act_on
    grams = plan_.figures[one.amounts["salt"]].act_on if "salt" in one.amounts else 0.0
    assert litres is not None
    assert grams is not None
    levels = [3.0]
    for _ in range(days):
        level = levels[-1]
        for _ in range(one.parts):
            level = level * (1.0 - litres / one.parts / 1000.0) + grams / one.parts / 1000.0
        levels.append(level)
    assert all(0.0 < before - after <= 1.0 + 0.01 for before, after in pairwise(levels))
    assert levels[-1] == pytest.approx(1.0, abs=0.02)
    assert one.until.date() < datetime.fromisoformat("2026-05-15").date()
    for daily in plan_.actions:
        if daily.kind is Kind.CHANGE and daily.id == "hospital/change/hospital-1":
            assert daily.until is not None
            assert daily.until < one.at
    course = plan_.series["hospital-1/salt/stay"]
    assert course.best[-1] == pytest.approx(levels[-1], abs=0.02)


@pytest.mark.longer
@pytest.mark.parametrize(("salt", "intended"), [(0.0, 0.8), (2.5, 3.0), (0.0, None)])
def test_nothing_is_let_out_where_the_pond_is_no_more_than_a_step_away(salt: float, intended: float | None) -> None:
    assert unsalted(made(salt=salt, intended=intended)) == []


@pytest.mark.longer
def test_salt_stays_while_nitrite_is_high() -> None:
    """At 8 mg/L of nitrite the salt is what keeps the fish alive: letting it out is refused, with what to do instead."""
    (one,) = unsalted(made(nitrite=8.0))
    assert [why.code for why in one.refused_because] == ["salt-stays-while-nitrite-is-high"]
    assert one.instead


def test_a_tank_warmer_than_the_pond_is_cooled_in_the_days_before() -> None:
    """18 to 14 °C at 2 °C a day is two days' steps: it begins a day at least before the fish leaves on 15 May."""
    cooled = next(one for one in made(pond=14.0).actions if one.id.endswith("/home") and one.kind is Kind.COOL)
    assert cooled.at is not None
    assert cooled.at <= OPERATED + timedelta(days=13, hours=2)


@pytest.mark.longer
def test_the_rest_is_done_by_the_clock_in_equal_parts() -> None:
    """Each part is no more than its row: 0.5 °C, pH 0.3, 0.5 g/L, 50 mg/L of alkalinity; the last is the pond itself.

    Of n equal parts the first takes 1/n of the old water away, the next 1/(n - 1) of what is there, the last all.
    """
    plan_ = made(pond=17.0, ph=8.2)
    one = acclimated(plan_)
    n = len(one.steps)
    assert n >= 2
    times = [datetime.fromisoformat(why.words["at"]) for why in one.steps]
    assert all(later - time == timedelta(minutes=30) for time, later in pairwise(times))
    assert one.at == times[0] >= OPERATED + timedelta(days=14)
    shares = [plan_.figures[why.figures["share"]].best for why in one.steps]
    assert shares == [pytest.approx(100.0 / (n - number)) for number in range(n)]
    for quantity, most, last in (
        ("temperature", 0.5, 17.0),
        ("ph", 0.3, 8.2),
        ("salt", 0.5, 0.0),
        ("alkalinity", 50.0, 100.0),
    ):
        values = [plan_.figures[why.figures[quantity]].best for why in one.steps]
        assert values[-1] == pytest.approx(last, abs=0.05)
        assert all(abs(after - before) <= most + 1e-6 for before, after in pairwise(values))  # type: ignore[operator]


@pytest.mark.longer
def test_without_a_clock_the_parts_count_from_the_arrival() -> None:
    plan_ = made(ph=8.2, at="")
    line = action_line(Speaker(plan_), acclimated(plan_))
    assert "0 min after it arrives" in line
    assert "30 min after it arrives" in line


def test_what_is_too_far_apart_is_not_left_to_the_day() -> None:
    """With nitrite in the tank its 3 g/L stay, and the pond has none: the fish is not lifted over, and where it stays is said."""
    one = acclimated(made(nitrite=8.0))
    assert {"too-far-apart-in-salt", "salt-stays-while-nitrite-is-high"} <= {why.code for why in one.refused_because}
    assert one.instead


@pytest.mark.longer
def test_a_tank_is_not_brought_to_a_pond_that_its_fish_does_not_bear() -> None:
    """Goldfish bear 1 to 41 °C by their row: towards a pond of 42 °C none is warmed, though the fish is to go there."""
    (one,) = [one for one in made(pond=42.0).actions if one.kind is Kind.WARM and one.id.endswith("/home")]
    assert "temperature-outside-tolerated" in {why.code for why in one.refused_because}
    assert one.instead
    (other,) = [one for one in made(pond=24.0).actions if one.kind is Kind.WARM and one.id.endswith("/home")]
    assert "temperature-outside-tolerated" not in {why.code for why in other.refused_because}


def test_how_far_apart_two_waters_are_reads_the_same_in_the_refusal_and_in_the_judgement() -> None:
    """A pond read with an error of 2 °C: what is refused and what is judged say the same end of the same band."""
    text = CASE.replace("{pond} ± 0", "{pond} ± 2").replace("{at}", "operation_at = 2026-05-01T10:00:00\n")
    found = plan(read_case(text.format(pond=30.0, ph=7.5, salt=0.0, nitrite=0.0, intended="")), draws=64)
    (why,) = (one for one in acclimated(found).refused_because if one.code == "too-far-apart-in-temperature")
    judged = next(one for one in found.judgements if one.id == "home-pond/temperature step/home/after")
    speaker, figure = Speaker(found), found.figures[why.figures["apart"]]
    assert speaker.figure(why.figures["apart"]) == speaker.figure(str(judged.figure))
    assert figure.act_on is not None
    assert figure.act_on > (figure.best or 0.0) + 1.0


def test_a_step_on_the_way_home_takes_no_water_change_from_a_tank_before_it() -> None:
    """A tank that is warmed to 6 °C over its pond needs much ice before the way home: its fish was left in its ammonia for that."""
    text = CASE.format(pond=6.0, ph=7.5, salt=0.0, nitrite=0.0, at="operation_at = 2026-05-01T10:00:00\n", intended="")
    text = (
        text.replace("0.3 ± 0 kg", "2.5 ± 0 kg")
        .replace('"18 ± 0 °C"', '"6 ± 0 °C"')
        .replace('temperature = "18 °C"', 'temperature = "12 °C"')
    )
    found = plan(read_case(text.replace("17 ± 0 °C", "9 ± 0 °C").replace("15 ± 0 °C", "7 ± 0 °C")), draws=16)
    (change,) = [one for one in found.actions if one.kind is Kind.CHANGE and one.water == "hospital-1"]
    assert change.is_open
    (home,) = [one for one in found.judgements if one.id == "home-pond/temperature step/home/after"]
    assert home.verdict is Verdict.ACT_NOW


@pytest.mark.parametrize(("pond", "bag"), [(7.0, 7.0), (30.0, 26.0), (18.0, 18.0)])
def test_where_one_way_is_refused_no_way_of_the_fish_is_gone_nor_packed_for(pond: float, bag: float) -> None:
    """A bag filled at 7 °C is further from a tank at 18 °C than any step, a pond at 30 °C from a bag at 26 °C.

    Nobody packs the bag, lifts the fish, or tells the owner a day on which it comes home; where all three are alike it goes.
    """
    text = CASE.format(pond=pond, ph=7.5, salt=0.0, nitrite=0.0, at="operation_at = 2026-05-01T10:00:00\n", intended="")
    text += f'[[transports]]\nby = "bag with oxygen"\nvolume = "3 L, marked tub"\nhours = "60 min"\ntemperature = "{bag} ± 0 °C"\n'
    found = plan(read_case(text.replace("1000 ± 0 L", "9000 ± 0 L")), draws=16)
    ways = [one for one in found.actions if one.kind in (Kind.ACCLIMATE, Kind.PACK)]
    refused = [one for one in ways if one.refused_because]
    assert {one.water for one in ways} >= {"home-pond"}
    assert bool(refused) is (bag != 18.0)
    assert refused == ([] if bag == 18.0 else ways)
    pages = papers(found)
    comes = Speaker(found).say("owner.comes home", at="")
    assert (comes.lstrip(": ") in pages["owner.html"]) is not bool(refused)
    assert ("15 May, 09:00" in pages["transport.html"]) is not bool(refused)
