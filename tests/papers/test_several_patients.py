"""Several patients in tanks of their own, on journeys of their own: each paper tells of its own tank, fish and bag."""

from functools import cache

from tests.visible_text import text_of
from waterplan.case import read_case
from waterplan.papers.whole_set import papers
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan

CASE = """
waterplan_case = 1
[[patients]]
name = "Rust"
species = "goldfish"
weight = "0.4 ± 0.01 kg"
wound = "closed"
done = "tail wound closed"
[[patients]]
name = "Slate"
species = "koi"
weight = "2 ± 0.1 kg"
done = "ulcer cleaned"
[[patients]]
name = "the fry"
species = "goldfish"
count = 40
weight = "3 ± 0.1 g"
[home_water]
temperature = "18 ± 0.1 °C"
ph = "7.4 ± 0.05"
oxygen = "8 ± 0.1 mg/L"
tan = "0.05 ± 0.01 mg/L as N"
nitrite = "0.05 ± 0.01 mg/L as NO2"
alkalinity = "120 ± 5 mg/L as CaCO3"
chlorine = "0 ± 0.001 mg/L"
[[vessels]]
name = "tank one"
use = "hospital"
volume = "300 ± 3 L"
temperature = "18 ± 0.1 °C"
patients = "Rust"
[[vessels]]
name = "tank two"
use = "hospital"
volume = "900 ± 9 L"
temperature = "18 ± 0.1 °C"
patients = "Slate, the fry"
[intended]
operation_at = 2026-06-02T10:00:00
days = "6 days"
[[transports]]
by = "bag with oxygen"
volume = "12 ± 0.1 L"
oxygen = "30 ± 1 L"
hours = "2 h"
patients = "Rust"
[[transports]]
by = "bag with oxygen"
volume = "10 ± 0.1 L"
oxygen = "30 ± 1 L"
hours = "2 h"
patients = "the fry"
[[transports]]
by = "box with air"
volume = "90 ± 1 L"
hours = "2 h"
patients = "Slate"
"""


@cache
def made() -> Plan:
    return plan(read_case(CASE), draws=16)


@cache
def pages() -> dict[str, str]:
    return papers(made().model_copy(update={"series": {}}))  # pictures take time


def page(name: str) -> str:
    return text_of(pages()[name])


def test_each_tank_has_its_own_days_and_rounds_once() -> None:
    """Six days from 2 June, 10:00 to 8 June, 08:00: two rounds a day on each of two sheets, the first as they go in."""
    lines = page("hospital.html").splitlines()
    for day in range(2, 8):
        for half in ("on arrival" if day == 2 else "early", "late"):
            assert sum(line.endswith(f" {day} Jun {half}") for line in lines) == 2, (day, half)
    assert {one.water for one in made().days} == {"hospital-1", "hospital-2"}


def test_what_was_done_is_told_of_each_patient() -> None:
    owner = page("owner.html")
    assert "What was done to Rust: tail wound closed" in owner
    assert "What was done to Slate: ulcer cleaned" in owner


def test_a_fry_has_a_weight_and_each_bag_a_number() -> None:
    way = page("transport.html")
    assert "40 the fry, goldfish, 3 g" in way
    assert {"bag 1", "bag 2", "box"} <= set(way.splitlines())


def test_a_box_whose_pump_stops_has_one_clock_on_every_paper() -> None:
    """Without air: the clock before the air that is ordered; with it the way has no end but the arrival."""
    found = made()
    clock, alarm = (found.figures[f"box-1/oxygen/until-{stage}"].act_on for stage in ("emergency", "alarm"))
    assert clock is not None
    assert clock < 120.0
    said = f"{clock:g} min"
    assert f"Box: oxygen, until emergency: {said}" in page("contingency.html")
    way = page("transport.html").split("KEEP THE AIR PUMP RUNNING")[1]
    assert f"If the pump stops, until emergency: {said}" in way
    assert f"Open within {said}" not in way
    back_up = next(one for one in found.actions if one.id == "prepare/air/box-1/back-up")
    assert found.figures[back_up.amounts["within"]].act_on == alarm
