"""Something went in: its level now, whether the fish come out, what takes it out again, what the filter loses; and what is refused.

A pond of 1,000 L exactly with a seeded filter.
"""

from datetime import UTC, datetime, timedelta

import pytest

from tests.actions.doses.dosed import codes, one
from tests.actions.written import koi_in_a_pond
from waterplan.actions.record import Action, Kind
from waterplan.case import read_case
from waterplan.case.bottle import parse_bottle
from waterplan.case.values import BadValue
from waterplan.hazards.record import Verdict
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.words.lines import action_line
from waterplan.words.speaker import Speaker

NOW = datetime(2026, 5, 14, 9, 30, tzinfo=UTC)
WENT_IN = datetime(2026, 5, 14, 8, 30, tzinfo=UTC)
CASE = koi_in_a_pond(
    1000,
    pond='filter = "seeded"\n',
    water="""oxygen = "9 ± 0 mg/L"
alkalinity = "100 ± 0 mg/L as CaCO3"
chlorine = "0 ± 0 mg/L"
[[doses]]
into = "home pond"
at = 2026-05-14T08:30:00
""",
)
TUB = '[[vessels]]\nname = "tub"\nuse = "revival"\nvolume = "200 ± 0 L"\n'


def spilt(substance: str, use: str, amount: str, more: str = "") -> Plan:
    text = f'{CASE}substance = "{substance}"\nuse = "{use}"\nwent_in = "{amount}"\n{more}'
    return plan(read_case(text), draws=64, as_of=NOW)


def verdict(found: Plan, path: str) -> Verdict:
    return next(one.verdict for one in found.judgements if one.id == path)


def kind(found: Plan, of: Kind, part: str = "") -> Action:
    (one,) = [one for one in found.actions if one.kind is of and one.water == "home-pond" and part in one.id]
    return one


@pytest.mark.parametrize(("grams", "said"), [(2, Verdict.WITHIN_LIMIT), (8, Verdict.WATCH), (12, Verdict.ACT_NOW)])
def test_the_level_that_it_makes_is_that_of_water_to_live_in(grams: int, said: Verdict) -> None:
    """Permanganate: 6 mg/L in all is the most that stays in (FA37); 10 is a bath of half an hour, and more is above all reports."""
    found = spilt("potassium permanganate", "bath", f"{grams} g")
    path = "home-pond/substance/potassium permanganate"
    judged = next(one for one in found.judgements if one.id.startswith("home-pond/substance/"))
    assert judged.verdict is said, path
    assert judged.figure is not None
    assert found.figures[judged.figure].best == pytest.approx(float(grams))


PEROXIDE = """
[[doses]]
substance = "hydrogen peroxide"
use = "bath"
into = "20 L, marked tub"
strength = "10 mg/L"
bottle = "{}"
"""


@pytest.mark.parametrize(
    ("more", "of", "millilitres"),
    [
        ("", "3 %", 130.0),
        (PEROXIDE.format("6 % w/v"), "6 % w/v", 65.0),
        (PEROXIDE.format("35 % w/w, 1.13 kg/L"), "35 % w/w, 1.13 kg/L", 9.8),
    ],
)
def test_what_takes_it_out_is_drawn_from_a_bottle_with_a_test_for_the_end(
    more: str, of: str, millilitres: float
) -> None:
    """12 g of permanganate ask for 12 x 0.3229 = 3.87 g of peroxide: of a bottle with 3 g in 100 mL 129.2 mL, rounded up;

    of 6 % half of that; of 35 % by weight, 395.5 mg in a mL, 9.8 mL. Nobody has it pure.
    """
    found = spilt("potassium permanganate", "bath", "12 g", more)
    one = kind(found, Kind.NEUTRALISE, "permanganate")
    figure = found.figures[one.amounts["mass"]]
    assert (figure.act_on, figure.unit) == (millilitres, "mL")
    assert one.substance == "hydrogen peroxide"
    speaker = Speaker(found)
    assert f"mL of hydrogen peroxide of {of} to the home pond" in action_line(speaker, one)
    assert one.cautions[0].code == "take-out-permanganate"
    assert f"mL of hydrogen peroxide of {of}, until the pink is gone" in speaker.why(one.cautions[0])


def test_what_stays_in_is_not_taken_back() -> None:
    meant = spilt("potassium permanganate", "bath", "2 g")
    assert not [one for one in meant.actions if one.kind is Kind.NEUTRALISE]


def test_the_fish_come_out_where_it_harms_and_into_water_that_is_fit_or_the_plan_says_why_not() -> None:
    out = kind(spilt("potassium permanganate", "bath", "12 g", TUB), Kind.MOVE)
    assert out.words.get("into") == "revival-1" or {why.code for why in out.refused_because} == {"tub-not-fit"}
    stays = spilt("potassium permanganate", "bath", "2 g", TUB)
    assert not [one for one in stays.actions if one.kind is Kind.MOVE and one.water == "home-pond"]


def test_what_the_filter_loses() -> None:
    """More than 2 mg/L of permanganate: the filter counts for nothing for 7 days from when it went in."""
    one = kind(spilt("potassium permanganate", "bath", "12 g"), Kind.WAIT)
    assert one.until == WENT_IN + timedelta(days=7)
    assert "two-clean-paired-tests" in {why.code for why in one.cautions}
    assert "level-not-known-worst-taken" not in {why.code for why in one.cautions}


