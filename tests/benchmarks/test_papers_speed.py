"""How long a plan with all its papers takes; `pytest tests/benchmarks/test_papers_speed.py -s -o addopts=""`."""

from pathlib import Path

from tests.benchmarks.test_plan_speed import Seen, work_s
from waterplan.case import read_case
from waterplan.papers.whole_set import papers
from waterplan.plan.whole import plan
from waterplan.tables import shipped

_MOST_PLANS, _MOST_S = 2.5, 8.0


def test_a_plan_with_all_papers_takes_at_most_two_and_a_half_plans(seen: Seen) -> None:
    case = read_case(Path(shipped("demo_ponds")) / "heron_goldfish.toml")
    alone, with_papers = [], []
    for _ in range(2):
        # The first of each begins cold: tables to read, phrases to part, a drawing engine to start.
        with_papers.append(work_s(lambda: papers(plan(case))))
        alone.append(work_s(lambda: plan(case)))
    ratio = with_papers[-1] / alone[-1]  # warm over warm; what begins cold is in the seconds
    print(f"\nplan {alone[-1]:.2f} s, with its papers {with_papers[-1]:.2f} s of one core: ratio {ratio:.2f}")
    # Seconds mean something on an idle machine alone: what shares its caches makes them more.
    first_s = seen(
        "a plan with all its papers, the first of a process", "a second of one core", _MOST_S, with_papers[0]
    )
    assert seen("a plan with all its papers", "the plan alone", _MOST_PLANS, ratio) <= _MOST_PLANS
    assert first_s <= _MOST_S
