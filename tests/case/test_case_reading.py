"""From a file to a case, with all its mistakes told together."""

from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest
from pydantic import ValidationError

from tests.case.small import SMALL, case_of, told
from waterplan.case import fields, read_case
from waterplan.case.choices import Disinfectant, Use
from waterplan.case.model import Case, Vessel
from waterplan.case.reading import VERSION
from waterplan.case.tank_choices import Happens
from waterplan.case.times import parse_when
from waterplan.case.values import BadValue
from waterplan.dose.substances import known_substances, uses_of
from waterplan.errors import CaseError
from waterplan.tables import shipped

DEMOS = sorted(shipped("demo_ponds").glob("*.toml"))


# -- what is enough -----------------------------------------------------------------------------------------------


def test_species_a_weight_and_one_vessel() -> None:
    case = case_of(SMALL)
    assert case.patients[0].species == "koi"
    assert case.patients[0].weight is not None
    assert case.patients[0].weight.measured.best == 1.1
    assert [vessel.name for vessel in case.vessels_for(Use.REVIVAL)] == ["grey tub"]
    assert case.home_pond is None
    assert case.home_water.readings == {}
    assert not case.invented


@pytest.mark.parametrize(
    "text",
    [
        '[home_pond]\nvolume = "3000 L, owner\'s word"\n',
        '[patient]\nspecies = "unknown"\n',
        '[home_water]\noxygen = "3 mg/L, drop kit"\n',
        '[[vessels]]\nname = "tub"\nuse = "hospital"\nvolume = "unknown"\n',
    ],
    ids=["a pond alone", "a fish alone", "a reading alone", "a tub of unknown size"],
)
def test_little_is_enough_to_plan(text: str) -> None:
    case = case_of(f"waterplan_case = 1\n{text}")
    assert all(one.species == "unknown" for one in case.patients)


def test_nothing_at_all_is_not() -> None:
    assert "give a fish, a pond or a tub" in told("waterplan_case = 1\n")["case"][1]


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_every_invented_case_is_read(path: Path) -> None:
    case = read_case(path)
    assert case.file == str(path)
    assert case.patients
    assert f"waterplan_case = {VERSION}" in path.read_text(encoding="utf-8")


def test_there_are_four_invented_cases_of_different_fish() -> None:
    assert len({one.species for case in map(read_case, DEMOS) for one in case.patients[:1]}) >= 4


def test_a_text_a_file_and_its_tables_are_the_same_case(tmp_path: Path) -> None:
    path = tmp_path / "pond.toml"
    path.write_text(SMALL, encoding="utf-8")
    tables = {
        "patient": {"species": "koi", "weight": "1.1 kg, scales"},
        "vessels": [{"name": "grey tub", "use": "revival", "volume": "60 L, marked tub"}],
    }
    assert (
        read_case(path, file="x")
        == read_case(SMALL, file="x")
        == read_case(tables, file="x")
        == read_case(str(path), file="x")
    )


def test_a_vessels_own_readings_are_its_water() -> None:
    case = case_of(SMALL + 'temperature = "18 °C"\nph = 7.5\ntaken = 2026-05-14T08:00:00\n')
    water = case.vessels[0]
    assert set(water.readings) == {"temperature", "ph"}
    assert water.readings["temperature"].taken == datetime(2026, 5, 14, 8, tzinfo=UTC)
    assert case.names.water("Grey Tub") == case.names.water("revival-1") == water.path
    assert case.names.water("home water") == case.names.water("home-pond") == "home-pond"
    assert case.names.water("moat") is None


def test_what_is_not_measured_is_absent_and_no_error() -> None:
    case = case_of(
        SMALL + '[home_water]\ntemperature = "not measured"\ntan = "Unknown"\nph = "7.5, pH meter"\nnitrite = ""\n'
    )
    assert set(case.home_water.readings) == {"ph"}


