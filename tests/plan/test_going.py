"""Go or no-go: what must be so before a fish is lifted, each with its state, and when an operation waits."""

from datetime import UTC, datetime

import pytest

from tests.demos import demo_plan
from waterplan import tables
from waterplan.actions.record import Kind
from waterplan.case import read_case
from waterplan.hazards.record import Hazard, Verdict
from waterplan.plan.record import Condition, Go, GoNoGo, Plan, Readiness
from waterplan.plan.whole import plan
from waterplan.stay.record import WaterKind
from waterplan.words.lines import action_line
from waterplan.words.speaker import Speaker

AT = datetime(2026, 5, 14, 8, tzinfo=UTC)
# Read this morning, at dawn, and good: 6.9 mg/L of 9.6 is more than any level; 0.02 mg/L of total ammonia at pH 7.4 and
# 17 C is 0.02 x 0.8 % = 0.0002 mg/L un-ionised.
GOOD = {
    "temperature": "17 ± 0.1 °C",
    "oxygen": "7.9 ± 0.1 mg/L",
    "ph": "7.4 ± 0.05",
    "tan": "0.02 ± 0.005 mg/L as N",
    "nitrite": "0.02 ± 0.005 mg/L as NO2",
    "alkalinity": "110 ± 5 mg/L as CaCO3",
    "chlorine": "0 ± 0.001 mg/L",
    "salinity": "0.3 ± 0.01 g/L",
}
TUBS = """[[vessels]]
name = "basin"
use = "induction"
volume = "40 L, marked tub"
temperature = "17 ± 0.1 °C"
air = "4 L/min"
[[vessels]]
name = "blue tub"
use = "revival"
volume = "80 L, marked tub"
temperature = "17 ± 0.1 °C"
air = "6 L/min"
"""


def made(
    *,
    eaten: bool | None = None,
    intended: str = "",
    tubs: str = TUBS,
    more: str = "",
    at: datetime = AT,
    **water: str | None,
) -> Plan:
    readings = {key: text for key, text in {**GOOD, **water}.items() if text is not None}
    written = "".join(f'{key} = "{text}"\n' for key, text in readings.items())
    said = "" if eaten is None else f"eaten = {str(eaten).lower()}\n"
    text = (
        f'waterplan_case = 1\n[patient]\nspecies = "koi"\nweight = "0.6 kg, scales"\n'
        f'{said}[home_pond]\nvolume = "9000 ± 90 L"\n[home_water]\n{written}taken = 2026-05-14T05:30:00\n'
        f"[intended]\noperation_at = 2026-05-14T10:00:00\n{intended}{tubs}{more}"
    )
    return plan(read_case(text), draws=64, as_of=at)


def decided(plan: Plan) -> tuple[GoNoGo, dict[str, Condition]]:
    assert plan.operation is not None
    return plan.operation, {one.condition: one for one in plan.operation.conditions}


def test_nobody_is_told_to_go_or_to_wait_for_an_operation_that_a_reading_came_after() -> None:
    """The log of the recheck's case begins days after its operation: it said Go for one that was done."""
    assert demo_plan("goldfish_recheck", readings=True).operation is None
    assert demo_plan("ordinary_goldfish").operation is not None


def test_an_operation_goes_on_where_every_condition_is_met() -> None:
    operation, conditions = decided(made())
    assert operation.go in {Go.GO, Go.GO_IF_DONE}, operation
    assert set(conditions) == {row["condition"] for row in tables.table("go_conditions")} - {"what was seen"}


@pytest.mark.parametrize(
    ("water", "condition", "state"),
    [
        # 0.9 mg/L is under any emergency level of carp-like fish.
        ({"oxygen": "0.9 ± 0.1 mg/L"}, "oxygen", Readiness.NOT_READY),
        ({"oxygen": None}, "oxygen", Readiness.NOT_KNOWN),
        # 4 mg/L at pH 8.6 and 17 C: pKa 0.09018 + 2729.92 / 290.15 = 9.499, 1 / (1 + 10^0.899) = 11.2 %, 0.45 mg/L as N.
        ({"tan": "4 ± 0.1 mg/L as N", "ph": "8.6 ± 0.05"}, "ammonia", Readiness.NOT_READY),
    ],
)
def test_one_danger_or_one_reading_that_nobody_took_postpones_it(
    water: dict[str, str | None], condition: str, state: Readiness
) -> None:
    operation, conditions = decided(made(**water))
    assert operation.go is Go.POSTPONE
    assert conditions[condition].state is state
    assert conditions[condition].because


def test_nitrite_without_chloride_is_no_condition_that_is_met() -> None:
    """Chloride of 8 mg/L is eight times the nitrite of 1.0, not ten: salt or a change comes first."""
    _, conditions = decided(made(nitrite="1.0 ± 0.01 mg/L as NO2", chloride="8 ± 0.1 mg/L"))
    assert conditions["nitrite against chloride"].state in {Readiness.READY_IF_DONE, Readiness.NOT_READY}


