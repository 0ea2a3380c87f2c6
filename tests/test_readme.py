"""The README against what it speaks of: its two commands, its table of keys, its cases."""

import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests.plans import DEMOS
from waterplan import cli
from waterplan.first_plan.first_case.reading import case_from_document, document_from_text
from waterplan.first_plan.first_case.schema import SECTIONS, VERSION, VERSION_KEY

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def code_lines():
    """Every line of a code block."""
    blocks = re.findall(r"^```\w*\n(.*?)^```", README, flags=re.MULTILINE | re.DOTALL)
    return [line for block in blocks for line in block.splitlines() if line.strip()]


def set_up_lines():
    return [line for line in code_lines() if line.startswith("python3 -m venv")]


def test_there_are_two_commands_and_each_is_one_line():
    assert len(set_up_lines()) == 2
    assert README.count("python3 -m venv .") == 2  # nowhere else, in a block or out of one


def test_the_first_installs_plans_a_demo_case_and_writes_its_papers():
    first, _ = set_up_lines()
    steps = [shlex.split(step) for step in first.split(" && ")]
    assert steps[0][:3] == ["python3", "-m", "venv"]
    environment = steps[0][3]
    assert steps[1][:2] == [f"{environment}/bin/pip", "install"]
    assert steps[1][-1] == "."
    command, verb, case, *options = steps[2]
    assert (command, verb) == (f"{environment}/bin/waterplan", "plan")
    assert (ROOT / case).is_file()
    assert Path(case).parts[0] == "demo_ponds"
    assert options[0] == "--papers"


def test_the_first_commands_job_is_done_as_written(tmp_path, monkeypatch):
    words = shlex.split(set_up_lines()[0].split(" && ")[2])[1:]
    words[words.index("--papers") + 1] = str(tmp_path)
    monkeypatch.chdir(ROOT)
    done = CliRunner().invoke(cli.main, words)
    assert done.exit_code == 0, done.output
    assert done.output.rstrip().splitlines()[-1].endswith(" screens")
    papers = ("owner.html", "tub-cards.html", "plan.html", "plan.txt", "findings.csv", "plan.json")
    for name in (*papers, "contingency.html", "hospital.html"):
        assert (tmp_path / name).is_file()
        assert name in README


def test_the_second_installs_the_test_extra_and_runs_the_tests():
    _, second = set_up_lines()
    steps = [shlex.split(step) for step in second.split(" && ")]
    environment = steps[0][3]
    assert steps[1][:2] == [f"{environment}/bin/pip", "install"]
    assert steps[1][-1] == ".[test]"
    assert steps[2][:3] == [f"{environment}/bin/python", "-m", "pytest"]


def test_no_command_of_set_up_needs_more_than_python_and_git():
    for line in set_up_lines():
        programs = {shlex.split(step)[0] for step in line.split(" && ")}
        assert programs <= {"python3"} | {name for name in programs if name.startswith(".venv")}


def test_it_says_which_system_package_brings_venv():
    assert "python3-venv" in README


@pytest.mark.parametrize("line", [line for line in code_lines() if line.startswith(".venv/bin/waterplan")])
def test_every_command_shown_exists_with_its_options(line):
    words = shlex.split(line, comments=True)[1:]
    command = cli.main.commands[words[0]]
    known = {option for parameter in command.params for option in parameter.opts}
    assert {word for word in words[1:] if word.startswith("--")} <= known


@pytest.mark.parametrize(
    "line", [line for line in code_lines() if re.match(r"\.venv/bin/waterplan (oxygen|tank|salt|iodine)", line)]
)
def test_the_quick_sums_shown_are_answered(line):
    done = CliRunner().invoke(cli.main, shlex.split(line, comments=True)[1:])
    assert done.exit_code == 0, done.output


def rows_of(section):
    """The rows of the README's table of a section of the case: the key, and what stands beside it."""
    heading = f"**`[[{section.name}]]`**" if section.many else f"**`[{section.name}]`**"
    assert README.count(heading) == 1, heading
    told = README.split(heading)[1]
    table = re.search(r"\n\n((?:\|.*\n)+)", told)[1].splitlines()
    cells = [[cell.strip() for cell in line.strip("|").split(" | ")] for line in table[2:]]
    return told.splitlines()[0].strip(), {row[0].strip("` |"): row[1:] for row in cells}


@pytest.mark.parametrize("name", SECTIONS)
def test_the_table_of_keys_is_the_schemas(name):
    section = SECTIONS[name]
    words, rows = rows_of(section)
    assert words == section.words
    assert list(rows) == [field.key for field in section.fields]
    for field in section.fields:
        said, example = rows[field.key]
        assert said == f"{field.words}{' (needed)' if field.required else ''}"
        shown = field.choices or (field.example,)
        assert re.findall(r"`([^`]+)`", example) == list(shown)


def test_the_example_of_a_case_is_a_case():
    (example,) = re.findall(r"^```toml\n(.*?)^```", README, flags=re.MULTILINE | re.DOTALL)
    assert example.startswith(f"{VERSION_KEY} = {VERSION}")
    case = case_from_document(document_from_text(example, file="README.md"), file="README.md")
    assert case.vessels


def test_every_invented_case_is_named():
    for name in DEMOS:
        assert f"demo_ponds/{name}.toml" in README


def test_the_picture_is_there_and_small():
    for name in re.findall(r"!\[[^\]]*\]\(([^)]+)\)", README):
        picture = ROOT / name
        assert picture.is_file()
        assert picture.stat().st_size < 300_000


def test_it_begins_with_the_job():
    beginning = README[:1500]
    for word in ("veterinarian", "Who decides", "does not prescribe"):
        assert word in beginning
