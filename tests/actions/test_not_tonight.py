"""What not to do tonight: nothing that takes oxygen where it is short or a bloom stands, and nothing of this where it is fine."""

from datetime import UTC, datetime

import pytest

from tests.actions.written import koi_in_a_pond
from waterplan.actions.record import Kind
from waterplan.case import read_case
from waterplan.errors import CaseError
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.words.terminal import full_page

MORNING = datetime(2026, 5, 14, 9, tzinfo=UTC)
CASE = koi_in_a_pond(
    10000,
    water="""alkalinity = "120 ± 0 mg/L as CaCO3"
salinity = "0 ± 0 g/L"
chlorine = "0.005 ± 0 mg/L"
""",
)
# A reading at five in the morning is that of the worst hour: 9 mg/L is well above the alarm level of 5, 3.5 below it.
FINE, SHORT = 'oxygen = "9 ± 0 mg/L"\n', 'oxygen = "3.5 ± 0 mg/L"\n'
BLOOMS = {
    "the sign": FINE + '[[seen]]\nsign = "green water at dawn"\n',
    "stated": FINE + '[[already]]\nwhat = "algae"\nwhere = "home pond"\n',
    "the meter": 'oxygen_saturation = "150 ± 1 %"\n',
}
DOSES = {
    "formalin": 'use = "indefinite"\nstrength = "15 uL/L"\nsyringe = "1 mL"\n',
    "potassium permanganate": 'use = "bath"\nstrength = "2 mg/L"\nscale = "0.1 g"\n',
    "copper": 'use = "bath"\nstrength = "0.2 mg/L"\nagain = "0.2 mg/L"\nbottle = "10 mg/mL"\n',
}


def made(water: str, substance: str = "", more: str = "") -> Plan:
    dose = f'[[doses]]\nsubstance = "{substance}"\ninto = "home pond"\n{DOSES[substance]}' if substance else ""
    return plan(read_case(CASE + water + dose + more), draws=64, as_of=MORNING)


def refused(found: Plan) -> set[str]:
    doses = [one for one in found.actions if one.kind is Kind.DOSE]
    return {why.words.get("rule", why.code) for one in doses for why in one.refused_because}


@pytest.mark.parametrize("substance", DOSES)
@pytest.mark.parametrize("water", [SHORT, *BLOOMS.values()], ids=["short", *BLOOMS])
def test_nothing_that_takes_oxygen_goes_in(substance: str, water: str) -> None:
    assert refused(made(water, substance))
    names = {"formalin": "formalin", "potassium permanganate": "permanganate", "copper": "copper"}
    rules = {"while oxygen is short", "with little oxygen"} if water == SHORT else {"with an algal bloom"}
    assert {f"{names[substance]} {rule}" for rule in rules} & refused(made(water, substance))


@pytest.mark.parametrize("substance", DOSES)
def test_where_oxygen_is_fine_nothing_of_it_is_said(substance: str) -> None:
    found = made(FINE, substance)
    assert not {one for one in refused(found) if "oxygen" in one or "bloom" in one}
    assert "not-while-oxygen-is-short" not in {why.code for one in found.actions for why in one.cautions}
    assert not [one for one in found.judgements if one.id.endswith("/a bloom stands")]


def test_the_first_thing_to_do_says_it_where_oxygen_is_short() -> None:
    found = made(SHORT)
    first = [one for one in found.actions if one.id in found.first_page.do_now and one.kind is Kind.AIR]
    assert first
    assert all("not-while-oxygen-is-short" in {why.code for why in one.cautions} for one in first)


@pytest.mark.parametrize("water", BLOOMS.values(), ids=BLOOMS)
def test_a_bloom_is_judged_as_one(water: str) -> None:
    found = made(water)
    assert [one for one in found.judgements if one.id == "home-pond/conflict/a bloom stands"]


