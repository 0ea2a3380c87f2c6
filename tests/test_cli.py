"""The command line as a person uses it: what it prints, what it writes, and what it says to bad input."""

import csv
import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests.plans import DEMO_PONDS, DEMOS, SMALLEST
from waterplan import cli
from waterplan.papers.sheet import TITLES

PAPERS = {"plan.txt", "plan.html", "owner.html", "tub-cards.html", "findings.csv", "plan.json", "dose-cards.html"}
PAPERS |= {"contingency.html", "hospital.html"}
# A metric amount that a reader of US units should not meet. mg/L, g/L, mL, mg/kg/h and degree-days are the trade's own
# in both systems, and small weighings are in grams.
METRIC_AMOUNT = re.compile(r"\d (?:°C|L|kg|cm|m|mm|kPa|m³|kg/m³|L/day|L/min|°C/h)(?![\w/³])")


def run(*words, code=0):
    """A run of the command that must end with this code and without a traceback; its output."""
    done = CliRunner().invoke(cli.main, [str(word) for word in words])
    assert done.exception is None or isinstance(done.exception, SystemExit), repr(done.exception)
    assert done.exit_code == code, done.output
    assert "Traceback" not in done.output
    return done


def demo(name):
    return DEMO_PONDS / f"{name}.toml"


@pytest.mark.parametrize("name", DEMOS)
def test_a_demo_case_is_planned_in_seven_moments(name):
    text = run("plan", demo(name), "--draws", 128).stdout
    headings = [f"{number}  {title.upper()}" for number, title in enumerate(TITLES.values(), 1)]
    at = [text.index(f"\n{heading}\n") for heading in headings]
    assert at == sorted(at)
    assert len(headings) == 7
    assert text.index("\nFIRST\n") < at[0] < at[-1] < text.index("\nSOURCES\n")
    assert text.endswith("\n")
    assert "nan" not in text.lower().split()


@pytest.mark.parametrize("name", DEMOS)
def test_json_is_json(name):
    def no_constants(word):
        raise AssertionError(f"{word} is not JSON")

    document = json.loads(run("plan", demo(name), "--json", "--draws", 64).stdout, parse_constant=no_constants)
    assert [part["moment"] for part in document["moments"]] == [moment.value for moment in TITLES]
    assert document["draws"] == 64


def test_json_stays_alone_on_the_output_when_papers_are_written(tmp_path):
    done = run("plan", demo("heron_goldfish"), "--json", "--draws", 16, "--papers", tmp_path)
    assert json.loads(done.stdout)["draws"] == 16
    assert "To open the screens" in done.stderr


def test_all_papers_are_written_and_the_last_line_tells_how_to_open_the_screens(tmp_path):
    folder = tmp_path / "new" / "papers"
    text = run("plan", demo("hooked_tench"), "--papers", folder, "--draws", 64).stdout
    assert {path.name for path in folder.iterdir()} == PAPERS
    assert all(path.stat().st_size > 500 for path in folder.iterdir())
    last = text.rstrip().splitlines()[-1]
    assert last.startswith("To open the screens: ")
    assert last.endswith(" screens")
    assert (folder / "plan.txt").read_text(encoding="utf-8") in text


def test_papers_that_cannot_be_written_leave_what_was_there(tmp_path):
    (tmp_path / "papers").write_text("not a folder", encoding="utf-8")
    done = run("plan", demo("hooked_tench"), "--draws", 16, "--papers", tmp_path / "papers" / "inside", code=2)
    assert str(tmp_path / "papers") in done.stderr
    assert "name a folder that can be written to" in done.stderr
    assert done.stdout == ""
    assert (tmp_path / "papers").read_text(encoding="utf-8") == "not a folder"


def test_a_folder_for_papers_that_is_a_file_is_refused(tmp_path):
    (tmp_path / "papers").write_text("", encoding="utf-8")
    assert "papers" in run("plan", demo("hooked_tench"), "--papers", tmp_path / "papers", code=2).output


