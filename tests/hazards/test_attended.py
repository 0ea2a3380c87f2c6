"""Without power a tub that is attended throughout is not alone: only a tank and a pond are held to the longest time unattended."""

import pytest

from tests.demos import longer_but_for
from tests.hazards.hand_made import laid_out
from waterplan.hazards.judging import judge_all
from waterplan.stay.record import WaterKind


@pytest.mark.parametrize("use", longer_but_for(("hospital", "revival"), ("hospital", "revival", "irrigation")))
def test_the_limit_of_a_tub_by_whether_somebody_stands_beside_it(use: str) -> None:
    """Twelve hours unattended by default, ten where the case says so; ten minutes for whoever stands beside it."""
    said = '[intended]\nunattended = "10 h"'
    for end, hours in (("", 12.0), (said, 10.0)):
        stay = laid_out(use=use, vessel='air = "4 L/min"', end=end)
        found = {one.record.water: one.record for path, one in judge_all(stay).items() if "power off" in path}
        for water, record in found.items():
            assert record.limit is not None
            if stay[water].place.kind in (WaterKind.HOSPITAL, WaterKind.HOME):
                assert (record.limit.value, record.limit.unit) == (hours, "h")
            else:
                assert (record.limit.value, record.limit.unit) == (10.0, "min")
        assert {f"{use}-1", "induction-1"} <= found.keys()
