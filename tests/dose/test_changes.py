"""Water changes, evaporation, stages."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterplan.dose.changes import (
    changes_to_reach,
    level_after_changes_mg_per_l,
    level_after_evaporation_mg_per_l,
    put_back_g,
    stages,
)
from waterplan.dose.dilution import level_mg_per_l
from waterplan.errors import ImpossibleInput

LEVEL = st.floats(0.0, 1e4)


@settings(max_examples=60)
@given(st.floats(10.0, 1e4), st.floats(0.05, 0.95), st.floats(0.01, 0.99))
def test_the_last_change_is_the_one_that_reaches(start: float, share: float, target: float) -> None:
    wanted = start * target
    count = changes_to_reach(start, end_mg_per_l=wanted, changed_fraction=share)
    assert level_after_changes_mg_per_l(start, changed_fraction=share, changes=count) <= wanted * (1.0 + 1e-6)
    assert level_after_changes_mg_per_l(start, changed_fraction=share, changes=count - 1) > wanted * (1.0 - 1e-6)


@settings(max_examples=60)
@given(st.floats(1.0, 1e5), st.floats(0.0, 1.0), LEVEL)
def test_what_is_put_back_holds_the_level(volume_l: float, share: float, level: float) -> None:
    after = level_after_changes_mg_per_l(level, changed_fraction=share, changes=1)
    grams = put_back_g(volume_l, changed_fraction=share, wanted_mg_per_l=level)
    assert level_mg_per_l(volume_l, amount_g=grams, present_mg_per_l=after) == pytest.approx(level, abs=1e-6)


@settings(max_examples=60)
@given(st.floats(1.0, 1e5), st.floats(0.1, 1.0), LEVEL)
def test_evaporation_keeps_the_mass(volume_l: float, left: float, level: float) -> None:
    after = level_after_evaporation_mg_per_l(level, volume_l=volume_l, remaining_l=volume_l * left)
    assert after * volume_l * left == pytest.approx(level * volume_l, abs=1e-6)


def test_what_cannot_be_reached_is_said() -> None:
    with pytest.raises(ImpossibleInput, match="source_mg_per_l"):
        changes_to_reach(3000.0, end_mg_per_l=500.0, changed_fraction=0.25, source_mg_per_l=500.0)
    with pytest.raises(ImpossibleInput, match="changed_fraction"):
        changes_to_reach(3000.0, end_mg_per_l=500.0, changed_fraction=0.0)
    with pytest.raises(ImpossibleInput, match="remaining_l"):
        level_after_evaporation_mg_per_l(1.0, volume_l=100.0, remaining_l=101.0)
    assert changes_to_reach(3000.0, end_mg_per_l=0.0, changed_fraction=1.0) == 1


def test_permanganate_in_steps_of_two_to_six() -> None:
    # Francis-Floyd & Klinger 1997: 2 mg/L at a time, 6 in all.
    assert [
        (stage.add_mg_per_l, stage.level_mg_per_l) for stage in stages(0.0, wanted_mg_per_l=6.0, step_mg_per_l=2.0)
    ] == [
        (2.0, 2.0),
        (2.0, 4.0),
        (2.0, 6.0),
    ]
    assert stages(6.0, wanted_mg_per_l=6.0, step_mg_per_l=2.0) == ()


@settings(max_examples=60)
@given(LEVEL, LEVEL, st.floats(50.0, 5000.0))
def test_stages_are_small_enough_and_add_up(present: float, wanted: float, step: float) -> None:
    made = stages(present, wanted_mg_per_l=wanted, step_mg_per_l=step)
    assert all(0.0 < stage.add_mg_per_l <= step * (1.0 + 1e-6) for stage in made)
    assert present + sum(stage.add_mg_per_l for stage in made) == pytest.approx(max(present, wanted), abs=1e-5)