@pytest.mark.parametrize("name", DEMOS)
def test_us_units_leave_no_metric_amount(name):
    text = run("plan", demo(name), "--units", "us", "--draws", 64).stdout
    plan, _, _ = text.partition("\nSOURCES\n")
    assert METRIC_AMOUNT.findall(plan) == []
    assert "US gal" in plan
    assert "°F" in plan


def test_metric_units_leave_no_us_amount():
    text = run("plan", demo("sturgeon_fin"), "--draws", 64).stdout.partition("\nSOURCES\n")[0]
    assert re.findall(r"\d (?:°F|US gal|in|ft|lb|oz)\b", text) == []
    # 31 in, 5.9 lb, 62.5 °F: the international inch (25.4 mm) and pound (0.45359237 kg), and 5/9 (F - 32).
    assert "16.9 °C" in text
    assert "2.68 kg" in text


def test_readings_replace_the_cases_own_up_to_the_time_asked_for():
    log = DEMO_PONDS / "heron_goldfish_readings.csv"
    before = run("plan", demo("heron_goldfish"), "--draws", 64).stdout
    first = run("plan", demo("heron_goldfish"), "--readings", log, "--as-of", "2026-05-15T12:00", "--draws", 64).stdout
    all_of_it = run("plan", demo("heron_goldfish"), "--readings", log, "--draws", 64).stdout
    assert "Nothing logged since the operation" in before
    assert "Fri 15 May 2026, 12:00" in first
    # Days of 24 h from the operation at 10:00, by hand: (18.9 + 20.2) / 2 = 19.55 on the first, then 21.1 and 20.8.
    logged = [float(re.search(r"([\d.]+) degree-days \(°C\) in", text)[1]) for text in (first, all_of_it)]
    assert logged == pytest.approx([19.55, 19.55 + 21.1 + 20.8], abs=0.051)


def test_the_seed_and_the_draws_are_told_and_do_what_they_say():
    once = run("plan", demo("hooked_tench"), "--draws", 64, "--seed", 7).stdout
    again = run("plan", demo("hooked_tench"), "--draws", 64, "--seed", 7).stdout
    other = run("plan", demo("hooked_tench"), "--draws", 64, "--seed", 8).stdout
    assert once == again != other
    assert "64 draws, seed 7." in once


# --- what bad input gets -----------------------------------------------------------------------------------------------

