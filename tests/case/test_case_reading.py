"""From a file to a case, with all its mistakes told together."""

from dataclasses import fields, is_dataclass
from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from waterplan.case import model
from waterplan.case.fields import Kind
from waterplan.case.reading import LARGEST_FILE, case_from_document, document_from_text, parse_when, read_case
from waterplan.case.schema import SECTIONS, SHAPE_KEYS, VERSION, WATER_KEYS, Filter, Shape, Use, Walls
from waterplan.case.tank_choices import BackUp, Carrier, Happens, MadeOf, Stones
from waterplan.case.values import BadValue
from waterplan.dose.substances import known_substances, uses_of
from waterplan.errors import CaseError
from waterplan.tables import shipped

DEMOS = sorted(shipped("demo_ponds").glob("*.toml"))
SMALL = """waterplan_case = 1
[patient]
species = "koi"
weight = "1.1 kg, scales"
[[vessels]]
name = "grey tub"
use = "revival"
volume = "60 L, marked tub"
"""


def case_of(text: str) -> model.Case:
    return case_from_document(document_from_text(text, file="pond.toml"), file="pond.toml")


def told(text: str) -> dict[str, tuple[str, str]]:
    """What is wrong in a text: the two halves of each mistake by where it is."""
    with pytest.raises(CaseError) as error:
        case_of(text)
    mistakes = error.value.mistakes
    assert error.value.file == "pond.toml"
    assert len({(mistake.where, mistake.would_do) for mistake in mistakes}) == len(mistakes), "told twice"
    return {mistake.where: (mistake.read, mistake.would_do) for mistake in mistakes}


# -- what is enough -----------------------------------------------------------------------------------------------


def test_species_a_weight_and_one_vessel_are_enough() -> None:
    case = case_of(SMALL)
    assert case.patient.species == "koi"
    assert case.patient.weight is not None
    assert case.patient.weight.measured.best == 1.1
    assert [vessel.name for vessel in case.vessels_for(Use.REVIVAL)] == ["grey tub"]
    assert case.home_pond is None
    assert case.home_water.readings == {}


def test_a_length_will_do_for_the_weight() -> None:
    case = case_of(SMALL.replace('weight = "1.1 kg, scales"', 'length = "41 cm, tape"'))
    assert case.patient.weight is None
    assert case.patient.length is not None


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_every_invented_case_is_read(path: Path) -> None:
    case = read_case(path)
    assert case.file == str(path)
    assert case.vessels


def test_there_are_four_invented_cases_of_different_fish() -> None:
    assert len(DEMOS) >= 4
    assert len({read_case(path).patient.species for path in DEMOS}) >= 4


def test_a_vessels_own_readings_are_its_water() -> None:
    case = case_of(SMALL + 'temperature = "18 °C"\nph = 7.5\ntaken = 2026-05-14T08:00:00\n')
    water = case.water("grey tub")
    assert water is not None
    assert set(water.readings) == {"temperature", "ph"}
    assert water.readings["temperature"].taken == datetime(2026, 5, 14, 8)
    assert case.water("home water") is case.home_water
    assert case.water("moat") is None


def test_what_is_not_measured_is_absent_and_no_error() -> None:
    case = case_of(SMALL + '[home_water]\ntemperature = "not measured"\nph = "7.5, pH meter"\n')
    assert set(case.home_water.readings) == {"ph"}


def test_no_other_fish_needs_no_size() -> None:
    case = case_of(SMALL + '[[other_fish]]\nspecies = "koi"\ncount = 0\n')
    assert case.other_fish[0].count == 0


# -- what is wrong, and that it is all told -----------------------------------------------------------------------