def test_salt_waits_for_the_zeolite() -> None:
    text = CASE.replace("[home_water]", "zeolite = true\n[home_water]").replace('nitrite = "0 ±', 'nitrite = "3 ±')
    found = plan(read_case(text + SHORT), draws=64, as_of=MORNING)
    (one,) = [one for one in found.actions if one.kind is Kind.SALT]
    assert [why.code for why in one.refused_because] == ["zeolite-gives-its-ammonia-back"]


# -- a dose or an intention for tonight ---------------------------------------------------------------------------------

NIGHT = {"formalin": "formalin at night", "potassium permanganate": "permanganate at night"}


@pytest.mark.parametrize("substance", NIGHT)
@pytest.mark.parametrize(
    ("at", "by_night"),
    [
        ('"tonight"', True),  # 18:00, when the night begins (table `timetable`)
        ('"Tonight at 22:00"', True),
        ('"tonight at 17"', False),  # it may be called tonight: the hour decides
        ("2026-05-14T22:00:00", True),
        ("2026-05-14T10:00:00", False),
    ],
)
def test_the_night_decides_a_dose_that_takes_oxygen(substance: str, at: str, by_night: bool) -> None:
    found = made(FINE, substance, f"at = {at}\n")
    assert (NIGHT[substance] in refused(found)) is by_night


def test_tonight_is_the_night_after_the_time_of_the_plan() -> None:
    """The plan is of nine in the morning: its next 22:00 is thirteen hours on; at 23:00 it is night already."""
    text = CASE + FINE + '[[meant]]\nwhat = "algicide"\nat = "{}"\n'
    for as_of, at, expected in (
        (MORNING, "tonight at 22:00", "2026-05-14T22:00"),
        (MORNING, "tonight", "2026-05-14T18:00"),
        (MORNING.replace(hour=23), "tonight", "2026-05-14T23:00"),
    ):
        found = plan(read_case(text.format(at)), draws=32, as_of=as_of)
        (one,) = [one for one in found.actions if one.kind is Kind.MEANT]
        assert one.at == datetime.fromisoformat(f"{expected}+00:00")
        assert "meant-night" in {why.code for why in one.refused_because}


@pytest.mark.parametrize("at", ["tonight at 25:00", "tonight at 9:99", "this night"])
def test_no_hour_of_the_day_is_refused(at: str) -> None:
    with pytest.raises(CaseError, match="meant"):
        read_case(CASE + f'[[meant]]\nwhat = "algicide"\nat = "{at}"\n')


def test_what_went_in_did_not_go_in_tonight() -> None:
    with pytest.raises(CaseError, match="write when it went in"):
        read_case(
            CASE
            + '[[doses]]\nsubstance = "copper"\nuse = "bath"\ninto = "home pond"\nwent_in = "5 g"\nat = "tonight"\n'
        )


# -- a bottle's name ------------------------------------------------------------------------------------------------------


def test_a_name_on_the_bottle_is_shown_and_decides_nothing() -> None:
    copper = DOSES["copper"].replace('bottle = "10 mg/mL"\n', "")
    named = 'bottle_name = "Blue Pond Water"\n'
    without, unnamed, with_both = (
        plan(
            read_case(f'{CASE}{FINE}[[doses]]\nsubstance = "copper"\ninto = "home pond"\n{text}'),
            draws=64,
            as_of=MORNING,
        )
        for text in (copper + named, DOSES["copper"], DOSES["copper"] + named)
    )
    doses = [next(one for one in found.actions if one.kind is Kind.DOSE) for found in (without, unnamed, with_both)]
    assert "enter-the-strength-on-the-label" in {why.code for why in doses[0].refused_because}
    assert doses[1].amounts == doses[2].amounts
    assert [unnamed.figures[path] for path in doses[1].amounts.values()] == [
        with_both.figures[path] for path in doses[2].amounts.values()
    ]
    for found in (without, with_both):
        assert "called “Blue Pond Water”" in " ".join(full_page(found).split())