BAD = {
    "not TOML": ("patient: koi", ["file", "not TOML", "correct it"]),
    "nothing at all": ("", ["waterplan_case", "patient", "vessels"]),
    "no species": (SMALLEST.replace('species = "koi"', ""), ["patient.species", "nothing", "'koi'"]),
    "no vessel": (SMALLEST.partition("[[vessels]]")[0], ["vessels", "nothing", "[[vessels]]"]),
    "no size": (SMALLEST.replace('weight = "1.1 kg, scales"', ""), ["patient.weight", "neither weight nor length"]),
    "no version": (SMALLEST.replace("waterplan_case = 1", ""), ["waterplan_case", "nothing", "waterplan_case = 1"]),
    "a version to come": (
        SMALLEST.replace("= 1\n", "= 2\n", 1),
        ["waterplan_case", "read 2", "reads waterplan_case = 1"],
    ),
    "an unknown key": (SMALLEST.replace("weight", "wieght"), ["patient.wieght", "unknown key", "weight"]),
    "an unknown section": (SMALLEST + "[pond]\nlength = '2 m'\n", ["pond", "unknown section", "home_pond"]),
    "a bare number": (SMALLEST.replace('"1.1 kg, scales"', "1.1"), ["patient.weight", "read 1.1", "unit in quotes"]),
    "a number without its unit": (SMALLEST.replace("1.1 kg, scales", "1.1"), ["patient.weight", "'1.1'", "'kg'"]),
    "gallons of no country": (
        SMALLEST.replace("60 L, marked tub", "16 gal"),
        ["vessels[1].volume", "'16 gal'", "'US gal'", "'imp gal'"],
    ),
    "a nitrite without its basis": (
        SMALLEST + "[home_water]\nnitrite = '0.2 mg/L'\n",
        ["home_water.nitrite", "'0.2 mg/L'", "'mg/L as NO2'", "'mg/L as N'", "basis unknown"],
    ),
    "ppm": (SMALLEST + "[home_water]\noxygen = '8 ppm'\n", ["home_water.oxygen", "'8 ppm'", "write mg/L"]),
    "a negative length": (
        SMALLEST.replace("[[vessels]]", "length = '-38 cm, tape'\n[[vessels]]"),
        ["patient.length", "'-38 cm, tape'", "must be"],
    ),
    "a NaN in quotes": (SMALLEST.replace("1.1 kg, scales", "nan kg"), ["patient.weight", "'nan kg'", "a number"]),
    "a NaN of TOML": (SMALLEST.replace('"1.1 kg, scales"', "nan"), ["patient.weight", "read nan", "quotes"]),
    "infinity": (SMALLEST.replace("1.1 kg", "1e999 kg"), ["patient.weight", "'1e999 kg, scales'", "must be"]),
    "an unknown species": (SMALLEST.replace('"koi"', '"unicorn"'), ["patient.species", "'unicorn'", "goldfish"]),
    "water at 60 °C": (
        SMALLEST + "[home_water]\ntemperature = '60 °C'\n",
        ["home_water.temperature", "'60 °C'", "must be"],
    ),
    "a comma for a point": (
        SMALLEST.replace("1.1 kg", "1,1 kg"),
        ["patient.weight", "'1,1 kg, scales'", "decimal point"],
    ),
    "an unknown instrument": (
        SMALLEST.replace("scales", "guesswork"),
        ["patient.weight", "'1.1 kg, guesswork'", "scales"],
    ),
    "a day that never was": (
        SMALLEST + "[intended]\noperation_at = '2026-02-30'\n",
        ["intended.operation_at", "'2026-02-30'", "2026-05-14T09:30"],
    ),
    "a year off the calendar": (
        SMALLEST + "[intended]\noperation_at = 9999-12-31\n",
        ["intended.operation_at", "9999", "the year must be"],
    ),
    "two tubs of one name": (SMALLEST + SMALLEST[SMALLEST.index("[[vessels]]") :], ["two vessels named 'blue tub'"]),
    "a fish twice": (SMALLEST.replace("[patient]", "[[patient]]"), ["patient", "[patient]"]),
    "a control character": (SMALLEST.replace("blue tub", "blue\\u001btub"), ["vessels[1].name", "control characters"]),
}


@pytest.mark.parametrize("trouble", BAD)
def test_a_bad_case_gets_one_message_that_says_where_what_and_what_would_do(tmp_path, trouble):
    text, words = BAD[trouble]
    case = tmp_path / "bad.toml"
    case.write_text(text, encoding="utf-8")
    done = run("plan", case, "--papers", tmp_path / "papers", code=2)
    assert done.stdout == ""
    assert done.stderr.count(str(case)) == 1
    assert [word for word in words if word not in done.stderr] == []
    assert not (tmp_path / "papers").exists()


