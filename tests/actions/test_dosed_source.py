"""Water of a pond that is dosed is poured before the dose and not after it; worked by hand from the hours of both."""

from datetime import datetime, timedelta

from tests.actions.written import exactly, held_goldfish
from waterplan.actions.record import Action, Kind
from waterplan.case import read_case
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.words.lines import action_line
from waterplan.words.speaker import Speaker

CASE = held_goldfish(
    patient="""weight = "0.31 ± 0 kg"
eaten = false
wound = "open"
""",
    home=exactly(temperature=18, ph=7.6, oxygen=8.4, alkalinity=115, salinity=0.2, tan=0, nitrite=0, chlorine=0),
    mains="{mains}",
    tank=f"""filled_with = "home water"
filter = "unseeded"
volume = "400 ± 0 L"
air = "8 L/min"
{exactly(temperature=18, alkalinity=115, salinity=0.2, tan=0, nitrite=0)}""",
    intended="""operation_at = 2026-05-01T10:00:00
days = "14 days"
feed = "0 %/day"
{intended}""",
)
TAP = f"""[mains_water]
taken = 2026-05-01T08:00:00
disinfectant = "none"
{exactly(temperature=18, ph=7.6, alkalinity=115, salinity=0.2, chlorine=0, tan=0, nitrite=0)}"""
DOSED = datetime.fromisoformat("2026-05-06T09:00:00+00:00")
PERMANGANATE = (
    'substance = "potassium permanganate"\nuse = "bath"\nstrength = "2 mg/L"\nbottle = "powder"\nscale = "0.1 g"\n'
)
SALT = (
    'substance = "salt"\nuse = "prolonged"\nstrength = "2 g/L"\nbottle = "powder"\nscale = "10 g"\n'
    'grade = "rock salt, fit for people or livestock"\n'
)
TWO = 'salt = "2 g/L"\n'


def made(dose: str, *, mains: str = "", intended: str = "", at: str = "2026-05-06T09:00:00") -> Plan:
    text = CASE.format(mains=mains, intended=intended)
    return plan(read_case(text + f'[[doses]]\n{dose}into = "home pond"\nat = {at}\n'), draws=16)


def poured(of: Plan, *, source: str) -> list[Action]:
    """The changes of the tank from a source that are ordered."""
    mine = [one for one in of.actions if one.water == "hospital-1" and one.kind is Kind.CHANGE and one.is_open]
    return [one for one in mine if one.source == source]


def last(one: Action) -> datetime:
    """When the last part of the last round of a change is due, counted from its own hours."""
    assert one.at is not None
    until = one.until or one.at
    rounds = 0 if one.every_h is None else (until - one.at) // timedelta(hours=one.every_h)
    return one.at + timedelta(hours=rounds * (one.every_h or 0.0) + (one.parts - 1) * (one.part_every_h or 0.0))


def test_none_of_a_dosed_pond_is_poured_from_the_dose_on_and_the_tank_is_judged_so() -> None:
    found = made(PERMANGANATE)
    changes = poured(found, source="home-pond")
    assert changes
    assert max(map(last, changes)) < DOSED
    assert "Wed 6 May, 09:00: pour none of its water from then on" in action_line(Speaker(found), changes[0])
    course = found.series["hospital-1/ammonia/stay"]
    # 0.31 kg at 18 °C gives off some 1 to 3 mg of nitrogen an hour and kilogram, into 400 L: for nine days it only rises.
    after = [level for hour, level in zip(course.hours, course.best, strict=True) if hour > 24.0 * 5.0]
    assert after == sorted(after)
    assert not poured(made(PERMANGANATE, at="2026-05-01T15:00:00"), source="home-pond")


def test_tap_water_is_poured_where_the_pond_is_dosed_and_the_pond_where_it_is_dosed_later() -> None:
    assert poured(made(PERMANGANATE, mains=TAP), source="mains")
    assert not poured(made(PERMANGANATE, mains=TAP), source="home-pond")
    (daily,) = poured(made(PERMANGANATE, at="2026-05-20T09:00:00"), source="home-pond")
    assert last(daily) > DOSED + timedelta(days=7)


def test_salt_is_let_out_to_what_the_pond_then_holds() -> None:
    """A pond of 0.2 g/L that is salted to 2 g/L: the fish in 2 g/L goes home into 2 g/L, and nothing is let out for 0.2."""
    assert not [one for one in made(SALT, mains=TAP, intended=TWO).actions if one.id.endswith("/unsalted")]
    assert [one for one in made(PERMANGANATE, mains=TAP, intended=TWO).actions if one.id.endswith("/unsalted")]
