"""The veterinarian's own oxygen: a limit where it is higher than the table's, and nothing where it is lower."""

import pytest

from tests.hazards.hand_made import judged, laid_out, subject
from waterplan.hazards.record import Hazard, Verdict
from waterplan.stay.quantities import Q


@pytest.mark.parametrize(
    ("wanted", "limit", "verdict"),
    [
        ("", 5.0, Verdict.WITHIN_LIMIT),  # the level at which a settled koi needs attention
        ("8 ± 0 mg/L", 8.0, Verdict.WATCH),  # kept in no draw; above the level of any fish it is a wish
        ("4 ± 0 mg/L", 5.0, Verdict.WITHIN_LIMIT),
        ("95 ± 0 % saturation", 9.0, Verdict.WATCH),  # 0.95 x 9.47 mg/L at 18 °C and sea level
    ],
)
def test_a_target_is_a_limit_of_the_tank(wanted: str, limit: float, verdict: Verdict) -> None:
    made = laid_out(end=f'[intended]\noxygen = "{wanted}"' if wanted else "")
    (one,) = judged(subject(made, known={Q.OXYGEN: 7.5}, course={Q.OXYGEN: (7.5, 7.5)}), Hazard.OXYGEN)
    assert one.record.limit is not None
    assert one.record.limit.value == pytest.approx(limit, abs=0.02)
    assert one.record.verdict is verdict
