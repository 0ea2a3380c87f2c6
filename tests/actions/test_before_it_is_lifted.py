"""What must be so before a fish is lifted: nitrite against chloride, who wakes it if the water fails, what went in before."""

from datetime import UTC, datetime
from functools import cache

import pytest

from waterplan.actions.record import Action, Kind
from waterplan.case import read_case
from waterplan.hazards.record import Verdict
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan

AT = datetime(2026, 5, 14, 8, tzinfo=UTC)
BATH = '[[vessels]]\nname = "basin"\nuse = "induction"\nvolume = "20 L, marked tub"\n'
REVIVAL = '[[vessels]]\nname = "blue tub"\nuse = "revival"\nvolume = "60 L, marked tub"\n'


@cache
def made(water: str, more: str = BATH + REVIVAL, **at: datetime) -> Plan:
    text = (
        'waterplan_case = 1\n[patient]\nspecies = "koi"\nweight = "1 kg, scales"\n[home_pond]\nvolume = "8000 ± 80 L"\n'
        f"[home_water]\n{water}\n[intended]\noperation_at = 2026-05-14T10:00:00\n{more}"
    )
    return plan(read_case(text), draws=64, **{"as_of": AT, **at})


# The ion's mass ratio of 10 (SRAC 462); below 0.1 mg/L as N, 0.33 mg/L as nitrite, nothing is asked.
@pytest.mark.longer
@pytest.mark.parametrize(
    ("nitrite", "chloride", "verdict"),
    [
        ("1.0 ± 0.01", "12 ± 0.1", Verdict.WITHIN_LIMIT),  # 12 to 1
        ("1.0 ± 0.01", "8 ± 0.1", Verdict.ACT_NOW),  # 8 to 1
        ("0.3 ± 0.01", "1 ± 0.1", Verdict.WITHIN_LIMIT),
    ],
)
def test_nitrite_without_enough_chloride_stops_an_anaesthetic(nitrite: str, chloride: str, verdict: Verdict) -> None:
    water = f'nitrite = "{nitrite} mg/L as NO2"\nchloride = "{chloride} mg/L"\nsalinity = "0.2 g/L"'
    found = {one.id: one for one in made(water).judgements}
    one = found["home-pond/nitrite/call/before an anaesthetic"]
    assert one.verdict is verdict
    assert bool(one.why) is (verdict is Verdict.ACT_NOW)
    if verdict is Verdict.ACT_NOW:
        assert one.answered_by


TRICAINE = """[[doses]]
substance = "tricaine"
use = "induction"
into = "basin"
strength = "80 mg/L"
bottle = "powder"
buffer = "one to one"
"""
FIT = 'taken = 2026-05-14T07:30:00\nnitrite = "{} ± 0.01 mg/L as NO2"\nchloride = "12 ± 0.1 mg/L"\noxygen = "9 mg/L"\n'


@pytest.mark.parametrize(
    ("nitrite", "sign", "code"),
    [
        ("1.0", "", None),  # 12 to 1
        ("1.5", "", "nitrite-stops-an-elective-anaesthetic"),  # 8 to 1
        ("1.0", "brown gills", "sign-stops-an-elective-anaesthetic"),  # whatever was read
        pytest.param("0", "brown gills", "sign-stops-an-elective-anaesthetic", marks=pytest.mark.longer),
        pytest.param("1.0", "fish twitch near a pump", None, marks=pytest.mark.longer),
    ],
)
def test_the_dose_waits_for_brown_gills_and_for_nitrite(nitrite: str, sign: str, code: str | None) -> None:
    seen = f'[[seen]]\nsign = "{sign}"\n' if sign else ""
    found = made(FIT.format(nitrite), BATH + REVIVAL + TRICAINE.replace("bottle", 'again = "80 mg/L"\nbottle') + seen)
    (one,) = [action for action in found.actions if action.kind is Kind.DOSE]
    codes = {why.code for why in one.refused_because}
    stopping = {name for name in codes if name.endswith("stops-an-elective-anaesthetic") or name.startswith("sign-")}
    assert stopping == ({code} if code else set())
    if code:
        assert [way.kind for way in one.instead] == [Kind.WAIT]


def test_without_an_anaesthetic_nobody_asks_for_chloride() -> None:
    water = 'nitrite = "1.0 mg/L as NO2"\nchloride = "8 mg/L"'
    assert "before an anaesthetic" not in " ".join(one.id for one in made(water, REVIVAL).judgements)


def abort(plan: Plan) -> list[Action]:
    return [one for one in plan.actions if one.id.endswith("/abort")]


def test_who_wakes_the_fish_and_where_is_settled_before_it_is_lifted() -> None:
    (one,) = abort(made(""))
    assert one.kind is Kind.MOVE
    assert not one.refused_because
    assert one.words["into"] == "revival-1"
    assert one.by is not None
    assert one.by <= datetime(2026, 5, 14, 10, tzinfo=UTC)


def test_without_a_tub_to_wake_in_that_is_refused_with_its_way_out() -> None:
    (one,) = abort(made("", BATH))
    assert [why.code for why in one.refused_because] == ["no-tub-to-wake-in"]
    assert one.words["abort"] == "yes"  # and it is called so: nothing is to be moved into the bath
    assert one.instead


@pytest.mark.longer
def test_nothing_is_aborted_without_an_anaesthetic_or_after_it() -> None:
    assert not abort(made("", REVIVAL))
    assert not abort(made("", as_of=datetime(2026, 5, 15, 10, tzinfo=UTC)))


def test_what_went_in_is_asked_before_a_dose_until_somebody_has_said() -> None:
    dose = '[[doses]]\nsubstance = "salt"\nuse = "prolonged"\ninto = "home pond"\nstrength = "1 g/L"\n'
    said = '[[already]]\nwhat = "salt"\nwhere = "home pond"\nlevel = "0.2 g/L"\n'
    for more, asked in ((dose, True), (dose + said, False)):
        (one,) = [action for action in made('salinity = "0.2 g/L"', more).actions if action.kind is Kind.DOSE]
        assert ("ask-what-went-in" in {why.code for why in one.cautions}) is asked
