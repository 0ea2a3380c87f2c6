"""A level that print gives with a spread to both sides has draws; one whose value is an end of its spread answers for it."""

import numpy as np
import pytest

from tests.hazards.hand_made import judged, laid_out, subject
from waterplan.hazards.limits import in_draws
from waterplan.hazards.record import Hazard
from waterplan.stay.quantities import Q
from waterplan.tables import row


def test_a_clock_carries_the_spread_of_the_level_that_it_runs_to() -> None:
    """Oxygen falls evenly from 6 to 0 mg/L: for carp-like fish the alarm at 5 is reached after a sixth of the stretch.

    Help at once is printed at 3 mg/L, between 2 and 4: after half of the stretch, between a third and two thirds.
    """
    about = subject(laid_out(), known={Q.OXYGEN: 6.0}, course={Q.OXYGEN: (6.0, 0.0)})
    assert about.stretch is not None
    whole = about.stretch.until_h - about.stretch.start_h
    (found,) = judged(about, Hazard.OXYGEN)
    clocks = {name: found.sums[f"hospital-1/oxygen/until-{name}"].draws / whole for name in ("alarm", "emergency")}
    assert clocks["alarm"] == pytest.approx(np.full(clocks["alarm"].shape, 1.0 / 6.0), rel=1e-3)
    drawn = clocks["emergency"]
    assert drawn[0] == pytest.approx(0.5, rel=1e-3)
    assert 1.0 / 3.0 <= drawn.min() < 0.45
    assert 0.55 < drawn.max() <= 2.0 / 3.0


def test_one_spread_in_all_waters_and_none_that_was_thought_of_here() -> None:
    made = laid_out()
    nitrite = row("water_limits", quantity="nitrite", group="any", level="act")
    tank, pond = subject(made), subject(made, "home-pond")
    assert np.array_equal(in_draws(tank, nitrite), in_draws(pond, nitrite))
    # 0.4 to 0.6 mg/L as N are 1.31 to 1.97 mg/L of the ion, by 46.005 / 14.007.
    assert np.min(in_draws(tank, nitrite)) >= 0.4 * 46.005 / 14.007 - 1e-3
    # A ceiling at the end of its range, and a step that nobody printed, are one level.
    for one in (
        row("salt_ceilings", group="carp_like", exposure="bath"),
        row("oxygen_levels", group="cyprinid", state="anaesthetised", level="emergency"),
    ):
        assert one.low < one.high
        assert in_draws(tank, one) == one.value
