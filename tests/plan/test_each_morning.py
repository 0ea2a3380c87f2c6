"""A stay that is planned again each morning: today's change stays until it is done, and the days go on from the first."""

import re
from datetime import datetime, timedelta
from functools import cache

import pytest

from tests.demos import FEW, one_paper
from waterplan.actions.record import Action, Kind
from waterplan.case import read_case, read_log
from waterplan.papers.parts import in_a_kit
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.stay.figures import rounded
from waterplan.stay.record import ActEnd, WaterKind
from waterplan.words.speaker import Speaker

BEGUN = datetime.fromisoformat("2026-06-10T10:00+00:00")
WARD = """
waterplan_case = 1
[patient]
species = "goldfish"
weight = "1 kg, scales"
[home_pond]
volume = "9000 L, meter fill"
filter = "seeded"
zeolite = false
[home_water]
{pond}
chlorine = "0 mg/L, photometer"
[[vessels]]
name = "ward"
use = "hospital"
volume = "900 L, marked tub"
filter = "unseeded"
air = "12 L/min"
outlets = 3
filled_with = "home water"
taken = {read}
{tank}
chlorine = "0 mg/L, photometer"
[intended]
operation_at = 2026-06-10T10:00:00
days = "14 days"
salt = "2 g/L"
"""
READ = """temperature = "18 °C, digital thermometer"
ph = "7.6, pH meter"
oxygen = "8.6 mg/L, oxygen meter"
tan = "{tan} mg/L as N, photometer"
nitrite = "{nitrite} mg/L as NO2, photometer"
alkalinity = "110 mg/L as CaCO3, photometer"
salinity = "{salt} g/L, conductivity meter"
"""


@cache
def morning(
    day: int,
    hour: int = 8,
    *,
    done: str = "",
    tan: str = "0.1",
    salt: str = "2",
    nitrite: str = "<0.02",
    meant: bool = True,
) -> Plan:
    """The plan of a day of the stay, of a tank that was read an hour before."""
    now = BEGUN.replace(hour=hour) + timedelta(days=day)
    read = f"{now - timedelta(hours=1):%Y-%m-%dT%H:%M:%S}"
    pond, tank = READ.format(tan="<0.05", salt="0.2", nitrite="<0.02"), READ.format(tan=tan, salt=salt, nitrite=nitrite)
    text = WARD.format(pond=pond, tank=tank, read=read)
    if done:
        text += f'[[done]]\nat = {done}\nwhat = "water change"\nvolume = "450 L, marked tub"\n'
    case = read_case(text if meant else text.replace('salt = "2 g/L"', ""))
    levels = (("tan", f"{tan} mg/L as N, photometer"), ("nitrite", f"{nitrite} mg/L as NO2, photometer"))
    times = (now - timedelta(days=1), now)
    rows = [f'{at:%Y-%m-%dT%H:%M},ward,{what},"{level}"' for at in times for what, level in levels]
    log = read_log("taken,water,what,reading\n" + "\n".join(rows) + "\n", case=case, as_of=now)
    return plan(case, readings=tuple(log), as_of=now, draws=FEW)


def daily(made: Plan) -> Action:
    """The change of every day of the ward."""
    (one,) = (one for one in made.actions if one.kind is Kind.CHANGE and one.every_h and "unsalted" not in one.id)
    return one


@pytest.mark.parametrize("hour", [7, 9, 10, 11, 17])
def test_todays_change_is_due_at_its_hour_whenever_the_day_is_planned(hour: int) -> None:
    """By hand: the fish went in on Wed 10 Jun at ten or later, so the first change is ten on Thu 11 Jun; each at ten after."""
    for day in (2, 4):
        one = daily(morning(day, hour))
        today = BEGUN + timedelta(days=day)
        assert one.at == today
        assert one.by == max(today, today.replace(hour=hour))
        assert one.until == daily(morning(1)).until


def test_a_change_that_is_written_down_is_due_again_tomorrow() -> None:
    assert daily(morning(4, 11, done="2026-06-14T10:10:00")).at == BEGUN + timedelta(days=5)
    assert daily(morning(4, 11, done="2026-06-13T10:10:00")).at == BEGUN + timedelta(days=4)


