"""Readings age: what was read too long ago makes nothing good, and time alone makes nothing better."""

import itertools
from datetime import UTC, datetime, timedelta

import pytest

from waterplan import tables
from waterplan.case import read_case
from waterplan.hazards.record import Hazard, Judgement, Verdict
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan

READ_AT = datetime(2026, 5, 1, 6, tzinfo=UTC)
GOOD = """
temperature = "17 ± 0.2 °C"
ph = "7.6 ± 0.05"
oxygen = "9 ± 0.2 mg/L"
tan = "0.05 ± 0.01 mg/L as N"
nitrite = "0.05 ± 0.01 mg/L as NO2"
alkalinity = "120 ± 5 mg/L as CaCO3"
salinity = "0.3 ± 0.02 g/L"
chlorine = "0 ± 0.001 mg/L"
gas_pressure = "100 ± 0.5 %"
"""


def made(hours: float, water: str = GOOD) -> Plan:
    text = (
        'waterplan_case = 1\n[patient]\nspecies = "koi"\nweight = "1 kg, scales"\n[home_pond]\nvolume = "8000 ± 80 L"\n'
        f"[home_water]\ntaken = 2026-05-01T06:00\n{water}"
    )
    return plan(read_case(text), as_of=READ_AT + timedelta(hours=hours), draws=64, actions=False)


def of(plan: Plan, hazard: Hazard) -> Judgement:
    return next(one for one in plan.judgements if one.hazard is hazard and "power" not in one.id)


@pytest.mark.parametrize(
    ("hazard", "quantity"),
    [
        (Hazard.OXYGEN, "oxygen"),
        (Hazard.TEMPERATURE, "temperature"),
        (Hazard.PH, "ph"),
        (Hazard.NITRITE, "nitrite"),
        (Hazard.CHLORINE, "chlorine"),
        (Hazard.ALKALINITY, "alkalinity"),
        (Hazard.SALT, "salt"),
    ],
)
def test_a_reading_stands_as_long_as_its_row_says_and_no_longer(hazard: Hazard, quantity: str) -> None:
    lasts = tables.row("reading_ages", kind="water", quantity=quantity).value
    in_time, too_late = of(made(lasts - 1.0), hazard), of(made(lasts + 1.0), hazard)
    assert "readings-too-old" not in {why.code for why in in_time.why}
    assert too_late.verdict is Verdict.NOT_KNOWN
    assert "readings-too-old" in {why.code for why in too_late.why}
    assert quantity in {one.quantity for one in too_late.measure}


@pytest.mark.parametrize(
    ("key", "bad"),
    [
        ("oxygen", "1.5 ± 0.2 mg/L"),
        ("tan", "6 ± 0.1 mg/L as N"),
        ("nitrite", "9 ± 0.1 mg/L as NO2"),
        ("temperature", "36 ± 0.2 °C"),
    ],
)
def test_time_alone_softens_no_verdict(key: str, bad: str) -> None:
    water = "\n".join(f'{key} = "{bad}"' if line.startswith(key) else line for line in GOOD.splitlines())
    ranks = [[one.verdict.rank for one in made(hours, water).judgements] for hours in (1.0, 30.0, 60.0, 400.0, 3000.0)]
    assert all(len(one) == len(ranks[0]) for one in ranks)
    for earlier, later in itertools.pairwise(ranks):
        assert all(old <= new for old, new in zip(sorted(earlier), sorted(later), strict=True))


def test_a_reading_without_a_time_is_taken_as_of_now() -> None:
    text = f'waterplan_case = 1\n[patient]\nspecies = "koi"\nweight = "1 kg, scales"\n[home_water]\n{GOOD}'
    found = plan(read_case(text), as_of=READ_AT, draws=64, actions=False)
    assert "readings-too-old" not in {why.code for one in found.judgements for why in one.why}


@pytest.mark.parametrize(("hours", "too_old"), [(2.0, False), (40.0, True)])
def test_a_tub_made_like_the_pond_is_as_old_as_the_reading_of_the_pond(hours: float, too_old: bool) -> None:
    """The tub itself was read an hour ago; it is warmed to what the pond was when that was read."""
    now = READ_AT + timedelta(hours=hours)
    tub = (
        '[[vessels]]\nname = "tub"\nuse = "induction"\nvolume = "60 ± 1 L"\nfilled_with = "home water"\n'
        f"taken = {now - timedelta(hours=1.0):%Y-%m-%dT%H:%M}\n{GOOD.replace('17', '15.4')}"
    )
    intended = f"[intended]\noperation_at = {now + timedelta(hours=2.0):%Y-%m-%dT%H:%M}\n"
    text = (
        'waterplan_case = 1\n[patient]\nspecies = "koi"\nweight = "1 kg, scales"\n[home_pond]\nvolume = "8000 ± 80 L"\n'
        f"[home_water]\ntaken = 2026-05-01T06:00\n{GOOD}{tub}{intended}"
    )
    found = plan(read_case(text), as_of=now, draws=64)
    assert any(one.kind == "warm" and one.water == "induction-1" for one in found.actions if one.is_open)
    after = next(one for one in found.judgements if one.id == "induction-1/temperature/after")
    assert ("readings-too-old" in {why.code for why in after.why}) is too_old
    assert (after.verdict is Verdict.NOT_KNOWN) is too_old
