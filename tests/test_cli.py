"""The command line as a person uses it: what it prints, what it writes, and what it says to bad input."""

import csv
import json
import os
import re
import subprocess
import sys

import click
import pytest
from click.testing import CliRunner

from tests.demos import DEMO_PONDS, DEMOS, demo_plan
from waterplan import cli
from waterplan.case import fields
from waterplan.plan.record import Plan
from waterplan.words.terminal import first_page, full_page

MOMENTS = ["call", "prepare", "procedure", "revival", "hospital", "home", "recheck"]
# A metric amount that a reader of US units should not meet. mg/L, g/L, mL, L/min of air and degree-days are the trade's own in both
# systems, and small weighings are in grams.
METRIC_AMOUNT = re.compile(r"\d (?:°C|L|kg|cm|m|mm|kPa|m³|kg/m³|L/day|°C/h)(?![\w/³])")
SMALLEST = 'waterplan_case = 1\n[patient]\nspecies = "goldfish"\nweight = "0.5 kg"\n'


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
def test_the_first_page_fits_a_terminal(name):
    lines = first_page(demo_plan(name), "metric").splitlines()
    assert len(lines) <= 60
    assert max(map(len, lines)) <= 100
    assert "nan" not in " ".join(lines).lower().split()


def test_the_full_plan_has_seven_moments_and_the_sources_last():
    text = run("plan", demo("ordinary_goldfish"), "--draws", 64, "--full").stdout
    at = [text.index(f"\n{moment.capitalize()}: ") for moment in MOMENTS]
    assert at == sorted(at)
    assert text.index("\nSources") > at[-1]
    asked = run("plan", demo("night_call"), "--draws", 64, "--moment", "hospital").stdout
    for one in (asked, full_page(demo_plan("ordinary_goldfish"), "hospital", "metric")):
        assert "\nHospital: " in one
        assert "\nRecheck: " not in one


@pytest.mark.parametrize("name", ["night_call", "ordinary_goldfish"])
def test_json_is_a_plan(name):
    def no_constants(word):
        raise AssertionError(f"{word} is not JSON")

    text = run("plan", demo(name), "--json", "--draws", 64).stdout
    document = json.loads(text, parse_constant=no_constants)
    assert [part["moment"] for part in document["moments"]] == MOMENTS
    assert document["made"]["draws"] == 64
    assert Plan.model_validate_json(text).made.draws == 64


def test_json_stays_alone_on_the_output_when_papers_are_written(tmp_path):
    done = run("plan", demo("night_call"), "--json", "--draws", 16, "--papers", tmp_path)
    assert json.loads(done.stdout)["made"]["draws"] == 16
    assert "To open the screens" in done.stderr


@pytest.mark.longer
def test_all_papers_are_written_and_the_last_line_tells_how_to_open_the_screens(tmp_path):
    folder = tmp_path / "new" / "papers"
    text = run("plan", demo("ordinary_goldfish"), "--papers", folder, "--draws", 64).stdout
    named = re.search(r"^Written: (.*)$", text, re.M)[1].split(", ")
    assert {path.name for path in folder.iterdir()} >= {name.rpartition("/")[2] for name in named}
    assert {"owner.html", "plan.html", "plan.json", "hospital.html", "dose-cards.html"} <= {
        p.name for p in folder.iterdir()
    }
    last = text.rstrip().splitlines()[-1]
    assert last.startswith("To open the screens: ")
    assert last.endswith(" screens")


def test_papers_that_cannot_be_written_leave_what_was_there(tmp_path):
    (tmp_path / "papers").write_text("not a folder", encoding="utf-8")
    done = run("plan", demo("night_call"), "--draws", 16, "--papers", tmp_path / "papers" / "inside", code=2)
    assert str(tmp_path / "papers") in done.stderr
    assert "name a folder that can be written to" in done.stderr
    assert done.stdout == ""
    assert (tmp_path / "papers").read_text(encoding="utf-8") == "not a folder"


@pytest.mark.parametrize("name", DEMOS)
def test_us_units_leave_no_metric_amount(name):
    text = full_page(demo_plan(name), None, "us").partition("\nSources")[0]
    assert METRIC_AMOUNT.findall(text) == []
    assert "US gal" in text


