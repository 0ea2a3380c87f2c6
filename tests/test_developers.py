"""DEVELOPERS.md against the code: its walk goes down every file once, and its hazard can be added as it says."""

import ast
import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
WALK = re.findall(
    r"^\| `([\w/]+\.py)` \| `(\w+)` \|",
    DEVELOPERS.split("<!-- walk: begin")[1].split("<!-- walk: end")[0],
    flags=re.MULTILINE,
)
FILES = tuple(dict.fromkeys(file for file, _ in WALK))
BLOCKS = re.findall(
    r'^```\w+ (add|new)=(\S+)(?: after="([^"]*)")?\n(.*?)^```$', DEVELOPERS, flags=re.MULTILINE | re.DOTALL
)
NEW = "nitrate"


def lines_of(path: Path) -> dict[str, list[int]]:
    """The lines on which the functions, methods and classes of a file begin, by name."""
    found: dict[str, list[int]] = {}
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            found.setdefault(node.name, []).append(node.lineno)
    return found


def test_the_walk_goes_from_the_case_to_the_owners_page() -> None:
    assert FILES[0].startswith("case/")
    assert {"stay", "hazards", "actions", "plan", "words", "papers"} <= {file.split("/")[0] for file in FILES}
    assert ("papers/owner.py", "owner_page") in WALK


@pytest.mark.parametrize("file", FILES)
def test_the_walk_goes_down_a_file_and_never_up(file: str) -> None:
    defined = lines_of(ROOT / "waterplan" / file)
    names = [name for where, name in WALK if where == file]
    assert set(names) <= set(defined), "the walk names what the file does not hold"
    line = 0
    for name in names:
        below = [found for found in defined[name] if found > line]
        assert below, f"{name} stands above what is read before it"
        line = min(below)


def test_every_file_and_table_named_exists() -> None:
    rooms = {path.name for path in (ROOT / "waterplan").iterdir()}
    for name in set(re.findall(r"`([a-z_]+/[\w/]+\.(?:py|toml|csv|md))`", DEVELOPERS)):
        if name.split("/")[0] in rooms:
            assert (ROOT / "waterplan" / name).is_file() or name == "hazards/nitrate.py", name
        elif name.split("/")[0] in {"tests", "reference_tables", "demo_ponds", "waterplan"}:
            assert (ROOT / name).is_file(), name


def _followed(folder: Path) -> None:
    """Puts every block of the example where it says, into a copy of the house."""
    for name in ("waterplan", "reference_tables", "demo_ponds"):
        shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
    for how, name, after, text in BLOCKS:
        path = folder / name
        if how == "new":
            assert not path.exists(), name
            path.write_text(text, encoding="utf-8")
            continue
        there = path.read_text(encoding="utf-8")
        if not after:
            path.write_text(there + text, encoding="utf-8")
            continue
        lines = there.splitlines(keepends=True)
        (number,) = [number for number, line in enumerate(lines) if line.startswith(after)]
        path.write_text("".join([*lines[: number + 1], text, *lines[number + 1 :]]), encoding="utf-8")


@pytest.mark.longer
def test_the_hazard_is_added_as_it_says(tmp_path: Path) -> None:
    """Slow: the house is copied, a hazard is added to the copy as the page says, and two cases are planned there."""
    assert {how for how, *_ in BLOCKS} == {"add", "new"}
    _followed(tmp_path)
    command = [sys.executable, "-m", "waterplan.cli", "plan", "demo_ponds/hooked_tench.toml", "--draws", "64", "--json"]
    run = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False, timeout=300)
    assert run.returncode == 0, run.stderr
    plan = json.loads(run.stdout)
    rows = next(text for _, name, _, text in BLOCKS if name == "reference_tables/hazards.csv").splitlines()
    kinds = {row.split(",")[1] for row in rows if row.split(",")[11] == "yes"}
    waters = {water["id"] for water in plan["waters"] if water["kind"] in kinds}
    judged = [one for one in plan["judgements"] if one["hazard"] == NEW]
    assert waters
    assert {one["water"] for one in judged} == waters
    assert all(one["limit"]["row"] == "water_limits/nitrate/any/watch" for one in judged)
    # Nobody read it there: it is asked for and not taken as good.
    assert {one["verdict"] for one in judged if one["water"] == "home-pond" and not one["whatever"]} <= {"not known"}
    # Its sentence is of the phrase book, whatever the case: a call by night is the soonest planned.
    command = [*command[:4], "demo_ponds/night_call.toml", "--draws", "64", "--full"]
    run = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False, timeout=300)
    assert run.returncode == 0, run.stderr
    assert NEW in run.stdout