def test_bleach_that_went_in_is_chlorine() -> None:
    """20 mL of 5 % are 1 g of chlorine, 1 mg/L: 7 g of thiosulphate pentahydrate; any chlorine costs the filter 28 days."""
    found = spilt("hypochlorite", "equipment", "20 mL", 'bottle = "5 % available chlorine"\n')
    assert verdict(found, "home-pond/chlorine") is Verdict.ACT_NOW
    one = kind(found, Kind.NEUTRALISE)
    assert found.figures[one.amounts["thiosulphate"]].act_on == pytest.approx(7.0, abs=0.11)
    assert "test-total-chlorine-until-none" in {why.code for why in one.cautions}
    assert kind(found, Kind.WAIT).until == WENT_IN + timedelta(days=28)


def test_what_disinfects_things_is_never_put_into_a_pond() -> None:
    made, _ = one("hypochlorite", "equipment", "home pond", strength="200 mg/L", bottle="5 % available chlorine")
    assert codes(made) == {"not-into-water-with-fish"}
    assert not made.effects


@pytest.mark.parametrize(
    ("label", "rule"),
    [
        ("7.5 % PVP-I, scrub", "antiseptic scrub"),
        ("surgical scrub, 7.5 % PVP-I with detergent", "antiseptic scrub"),
        ("Scrub", "antiseptic scrub"),
        ("PVP-I 7.5 %, contains detergents", "antiseptic scrub"),
        ("1:10 scrub", "antiseptic scrub"),
        ("10 % PVP-I (soap)", "antiseptic scrub"),
        ("10 % PVP-I, tincture", "antiseptic tincture"),
        ("tincture of iodine", "antiseptic tincture"),
        ("2 % iodine in spirit", "antiseptic tincture"),
    ],
)
def test_a_scrub_and_a_tincture_are_refused_with_the_reason(label: str, rule: str) -> None:
    made, _ = one("povidone-iodine", "wound", "1 ± 0 L", bottle=label)
    assert [why.words.get("rule") for why in made.action.refused_because] == [rule]
    assert made.action.instead


def test_a_label_that_says_that_there_is_no_detergent_is_no_scrub() -> None:
    """10 % PVP-I is 1 % available iodine, 10 mg/mL."""
    for label in ("10 % PVP-I, no detergent", "10 % PVP-I (without soap)", "10 % PVP-I, detergent-free"):
        found = parse_bottle(label)
        assert not found.detergent
        assert found.mg_per_ml == pytest.approx(10.0)


@pytest.mark.parametrize(
    ("substance", "use", "why"),
    [
        ("hydrogen peroxide", "bath", "enter-the-strength-on-the-label"),
        ("hypochlorite", "equipment", "enter-the-strength-on-the-label"),
        ("eugenol", "induction", "enter-the-share-of-eugenol"),
    ],
)
def test_a_bottle_whose_label_does_not_say_is_refused(substance: str, use: str, why: str) -> None:
    into = "10 ± 0 L" if use == "equipment" else "tub"
    made, _ = one(substance, use, into, strength="50 mg/L")
    assert codes(made) == {why}
    assert not made.effects


def test_a_strength_with_two_readings_is_shown_as_both_and_dosed_as_neither() -> None:
    """1:10 of 50 mg/mL is 5 mg/mL (1 in 10) or 4.55 (1 plus 10)."""
    with pytest.raises(BadValue) as wrong:
        parse_bottle("1:10 of 50 mg/mL")
    assert "5 mg/mL" in wrong.value.would_do
    assert "4.55 mg/mL" in wrong.value.would_do


@pytest.mark.parametrize(
    ("level", "expected"),
    [
        # 250 uL/L is the highest that is reported for a bath of formalin; half as much again is 375.
        ("240 ± 0 uL/L", Verdict.WITHIN_LIMIT),
        ("300 ± 0 uL/L", Verdict.WATCH),
        ("400 ± 0 uL/L", Verdict.ACT_NOW),
    ],
)
def test_a_bath_far_above_what_is_reported_is_acted_on(level: str, expected: Verdict) -> None:
    text = CASE.partition("[[doses]]")[0] + TUB + "[intended]\noperation_at = 2026-05-14T12:00:00\n"
    text += f'[[already]]\nwhat = "formalin"\nwhere = "tub"\nlevel = "{level}"\n'
    found = plan(read_case(text), draws=64, as_of=NOW)
    (one,) = (one for one in found.judgements if one.id == "revival-1/substance/formalin")
    assert one.verdict is expected
    assert ("far-above-what-is-reported" in {why.code for why in one.why}) == (expected is Verdict.ACT_NOW)


def test_bleach_is_not_counted_on_top_of_a_reading_that_saw_it() -> None:
    text = CASE.replace("T05:00:00", "T09:00:00").replace('chlorine = "0 ±', 'chlorine = "0.4 ±')
    more = 'substance = "hypochlorite"\nuse = "equipment"\nwent_in = "20 mL"\nbottle = "5 % available chlorine"\n'
    found = plan(read_case(text + more), draws=64, as_of=NOW)
    judged = next(one for one in found.judgements if one.id == "home-pond/chlorine")
    assert judged.figure is not None
    assert found.figures[judged.figure].best == pytest.approx(0.4)


def test_what_went_in_at_an_hour_that_nobody_stated_went_in_all_the_same() -> None:
    """It is not ordered, and not refused as if it were still to come, whether the plan has a time or not."""
    text = (
        CASE.replace("at = 2026-05-14T08:30:00\n", "")
        + 'substance = "potassium permanganate"\nuse = "bath"\nwent_in = "12 g"\n[intended]\noperation_at = 2026-05-14T12:00:00\n'
    )
    for as_of in (None, NOW):
        found = plan(read_case(text), draws=64, as_of=as_of)
        assert [one.id for one in found.actions if one.kind is Kind.DOSE and one.done is None] == []