def test_us_units_are_an_option():
    text = run("plan", demo("night_call"), "--units", "us", "--draws", 64, "--full").stdout.partition("\nSources")[0]
    assert METRIC_AMOUNT.findall(text) == []


@pytest.mark.longer
def test_readings_count_up_to_the_time_asked_for():
    log = DEMO_PONDS / "goldfish_recheck_readings.csv"

    def read(*words):
        text = run("plan", demo("goldfish_recheck"), "--draws", 64, "--json", *words).stdout
        return json.loads(text)

    first = read("--readings", log, "--as-of", "2026-05-15T12:00")
    all_of_it = read("--readings", log)
    assert len(first["read"]) < len(all_of_it["read"])
    assert first["made"]["as_of"].startswith("2026-05-15T12:00")
    with (log).open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["taken"] <= "2026-05-15T12:00"]
    assert len(first["read"]) == len(rows)


@pytest.mark.parametrize(("day", "offset"), [("2026-01-15", "+01:00"), ("2026-07-15", "+02:00")])
def test_the_time_asked_for_is_that_of_the_clock_of_the_place(tmp_path, day, offset):
    path = tmp_path / "case.toml"
    path.write_text(SMALLEST.replace("[patient]", 'timezone = "Europe/Vienna"\n[patient]'), encoding="utf-8")
    text = run("plan", path, "--draws", 16, "--json", "--as-of", f"{day}T12:00").stdout
    assert json.loads(text)["made"]["as_of"] == f"{day}T12:00:00{offset}"


def test_the_same_seed_gives_the_same_page_and_another_says_so():
    one, again, other = (
        run("plan", demo("well_and_new_fish"), "--draws", 32, "--seed", seed).stdout for seed in (7, 7, 8)
    )
    assert one == again
    assert "seed 8" in other


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--as-of", "tomorrow"), "2026-05-14T09:30"),
        (("--as-of", "9999-12-31"), "year"),
        (("--draws", "0"), "draws"),
        (("--draws", "99999999"), "draws"),
        (("--seed", "-1"), "seed"),
    ],
)
def test_bad_options_are_told_in_words(words, told):
    assert told in run("plan", demo("sturgeon_fin"), *words, code=2).output


def test_every_mistake_of_a_case_is_told_with_its_place(tmp_path):
    path = tmp_path / "case.toml"
    path.write_text('waterplan_case = 1\n[patient]\nspecies = "goldfsh"\nweight = "heavy"\n[[vessels]]\nname = "tub"\n')
    text = run("plan", path, code=2).output
    for place in ("species", "weight", "use"):
        assert place in text


def test_the_smallest_case_is_a_plan(tmp_path):
    path = tmp_path / "case.toml"
    path.write_text(SMALLEST, encoding="utf-8")
    text = run("plan", path, "--draws", 64).stdout
    assert "not known" in text
    assert "Measure next" in text


def test_what_a_command_ends_with_stands_in_its_help():
    told = " ".join(run("--help").output.split())
    assert "Ends with 0 when it has done what was asked, and with 2 when it cannot" in told


