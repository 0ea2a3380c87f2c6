"""A level that print gives with a spread to both sides has draws; one whose value is an end of its spread answers for it."""

import numpy as np

from tests.hazards.hand_made import laid_out, subject
from waterplan.hazards.limits import in_draws
from waterplan.tables import row


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