def test_several_patients_and_what_they_travel_in() -> None:
    case = case_of(
        'waterplan_case = 1\n[[patients]]\nspecies = "koi"\nname = "Ash"\n[[patients]]\nspecies = "orfe"\ncount = 40\n'
        '[[transports]]\nby = "box with air"\n[[transports]]\nby = "bag with oxygen"\n[[transports]]\nby = "bag with oxygen"\n'
    )
    assert [(one.path, one.species, one.count) for one in case.patients] == [
        ("patient-1", "koi", 1),
        ("patient-2", "orfe", 40),
    ]
    assert [one.path for one in case.transports] == ["box-1", "bag-1", "bag-2"]


def test_one_section_under_two_headings_is_told() -> None:
    text = 'waterplan_case = 1\n[patient]\nspecies = "koi"\n[[patients]]\nspecies = "orfe"\n'
    assert told(text) == {"patient": ("it beside patients", "write all under [[patients]]")}


# -- capitals, booleans, what is not known ------------------------------------------------------------------------


def test_capitals_blanks_and_hyphens_do_not_matter() -> None:
    case = case_of(
        'Waterplan_Case = 1\n[Patient]\nSpecies = "KOI"\nWound = "Closed"\n[Home_Water]\nTAN = "0.2 mg/l as n, Drop Kit"\n'
        '"Carbon-dioxide" = "8 mg/L"\n[mains_water]\ndisinfectant = "CHLORINE"\n'
        '[[Vessels]]\nName = "Clinic tank"\nUse = "Hospital"\n'
        '[[doses]]\nsubstance = "Salt"\nuse = "Prolonged"\ninto = "clinic TANK"\n'
    )
    assert (case.patients[0].species, case.patients[0].wound) == ("koi", "closed")
    assert set(case.home_water.readings) == {"tan", "carbon_dioxide"}
    assert case.home_water.readings["tan"].how == "drop kit"
    assert case.mains_water.disinfectant is Disinfectant.CHLORINE
    assert case.vessels[0].use is Use.HOSPITAL
    assert case.doses[0].into.path == "hospital-1"


@pytest.mark.parametrize(
    ("written", "is_so"),
    [("true", True), ("false", False), ('"yes"', True), ('"No"', False), ('"unknown"', None), ('"not known"', None)],
)
def test_yes_and_no_are_booleans(written: str, is_so: bool | None) -> None:
    case = case_of(f"waterplan_case = 1\n[home_pond]\nplants = {written}\n")
    assert case.home_pond is not None
    assert case.home_pond.plants is is_so


def test_what_can_be_unknown() -> None:
    case = case_of(
        'waterplan_case = 1\n[patient]\nspecies = "Unknown"\nweight = "unknown"\ncondition = "unknown"\n'
        '[home_pond]\nvolume = "unknown"\nfilter = "not known"\n[mains_water]\ndisinfectant = "unknown"\n'
        '[home_water]\ntan = "0.4 mg/L, unknown basis, drop kit"\n'
    )
    assert (case.patients[0].species, case.patients[0].weight, case.patients[0].condition) == ("unknown", None, None)
    assert case.home_pond is not None
    assert (case.home_pond.volume, case.home_pond.filter) == (None, None)
    assert case.mains_water.disinfectant is None
    assert case.home_water.readings["tan"].measured.best > 0


def test_a_key_that_stands_twice_in_other_capitals_is_told() -> None:
    assert told('waterplan_case = 1\n[patient]\nspecies = "koi"\nSpecies = "orfe"\n') == {
        "patient.Species": ("it twice", "give it once")
    }


# -- what is wrong, and that it is all told -----------------------------------------------------------------------

BAD = """
[patient]
species = "shark"
weight = 3
length = "-38 cm"
colour = "red"
ordinal = 7
[zoo]
[home_water]
temperature = "60 °C"
ph = nan
nitrite = "0.2 mg/L"
oxygen = "8 ± -1 mg/L"
[[vessels]]
use = "bath"
volume = "60 gal"
[[vessels]]
name = "oval tub"
use = "hospital"
shape = "oval"
length = "2 m"
[[vessels]]
name = "oval tub"
use = "dip"
[[other_fish]]
species = "koi"
count = -1
[intended]
operation_at = "tomorrow"
feed = "nan %/day"
[[volumes]]
of = "oval tub"
by = "guess"
[[doses]]
substance = "tricaine"
use = "dip"
into = "oval tub"
"""


