"""A plan with a guessed weight: the record and the first page say what a weighing would change."""

import pytest

from waterplan.case import read_case
from waterplan.plan.whole import plan
from waterplan.words.terminal import first_page

CASE = """waterplan_case = 1
[patient]
species = "koi"
weight = "3 kg, {how}"
[home_pond]
volume = "3000 L, marked tub"
[home_water]
taken = 2026-05-14T05:00
temperature = "18 °C, digital thermometer"
oxygen = "8 mg/L, oxygen meter"
[[vessels]]
name = "bin"
use = "hospital"
volume = "700 L, marked tub"
air = "15 L/min"
outlets = 3
{read}
[intended]
operation_at = 2026-05-14T10:00
days = "4 days"
"""
# All that decides in the tank was read: what is left to doubt is the fish.
READ = """temperature = "18 °C, digital thermometer"
ph = "7.6, pH meter"
oxygen = "8.5 mg/L, oxygen meter"
tan = "0.1 mg/L as N, photometer"
nitrite = "0.05 mg/L as NO2, photometer"
alkalinity = "120 mg/L as CaCO3, drop kit"
chlorine = "0 mg/L, photometer"
salinity = "0.3 g/L, conductivity meter"
"""
POND = "".join(line + "\n" for line in READ.splitlines() if not line.startswith(("temperature", "oxygen")))


@pytest.mark.parametrize(("how", "asked"), [("guess", True), ("scales", False)])
def test_a_weighing_is_asked_for_where_the_weight_is_a_guess(how: str, asked: bool) -> None:
    text = CASE.format(how=how, read=READ).replace("[[vessels]]", f"{POND}[[vessels]]")
    found = plan(read_case(text), draws=64)
    weighings = [one for one in found.first_page.measure_next if one.quantity == "weight"]
    assert bool(weighings) is asked
    assert all(one.changes or one.amounts for one in weighings)
    assert ("Weight of the koi, by scales" in first_page(found)) is asked
