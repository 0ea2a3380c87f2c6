"""Equations over arrays of millions of points: every element, any shape, little memory, and nothing set at import."""

import ast
import math
import os
import subprocess
import sys
import tracemalloc
from pathlib import Path

import numpy as np
import pytest

import waterplan
from waterplan.errors import ImpossibleInput
from waterplan.published import published
from waterplan.water.ammonia import unionised_fraction
from waterplan.water.blocks import BLOCK, blockwise, in_blocks
from waterplan.water.oxygen import saturation_mg_per_l


def _kernel(one, other):
    return one * 2.0 + other


@pytest.mark.parametrize("shape", [(0,), (5,), (3, 50_000), (1, 7, 1)])
def test_blocks_broadcast_and_cover_every_element(shape):
    one = np.arange(math.prod(shape), dtype=float).reshape(shape)
    other = np.arange(shape[-1], dtype=float)
    assert np.array_equal(in_blocks(_kernel, one=one, other=other), _kernel(one, other))
    assert np.array_equal(in_blocks(_kernel, one=one.T, other=1.5), _kernel(one.T, 1.5))
    assert in_blocks(_kernel, one=2.0, other=1.0) == 5.0


def test_an_impossible_value_in_a_late_block_is_found_and_counted():
    temps = np.full((2, 40_000), 20.0)
    temps[1, 30_000:30_003] = np.nan
    with pytest.raises(ImpossibleInput, match=r"water_temp_c = nan \(3 of 80000 values, the first at \[1, 30000\]\)"):
        saturation_mg_per_l(temps)


def test_saturation_takes_less_memory_than_three_times_its_result():
    rng = np.random.default_rng(7)
    size = 400_000
    t, s, p = rng.uniform(0, 35, size), rng.uniform(0, 35, size), rng.uniform(80, 105, size)
    tracemalloc.start()
    result = saturation_mg_per_l(t, salinity_g_per_kg=s, air_pressure_kpa=p)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 3 * result.nbytes
    assert size > 4 * BLOCK


@pytest.mark.longer
@pytest.mark.parametrize("function", [saturation_mg_per_l, unionised_fraction], ids=["saturation", "share"])
def test_an_equation_in_place_is_the_equation_itself(function):
    rng = np.random.default_rng(3)
    temps, phs = rng.uniform(0.0, 35.0, 3 * BLOCK + 7), rng.uniform(6.0, 9.0, 3 * BLOCK + 7)
    if function is saturation_mg_per_l:
        given = {"water_temp_c": temps, "salinity_g_per_kg": phs, "air_pressure_kpa": 90.0 + phs}
    else:
        given = {"ph": phs, "water_temp_c": temps}
    kernel = function.__wrapped__
    assert function(**given) == pytest.approx(kernel(**given), rel=1e-12)


def test_a_block_is_checked_before_it_is_worked_out_and_told_of_the_whole(monkeypatch):
    monkeypatch.setattr("waterplan.published.EQUATIONS", {})
    seen = []

    @published(source="emerson_1975", locator="nowhere")
    @blockwise()
    def double(water_temp_c, *, label=""):
        """Twice the warmth."""
        seen.append(np.size(water_temp_c))
        return water_temp_c * 2.0

    temps = np.full(2 * BLOCK + 5, 20.0)
    assert double(temps, label="any").tolist() == (2.0 * temps).tolist()
    assert seen == [BLOCK, BLOCK, 5]
    seen.clear()
    temps[-1] = 500.0
    with pytest.raises(ImpossibleInput, match=rf"1 of {temps.size} values, the first at \[{temps.size - 1}\]"):
        double(temps)
    assert seen == [BLOCK, BLOCK]
    assert double(20.0) == 40.0


@pytest.mark.longer
def test_no_other_room_knows_of_blocks():
    package = Path(waterplan.__file__).parent
    for path in package.rglob("*.py"):
        if path.parent.name != "water":
            names = {node.module for node in ast.walk(ast.parse(path.read_text())) if isinstance(node, ast.ImportFrom)}
            assert "waterplan.water.blocks" not in names, path


def test_importing_the_package_changes_no_setting_of_the_process():
    say = "import os; before = dict(os.environ); import waterplan.vessel.survey; assert dict(os.environ) == before"
    clean = {key: value for key, value in os.environ.items() if not key.endswith("_NUM_THREADS")}
    subprocess.run([sys.executable, "-c", say], check=True, env=clean, cwd=Path(waterplan.__file__).parents[1])
