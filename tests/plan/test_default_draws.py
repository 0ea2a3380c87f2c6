"""Every invented case at the draws that the command and the screens take: a tail that few draws never reach breaks nothing."""

import pytest

from tests.demos import DEMO_PONDS, DEMOS, longer_but_for
from waterplan.case import read_case
from waterplan.plan.whole import plan
from waterplan.words.terminal import first_page


@pytest.mark.parametrize("name", longer_but_for(("night_call", "sturgeon_fin"), DEMOS))
def test_a_case_is_planned_at_the_draws_that_a_reader_gets(name: str) -> None:
    """Slow: a plan of 4,096 draws. One of them had an evaporation that was taken for impossible, and there was no plan."""
    made = plan(read_case(DEMO_PONDS / f"{name}.toml"))
    assert made.made.draws == 4096
    assert len(first_page(made).splitlines()) <= 60
