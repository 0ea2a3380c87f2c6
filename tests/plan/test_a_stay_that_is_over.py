"""A stay that is past asks for nothing: what was is said to have been, and nothing of it is open, refused or to be read."""

from datetime import datetime, timedelta
from functools import cache

import pytest

from tests.actions.written import OPERATED, exactly, held_goldfish
from tests.demos import DEMO_PONDS, demo_plan
from waterplan.actions.record import Action, Kind
from waterplan.case import read_case, read_log
from waterplan.hazards.record import Verdict
from waterplan.plan.record import Differs, Plan, Readiness
from waterplan.plan.since import since
from waterplan.plan.whole import plan
from waterplan.stay.record import Moment
from waterplan.words.lines import action_line
from waterplan.words.speaker import Speaker
from waterplan.words.terminal import first_page

# The orfe: operated on 21 July, a few days in a barrel that is full of things that are wrong; seen again on 14 September.
# The goldfish: operated on 14 May, three days of fourteen in the tank; its tubs are past, the tank is not.
AT = {"orfe_in_a_heatwave": "2026-09-14T08:00+02:00", "heron_goldfish": "2026-05-17T08:00+02:00"}
PAST = {
    "orfe_in_a_heatwave": {Moment.PROCEDURE, Moment.REVIVAL, Moment.HOSPITAL},
    "heron_goldfish": {Moment.PROCEDURE, Moment.REVIVAL},
}
BUTORPHANOL = "procedure/injection/patient-1/butorphanol"


@cache
def made(name: str) -> Plan:
    return plan(read_case(DEMO_PONDS / f"{name}.toml"), as_of=datetime.fromisoformat(AT[name]), draws=64)


@pytest.mark.longer
@pytest.mark.parametrize("name", AT)
def test_a_moment_of_which_all_is_past_is_over_and_asks_for_nothing(name: str) -> None:
    found = made(name)
    over = {one.moment for one in found.moments if one.state is Readiness.OVER}
    assert over == PAST[name]
    assert not [one.id for one in found.actions if one.moment in over and one.done is None]
    now = found.made.as_of
    assert now is not None
    past = [one for one in found.judgements if one.until is not None and one.until <= now]
    assert past
    assert not [one.id for one in past if one.measure]
    left = {one.water for one in past} - {one.water for one in found.judgements if one not in past}
    lists = [one.words for one in found.actions if one.kind == "measure"]
    assert not [water for water in left if any(water in words for words in lists)]
    assert not [path for path in found.first_page.refused if found_at(found, path).moment in over]


def found_at(plan: Plan, path: str) -> Action:
    return next(one for one in plan.actions if one.id == path)


def test_what_it_was_stands_in_the_record() -> None:
    """The barrel's `act now` is still told, with its answers; it makes nothing of today so."""
    found = made("orfe_in_a_heatwave")
    was = [
        one for one in found.judgements if one.moment in PAST["orfe_in_a_heatwave"] and one.verdict is Verdict.ACT_NOW
    ]
    assert was
    assert all("that-is-over" in {why.code for why in one.why} for one in was)
    assert not {one.id for one in was} & {path for moment in found.moments for path in moment.because}


def test_what_nobody_wrote_down_as_done_was_due() -> None:
    """Butorphanol had no dose: nobody may read that it was given."""
    found = made("heron_goldfish")
    one = found_at(found, BUTORPHANOL)
    assert one.was_due
    said = action_line(Speaker(found), one)
    assert "was due" in said
    assert "done" not in said


@pytest.mark.longer
def test_what_somebody_wrote_down_was_done_then() -> None:
    """Written down an hour after it was due: the record has the hour of the entry, and says so against a plan without it."""
    text = (DEMO_PONDS / "heron_goldfish.toml").read_text(encoding="utf-8")
    told = (
        text
        + '\n[[done]]\nat = 2026-05-14T11:05:00\nwhat = "injected"\nsubstance = "butorphanol"\ndose = "0.4 mg/kg"\n'
    )
    found = plan(read_case(told), as_of=datetime.fromisoformat(AT["heron_goldfish"]), draws=64)
    one = found_at(found, BUTORPHANOL)
    assert (one.done, one.was_due) == (datetime.fromisoformat("2026-05-14T11:05+02:00"), False)
    assert "done Thu 14 May, 11:05" in action_line(Speaker(found), one)
    changes = since(found, made("heron_goldfish")).changes
    assert changes is not None
    assert [each.what for each in changes.differences if each.of == BUTORPHANOL] == [Differs.DONE]