def test_all_mistakes_of_a_file_are_told_together(tmp_path):
    case = tmp_path / "bad.toml"
    text = SMALLEST.replace("1.1 kg, scales", "1.1").replace("60 L, marked tub", "16 gal")
    case.write_text(text + "[home_water]\ntemperature = '60 °C'\nnitrite = '0.2 mg/L'\n", encoding="utf-8")
    message = run("plan", case, code=2).stderr
    assert "4 things to put right" in message
    told = [line for line in message.splitlines() if line.startswith("  ")]
    assert [line.split(":")[0].strip() for line in told] == [
        "patient.weight",
        "home_water.temperature",
        "home_water.nitrite",
        "vessels[1].volume",
    ]
    assert all("; " in line for line in told)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda path: None, ["No such file", "name a case file that exists"]),
        (lambda path: path.mkdir(), ["Is a directory", "name a case file that exists"]),
        (lambda path: path.write_bytes(b"\xff\xfe\x00"), ["not UTF-8", "save the case as UTF-8"]),
        (lambda path: path.write_bytes(b"#" * 1_000_001), ["over 1 MB"]),
    ],
    ids=["missing", "a folder", "not text", "too large"],
)
def test_a_file_that_cannot_be_read_is_named(tmp_path, make, words):
    path = tmp_path / "case.toml"
    make(path)
    done = run("plan", path, code=2)
    assert str(path) in done.stderr
    assert [word for word in words if word not in done.stderr] == []


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("when,water,what,reading\n", ["row 1", "when,water,what,reading", "taken,water,what,reading"]),
        ("", ["row 1", "nothing"]),
        ("taken,water,what,reading\n2026-05-15,moat,ph,7.1\n", ["row 2", "'moat'", "hospital tank"]),
        ("taken,water,what,reading\n2026-05-15,home water,colour,7.1\n", ["row 2", "'colour'", "temperature"]),
        ("taken,water,what,reading\nnoon,home water,ph,7.1\n", ["row 2", "'noon'", "2026-05-14T09:30"]),
        ("taken,water,what,reading\n2026-05-15,home water,nitrite,0.1 mg/L\n", ["row 2", "'0.1 mg/L'", "basis"]),
    ],
)
def test_bad_readings_name_the_file_and_the_row(tmp_path, text, words):
    log = tmp_path / "log.csv"
    log.write_text(text, encoding="utf-8")
    done = run("plan", demo("heron_goldfish"), "--readings", log, code=2)
    assert str(log) in done.stderr
    assert [word for word in words if word not in done.stderr] == []


def test_readings_that_are_not_there_are_named(tmp_path):
    done = run("plan", demo("heron_goldfish"), "--readings", tmp_path / "none.csv", code=2)
    assert "none.csv" in done.stderr


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--draws", "0"), "draws = 0"),
        (("--draws", "many"), "many"),
        (("--seed", "-1"), "seed = -1"),
        (("--as-of", "Tuesday"), "Tuesday"),
        (("--units", "cubits"), "cubits"),
    ],
)
def test_an_option_that_cannot_be_is_told_of(words, told):
    assert told in run("plan", demo("heron_goldfish"), *words, code=2).stderr


# --- the quick sums ----------------------------------------------------------------------------------------------------


def test_quick_oxygen_agrees_with_the_printed_table():
    text = run("oxygen", "--temperature", "20 ± 0 °C", "--altitude", "0 ± 0 m").stdout
    # Standard Methods 4500-O, table of oxygen in water exposed to saturated air at 101.3 kPa: 9.09 mg/L at 20 °C.
    assert "9.09 mg/L at saturation" in text
    assert "101 kPa" in text
    assert_whole(text)


def test_quick_oxygen_in_us_units():
    text = run("oxygen", "--temperature", "68 °F", "--altitude", "2100 ft", "--units", "us").stdout
    assert METRIC_AMOUNT.findall(text.partition("founded on")[0]) == []
    assert "inHg" in text


def test_quick_tank_names_the_demand_that_rules():
    words = ["--species", "orfe", "--weight", "1.1 kg", "--temperature", "18 °C", "--ph", "7.8", "--filter", "unseeded"]
    text = run("tank", *words).stdout
    assert re.search(r"Smallest tank that serves: [\d,.]+ L; .+ rules\.", text)
    assert text.count("Smallest tank by ") == 5
    assert_whole(text)


def test_quick_tank_says_what_it_lacks_without_naming_a_case():
    text = run("tank", "--species", "koi", "--weight", "1 kg").stdout
    assert "? Smallest tank by oxygen: Give the temperature." in text
    assert "[home_water]" not in text


