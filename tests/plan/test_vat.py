"""A vat that is home and hospital in one: one water, with all its fish from now to the end of the treatment."""

from datetime import datetime, timedelta
from functools import cache

import pytest

from tests.demos import one_paper
from tests.plan import invariants, soundness
from waterplan.actions.record import Kind
from waterplan.case import read_case
from waterplan.errors import CaseError
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.stay.record import FishState, Moment, WaterKind
from waterplan.words.terminal import full_page

CASE = """waterplan_case = 1
utc_offset = "+01:00"
[patient]
species = "koi"
weight = "1 ± 0 kg"
length = "40 ± 0 cm"
done = "ulcer on the flank cleaned"
wound = "open"
[[other_fish]]
species = "koi"
count = 2
weight = "1 ± 0 kg"
[mains_water]
disinfectant = "none"
temperature = "16 ± 0 °C"
ph = "7 ± 0"
tan = "4 ± 0 mg/L as N"
nitrite = "0 ± 0 mg/L as NO2"
alkalinity = "100 ± 0 mg/L as CaCO3"
[[vessels]]
name = "indoor vat"
use = "home and hospital"
volume = "1000 ± 0 L"
air = "20 L/min"
outlets = 4
filter = "seeded"
taken = 2026-03-04T08:00
temperature = "16 ± 0 °C"
ph = "7 ± 0"
oxygen = "9 ± 0 mg/L"
tan = "0 ± 0 mg/L as N"
nitrite = "0 ± 0 mg/L as NO2"
alkalinity = "100 ± 0 mg/L as CaCO3"
salinity = "0 ± 0 g/L"
chlorine = "0 ± 0 mg/L"
[[vessels]]
name = "basin"
use = "induction"
volume = "60 L, marked tub"
temperature = "16 ± 0 °C"
[[vessels]]
name = "wake tub"
use = "revival"
volume = "100 L, marked tub"
temperature = "{revived}"
[intended]
operation_at = 2026-03-04T10:00
salt = "2 g/L"
days = "5 days"
{more}"""
CHANGE = '[[events]]\nat = 2026-03-04T14:00\nwhat = "water change"\nvolume = "500 ± 0 L"\n'
VAT = "home-pond"


@cache
def made(more: str = "", revived: str = "16 ± 0 °C") -> Plan:
    return plan(read_case(CASE.format(more=more, revived=revived)), draws=32)


@pytest.mark.longer
def test_it_is_one_water_and_the_patient_is_out_of_it_for_the_operation() -> None:
    """10 min of induction and 30 min under it, then 120 min of waking (table `timetable`): back at 12:40."""
    (vat,) = [one for one in made().waters if one.id == VAT]
    assert (vat.kind, vat.name) == (WaterKind.HOSPITAL, "indoor vat")
    assert [one.kind for one in made().waters].count(WaterKind.HOSPITAL) == 1
    before, after = [one for one in vat.occupants if one.fish == "patient-1"]
    start = made().made.operation_at
    assert start is not None
    assert (before.until, after.start) == (start, start + timedelta(hours=2, minutes=40))
    assert (before.state, after.state) == (FishState.AT_REST, FishState.RECOVERING)


def test_all_its_fish_count() -> None:
    """Three fish of 1 kg in 1,000 L: 3 kg/m³, and a little more as water evaporates."""
    figure = made().figures[f"{VAT}/stocking/all"]
    assert figure.best == pytest.approx(3.0, abs=0.1)


def test_what_is_meant_for_the_patient_begins_when_it_is_back() -> None:
    """2 g/L in 1,000 L without salt: 2,000 g, the first of it at 12:40, with the others' fish in the water."""
    (salt,) = [one for one in made().actions if one.kind is Kind.SALT and not one.refused_because]
    assert sum(salt.part_amounts["salt"]) == pytest.approx(2000.0, abs=10.0)
    assert (salt.water, salt.at) == (VAT, datetime.fromisoformat("2026-03-04T12:40+01:00"))


@pytest.mark.longer
def test_a_change_in_it_is_counted() -> None:
    """500 of 1,000 L of a tap with 4 mg/L as N make 2 mg/L of none, and what the fish give off comes to that."""
    with_it, without = (one.figures[f"{VAT}/ammonia/highest"] for one in (made(CHANGE), made()))
    assert with_it.low is not None
    assert without.low is not None
    assert with_it.low >= 2.0
    assert without.low < 1.0
    assert not [one for one in made(CHANGE).actions if "not followed" in one.words]


@pytest.mark.longer
def test_the_way_back_into_it_is_judged_as_a_step() -> None:
    """From a tub at 18 °C into a vat at 16 °C: 2 °C, over the 1 °C after an anaesthetic; from one at 16 °C under that."""
    far, near = (one.figures[f"{VAT}/temperature/step"].best for one in (made(revived="18 ± 0 °C"), made()))
    assert far == pytest.approx(2.0, abs=0.1)
    assert near is not None
    assert near < 1.0


def test_no_fish_goes_home_from_it() -> None:
    kinds = {one.kind for one in made().actions}
    assert Kind.ACCLIMATE not in kinds
    assert all(one.is_empty for one in made().moments if one.moment is Moment.HOME)
    assert "the fish goes home" not in full_page(made(), None, "metric")
    assert VAT not in {water for one in made().van if one.part == "water" for water in one.waters}


@pytest.mark.parametrize("check", [*invariants.CHECKS, *soundness.CHECKS], ids=lambda check: check.__name__)
def test_its_record_is_sound(check) -> None:
    assert check(made(CHANGE)) == []


def test_every_paper_copes() -> None:
    assert "indoor vat" in one_paper(made(CHANGE), "hospital.html")
    assert "hospital tank" not in one_paper(made(CHANGE), "owner.html")


@pytest.mark.parametrize(
    ("more", "key"),
    [
        ('[home_pond]\nvolume = "4000 L"\n', "home_pond"),
        ('[home_water]\ntan = "0.1 mg/L as N"\n', "home_water"),
        ('[transport]\nvolume = "20 L"\n', "transports"),
        ('[[vessels]]\nname = "tank"\nuse = "hospital"\nvolume = "400 L"\n', "vessels"),
    ],
)
def test_another_home_or_hospital_beside_it_is_refused(more: str, key: str) -> None:
    with pytest.raises(CaseError) as told:
        read_case(CASE.format(more=more, revived="16 °C"))
    assert [one.where for one in told.value.mistakes] == [key]