def test_python_without_docstrings_is_told_to_keep_them():
    words = [sys.executable, "-OO", "-m", "waterplan.cli", "plan", str(demo("night_call"))]
    done = subprocess.run(words, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (2, "")
    assert "start it with -O at most" in done.stderr


def test_a_file_that_is_not_there_is_told():
    assert "nothing_here.toml" in run("plan", "nothing_here.toml", code=2).output


def test_the_schemas_and_the_keys_are_printed():
    case = json.loads(run("schema", "case").stdout)
    plan = json.loads(run("schema", "plan").stdout)
    assert {"patients", "vessels", "doses"} <= set(case["properties"])
    assert {"figures", "waters", "judgements", "actions", "moments", "first_page"} <= set(plan["properties"])
    table = run("keys").stdout
    assert all(f"`{key.key}`" in table for key in fields())


SUMS = [
    ("oxygen", "--temperature", "24 °C", "--altitude", "1250 m"),
    ("tank", "--species", "orfe", "--weight", "1.1 kg", "--temperature", "18 °C", "--ph", "7.8"),
    ("salt", "level", "--strength", "2 g/L", "--volume", "470 L, marked tub", "--species", "goldfish"),
    ("iodine", "instruments", "--volume", "2 L", "--stock", "10 % PVP-I"),
    ("dose", "tricaine", "induction", "--into", "40 L, marked tub", "--strength", "110 mg/L", "--bottle", "powder"),
    (
        "injection",
        "flunixin",
        "--dose",
        "0.5 mg/kg",
        "--stock",
        "50 mg/mL",
        "--weight",
        "2.4 kg, scales",
        "--eaten",
        "no",
    ),
]


@pytest.mark.parametrize("words", SUMS, ids=lambda words: words[0])
def test_a_sum_without_a_case_ends_with_its_sources_and_the_caution(words):
    text = run(*words).stdout
    assert "Sources" in text
    assert "does not prescribe" in text
    assert "nan" not in text.lower().split()


def test_a_sum_of_oxygen_is_that_of_the_handbook():
    # 24 °C at 1,250 m: 8.42 mg/L at sea level (Benson & Krause 1984) times about 0.86 of the pressure
    text = run("oxygen", "--temperature", "24 ± 0.01 °C", "--altitude", "1250 ± 1 m").stdout
    assert 7.0 <= float(re.search(r"saturation: ([\d.]+) mg/L", text)[1]) <= 7.3


def test_iodine_for_a_fish_is_refused():
    assert "Refused" in run("iodine", "fish").stdout


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("oxygen", "--temperature", "24"), "°C"),
        (("tank", "--species", "orfe"), "weight"),
        (("tank", "--species", "ofre", "--weight", "1 kg"), "species"),
        (("salt", "dip", "--strength", "lots", "--volume", "10 L", "--species", "koi"), "strength"),
    ],
)
def test_what_a_sum_cannot_read_is_told_in_words(words, told):
    assert told in run(*words, code=2).output


@pytest.mark.longer
def test_the_module_runs_as_a_command_and_a_closed_pipe_is_no_error():
    command = f"{sys.executable} -m waterplan.cli plan {demo('night_call')} --draws 16 --full | head -n 1"
    done = subprocess.run(
        command, shell=True, capture_output=True, text=True, check=False, env=os.environ | {"PYTHONIOENCODING": "utf-8"}
    )
    assert done.stderr == ""
    assert done.stdout.startswith("Water plan")


SUMS = {
    "oxygen": ("--temperature", "24 °C", "--altitude", "1250 m"),
    "ammonia": ("--tan", "1.2 mg/L as N", "--ph", "8.2", "--temperature", "18 °C"),
    "power-cut": ("--litres", "200 L", "--weight", "2.4 kg", "--temperature", "18 °C"),
    "dose": ("salt", "prolonged", "--into", "100 L", "--strength", "0.4 g/L", "--salinity", "0 g/L"),
    "injection": ("flunixin", "--dose", "0.5 mg/kg", "--stock", "50 mg/mL", "--weight", "2.4 kg", "--eaten", "no"),
}


def test_no_command_takes_the_fish_for_one_that_nobody_named():
    defaults = {
        (name, option.default)
        for name, command in cli.main.commands.items()
        for option in command.get_params(click.Context(command))
        if "--species" in option.opts and not option.required
    }
    assert {default for _, default in defaults} == {"unknown"}
    assert {name for name, _ in defaults} >= set(SUMS)


@pytest.mark.parametrize("name", SUMS)
def test_a_sum_says_for_which_fish_it_is(name):
    """Without a species the limits are the strictest of all, as on the screens."""
    assert "For fish of unknown species: the strictest limits" in run(name, *SUMS[name]).stdout
    assert "For koi." in run(name, *SUMS[name], "--species", "koi").stdout.splitlines()
    if name == "oxygen":  # alarm: 5 mg/L of carp and goldfish, 6 of trout (Francis-Floyd 1992; the table oxygen_levels)
        assert "at least 6 mg/L" in run(name, *SUMS[name]).stdout
        assert "at least 5 mg/L" in run(name, *SUMS[name], "--species", "koi").stdout
