"""Oxygen of a pond read before dawn counts whatever is ordered for the pond; what has its hour is asked for at its next one."""

from datetime import UTC, datetime

import pytest

from tests.plan.soundness import a_dawn_reading_counts, nothing_past_is_asked
from waterplan.actions.record import Kind
from waterplan.case import read_case
from waterplan.hazards.judging import judge_all
from waterplan.hazards.record import Verdict
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.spread import Draws
from waterplan.stay.effects import Changed, Effects
from waterplan.stay.waters import HOME, MAINS
from waterplan.stay.whole import lay_out, stay

CASE = """waterplan_case = 1
[patient]
species = "tench"
weight = "0.9 kg, scales"
[place]
altitude = "0 ± 0 m"
[home_pond]
{volume}
zeolite = false
[home_water]
taken = 2026-09-09T{read_at}
ph_taken = 2026-09-08T16:00
temperature = "15 ± 0.2 °C"
ph = "{ph} ± 0.05"
oxygen = "{oxygen} ± 0.1 mg/L"
tan = "0.1 ± 0.02 mg/L as N"
nitrite = "{nitrite} ± 0.02 mg/L as NO2"
alkalinity = "{alkalinity} ± 2 mg/L as CaCO3"
salinity = "0.1 ± 0.02 g/L"
chloride = "25 ± 1 mg/L"
chlorine = "0 ± 0.002 mg/L"
[mains_water]
taken = 2026-09-09T07:00
disinfectant = "none"
temperature = "15 ± 0.2 °C"
ph = "7.5 ± 0.05"
chlorine = "0 ± 0.002 mg/L"
tan = "0 ± 0.01 mg/L as N"
nitrite = "0 ± 0.005 mg/L as NO2"
alkalinity = "90 ± 2 mg/L as CaCO3"
salinity = "0.1 ± 0.02 g/L"
[intended]
operation_at = 2026-09-09T10:00
days = "0 days"
{more}
"""
_LITRES = 'volume = "9000 ± 90 L"'
_SEEN = '[[seen]]\nsign = "brown gills"\nat = 2026-09-09T06:00\nfish = "several"'


def made(read_at: str = "06:20", **more: str) -> Plan:
    said = {"ph": "7.4", "oxygen": "8.6", "nitrite": "0.03", "alkalinity": "90", "more": "", "volume": _LITRES}
    return plan(read_case(CASE.format(read_at=read_at, **said | more)), draws=128)


@pytest.mark.parametrize(
    ("more", "ordered"),
    [
        ({}, None),
        ({"ph": "6.8", "alkalinity": "15"}, Kind.CHEMISTRY),
        ({"nitrite": "4"}, Kind.CHANGE),
        ({"nitrite": "4", "more": _SEEN}, Kind.SALT),
    ],
    ids=("nothing", "bicarbonate", "a change", "a change and salt"),
)
def test_a_dawn_reading_counts_whatever_is_ordered(more: dict[str, str], ordered: Kind | None) -> None:
    """8.6 ± 0.1 mg/L of the dawn; a tench wants 5. New water that the air gave more than that brings no higher dawn."""
    found = made(**more)
    assert ordered is None or ordered in {one.kind for one in found.actions if one.water == "home-pond" and one.is_open}
    judged = [one for one in found.judgements if one.id.startswith("home-pond/oxygen") and "power" not in one.id]
    assert judged
    for one in judged:
        assert one.verdict is Verdict.WITHIN_LIMIT, one.id
        assert "oxygen-read-before-dawn" in {why.code for why in one.why}
        figure = found.figures[one.figure or ""]
        assert figure.best is not None
        assert figure.low is not None
        assert 8.3 < figure.low < figure.best < 8.7
    assert a_dawn_reading_counts(found) == []


def test_a_sign_alone_asks_for_all_the_air_there_is_and_no_figure() -> None:
    """Four fish that breathe little are not short of oxygen where the dawn's was read: the pond's own need has no say."""
    found = made(nitrite="4", more=_SEEN)
    (air,) = [
        one for one in found.actions if one.kind is Kind.AIR and one.water == "home-pond" and "/back-up" not in one.id
    ]
    assert not air.amounts
    assert {why.code for why in air.cautions} >= {"all-air-on-return-breaking-surface"}


def test_a_low_dawn_reading_is_not_made_good_by_a_change() -> None:
    """3.0 ± 0.1 mg/L of the dawn: half of the water changed for aired water brings the next dawn no more."""
    said = {"read_at": "06:20", "ph": "7.4", "oxygen": "3.0", "nitrite": "0.03", "alkalinity": "90", "more": ""}
    case = read_case(CASE.format(volume=_LITRES, **said))
    ground = lay_out(case, readings=(), as_of=None, draws=Draws(count=64, seed=1))
    half = Changed(action="call/change/home-pond", water=HOME, at_h=-1.0, litres=4500.0, source=MAINS)
    judged = judge_all(stay(ground, Effects(all=(half,))))["home-pond/oxygen"]
    assert judged.record.verdict is Verdict.ACT_NOW
    assert 2.8 < float(judged.sums["home-pond/oxygen/lowest"].draws[0]) < 3.2


@pytest.mark.parametrize("read_at", ["09:00", "12:00"])
def test_what_was_not_read_before_dawn_is_asked_for_at_the_next(read_at: str) -> None:
    """The plan is made at 08:00, two hours before the operation: by then the dawn of 3 to 8 o'clock is over."""
    found = made(read_at, volume="")
    (asked,) = [
        one
        for one in found.actions
        if one.kind is Kind.MEASURE and any("oxygen at dawn" in words for words in one.words.values())
    ]
    assert asked.by is not None
    assert asked.by.astimezone(UTC).replace(tzinfo=None) == datetime(2026, 9, 10, 8)
    assert nothing_past_is_asked(found) == []
