"""How long the command takes to start; `pytest tests/benchmarks/test_start_speed.py -s -o addopts=""`.

Each is a process of its own against one that imports no more than its kind of sum needs, by turns: processor time, the least of
several rounds.
"""

import os
import subprocess
import sys

import pytest

from tests.benchmarks.test_plan_speed import Seen

_ROUNDS = 5
_SUM = "import click, jinja2, numpy, pint, scipy.special; pint.UnitRegistry()"
_OXYGEN = ["-m", "waterplan.cli", "oxygen", "--temperature", "24 °C", "--altitude", "1250 m"]


def processor_s(arguments: list[str]) -> float:
    """Processor time of a Python process, from its start to its end."""
    before = os.times()
    subprocess.run([sys.executable, *arguments], check=True, capture_output=True)
    after = os.times()
    return after.children_user + after.children_system - before.children_user - before.children_system


@pytest.mark.parametrize(
    ("command", "floor", "most"),
    [(_OXYGEN, _SUM, 1.3), (["-m", "waterplan.cli", "--help"], "import click", 3.0)],
    ids=["oxygen", "help"],
)
def test_a_command_is_not_held_up_by_imports(seen: Seen, command: list[str], floor: str, most: float) -> None:
    rounds = [(processor_s(command), processor_s(["-c", floor])) for _ in range(_ROUNDS)]
    ours, theirs = (min(one) for one in zip(*rounds, strict=True))
    print(f"\n{command[2]}: {ours:.2f} s over {theirs:.2f} s")
    over = floor.removeprefix("import ").split(";")[0]
    assert seen(f"waterplan {command[2]}", f"import of {over}", most, ours / theirs) <= most
