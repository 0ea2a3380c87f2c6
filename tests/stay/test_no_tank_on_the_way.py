"""A fish that goes home without a hospital tank is in its bag from the moment that it is awake, and home when that is over."""

from datetime import timedelta

import pytest

from waterplan.case import read_case
from waterplan.plan.whole import plan

CASE = """waterplan_case = 1
[patient]
species = "goldfish"
weight = "0.5 kg, scales"
[home_pond]
volume = "6000 L, marked tub"
[[vessels]]
name = "tub"
use = "revival"
volume = "80 L, marked tub"
[transport]
by = "{by}"
volume = "10 L, marked tub"
{more}
hours = "90 min"
[intended]
operation_at = 2026-06-04T10:00:00
"""


@pytest.mark.parametrize(("by", "more"), [("bag with oxygen", 'oxygen = "20 L"'), ("box with air", "")])
def test_one_patient_is_in_what_it_travels_in(by: str, more: str) -> None:
    made = plan(read_case(CASE.format(by=by, more=more)), draws=32, actions=False)
    inside = {water.id: water.occupants for water in made.waters}
    way = next(path for path in inside if path.startswith(("bag", "box")))
    (one,) = inside[way]
    (back,) = (fish for fish in inside["home-pond"] if fish.start is not None and fish.start >= one.start)
    # It leaves the revival tub as it goes into the bag, travels for 90 min, and is in the pond from then on.
    assert one.fish == back.fish == "patient-1"
    assert one.start == inside["revival-1"][0].until
    assert one.until - one.start == timedelta(minutes=90)
    assert back.start == one.until