@pytest.mark.parametrize(
    ("exposure", "strength", "present", "grams"),
    [
        # litres x (strength - what is in it), by hand; without an error there is no safe end to move to.
        ("level", "2 g/L", "0 ± 0 g/L", "400 g"),
        ("level", "2 g/L", "0.5 ± 0 g/L", "300 g"),
        ("bath", "6 g/L", "0 ± 0 g/L", "1.2 kg"),
        ("bath", "6 g/L", "2 ± 0 g/L", "800 g"),
        ("dip", "20 g/L", "0 ± 0 g/L", "4 kg"),
    ],
)
def test_quick_salt_is_the_sum_by_hand(exposure, strength, present, grams):
    words = ["--strength", strength, "--volume", "200 ± 0 L", "--species", "goldfish", "--present", present]
    text = run("salt", exposure, *words).stdout
    assert f": {grams} in " in text
    assert "ceiling" in text
    assert_whole(text)


def test_quick_salt_is_never_more_than_the_low_end_of_the_water_takes():
    words = ["--strength", "2 g/L", "--volume", "200 ± 20 L", "--species", "goldfish"]
    text = run("salt", "level", *words).stdout
    grams = float(re.search(r": ([\d.]+) g in all", text)[1])
    # ± 20 L is the half-width of a 95 % interval, so the 5th percentile is 200 - 1.645 / 1.960 x 20 = 183.2 L.
    assert grams == pytest.approx(366.4, abs=1.5)


def test_quick_salt_over_the_ceiling_is_refused():
    words = ["--strength", "25 g/L", "--volume", "60 L, marked tub", "--species", "sturgeon"]
    text = run("salt", "dip", *words).stdout
    assert text.startswith("⊘")
    assert "ceiling" in text


@pytest.mark.parametrize(
    ("use", "volume", "millilitres"),
    [
        # 10 % povidone-iodine holds 1 % available iodine, 10,000 mg/L: 100 mg/L is 1 in 100, 500 mg/L 1 in 20.
        ("instruments", "2 L", "20 mL"),
        ("nets", "10 L", "100 mL"),
        ("eggs", "1 L", "10 mL"),
        ("wound", "500 mL", "25 mL"),
    ],
)
def test_quick_iodine_is_told_in_available_iodine_and_in_stock(use, volume, millilitres):
    text = run("iodine", use, "--volume", volume, "--stock", "10 % PVP-I").stdout
    assert f"{millilitres} of the 10 % PVP-I stock" in text
    assert "mg/L available iodine" in text
    assert_whole(text, band=False)


def test_quick_iodine_refuses_a_whole_fish_and_says_why():
    text = run("iodine", "fish").stdout
    assert text.startswith("⊘")
    assert "half the goldfish died" in text


