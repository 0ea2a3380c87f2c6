"""What takes hours says in its line when to begin, so that it is done by the time that the line names."""

import pytest

from tests.demos import DEMOS, demo_plan
from waterplan.actions.record import Kind
from waterplan.words.lines import action_line
from waterplan.words.speaker import Speaker


@pytest.mark.parametrize("name", DEMOS)
def test_each_warming_airing_and_dose_in_parts_says_when_to_begin(name: str) -> None:
    made = demo_plan(name)
    speaker = Speaker(made)
    for one in made.actions:
        warmed = one.kind in (Kind.WARM, Kind.COOL, Kind.DEGAS) and "hours" in one.amounts
        in_parts = one.kind is Kind.CHEMISTRY and one.parts > 1
        if one.is_open and one.by and not one.at and (warmed or in_parts):
            assert "; begin by " in action_line(speaker, one), one.id
