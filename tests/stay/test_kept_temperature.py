"""A tank that is to be kept warmer than it is: without power its clock is that of the warm tank."""

import numpy as np

from tests.hazards.hand_made import DRAWS
from waterplan.case import read_case
from waterplan.hazards.judging import judge_all
from waterplan.published import FloatArray
from waterplan.spread import Draws
from waterplan.stay.effects import Effects
from waterplan.stay.whole import lay_out, stay

CASE = """waterplan_case = 1
[patient]
species = "koi"
weight = "6 ± 0.06 kg"
[place]
station_pressure = "101.325 ± 0 kPa"
[[vessels]]
name = "tank"
use = "hospital"
volume = "500 ± 5 L"
temperature = "{now} ± 0 °C"
oxygen = "7 ± 0.1 mg/L"
[intended]
operation_at = 2026-06-04T10:00:00
temperature = "{kept} °C"
"""


def clock(now: float, kept: float) -> FloatArray:
    """Hours to the emergency level without power, a value for each draw."""
    case = read_case(CASE.format(now=now, kept=kept))
    one = judge_all(stay(lay_out(case, draws=Draws(count=DRAWS)), Effects()))["hospital-1/oxygen/power off"]
    assert one.record.until_harm is not None
    return np.asarray(one.sums[one.record.until_harm].draws)


def test_the_clock_without_power_is_that_of_the_warmer_tank() -> None:
    # 7 mg/L is less than water of 26 °C can hold (8.1): all begin with as much, and only the fish breathes faster.
    kept_as_it_is, to_be_warmed, warm_already = clock(18, 18), clock(18, 26), clock(26, 26)
    assert np.all((to_be_warmed < kept_as_it_is) | np.isinf(kept_as_it_is))
    assert np.allclose(to_be_warmed, warm_already, rtol=0.1)
    assert np.isclose(np.median(to_be_warmed), np.median(warm_already), rtol=0.05)