@pytest.mark.parametrize(
    ("begun", "state", "go"),
    [((6, 0), Readiness.READY_IF_DONE, Go.GO_IF_DONE), ((9, 50), Readiness.NOT_READY, Go.POSTPONE)],
)
def test_what_cannot_be_done_by_then_meets_no_condition(begun: tuple[int, int], state: Readiness, go: Go) -> None:
    """40 L by 5 °C take 40 x 4.186 x 5 = 837 kJ, which 300 W give in 47 min."""
    cold = TUBS.replace("17 ± 0.1 °C", "12 ± 0.1 °C", 1).replace(
        'use = "induction"', 'use = "induction"\nheater = "300 W"'
    )
    found = made(tubs=cold, at=AT.replace(hour=begun[0], minute=begun[1]))
    operation, conditions = decided(found)
    (warming,) = [one for one in found.actions if one.kind is Kind.WARM and one.water == "induction-1"]
    assert conditions["temperature"].state is state
    assert operation.go is go
    assert ("begin now" in action_line(Speaker(found), warming)) is (go is Go.POSTPONE)


def test_an_emergency_is_never_postponed() -> None:
    operation, _ = decided(made(intended="urgent = true\n", oxygen="0.9 ± 0.1 mg/L"))
    assert operation.go is Go.URGENT


def test_without_a_tub_to_wake_in_it_waits() -> None:
    basin = TUBS.partition('[[vessels]]\nname = "blue')[0]
    operation, conditions = decided(made(tubs=basin))
    assert operation.go is Go.POSTPONE
    assert conditions["who wakes the fish"].state is Readiness.NOT_READY


def test_a_guessed_bath_waits_for_its_litres() -> None:
    guessed = TUBS.replace("40 L, marked tub", "40 L, guess")
    operation, conditions = decided(made(tubs=guessed))
    assert operation.go is Go.POSTPONE
    assert conditions["volume"].state is Readiness.NOT_KNOWN


def test_a_fish_that_gasps_is_not_operated_on() -> None:
    operation, conditions = decided(made(more='[[seen]]\nsign = "gasping at the surface"\n'))
    assert operation.go is Go.POSTPONE
    assert conditions["what was seen"].state is Readiness.NOT_READY


def test_nothing_is_decided_once_it_has_begun() -> None:
    assert made(at=datetime(2026, 5, 14, 10, 30, tzinfo=UTC)).operation is None


def test_the_table_names_hazards_waters_and_verdicts() -> None:
    for row in tables.table("go_conditions"):
        if row["hazards"]:
            assert {one.strip() for one in row["hazards"].split(";")} <= set(Hazard)
            assert {one.strip() for one in row["waters"].split(";")} <= set(WaterKind)


# pH 6.8 at 15 °C with 110 mg/L of alkalinity (2.2 mmol/L): pK1 6.42 (Plummer & Busenberg 1982), so 2.2 x 10^-0.38 = 0.92 mmol/L
# or 40 mg/L of carbon dioxide, where 20 are the most.
FULL_OF_CARBON_DIOXIDE = {"temperature": "15 ± 0.1 °C", "ph": "6.8 ± 0.05", "alkalinity": "110 ± 5 mg/L as CaCO3"}


def test_carbon_dioxide_over_its_limit_is_no_go_and_is_aired_in_every_water() -> None:
    """The plan said that every condition was met, and refused the air for the step of pH that it makes."""
    found = made(tubs=TUBS.replace("17 ±", "15 ±"), **FULL_OF_CARBON_DIOXIDE)
    operation, conditions = decided(found)
    assert operation.go is Go.POSTPONE
    assert conditions["carbon dioxide"].state is Readiness.NOT_READY
    aired = {one.water for one in found.actions if one.kind is Kind.AIR and one.is_open and "air flow" in one.amounts}
    danger = {
        one.water
        for one in found.judgements
        if one.hazard is Hazard.CARBON_DIOXIDE and one.before is None and one.verdict is Verdict.ACT_NOW
    }
    assert {"home-pond", "induction-1", "revival-1"} <= danger
    assert danger <= aired
    assert not [one.id for one in found.actions if one.kind is Kind.AIR and one.refused_because]


def test_a_bath_for_induction_that_has_begun_is_not_ordered_again() -> None:
    dose = """[[doses]]
substance = "tricaine"
use = "induction"
into = "basin"
strength = "80 mg/L"
buffer = "one to one"
bottle = "powder"
scale = "0.1 g"
"""
    for at, ordered in (("10:00", True), ("10:05", False)):
        found = made(eaten=False, more=dose, at=datetime.fromisoformat(f"2026-05-14T{at}+00:00"))
        (bath,) = [one for one in found.actions if one.kind is Kind.DOSE]
        assert (bath.is_open, bath.was_due) == (ordered, not ordered), at
