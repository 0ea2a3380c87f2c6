"""An action whose amount rounds to nothing is no action, and no amount of nothing stands beside one."""

from tests.plan.soundness import nothing_is_weighed
from waterplan.actions.record import Kind
from waterplan.case import read_case
from waterplan.plan.whole import plan

# The tank starts at 62 mg/L of alkalinity, two above the level to watch, and its filter uses it up within days: nothing is
# missing when the fish goes in.
FALLS = """
waterplan_case = 1
[patient]
species = "koi"
weight = "3 ± 0 kg"
[home_pond]
volume = "10000 ± 0 L"
[home_water]
temperature = "20 ± 0 °C"
ph = "7.6 ± 0"
nitrite = "0 ± 0 mg/L as NO2"
tan = "0 ± 0 mg/L as N"
alkalinity = "{pond} ± 0 mg/L as CaCO3"
[[vessels]]
name = "tank"
use = "hospital"
volume = "400 ± 0 L"
filter = "seeded"
alkalinity = "{tank} ± 0 mg/L as CaCO3"
air = "10 L/min"
[intended]
operation_at = 2026-05-14T10:00:00
days = "2 days"
feed = "1 %/day"
"""


def test_no_step_is_made_of_an_amount_of_nothing() -> None:
    made = plan(read_case(FALLS.format(pond=65, tank=62)), draws=64)
    assert not [one for one in made.actions if one.kind is Kind.CHEMISTRY]
    assert nothing_is_weighed(made) == []


def test_what_is_missing_is_still_ordered() -> None:
    """From 50 to 60 mg/L in 400 L: 10 x 1.679 x 0.4 = 6.71 g, rounded up to 6.8."""
    made = plan(read_case(FALLS.format(pond=65, tank=50)), draws=64)
    (one,) = [one for one in made.actions if one.kind is Kind.CHEMISTRY]
    assert made.figures[one.amounts["bicarbonate"]].act_on == 6.8