def test_all_mistakes_of_a_file_are_told_together() -> None:
    found = told(BAD)
    assert set(found) == {
        "waterplan_case",
        "zoo",
        "patient.species",
        "patient.weight",
        "patient.length",
        "patient.colour",
        "patient.ordinal",
        "home_water.temperature",
        "home_water.ph",
        "home_water.nitrite",
        "home_water.oxygen",
        "vessels[1].name",
        "vessels[1].use",
        "vessels[1].volume",
        "vessels[2].width",
        "vessels[2].depth",
        "other_fish[1].count",
        "intended.operation_at",
        "intended.feed",
        "volumes[1].by",
        "doses[1].use",
        "doses[1].into",
    }
    assert found["patient.species"][1].startswith("use one of koi, common carp")
    assert found["patient.weight"] == ("3", "write the value and its unit in quotes, such as '0.62 kg, scales'")
    assert found["patient.colour"] == (
        "",
        "unknown key; known keys are species, name, count, done, condition, last_fed, quarantined, eaten, wound, length, "
        "weight",
    )
    assert found["zoo"][1].startswith("unknown key; known keys are invented, utc_offset, timezone, patients, place")
    assert found["home_water.temperature"] == ("'60 °C'", "water temperature must be 0 to 45 °C")
    assert "which gallon" in found["vessels[1].volume"][1]
    assert "write the basis" in found["home_water.nitrite"][1]
    assert found["doses[1].into"] == (
        "'oval tub', which could be hospital-1 or dip-1",
        "write 'hospital-1' or 'dip-1'",
    )


@pytest.mark.parametrize(
    ("change", "where", "says"),
    [
        (("waterplan_case = 1\n", ""), "waterplan_case", "begin the file with 'waterplan_case = 1'"),
        (("= 1\n", "= 2\n"), "waterplan_case", "this version of the tool reads waterplan_case = 1"),
        (("= 1\n", '= "1"\n'), "waterplan_case", "reads waterplan_case = 1"),
        (("= 1\n", "= true\n"), "waterplan_case", "reads waterplan_case = 1"),
        (("= 1\n", "= 1.0\n"), "waterplan_case", "reads waterplan_case = 1"),
        (('name = "grey tub"\n', ""), "vessels[1].name", "needed here: its name, such as 'grey tub'"),
        (('"grey tub"', '"   "'), "vessels[1].name", "needed here: its name"),
        (('"grey tub"', '"' + "x" * 501 + '"'), "vessels[1].name", "at most 500 characters"),
        (('"grey tub"', '"a\\u0007b"'), "vessels[1].name", "control characters"),
        (('use = "revival"\n', ""), "vessels[1].use", "needed here: what it is for"),
        (('volume = "60 L, marked tub"', 'length = "1 m"'), "vessels[1].shape", "say which: rectangle, round, oval"),
        (('volume = "60 L, marked tub"', 'shape = "star"'), "vessels[1].shape", "use one of rectangle"),
        (('"60 L, marked tub"', "60"), "vessels[1].volume", "write the value and its unit in quotes"),
        (('"koi"', '"carp"'), "patient.species", "use one of koi"),
        (('"koi"', "7"), "patient.species", "write text in quotes, such as 'koi'"),
        (('"1.1 kg, scales"', '"1,1 kg"'), "patient.weight", "decimal point"),
    ],
)
def test_one_mistake_names_the_key_and_what_would_do(change: tuple[str, str], where: str, says: str) -> None:
    assert change[0] in SMALL
    found = told(SMALL.replace(*change))
    assert set(found) == {where}
    assert says in found[where][1]


@pytest.mark.parametrize("name", ["👩🏽\u200d🔬", "می\u200cخواهم"])
def test_what_joins_two_signs_and_what_keeps_letters_apart_belongs_to_a_name(name: str) -> None:
    assert case_of(SMALL.replace('"grey tub"', f'"{name}"')).vessels[0].name == name


