"""Salt: amounts, steps, ceilings."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterplan import tables
from waterplan.dose.salt import Exposure, salt_ceiling, salt_steps, salt_to_add_g
from waterplan.errors import ImpossibleInput

GROUPS = {row["group"] for row in tables.table("salt_ceilings")}
LEVEL = st.floats(0.0, 45.0)


@settings(max_examples=50)
@given(st.floats(0.1, 1e5), LEVEL, LEVEL)
def test_salt_dissolved_gives_the_level_and_is_never_negative(volume_l: float, present: float, intended: float) -> None:
    added = salt_to_add_g(volume_l, present_g_per_l=present, intended_g_per_l=intended)
    assert added >= 0.0
    assert present + added / volume_l == pytest.approx(max(present, intended), abs=1e-9)
    doubled = salt_to_add_g(2.0 * volume_l, present_g_per_l=present, intended_g_per_l=intended)
    assert doubled == pytest.approx(2.0 * added)


@pytest.mark.parametrize("wrong", [-1.0, float("nan"), float("inf"), 400.0])
def test_impossible_levels(wrong: float) -> None:
    with pytest.raises(ImpossibleInput):
        salt_to_add_g(600.0, present_g_per_l=0.0, intended_g_per_l=wrong)


def test_steps_of_the_worked_example() -> None:
    # 0 to 3 g/L at 1 g/L in 12 h: added at 0, 12 and 24 h.
    steps = salt_steps(0.0, intended_g_per_l=3.0)
    assert [(step.at_h, step.level_g_per_l) for step in steps] == [(0.0, 1.0), (12.0, 2.0), (24.0, 3.0)]


@settings(max_examples=50)
@given(LEVEL, LEVEL)
def test_steps_are_small_enough_and_end_where_intended(present: float, intended: float) -> None:
    levels = [present, *(step.level_g_per_l for step in salt_steps(present, intended_g_per_l=intended))]
    assert all(0.0 < after - before <= 1.0 + 1e-6 for before, after in pairwise(levels))
    assert levels[-1] == pytest.approx(max(present, intended), abs=1e-6)


def test_each_group_has_a_ceiling_for_each_exposure() -> None:
    for group in GROUPS:
        for exposure in Exposure:
            row = salt_ceiling(group, exposure)
            assert 0.0 < row.low <= row.value <= row.high
            assert row.high >= salt_ceiling(group, Exposure.PROLONGED).value


@pytest.mark.parametrize("group", sorted(GROUPS))
def test_a_little_salt_against_nitrite_passes_for_every_fish(group: str) -> None:
    assert salt_ceiling(group, Exposure.PROLONGED).low >= 0.05


def test_the_usual_dip_passes_for_carp_and_goldfish() -> None:
    for group in ("carp_like", "goldfish"):
        assert salt_ceiling(group, Exposure.DIP).value >= 25.0


def test_prolonged_ceilings_lie_below_what_killed() -> None:
    # Mangat & Hundal 2014: all carp lived at 6 g/L, half to all died at 12. Goldfish, 96 h: 40 % lived at 12 g/L.
    for group in ("carp_like", "goldfish"):
        assert salt_ceiling(group, Exposure.PROLONGED).high <= 6.0


def test_unknown_exposure_and_group() -> None:
    with pytest.raises(ValueError, match="soak"):
        salt_ceiling("carp_like", "soak")
    with pytest.raises(LookupError):
        salt_ceiling("unicorn", "dip")


def test_attended_times_are_minutes() -> None:
    for exposure in ("bath", "dip"):
        row = tables.row("salt_times", exposure=exposure)
        assert row.unit == "min"
        assert row.low <= row.value <= row.high


def test_grades_of_salt_have_their_use_and_its_reason() -> None:
    grades = tables.table("salt_grades")
    assert {row["use"] for row in grades} == {"yes", "check", "prefer without", "no"}
    assert all(row.reason for row in grades)
