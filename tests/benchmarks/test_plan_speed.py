"""How fast a plan and its papers are, as ratios within one run; `pytest tests/benchmarks --benchmark-only`.

The machine's speed drops out: each figure is a ratio to a reference timed in the same test, best of several rounds.
"""

import timeit

import pytest

from tests.plans import DEMO_PONDS, DEMOS, METRIC
from waterplan.first_plan.first_case.reading import read_case
from waterplan.first_plan.whole import plan
from waterplan.papers.write import findings_table, owner_page, plan_json, plan_page, plan_text, tub_cards

FEW, MANY = 256, 4096
PAPERS = {
    "text": plan_text,
    "json": plan_json,
    "table": findings_table,
    "owner": owner_page,
    "cards": tub_cards,
    "page": plan_page,
}
# In plans of 4,096 draws: papers of words are filled from a template; a drawing costs a few plans, and there are two on the
# page of the whole plan and four on the cards of this case.
MOST = {"text": 0.5, "json": 0.5, "table": 0.5, "owner": 0.5, "cards": 20.0, "page": 10.0}


def best_s(call, rounds=5):
    return min(timeit.repeat(call, number=1, repeat=rounds))


def ratio_of(benchmark, call, reference):
    """The best time of a call over that of the reference, which is timed before and after."""
    before = best_s(reference)
    benchmark.pedantic(call, rounds=8, iterations=1, warmup_rounds=1)
    ratio = benchmark.stats.stats.min / min(before, best_s(reference))
    benchmark.extra_info["ratio"] = round(ratio, 2)
    return ratio


@pytest.mark.parametrize("name", DEMOS)
def test_sixteen_times_the_draws_take_less_than_eight_times_as_long(benchmark, name):
    case = read_case(DEMO_PONDS / f"{name}.toml")
    assert ratio_of(benchmark, lambda: plan(case, draws=MANY), lambda: plan(case, draws=FEW)) < 8.0


@pytest.mark.parametrize("paper", PAPERS)
def test_a_paper_takes_no_longer_than_its_share_of_a_plan(benchmark, paper):
    case = read_case(DEMO_PONDS / "heron_goldfish.toml")
    made = plan(case, draws=MANY)
    assert ratio_of(benchmark, lambda: PAPERS[paper](made, METRIC), lambda: plan(case, draws=MANY)) < MOST[paper]
