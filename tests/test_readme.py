"""The README against what it speaks of: its two commands, its table of keys, its cases."""

import re
import shlex
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from tests.demos import DEMOS
from waterplan import cli
from waterplan.case import key_table, read_case
from waterplan.case.reading import VERSION, VERSION_KEY
from waterplan.hazards.record import Verdict

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
WRITING = (ROOT / "demo_ponds" / "README.md").read_text(encoding="utf-8")


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


@pytest.fixture(scope="module")
def first(tmp_path_factory):
    """What the first command prints, and the folder of its papers."""
    words = shlex.split(set_up_lines()[0].split(" && ")[2])[1:]
    folder = tmp_path_factory.mktemp("papers")
    words[words.index("--papers") + 1] = str(folder)
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(ROOT)
        return CliRunner().invoke(cli.main, words), folder


def test_the_first_commands_job_is_done_as_written(first):
    """Slow: the command runs as a process of its own, with all papers."""
    done, folder = first
    assert done.exit_code == 0, done.output
    assert done.output.rstrip().splitlines()[-1].endswith(" screens")
    for path in folder.iterdir():
        assert path.name in README or path.name == "papers.json", f"{path.name} is not named in the README"
    named = set(
        re.findall(r"`([\w-]+\.(?:html|txt|csv|json))`", README.split("The papers, each")[1].split("Some sums")[0])
    )
    # Of this case no fish travels in a bag or box, and nothing harms a filter.
    assert named - {"transport.html", "filter-note.html"} == {path.name for path in folder.iterdir()} - {"papers.json"}


def test_the_first_page_is_shown_as_it_is_printed(first):
    done, _ = first
    (shown,) = re.findall(r"^```text\n(Water plan for .*?)^```", README, flags=re.MULTILINE | re.DOTALL)
    assert _without_numbers(done.output).startswith(_without_numbers(shown))


def _without_numbers(text):
    """Its words: where lines break and how large an amount is may change with a table's row."""
    return " ".join(re.sub(r"\d+(\.\d+)?", "#", text).split())


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
    known = {option for parameter in command.get_params(click.Context(command)) for option in parameter.opts}
    assert {word for word in words[1:] if word.startswith("--")} <= known


@pytest.mark.parametrize(
    "line",
    [
        line
        for line in code_lines()
        if re.match(r"\.venv/bin/waterplan (oxygen|tank|salt|iodine|dose|injection|keys|schema)", line)
    ],
)
def test_what_needs_no_case_is_answered(line):
    done = CliRunner().invoke(cli.main, shlex.split(line, comments=True)[1:])
    assert done.exit_code == 0, done.output
    assert done.output.strip()


def test_the_table_of_keys_is_made_from_the_case():
    (table,) = re.findall(r"<!-- case keys: begin[^>]*-->\n(.*?)<!-- case keys: end -->", WRITING, flags=re.DOTALL)
    assert table.strip() == key_table().strip()


def test_the_verdicts_stand_in_their_order():
    assert " < ".join(Verdict) in README


def test_it_can_be_read_in_one_sitting():
    assert len(README.splitlines()) <= 150


@pytest.mark.parametrize("page", [README, WRITING], ids=["README.md", "demo_ponds/README.md"])
def test_the_example_of_a_case_is_a_case(page):
    (example,) = re.findall(r"^```toml\n(.*?)^```", page, flags=re.MULTILINE | re.DOTALL)
    assert example.startswith(f"{VERSION_KEY} = {VERSION}")
    assert read_case(example, file="README.md").vessels


def test_the_example_of_a_measured_volume_is_read():
    (example,) = re.findall(r"^```text\n(\[\[volumes\]\].*?)^```", WRITING, flags=re.MULTILINE | re.DOTALL)
    assert read_case(f"{VERSION_KEY} = {VERSION}\n{example}", file="README.md").volumes


def test_every_invented_case_is_named():
    for name in DEMOS:
        assert f"`{name}.toml`" in WRITING


def test_the_picture_is_there_and_small():
    for name in re.findall(r"!\[[^\]]*\]\(([^)]+)\)", README):
        picture = ROOT / name
        assert picture.is_file()
        assert picture.stat().st_size < 300_000


def test_it_begins_with_the_job():
    beginning = README[:1500]
    for word in ("veterinarian", "Who decides", "does not prescribe"):
        assert word in beginning