@pytest.mark.parametrize(
    ("more", "where", "says"),
    [
        ("[patiant]\n", "patiant", "known keys are invented"),
        ("colour = 1\n", "vessels[1].colour", "unknown key; known keys are name, use"),
        ("outlets = 1.5\n", "vessels[1].outlets", "whole number"),
        ("outlets = true\n", "vessels[1].outlets", "whole number"),
        ('outlets = "²"\n', "vessels[1].outlets", "whole number"),
        ('lid = "perhaps"\n', "vessels[1].lid", "write true or false"),
        ('patients = "Ash"\n', "vessels[1].patients", "name a patient of the case: patient-1"),
        ('[home_pond]\nshape = "round"\ndiameter = "3 m"\n', "home_pond.depth", "the shape round needs its depth"),
        (
            '[home_pond]\nshape = "oval"\nlength = "not measured"\nwidth = "2 m"\ndepth = "1 m"\n',
            "home_pond.length",
            "the shape oval needs its length",
        ),
        ('[[other_fish]]\ncount = 3\nlength = "9 cm"\n', "other_fish[1].species", "needed here"),
        ("[intended]\noperation_at = 07:30:00\n", "intended.operation_at", "write a date and time"),
        ("[intended]\noperation_at = 3026-05-14\n", "intended.operation_at", "the year must be"),
        ("[home_water.temperature]\nvalue = 3\n", "home_water.temperature", "in quotes"),
        ("[home_water]\nph = inf\n", "home_water.ph", "write a number"),
        ('[home_water]\nconductivity = "0.4 mS/cm"\n', "home_water.conductivity", "brings it to 25 °C"),
    ],
)
def test_one_thing_too_many(more: str, where: str, says: str) -> None:
    found = told(SMALL + more)
    assert set(found) == {where}
    assert says in found[where][1]


@pytest.mark.parametrize(
    ("text", "where"),
    [
        ("waterplan_case = 1\npatient = 3\nvessels = [1]\n", {"patient", "vessels"}),
        ('waterplan_case = 1\npatient = "koi"\nvessels = [1, 2]\n', {"patient", "vessels"}),
        ("waterplan_case = 1\n[[place]]\n[[home_pond]]\n", {"place", "home_pond"}),
        ("\n", {"waterplan_case"}),
    ],
)
def test_tables_of_the_wrong_kind(text: str, where: set[str]) -> None:
    assert set(told(text)) == where


def test_what_was_read_is_shown_short() -> None:
    for text in (
        SMALL + f"outlets = {'9' * 90}\n",
        SMALL.replace('"koi"', f'"{"k" * 5000}"'),
        SMALL + f"{'k' * 5000} = 1\n",
    ):
        ((where, (read, _)),) = told(text).items()
        assert len(read) < 120
        assert len(where) < 120


def test_a_weight_and_a_length_that_do_not_go_together_are_read_all_the_same() -> None:
    case = case_of('waterplan_case = 1\n[patient]\nspecies = "koi"\nweight = "0.235 kg"\nlength = "52 cm"\n')
    assert case.patients[0].weight is not None
    assert case.patients[0].length is not None


# -- dates --------------------------------------------------------------------------------------------------------

VIENNA = timezone(timedelta(hours=2))


@pytest.mark.parametrize(
    ("raw", "when"),
    [
        ("2026-05-14T09:30", datetime(2026, 5, 14, 9, 30, tzinfo=VIENNA)),
        (" 2026-05-14 09:30 ", datetime(2026, 5, 14, 9, 30, tzinfo=VIENNA)),
        ("2026-05-14", datetime(2026, 5, 14, tzinfo=VIENNA)),
        ("2026-05-14T09:30Z", datetime(2026, 5, 14, 11, 30, tzinfo=VIENNA)),
        ("2026-05-14T09:30-05:00", datetime(2026, 5, 14, 16, 30, tzinfo=VIENNA)),
        (datetime(2026, 5, 14, 9, 30, tzinfo=UTC), datetime(2026, 5, 14, 11, 30, tzinfo=VIENNA)),
    ],
)
def test_a_time_is_put_on_the_clock_of_the_place(raw: object, when: datetime) -> None:
    found = parse_when(raw, VIENNA)
    assert found == when
    assert found.utcoffset() == timedelta(hours=2)