BAD = """
[patient]
species = "shark"
weight = 3
length = "-38 cm"
colour = "red"
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
        "home_water.temperature",
        "home_water.ph",
        "home_water.nitrite",
        "home_water.oxygen",
        "vessels[1].name",
        "vessels[1].use",
        "vessels[1].volume",
        "vessels[2].width",
        "vessels[2].depth",
        "vessels[3]",
        "vessels",
        "other_fish[1].count",
        "intended.operation_at",
        "intended.feed",
    }
    assert found["patient.species"][1].startswith("use one of koi, common carp")
    assert found["patient.weight"] == ("3", "write the value and its unit in quotes, such as '0.62 kg, scales'")
    assert found["patient.colour"][1].startswith("use one of species, name")
    assert found["home_water.temperature"] == ("'60 °C'", "water temperature must be 0 to 45 °C")
    assert "which gallon" in found["vessels[1].volume"][1]
    assert "write the basis" in found["home_water.nitrite"][1]
    assert found["vessels"] == ("two vessels named 'oval tub'", "give each vessel a name of its own")


@pytest.mark.parametrize(
    ("change", "where", "says"),
    [
        (("waterplan_case = 1\n", ""), "waterplan_case", "begin the file with 'waterplan_case = 1'"),
        (("= 1\n", "= 2\n"), "waterplan_case", "this version of the tool reads waterplan_case = 1"),
        (("= 1\n", '= "1"\n'), "waterplan_case", "reads waterplan_case = 1"),
        (("= 1\n", "= true\n"), "waterplan_case", "reads waterplan_case = 1"),
        (("= 1\n", "= 1.0\n"), "waterplan_case", "reads waterplan_case = 1"),
        (('species = "koi"\n', ""), "patient.species", "needed here: species, such as 'koi'"),
        (('weight = "1.1 kg, scales"\n', ""), "patient.weight", "give one of them"),
        (('"1.1 kg, scales"', '"not measured"'), "patient.weight", "give one of them"),
        (('name = "grey tub"\n', ""), "vessels[1].name", "needed here: its name"),
        (('"grey tub"', '"   "'), "vessels[1].name", "needed here: its name"),
        (('"grey tub"', '"home water"'), "vessels", "that name means the water itself"),
        (('"grey tub"', '"' + "x" * 501 + '"'), "vessels[1].name", "at most 500 characters"),
        (('"grey tub"', '"a\\u0007b"'), "vessels[1].name", "control characters"),
        (('use = "revival"\n', ""), "vessels[1].use", "needed here: what it is for"),
        (('volume = "60 L, marked tub"\n', ""), "vessels[1]", "such as volume = '60 L, marked tub'"),
        (('volume = "60 L, marked tub"', 'length = "1 m"'), "vessels[1].shape", "say which: rectangle, round, oval"),
        (('volume = "60 L, marked tub"', 'shape = "star"'), "vessels[1].shape", "use one of rectangle"),
        (('"60 L, marked tub"', "60"), "vessels[1].volume", "write the value and its unit in quotes"),
        (('"koi"', '"Koi"'), "patient.species", "use one of koi"),
        (('"koi"', "7"), "patient.species", "write text in quotes"),
    ],
)
def test_one_mistake_names_the_key_and_what_would_do(change: tuple[str, str], where: str, says: str) -> None:
    assert change[0] in SMALL
    found = told(SMALL.replace(*change))
    assert set(found) == {where}
    assert says in found[where][1]


@pytest.mark.parametrize(
    ("more", "where", "says"),
    [
        ("[patiant]\n", "patiant", "use one of patient, place"),
        ("colour = 1\n", "vessels[1].colour", "use one of name, use"),
        ("outlets = 1.5\n", "vessels[1].outlets", "whole number"),
        ("outlets = true\n", "vessels[1].outlets", "whole number"),
        ('outlets = "²"\n', "vessels[1].outlets", "whole number"),
        ('[home_pond]\nshape = "round"\ndiameter = "3 m"\n', "home_pond.depth", "the shape round needs its depth"),
        (
            '[home_pond]\nshape = "oval"\nlength = "not measured"\nwidth = "2 m"\ndepth = "1 m"\n',
            "home_pond.length",
            "the shape oval needs its length",
        ),
        ('[[other_fish]]\nspecies = "koi"\ncount = 3\n', "other_fish[1]", "give one of them"),
        ('[[other_fish]]\ncount = 3\nlength = "9 cm"\n', "other_fish[1].species", "needed here"),
        ("[intended]\noperation_at = 07:30:00\n", "intended.operation_at", "write a date and time"),
        ("[intended]\noperation_at = 3026-05-14\n", "intended.operation_at", "the year must be"),
        ("[home_water.temperature]\nvalue = 3\n", "home_water.temperature", "in quotes"),
        ("[home_water]\nph = inf\n", "home_water.ph", "write a number"),
    ],
)
def test_one_thing_too_many(more: str, where: str, says: str) -> None:
    found = told(SMALL + more)
    assert set(found) == {where}
    assert says in found[where][1]


@pytest.mark.parametrize(
    ("text", "where"),
    [
        ("waterplan_case = 1\npatient = 3\nvessels = []\n", {"patient", "vessels"}),
        ('waterplan_case = 1\npatient = "koi"\nvessels = [1, 2]\n', {"patient", "vessels"}),
        ('waterplan_case = 1\n[[patient]]\nspecies = "koi"\n[vessels]\nname = "tub"\n', {"patient", "vessels"}),
        ("", {"waterplan_case", "patient", "vessels"}),
    ],
)
def test_tables_of_the_wrong_kind(text: str, where: set[str]) -> None:
    assert set(told(text)) == where


def test_one_mistake_in_a_size_is_told_once() -> None:
    found = told(SMALL.replace('"1.1 kg, scales"', '"1,1 kg"'))
    assert set(found) == {"patient.weight"}
    assert "decimal point" in found["patient.weight"][1]


def test_what_was_read_is_shown_short() -> None:
    for text in (SMALL + f"outlets = {'9' * 4000}\n", SMALL.replace('"koi"', f'"{"k" * 5000}"')):
        (read, _), *_ = told(text).values()
        assert len(read) < 120


# -- files that are no case at all --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "read"),
    [
        (b"not = = toml", "text that is not TOML"),
        (b"\xff\xfe\x00binary\x00", "bytes that are not UTF-8 text"),
        (b"x = " + b"[" * 30_000 + b"]" * 30_000, "text that is not TOML"),
        (b"x = " + b"9" * 6000, "text that is not TOML"),
        (b"#" * (LARGEST_FILE + 1), "over 1 MB"),
    ],
    ids=["no toml", "binary", "deep", "a very long number", "huge"],
)
def test_a_file_that_is_no_toml_is_told_by_name(content: bytes, read: str, tmp_path: Path) -> None:
    path = tmp_path / "pond.toml"
    path.write_bytes(content)
    with pytest.raises(CaseError) as error:
        read_case(path)
    assert error.value.file == str(path)
    (mistake,) = error.value.mistakes
    assert mistake.where == "file"
    assert mistake.read.startswith(read)


def test_a_missing_file_and_a_folder(tmp_path: Path) -> None:
    for path in (tmp_path / "none.toml", tmp_path):
        with pytest.raises(CaseError) as error:
            read_case(path)
        assert error.value.mistakes[0].would_do == "name a case file that exists"


keys = st.sampled_from([*SECTIONS, "waterplan_case", "name", "species", "volume", "x"])
leaves = st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=8), st.dates())
documents = st.dictionaries(
    keys,
    st.recursive(
        leaves, lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(keys, inner, max_size=3))
    ),
    max_size=5,
)


@given(documents)
def test_any_document_ends_in_a_case_or_in_a_list_of_mistakes(document: dict[str, object]) -> None:
    try:
        case_from_document(document, file="pond.toml")
    except CaseError as error:
        assert error.mistakes  # noqa: PT017 - either end is right
        assert all(mistake.where and mistake.would_do for mistake in error.mistakes)  # noqa: PT017 - either end is right


@given(st.text(max_size=200))
def test_any_text_ends_in_words(text: str) -> None:
    with pytest.raises(CaseError):
        case_of(text)


# -- dates --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("raw", "when"),
    [
        ("2026-05-14T09:30", datetime(2026, 5, 14, 9, 30)),
        (" 2026-05-14 09:30 ", datetime(2026, 5, 14, 9, 30)),
        ("2026-05-14", datetime(2026, 5, 14)),
        ("2026-05-14T09:30+02:00", datetime(2026, 5, 14, 9, 30)),
    ],
)
def test_a_time_is_the_clock_on_the_wall(raw: str, when: datetime) -> None:
    assert parse_when(raw) == when


@pytest.mark.parametrize(
    "raw", ["", "noon", "14.05.2026", "2026-13-01", "2026-05-14T25:00", "1066-10-14", 5, None, 1.5]
)
def test_what_is_no_date_is_refused(raw: object) -> None:
    with pytest.raises(BadValue):
        parse_when(raw)


# -- the schema and the records agree -----------------------------------------------------------------------------

RECORDS = {
    "patient": model.Patient,
    "place": model.Place,
    "other_fish": model.OtherFish,
    "intended": model.Intended,
    "home_pond": model.HomePond,
    "vessels": model.Vessel,
    "oxygen_cylinder": model.OxygenCylinder,
    "transport": model.Transport,
    "events": model.CaseEvent,
}


@pytest.mark.parametrize("name", RECORDS)
def test_every_key_has_its_place_in_the_record_and_every_record_its_key(name: str) -> None:
    said = {field.key for field in SECTIONS[name].fields}
    held = {field.name for field in fields(RECORDS[name])}
    if "body" in held:
        held = held - {"body"} | set(SHAPE_KEYS)
        assert {field.name for field in fields(model.Body)} == set(SHAPE_KEYS)
    if "water" in held:
        held = held - {"water"} | {"taken", *WATER_KEYS}
    assert said == held


@pytest.mark.parametrize(("name", "plain"), [("home_water", {"taken"}), ("mains_water", {"taken", "disinfectant"})])
def test_every_key_of_a_water_is_a_reading_or_has_a_place(name: str, plain: set[str]) -> None:
    assert {field.key for field in SECTIONS[name].fields} == plain | set(WATER_KEYS)
    assert {field.name for field in fields(model.Water)} == {"taken", "disinfectant", "readings"}


CHOICES = [
    (section.name, field.key, choice)
    for section in SECTIONS.values()
    if section.name != "volumes"  # each choice of it asks for keys of its own: test_measuring.py
    for field in section.fields
    if field.kind is Kind.CHOICE
    for choice in field.choices
]


@pytest.mark.parametrize(("section", "key", "choice"), CHOICES)
def test_every_choice_is_accepted(section: str, key: str, choice: str) -> None:
    document = document_from_text(SMALL, file="pond.toml")
    sizes = dict.fromkeys(("length", "width", "diameter", "depth"), "1 m")
    if section == "vessels":
        document["vessels"][0] |= {key: choice} | sizes
    elif section == "events":
        needed = {"at": "2026-05-14T12:00", "volume": "10 L", "weight": "10 g", "words": "Dot"}
        document["events"] = [needed | {key: choice}]
    elif section == "doses":
        substance = next(name for name in known_substances() if key != "use" or choice in uses_of(name))
        dose = {"substance": substance, "use": choice, "into": "20 L, marked tub"} | {key: choice}
        document["doses"] = [dose | ({} if key == "use" else {"use": next(iter(uses_of(dose["substance"])))})]
    elif section in {"injections", "already"}:
        document[section] = [{"injections": {"drug": "any"}, "already": {"what": "zeolite"}}[section] | {key: choice}]
    elif section == "other_fish":
        document["other_fish"] = [{"species": "koi", "count": 2, "length": "20 cm"} | {key: choice}]
    else:
        document.setdefault(section, {})[key] = choice
        if key == "shape":
            document[section] |= sizes
    case = case_from_document(document, file="pond.toml")
    held = {
        "patient": case.patient,
        "home_pond": case.home_pond,
        "mains_water": case.mains_water,
        "vessels": case.vessels[0],
        "other_fish": case.other_fish[0] if case.other_fish else None,
        "transport": case.transport,
        "events": case.events[0] if case.events else None,
        "doses": case.doses[0] if case.doses else None,
        "injections": case.injections[0] if case.injections else None,
        "already": case.already[0] if case.already else None,
    }[section]
    found = getattr(held.body if key == "shape" else held, key)  # type: ignore[union-attr]
    assert found == (choice.replace(" ", "_") if (section, key) == ("already", "what") else choice)
    kinds = {"stones": Stones, "made_of": MadeOf, "back_up": BackUp, "by": Carrier, "what": Happens}
    known = {"shape": Shape, "use": Use, "filter": Filter, "walls": Walls} | kinds
    kind = known.get(key if section not in {"doses", "already"} else "")
    assert kind is None or isinstance(found, kind)


def test_every_record_is_frozen() -> None:
    records = [
        record for record in vars(model).values() if is_dataclass(record) and record.__module__ == model.__name__
    ]
    assert len(records) >= 8
    assert all(record.__dataclass_params__.frozen for record in records)  # type: ignore[attr-defined]


def test_the_version_is_written_in_every_invented_case() -> None:
    for path in DEMOS:
        assert f"waterplan_case = {VERSION}" in path.read_text(encoding="utf-8")


# -- events -------------------------------------------------------------------------------------------------------


def with_events(*events: dict[str, object]) -> dict[str, object]:
    document = document_from_text(SMALL, file="pond.toml")
    document["intended"] = {"operation_at": "2026-05-14T10:00", "days": "3 days"}
    return document | {"events": list(events)}


def test_events_are_read_in_their_order() -> None:
    case = case_from_document(
        with_events(
            {"at": "2026-05-14T18:00", "what": "power fails"},
            {"at": "2026-05-14T21:00", "what": "power returns"},
            {"at": "2026-05-15T09:00", "what": "water change", "volume": "120 L, marked tub"},
        ),
        file="pond.toml",
    )
    assert [event.what for event in case.events] == [Happens.POWER_FAILS, Happens.POWER_RETURNS, Happens.CHANGE]
    assert case.events[2].volume is not None
    assert case.events[2].volume.measured.best == 120.0


def test_what_is_wrong_with_events_is_told_together_and_names_the_event() -> None:
    with pytest.raises(CaseError) as told:
        case_from_document(
            with_events(
                {"at": "2026-05-15T09:00", "what": "water change"},
                {"at": "2026-05-14T09:00", "what": "meal", "weight": "3 g"},
                {"at": "2026-05-18T09:00", "what": "filter damaged"},
                {"at": "2026-05-16T09:00", "what": "earthquake"},
            ),
            file="pond.toml",
        )
    said = {(mistake.where, mistake.read) for mistake in told.value.mistakes}
    assert ("events[1].volume", "nothing for the water change at 2026-05-15T09:00") in said
    assert ("events[2].at", "meal at 2026-05-14T09:00") in said
    assert ("events[3].words", "nothing for the filter damaged at 2026-05-18T09:00") in said
    assert ("events[3].at", "filter damaged at 2026-05-18T09:00") in said
    assert ("events[4].what", "'earthquake'") in said
    advice = [mistake.would_do for mistake in told.value.mistakes if mistake.where == "events[2].at"]
    assert any("in order of time" in text for text in advice)
    assert any("after the operation" in text for text in advice)


def test_events_that_the_hospital_tank_has_not_the_means_for_are_told_together() -> None:
    document = with_events(
        {"at": "2026-05-15T09:00:00", "what": "water change", "volume": "480 L, marked tub"},
        {"at": "2026-05-16T02:00:00", "what": "heater sticks on"},
        {"at": "2026-05-16T09:00:00", "what": "filter damaged", "words": "formalin"},
    )
    document["vessels"] = [{"name": "vat", "use": "hospital", "volume": "400 L, marked tub"}]
    with pytest.raises(CaseError) as told:
        case_from_document(document, file="pond.toml")
    said = {(mistake.where, str(mistake.read)) for mistake in told.value.mistakes}
    assert said == {
        ("events[1].volume", "480 L, marked tub for the water change at 2026-05-15T09:00"),
        ("events[2].what", "heater sticks on at 2026-05-16T02:00, and the vat has no heater"),
        ("events[3].what", "filter damaged at 2026-05-16T09:00, and the vat has no filter"),
    }
    (over,) = [mistake for mistake in told.value.mistakes if mistake.where == "events[1].volume"]
    assert over.would_do == "at most what the vat holds, 400 L, marked tub"


def test_a_key_of_an_event_that_cannot_be_read_is_not_missed_as_well() -> None:
    with pytest.raises(CaseError) as told:
        case_from_document(
            with_events({"at": "2026-05-15T09:00", "what": "water change", "volume": "-5 L"}), file="pond.toml"
        )
    assert [mistake.where for mistake in told.value.mistakes] == ["events[1].volume"]
