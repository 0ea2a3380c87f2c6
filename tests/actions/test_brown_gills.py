"""Brown gills: salt against a nitrite that may be it, none against one that was read and is kept out."""

import pytest

from tests.demos import DEMO_PONDS
from waterplan.actions.record import Kind
from waterplan.case import read_case
from waterplan.plan.whole import plan

SEEN = '\n[[seen]]\nsign = "brown gills"\n'


@pytest.mark.parametrize(("nitrite", "salted"), [("0.05", False), ("3", True)])
def test_salt_is_ordered_for_the_nitrite_and_not_for_the_sign_alone(nitrite: str, salted: bool) -> None:
    """0.05 mg/L wants ten times as much chloride, 0.5 mg/L: 5 g of salt in 6,000 L, which no meter shows; 3 mg/L 300 g."""
    text = (DEMO_PONDS / "ordinary_goldfish.toml").read_text("utf-8")
    text = text.replace('nitrite = "0.05 mg/L as NO2, photometer"', f'nitrite = "{nitrite} mg/L as NO2, photometer"', 1)
    made = plan(read_case(text + SEEN), draws=64)
    of_pond = [one for one in made.actions if one.water == "home-pond" and one.is_open]
    grams = [made.figures[one.amounts["salt"]].act_on for one in of_pond if one.kind is Kind.SALT]
    assert bool(grams) is salted
    assert all(one is not None and one > 100.0 for one in grams)
    assert {Kind.AIR, Kind.FIRST_AID} <= {one.kind for one in of_pond}