@pytest.mark.parametrize(
    "raw",
    [
        "",
        "noon",
        "14.05.2026",
        "2026-13-01",
        "2026-05-14T25:00",
        "1066-10-14",
        "9999-12-31",
        "0001-01-01",
        5,
        None,
        1.5,
    ],
)
def test_what_is_no_date_is_refused(raw: object) -> None:
    with pytest.raises(BadValue):
        parse_when(raw)


@pytest.mark.parametrize(
    "written", ["2026-05-14T09:30", "2026-05-14 09:30", '"2026-05-14T09:30"', "2026-05-14T09:30:00"]
)
def test_a_time_to_the_minute_needs_no_quotes(written: str) -> None:
    case = case_of(
        f'waterplan_case = 1\nutc_offset = "+02:00"\n[intended]\noperation_at = {written} # not "2026-05-14T09:30\n'
        '[patient]\nname = "2026-05-14T09:30"\n'
    )
    assert case.intended.operation_at == datetime(2026, 5, 14, 7, 30, tzinfo=UTC)
    assert case.patients[0].name == "2026-05-14T09:30", "what stands in quotes is left as it is"


def test_a_zone_by_name_knows_summer_and_winter() -> None:
    case = case_of(
        'waterplan_case = 1\ntimezone = "Europe/Vienna"\n[patient]\nlast_fed = 2026-03-28T12:00\n'
        "[intended]\noperation_at = 2026-03-29T12:00\n"
    )
    assert case.intended.operation_at is not None
    assert case.patients[0].last_fed is not None
    # The clocks went forward in between: the day had 23 hours.
    assert case.intended.operation_at - case.patients[0].last_fed == timedelta(hours=23)


@pytest.mark.parametrize(
    ("key", "value"),
    [("utc_offset", "noon"), ("utc_offset", "+99:00"), ("timezone", "Moon/Base"), ("timezone", "../etc")],
)
def test_a_zone_that_is_none_is_told(key: str, value: str) -> None:
    assert "such as" in told(f'{key} = "{value}"\n{SMALL}')[key][1]


# -- choices ------------------------------------------------------------------------------------------------------

CHOICES = [
    (key.section, key.key, choice)
    for key in fields()
    if key.section not in {"volumes", "doses", "already", "done", ""} and key.key != "patients"
    for choice in key.choices
]


@pytest.mark.parametrize(("section", "key", "choice"), CHOICES)
def test_every_choice_is_accepted(section: str, key: str, choice: str) -> None:
    needed = {
        "vessels": {"name": "tub", "use": "hospital", "heater": "100 W", "filter": "seeded"},
        "events": {"at": "2026-05-14T12:00", "what": "meal", "volume": "10 L", "weight": "10 g", "words": "Dot"},
        "other_fish": {"species": "koi", "count": 2},
        "seen": {"sign": "jumped out"},
        "given": {"at": "2026-05-08"},
    }.get(section, {})
    sizes = dict.fromkeys(("length", "width", "diameter", "depth"), "1 m") if key == "shape" else {}
    table = {**needed, **sizes, key: choice.upper()}
    many = next(one.many for one in fields() if one.section == section)
    case = read_case({section: [table] if many else table})
    held = getattr(case, section)
    assert getattr(held[0] if many else held, key) == choice


def test_every_use_of_every_substance_is_accepted() -> None:
    doses = [
        {"substance": name, "use": use, "into": "20 L, marked tub"}
        for name in known_substances()
        for use in uses_of(name)
    ]
    case = read_case({"doses": doses})
    assert [(dose.substance, dose.use) for dose in case.doses] == [(dose["substance"], dose["use"]) for dose in doses]


def test_every_record_is_frozen_and_strict() -> None:
    case = case_of(SMALL)
    with pytest.raises(ValidationError):
        case.vessels[0].name = "other"
    with pytest.raises(ValidationError):
        Vessel(name="x", use=Use.DIP, colour="red")  # type: ignore[call-arg]
    assert Case().vessels == ()


