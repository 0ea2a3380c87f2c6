"""Identity is a path: names decide nothing, and where a name could mean two things the case is asked which."""

import pytest

from tests.case.small import SMALL, case_of, told
from waterplan.case.model import CaseEvent, Dose
from waterplan.case.references import Target
from waterplan.case.tank_choices import Happens
from waterplan.case.values import BadValue

TUB = '[[vessels]]\nname = "{}"\nuse = "{}"\nvolume = "60 L, marked tub"\n'
DOSE = '[[doses]]\nsubstance = "salt"\nuse = "bath"\ninto = "{}"\n'


def tubs(*named: tuple[str, str]) -> str:
    return "waterplan_case = 1\n" + "".join(TUB.format(name, use) for name, use in named)


def test_each_vessel_is_known_by_its_use_and_its_number_among_those_of_that_use() -> None:
    case = case_of(tubs(("a", "hospital"), ("b", "dip"), ("c", "hospital")))
    assert [vessel.path for vessel in case.vessels] == ["hospital-1", "dip-1", "hospital-2"]


@pytest.mark.parametrize("name", ["home pond", "bucket 2", "hospital-1", "mains", "20 L", "a\u00a0b", "[red]x[/red]"])
def test_any_name_is_harmless_where_nothing_speaks_of_it(name: str) -> None:
    case = case_of(tubs((name, "revival")))
    assert case.vessels[0].path == "revival-1"


def test_two_of_one_name_are_harmless_until_one_is_spoken_of() -> None:
    text = tubs(("tub", "revival"), ("Tub", "dip"))
    assert len(case_of(text).vessels) == 2
    assert told(text + DOSE.format("tub"))["doses[1].into"][1] == "write 'revival-1' or 'dip-1'"
    assert case_of(text + DOSE.format("dip-1")).doses[0].into == Target(path="dip-1")


def test_a_tub_called_home_pond_is_not_the_home_pond() -> None:
    text = tubs(("home pond", "hospital"))
    assert told(text + DOSE.format("home pond"))["doses[1].into"] == (
        "'home pond', which could be home-pond or hospital-1",
        "write 'home-pond' or 'hospital-1'",
    )
    assert case_of(text + DOSE.format("home-pond")).doses[0].into.path == "home-pond"
    assert case_of(text + DOSE.format("Hospital-1")).doses[0].into.path == "hospital-1"


def test_a_tub_called_by_a_volume_is_asked_for_by_its_path() -> None:
    text = tubs(("20 L", "dip"))
    assert told(text + DOSE.format("20 L"))["doses[1].into"][1] == "write 'dip-1' for the water of that name"
    assert case_of(text + DOSE.format("20 L, marked tub")).doses[0].into.path == ""


def test_a_tub_called_by_the_path_of_another() -> None:
    text = tubs(("revival-1", "hospital"), ("b", "revival"))
    assert "hospital-1" in told(text + DOSE.format("revival-1"))["doses[1].into"][1]


def test_litres_made_up_for_a_dose_have_the_error_of_a_mark() -> None:
    made_up, marked, guessed = (
        case_of(SMALL + DOSE.format(text)).doses[0].volume
        for text in ("12 L", "12 L, marked tub", "12 L, owner's word")
    )
    assert made_up is not None
    assert marked is not None
    assert guessed is not None
    assert made_up.measured == marked.measured
    assert made_up.measured.spread < guessed.measured.spread / 10
    assert made_up.text == "12 L"


@pytest.mark.parametrize(
    "text", ["home water", "Home Pond", "home-pond", "mains", "Tap water", "GREY TUB", "revival-1"]
)
def test_waters_are_named_in_several_ways(text: str) -> None:
    expected = {"h": "home-pond", "m": "mains", "t": "mains", "g": "revival-1", "r": "revival-1"}[text[0].lower()]
    case = case_of(
        f'{SMALL}[[already]]\nwhat = "zeolite"\nwhere = "{text}"\n[[done]]\nat = 2026-05-14T09:30\nwhat = "air"\nwater = "{text}"\n'
    )
    assert case.already[0].where == expected
    assert case.done[0].water == expected
    assert case.names.water(text) == expected


def test_a_water_that_the_case_does_not_have_is_told_with_those_that_it_has() -> None:
    measured = '[[volumes]]\nof = "the moon"\nby = "meter"\nmeter_before = "0 L"\nmeter_after = "9 L"\n'
    for more in ('[[already]]\nwhat = "salt"\nwhere = "the moon"\n', measured):
        ((_, would_do),) = told(SMALL + more).values()
        assert would_do == "name a water of the case: home pond, mains water, grey tub"


def test_which_patients_go_into_a_tub() -> None:
    fish = "".join(f'[[patients]]\nspecies = "koi"\nname = "{name}"\n' for name in ("Ash", "Birch", "", "Ash"))
    tub = '[[vessels]]\nname = "tub"\nuse = "revival"\nvolume = "60 L"\npatients = {}\n'
    for written in ('["Birch", 3]', '"birch, 3"', '["patient-3", "BIRCH"]', '[3, 2, "patient-3"]'):
        assert case_of(f"waterplan_case = 1\n{fish}{tub.format(written)}").vessels[0].patients == (2, 3)
    assert told(f"waterplan_case = 1\n{fish}{tub.format(chr(34) + 'Ash' + chr(34))}")["vessels[1].patients"][1] == (
        "say which: 'patient-1', 'patient-4'"
    )
    assert "Birch" in told(f"waterplan_case = 1\n{fish}{tub.format('[9]')}")["vessels[1].patients"][1]
    assert case_of(SMALL).vessels[0].patients == (), "all of them"


def test_a_name_of_two_waters_cannot_be_looked_up() -> None:
    case = case_of(tubs(("tub", "revival"), ("tub", "dip")))
    with pytest.raises(BadValue, match="which could be"):
        case.names.water("tub")
    assert case.names.water("dip-1") == case.vessels[1].path


def test_records_made_by_hand_take_paths() -> None:
    dose = Dose(substance="salt", use="bath", into=Target(path="hospital-1"))
    assert dose.into.path == "hospital-1"
    event = CaseEvent(at="2026-05-14T09:30", what=Happens.LID_ON, water="hospital-1")  # type: ignore[arg-type]
    assert event.water == "hospital-1"
