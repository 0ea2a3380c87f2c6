"""How fast the water is, against other libraries in the same run; `pytest tests/benchmarks --benchmark-only`.

The machine's speed drops out: each figure is a ratio to a reference timed in the same test, best of several rounds.
"""

import timeit

import gsw
import numpy as np
import PyCO2SYS
import pytest

from waterplan.water.ammonia import nh3_mg_n_per_l, unionised_fraction
from waterplan.water.carbonate import co2_mg_per_l
from waterplan.water.gas import nitrogen_umol_per_kg, total_gas_pressure_percent
from waterplan.water.oxygen import partial_pressure_mmhg, saturation_mg_per_l

POINTS = 1_000_000
_RNG = np.random.default_rng(20260514)
TEMPS, SALTS, PRESSURES, PHS = (_RNG.uniform(*limits, POINTS) for limits in ((0, 35), (0, 35), (80, 105), (6, 9)))


def _time_s(call):
    return timeit.timeit(call, number=1)


def _ratio(benchmark, call, reference):
    """The best time of a call over that of the reference, the two by turns so that a busy machine slows both."""
    references = []
    benchmark.pedantic(call, setup=lambda: references.append(_time_s(reference)), rounds=40)
    ratio = benchmark.stats.stats.min / min(references)
    benchmark.extra_info["ratio"] = round(ratio, 3)
    return ratio


def test_saturation_takes_half_the_time_of_gsw(benchmark, seen):
    ratio = _ratio(
        benchmark,
        lambda: saturation_mg_per_l(TEMPS, salinity_g_per_kg=SALTS, air_pressure_kpa=PRESSURES),
        lambda: gsw.O2sol_SP_pt(SALTS, TEMPS),
    )
    assert seen("oxygen saturation, 1,000,000 points", "gsw.O2sol_SP_pt", 0.5, ratio) <= 0.5


def test_the_share_of_ammonia_takes_0_6_of_one_line_of_numpy(benchmark, seen):
    ratio = _ratio(
        benchmark,
        lambda: unionised_fraction(PHS, water_temp_c=TEMPS),
        lambda: 1 / (1 + 10 ** (0.09018 + 2729.92 / (TEMPS + 273.15) - PHS)),
    )
    assert seen("un-ionised share, 1,000,000 points", "one line of numpy", 0.6, ratio) <= 0.6


def test_carbon_dioxide_takes_a_fiftieth_of_pyco2sys(benchmark, seen):
    points = slice(0, 10_000)
    ph, temps = PHS[points], TEMPS[points]
    alkalinity = np.linspace(50, 300, 10_000)
    ratio = _ratio(
        benchmark,
        lambda: co2_mg_per_l(ph, alkalinity_mg_caco3_per_l=alkalinity, water_temp_c=temps),
        lambda: PyCO2SYS.sys(alkalinity * 20, ph, 1, 3, temperature=temps, salinity=0.0, opt_k_carbonic=8),
    )
    assert seen("carbon dioxide, 10,000 points", "PyCO2SYS", 0.02, ratio) <= 0.02


def test_a_million_at_once_takes_a_hundredth_of_a_million_calls(benchmark, seen):
    one_call_s = min(_time_s(lambda: [saturation_mg_per_l(20.0) for _ in range(1_000)]) for _ in range(9)) / 1_000
    benchmark.pedantic(lambda: saturation_mg_per_l(TEMPS), rounds=10, iterations=1, warmup_rounds=1)
    ratio = benchmark.stats.stats.min / POINTS / one_call_s
    assert seen("a point of saturation in an array", "a call with floats", 0.01, ratio) < 0.01


@pytest.mark.parametrize(
    "call",
    [
        lambda: saturation_mg_per_l(20.0, salinity_g_per_kg=1.0, air_pressure_kpa=100.0),
        lambda: partial_pressure_mmhg(9.0, water_temp_c=20.0, salinity_g_per_kg=1.0, air_pressure_kpa=100.0),
        lambda: unionised_fraction(8.0, water_temp_c=20.0),
        lambda: nh3_mg_n_per_l(1.0, ph=8.0, water_temp_c=20.0),
        lambda: co2_mg_per_l(7.0, alkalinity_mg_caco3_per_l=100.0, water_temp_c=20.0),
        lambda: nitrogen_umol_per_kg(20.0, salinity_g_per_kg=1.0),
        lambda: total_gas_pressure_percent(60.0, air_pressure_kpa=100.0),
    ],
    ids=["saturation", "pressure", "share", "nh3", "co2", "nitrogen", "total gas"],
)
def test_a_call_with_floats_takes_under_5_microseconds(benchmark, call):
    benchmark.pedantic(call, rounds=20, iterations=5_000, warmup_rounds=1)
    assert benchmark.stats.stats.min < 5e-6