# -- events -------------------------------------------------------------------------------------------------------

STAY = {"intended": {"operation_at": "2026-05-14T10:00", "days": "3 days"}}
VAT = {"vessels": [{"name": "vat", "use": "hospital", "volume": "400 L, marked tub"}]}


def told_of_events(*events: dict[str, object], **more: object) -> dict[str, list[tuple[str, str]]]:
    with pytest.raises(CaseError) as error:
        read_case({**STAY, "events": list(events), **more})
    found: dict[str, list[tuple[str, str]]] = {}
    for one in error.value.mistakes:
        found.setdefault(one.where, []).append((one.read, one.would_do))
    return found


def test_events_are_put_in_the_order_of_time() -> None:
    events = [
        {"at": "2026-05-15T09:00", "what": "water change", "volume": "120 L, marked tub"},
        {"at": "2026-05-14T18:00", "what": "power fails"},
        {"at": "2026-05-14T21:00+01:00", "what": "power returns"},
    ]
    case = read_case({**STAY, "events": events})
    assert [event.what for event in case.events] == [Happens.POWER_FAILS, Happens.POWER_RETURNS, Happens.CHANGE]
    assert case.events[2].volume is not None
    assert case.events[2].volume.measured.best == 120.0


def test_what_is_wrong_with_events_is_told_together_and_names_the_event() -> None:
    found = told_of_events(
        {"at": "2026-05-15T09:00", "what": "water change"},
        {"at": "2026-05-14T09:00", "what": "meal", "weight": "3 g"},
        {"at": "2026-05-18T09:00", "what": "filter damaged"},
        {"at": "2026-05-16T09:00", "what": "earthquake"},
    )
    assert found["events[1].volume"][0][0] == "nothing for the water change at 2026-05-15T09:00"
    assert found["events[2].at"][0][0] == "meal at 2026-05-14T09:00"
    assert "after the operation" in found["events[2].at"][0][1]
    assert found["events[3].words"][0][0] == "nothing for the filter damaged at 2026-05-18T09:00"
    assert found["events[3].at"][0][0] == "filter damaged at 2026-05-18T09:00"
    assert found["events[4].what"][0][0] == "'earthquake'"


def test_an_event_that_cannot_be_read_moves_no_number_of_the_others() -> None:
    found = told_of_events(
        {"at": "2026-05-16T09:00", "what": "earthquake"},
        {"at": "2026-05-15T09:00", "what": "water change"},
    )
    assert found["events[1].what"][0][0] == "'earthquake'"
    assert found["events[2].volume"][0][0] == "nothing for the water change at 2026-05-15T09:00"


def test_events_that_the_tank_has_not_the_means_for_are_told_together() -> None:
    found = told_of_events(
        {"at": "2026-05-15T09:00:00", "what": "water change", "volume": "480 L, marked tub"},
        {"at": "2026-05-16T02:00:00", "what": "heater sticks on"},
        {"at": "2026-05-16T09:00:00", "what": "filter damaged", "words": "formalin", "water": "VAT"},
        **VAT,
    )
    assert found == {
        "events[1].volume": [
            (
                "480 L, marked tub for the water change at 2026-05-15T09:00",
                "at most what the vat holds, 400 L, marked tub",
            )
        ],
        "events[2].what": [
            ("heater sticks on at 2026-05-16T02:00, and the vat has no heater", "give its heater, or leave this out")
        ],
        "events[3].what": [
            ("filter damaged at 2026-05-16T09:00, and the vat has no filter", "give its filter, or leave this out")
        ],
    }


def test_an_event_of_the_pond_may_come_before_the_operation() -> None:
    event = {"at": "2026-05-12T09:00", "what": "water change", "volume": "3000 L", "water": "home pond"}
    case = read_case({**STAY, **VAT, "events": [event]})
    assert case.events[0].water == "home-pond"


def test_a_key_of_an_event_that_cannot_be_read_is_not_missed_as_well() -> None:
    assert list(told_of_events({"at": "2026-05-15T09:00", "what": "water change", "volume": "-5 L"})) == [
        "events[1].volume"
    ]