def test_a_change_that_is_late_is_followed_by_the_tank() -> None:
    """The ammonia of the evening is lower for it than where it was done before the reading of the same level."""
    late, was = morning(4, 11), morning(4, 11, done="2026-06-14T10:00:00")
    ends = []
    for made in (late, was):
        (course,) = (one for path, one in made.series.items() if path.startswith("hospital-1/ammonia/"))
        ends.append(next(best for hours, best in zip(course.hours, course.best, strict=True) if hours >= 8.0))
    assert ends[0] < 0.75 * ends[1]


@pytest.mark.parametrize("day", [0, 1, 4])
def test_the_days_of_the_sheet_are_those_of_the_stay(day: int) -> None:
    made = morning(day, 12 if day == 0 else 8)
    (tank,) = (one for one in made.waters if one.kind is WaterKind.HOSPITAL)
    assert [one.day for one in made.days] == list(range(day, 15))
    assert made.days[0].at.date() == BEGUN.date() + timedelta(days=day)
    assert tank.left is not None
    assert made.days[-1].at.date() == tank.left.date()
    assert ("on arrival" in one_paper(made, "hospital.html")) == (day == 0)


def test_the_salt_of_the_changes_is_on_the_sheet_once_the_tank_holds_it() -> None:
    sheet = re.sub(r"<[^>]*>", " ", one_paper(morning(4), "hospital.html"))
    assert not any(one.kind is Kind.SALT and one.is_open for one in morning(4).actions)
    assert "salt" in daily(morning(4)).amounts
    assert re.search(r"ordered:\s*2\s*g/L", sheet)


def test_where_the_tank_is_over_its_limit_the_change_of_today_is_the_first() -> None:
    """One of as many litres by as soon is not ordered beside it."""
    made = morning(4, tan="1.2")
    changes = [one for one in made.actions if one.kind is Kind.CHANGE and one.is_open and "unsalted" not in one.id]
    assert changes == [daily(made)]
    assert daily(made).at == BEGUN + timedelta(days=4)


@pytest.mark.parametrize("nitrite", ["0.05", "0.6", "3"])
def test_the_recheck_and_the_ward_have_one_limit_for_one_tank(nitrite: str) -> None:
    made = morning(4, tan="0.3", salt="0.2", nitrite=nitrite)
    of_kit = {one.hazard.value: one.limit for one in in_a_kit(Speaker(made), "hospital-1")}
    read = {one.quantity: one.limit for one in made.trends}
    assert read["ammonia"] is not None
    assert read["ammonia"].value == made.figures["hospital-1/ammonia/limit"].act_on
    strict = [
        rounded(one.value or 0.0, unit=one.unit, end=ActEnd.LOW) for one in (of_kit["nitrite"], read["nitrite"]) if one
    ]
    assert len(strict) == 2
    assert strict[0] == strict[1]


def test_salt_that_was_read_is_not_ordered_once_more_against_the_nitrite_that_it_keeps_out() -> None:
    """By hand: 2.6 g/L of salt are 2.6 x 0.607 = 1.58 g/L of chloride, 2,600 times the 0.6 mg/L of nitrite."""
    made = morning(4, tan="0.3", salt="2.6", nitrite="0.6")
    assert not [one.id for one in made.actions if one.kind is Kind.SALT and one.is_open]


def test_the_card_of_salt_against_nitrite_has_the_level_that_it_makes() -> None:
    made = morning(4, tan="0.3", salt="0", nitrite="3", meant=False)
    (one,) = (one for one in made.actions if one.id.endswith("nitrite") and one.kind is Kind.SALT and one.is_open)
    card = one_paper(made, "dose-cards.html")
    assert f'data-figure="{one.amounts["reached"]}"' in card


def test_the_salt_that_is_told_to_be_left_is_what_the_tank_has_after_its_parts() -> None:
    """By hand: half of it in two parts takes out 1 - 0.75 x 0.75 = 0.44, and not 0.5."""
    made = morning(1)
    (one,) = (one for one in made.actions if one.id.endswith("unsalted"))
    (told,) = (why.figures["reached"] for why in one.cautions if why.code == "salt-let-out-before-home")
    (course,) = (one for path, one in made.series.items() if path.startswith("hospital-1/salt/"))
    assert one.parts > 1
    assert made.figures[told].best == pytest.approx(course.best[-1], abs=0.05)