@pytest.mark.parametrize("log", [True, False])
def test_readings_after_the_operation_make_it_a_plan_of_their_day(log: bool) -> None:
    """Operated on 4 May, read last on 23 May at 15:30 by the log, at 5:20 by the case: whoever forgets `--as-of` has no plan of
    4 May, with a go for what was done long ago. 300 degree-days are past by then: 16 days at 17 °C are 272, 19 are 323."""
    case = read_case(DEMO_PONDS / "goldfish_recheck.toml")
    rows = read_log(DEMO_PONDS / "goldfish_recheck_readings.csv", case=case).rows if log else ()
    found = plan(case, readings=rows, draws=16)
    assert found.made.as_of == datetime.fromisoformat(f"2026-05-23T{'15:30' if log else '05:20'}+02:00")
    assert found.operation is None
    assert "Call: " not in first_page(found)
    (wait,) = (one for one in found.actions if "inspect" in one.amounts)
    sedation = [why for why in wait.cautions if why.code == "sedation-for-the-removal"]
    assert bool(sedation) is (wait.words["due"] != "no")
    if log:
        (why,) = sedation  # 10 to 30 mg/L, by the row tricaine, sedation
        assert [found.figures[why.figures[end]].act_on for end in ("low", "high")] == [10.0, 30.0]
        assert "Examine the stitches now" in first_page(found)


def test_readings_of_before_the_operation_leave_the_plan_where_it_is() -> None:
    assert demo_plan("hooked_tench").made.as_of is None


@pytest.mark.parametrize(("day", "told"), [(3, True), (6, False)])
def test_the_powder_of_a_bath_that_is_over_hurts_nobody(day: int, told: bool) -> None:
    """The anaesthetic of 4 June."""
    case = read_case(DEMO_PONDS / "ordinary_goldfish.toml")
    made = plan(case, as_of=datetime.fromisoformat(f"2026-06-{day:02}T09:00:00+02:00"), draws=64)
    cautions = {why.code for one in made.actions if one.kind is Kind.PEOPLE for why in one.cautions}
    assert ("people-powder" in cautions) is told


# Six days in a tank, until 7 May, with a bath of 20 L that is made up for it.
BATHED = held_goldfish(
    patient='eaten = "no"\nweight = "0.6 ± 0 kg"\n',
    home=exactly(temperature=18, ph=7.5, tan=0, nitrite=0, chlorine=0, alkalinity=100, oxygen=9, salinity=0),
    tank=f'filled_with = "home water"\nvolume = "400 ± 0 L"\nair = "15 L/min"\n{exactly(temperature=18)}',
    intended="""operation_at = 2026-05-01T10:00:00
days = "6 days"
[[doses]]
substance = "hydrogen peroxide"
use = "bath"
into = "20 L, marked tub"
strength = "60 mg/L"
bottle = "37 % w/v"
""",
)


@pytest.mark.parametrize(
    ("at", "day", "moment", "due"),
    [
        pytest.param("", 3, Moment.HOSPITAL, True, id="no time, in the stay"),
        pytest.param("", 11, Moment.HOSPITAL, False, id="no time, after it"),
        pytest.param("at = 2026-05-03T12:00:00", 2, Moment.HOSPITAL, True, id="a time that comes"),
        pytest.param("at = 2026-05-03T12:00:00", 11, Moment.HOSPITAL, False, id="a time that is past with the stay"),
        pytest.param("at = 2026-05-20T12:00:00", 11, Moment.HOME, True, id="a time at home"),
    ],
)
def test_a_bath_in_litres_made_up_is_due_in_the_stay_or_at_its_time(
    at: str, day: int, moment: Moment, due: bool
) -> None:
    found = plan(read_case(BATHED + at), as_of=OPERATED + timedelta(days=day), draws=16)
    (bath,) = (one for one in found.actions if one.substance == "hydrogen peroxide")
    assert (bath.moment, bath.is_open, bath.was_due) == (moment, due, not due)
    if at and due:
        assert bath.at == datetime.fromisoformat(f"{at.removeprefix('at = ')}+00:00")
    assert bath.done is None or bath.done <= OPERATED + timedelta(days=6)
    (state,) = (one.state for one in found.moments if one.moment is Moment.HOSPITAL)
    assert (state is Readiness.OVER) is (day > 6)
