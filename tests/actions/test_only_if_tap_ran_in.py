"""The antidote for tap water that may run into a pond: by the tap's chlorine, for what runs in, whenever the pond was read."""

import re
from datetime import datetime

import pytest

from tests.actions.made import EXACT
from tests.demos import FEW, one_paper
from waterplan.actions.record import Action, Kind
from waterplan.case import read_case
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.words.terminal import first_page

# Of 10,000 L; the tap has 0.5 mg/L, exactly.
READ = EXACT.replace("[home_water]", "[home_water]\ntaken = 2026-05-14T06:00:00").replace(
    'chlorine = "0.3 ± 0 mg/L"', 'chlorine = "0 mg/L, photometer"'
)
UNREAD = EXACT.replace('chlorine = "0.3 ± 0 mg/L"\n', "")


def planned(text: str, day: int) -> Plan:
    return plan(read_case(text), as_of=datetime.fromisoformat(f"2026-05-{day}T09:00+00:00"), draws=FEW)


def only_if(made: Plan) -> Action:
    (one,) = (one for one in made.actions if one.kind is Kind.NEUTRALISE and one.water == "home-pond" and one.is_open)
    assert one.is_conditional
    return one


@pytest.mark.parametrize(("text", "day"), [(READ, 15), (READ, 20), (UNREAD, 14), (UNREAD, 20)])
def test_grams_are_for_each_batch_of_tap_water_that_ran_in_whenever_the_pond_was_read(text: str, day: int) -> None:
    """By hand: 1,000 L x 0.5 mg/L = 0.5 g of chlorine, times 7: 3.5 g. The reading of none that was taken before it ran in
    says nothing of it: it gave 1.4 g for 10,000 L.
    """
    made = planned(text, day)
    amounts = only_if(made).amounts
    assert made.figures[amounts["litres"]].act_on == 1000.0
    assert made.figures[amounts["thiosulphate"]].act_on == pytest.approx(3.5)
    page = " ".join(re.sub(r"<[^>]*>", " ", one_paper(made, "owner.html")).split())
    assert re.search(r"3\.5 g of .* for each 1,000 L of tap water that ran in", page)
    assert "each 1,000 L of tap water that ran into home pond 3.5 g" in " ".join(first_page(made).split())
