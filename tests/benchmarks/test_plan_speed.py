"""How fast a plan is and how much memory it takes; `pytest tests/benchmarks/test_plan_speed.py -s -o addopts=""`.

Time is a ratio to one course in the same run, so that the machine drops out; memory is that of a process of its own.
"""

import json
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from waterplan.case import read_case
from waterplan.plan.hangs_on import Bins
from waterplan.plan.one_more_reading import would_change
from waterplan.plan.whole import plan
from waterplan.spread import Draws, Measured
from waterplan.stay.effects import Effects
from waterplan.stay.standing import setup_of
from waterplan.stay.whole import lay_out, stay
from waterplan.tables import shipped
from waterplan.tank.through_time import course

_DEMOS = Path(shipped("demo_ponds"))
_MOST_COURSES, _ROUNDS, _MANY = 3.0, 4, 4096
_MOST_SORTS, _TIMES, _STANDARD = 12.0, 50, Measured.plus_minus(0.0, 1.96)
_MOST_OF_A_PLAN_MB, _MOST_KEPT_MB = 350.0, 20.0
# The stay of each case, as it is or made longer.
_STAYS = (("heron_goldfish", None), ("hooked_tench", None), ("hooked_tench", "60 days"))
_IN_A_PROCESS = """
import gc, json, sys, tracemalloc
from pathlib import Path

from waterplan.case import read_case
from waterplan.plan.whole import plan

case = read_case(Path(sys.argv[1]))
if sys.argv[2] == "peak":
    plan(case)
    # The high-water mark of this program alone: that of getrusage is begun by the process that started it.
    status = dict(line.split(":", 1) for line in Path("/proc/self/status").read_text().splitlines())
    print(json.dumps(int(status["VmHWM"].split()[0]) * 1024 / 1e6))
else:
    plan(case, draws=64)
    tracemalloc.start()
    made = plan(case)
    gc.collect()
    print(json.dumps(tracemalloc.get_traced_memory()[0] / 1e6))
"""


Seen = Callable[[str, str, float, float], float]


def work_s(call: Callable[[], object]) -> float:
    start = time.process_time()
    call()
    return time.process_time() - start


def test_a_plan_takes_at_most_three_courses_of_a_fortnight(seen: Seen) -> None:
    """With so many draws that it is the sums which are measured."""
    case = read_case(_DEMOS / "heron_goldfish.toml")
    water = stay(lay_out(case, draws=Draws(count=_MANY)), Effects())["hospital-1"]
    setup = setup_of(water, water.place.stretches[0])
    courses, plans = [], []
    for _ in range(_ROUNDS):  # in turn, so that whatever else runs on the machine falls on both
        courses.append(work_s(lambda: course(setup, until_h=14 * 24.0)))
        plans.append(work_s(lambda: plan(case, draws=_MANY)))
    ratio = min(plans) / min(courses)
    print(f"\ncourse {min(courses):.2f} s, plan {min(plans):.2f} s of one core: ratio {ratio:.2f}")
    assert seen("a plan of heron_goldfish", "a course of its fortnight", _MOST_COURSES, ratio) <= _MOST_COURSES


def test_what_a_figure_hangs_on_and_what_a_reading_would_change_cost_a_few_sorts(seen: Seen) -> None:
    """Both are asked of every figure and every verdict of a plan."""
    draws = Draws(count=_MANY)
    columns = {f"input {number}": draws.of(f"input {number}", _STANDARD) for number in range(30)}
    bins, figure, x = Bins(columns), sum(columns.values()), columns["input 0"]
    asked = {
        "what a figure hangs on, of 30 inputs": lambda: bins.shares(figure),
        "what one more reading would change": lambda: would_change(x > -1.0, x, reading_sd=0.5, thresholds=(0.5, 0.95)),
    }
    for what, ask in asked.items():
        sorts, taken = zip(*((work_s(lambda: np.argsort(x)), work_s(ask)) for _ in range(_TIMES)), strict=True)
        ratio = min(taken) / min(sorts)
        print(f"\n{what}: {1e3 * min(taken):.2f} ms, a sort {1e3 * min(sorts):.2f} ms: ratio {ratio:.1f}")
        assert seen(what, "a sort of one column", _MOST_SORTS, ratio) <= _MOST_SORTS


@pytest.mark.parametrize(("name", "days"), _STAYS)
def test_memory_of_a_plan_and_of_one_that_is_kept(name: str, days: str | None, tmp_path: Path) -> None:
    text = (_DEMOS / f"{name}.toml").read_text(encoding="utf-8")
    if days is not None:
        lines = [f'days = "{days}"' if line.split("=")[0].strip() == "days" else line for line in text.splitlines()]
        assert f'days = "{days}"' in lines
        text = "\n".join(lines)
    path = tmp_path / f"{name}.toml"
    path.write_text(text, encoding="utf-8")

    def seen(what: str) -> float:
        command = [sys.executable, "-c", _IN_A_PROCESS, str(path), what]
        return float(json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout))

    peak, kept = seen("peak"), seen("kept")
    print(f"\n{name}, {days or 'as it is'}: {peak:.0f} MB at the peak with all imports, {kept:.1f} MB kept")
    assert peak < _MOST_OF_A_PLAN_MB
    assert kept < _MOST_KEPT_MB