def assert_whole(text, *, band=True):
    """A short answer has its band, its source with how well it is founded, and a caution."""
    if band:
        assert "\n  band " in text or "limit:" in text
    assert re.search(r"\n  founded on \([a-z ]+\): \w", text)
    assert "it does not prescribe" in text
    assert len(text.splitlines()) < 25


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["oxygen", "--temperature", "18"], ["temperature: read '18'", "'°C'"]),
        (["oxygen", "--temperature", "60 °C"], ["temperature: read '60 °C'", "must be"]),
        (["oxygen", "--temperature", " "], ["temperature: read nothing", "'18 °C'"]),
        (["oxygen", "--temperature", "18 °C", "--altitude", "high"], ["altitude: read 'high'", "'640 m'"]),
        (["oxygen", "--temperature", "18 °C", "--species", "newt"], ["species: read 'newt'", "koi"]),
        (["tank", "--species", "koi"], ["weight: read nothing", "'0.62 kg'"]),
        (["tank", "--species", "koi", "--weight", "not measured"], ["weight: read nothing"]),
        (["tank", "--species", "koi", "--weight", "-1 kg"], ["weight: read '-1 kg'", "must be"]),
        (["tank", "--species", "koi", "--weight", "1 kg", "--filter", "new"], ["filter: read 'new'", "seeded"]),
        (["salt", "level", "--strength", "2", "--volume", "9 L", "--species", "koi"], ["strength: read '2'", "'g/L'"]),
        (["salt", "dip", "--strength", "2 %", "--volume", "9 L", "--species", "koi"], ["strength: read '2 %'", "g/L"]),
        (["salt", "level", "--strength", "2 g/L", "--volume", "9 gal", "--species", "koi"], ["volume", "'US gal'"]),
        (["salt", "level", "--strength", "2 g/L", "--volume", "0 L", "--species", "koi"], ["volume: read '0 L'"]),
        (["salt", "soak", "--strength", "2 g/L", "--volume", "9 L", "--species", "koi"], ["soak"]),
        (["iodine", "nets", "--volume", " "], ["volume: read nothing", "'2 L'"]),
        (["iodine", "nets", "--stock", "10 %"], ["stock: read '10 %'", "'% PVP-I'"]),
        (["iodine", "nets", "--stock", "0 % PVP-I"], ["stock: read '0 % PVP-I'"]),
        (["iodine", "socks"], ["socks"]),
    ],
    ids=lambda words: " ".join(words)[:60],
)
def test_a_quick_sum_tells_each_mistake_once(words, told):
    done = run(*words, code=2)
    assert done.stdout == ""
    assert [word for word in told if word not in done.stderr] == []
    lines = [line.split(":")[0].strip() for line in done.stderr.splitlines() if ": read " in line]
    assert len(lines) == len(set(lines))


# --- the command as a process ------------------------------------------------------------------------------------------


def process(*words, **more):
    root = str(Path(cli.__file__).parents[1])
    environment = os.environ | {"PYTHONPATH": root} | more.pop("environment", {})
    return subprocess.Popen(
        [sys.executable, "-m", "waterplan.cli", *map(str, words)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment,
        **more,
    )


def test_a_reader_who_leaves_early_sees_no_traceback_and_still_gets_the_papers(tmp_path):
    with process("plan", demo("hooked_tench"), "--draws", 64, "--papers", tmp_path) as running:
        running.stdout.close()
        errors = running.stderr.read().decode()
        running.wait(timeout=60)
    assert "Traceback" not in errors
    assert {path.name for path in tmp_path.iterdir()} == PAPERS


def test_a_terminal_without_the_signs_still_gets_the_numbers(tmp_path):
    with process("iodine", "eggs", environment={"PYTHONIOENCODING": "ascii"}) as running:
        out, errors = running.communicate(timeout=60)
    assert running.returncode == 0, errors
    assert b"10 mL" in out


def test_the_screens_open_on_this_machine_only_and_tell_nobody(monkeypatch):
    started = {}

    def take_over(program, words, environment):
        started.update(program=program, words=words, environment=environment)
        raise SystemExit(0)

    monkeypatch.setattr(cli.os, "execve", take_over)
    text = run("screens", "--port", 8765).stdout
    words = started["words"]
    assert started["program"] == sys.executable
    assert words[1:4] == ["-m", "streamlit", "run"]
    assert words[words.index("--server.address") + 1] == "127.0.0.1"
    assert words[words.index("--browser.gatherUsageStats") + 1] == "false"
    assert words[words.index("--server.port") + 1] == "8765"
    assert Path(words[4]).name == "app.py"
    assert Path(words[4]).is_file()
    assert "http://127.0.0.1:8765" in text


@pytest.mark.parametrize("port", ["80", "70000", "http"])
def test_a_port_that_cannot_be_is_told_of(port):
    assert port in run("screens", "--port", port, code=2).stderr


def test_the_table_of_findings_reads_back(tmp_path):
    run("plan", demo("heron_goldfish"), "--draws", 64, "--papers", tmp_path)
    with (tmp_path / "findings.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    document = json.loads((tmp_path / "plan.json").read_text(encoding="utf-8"))
    keys = [finding["key"] for part in document["moments"] for finding in part["findings"]]
    assert [row["key"] for row in rows] == keys
