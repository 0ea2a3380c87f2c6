"""That the made-up cases can be read, are the same again, and leave out nothing that a case may hold."""

from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given, settings

from tests.plan.generated_cases import SPECIES, THINGS, Generated, cases, generated_cases
from waterplan import tables
from waterplan.case.choices import Use
from waterplan.case.tank_choices import Happens
from waterplan.dose import substances

COUNT, SEED = 200, 10


def _tables(section: str, *, count: int = COUNT) -> Iterator[dict[str, Any]]:
    for case in cases(count, SEED):
        found = case.document.get(section, [])
        yield from found if isinstance(found, list) else [found]


@pytest.mark.longer
def test_cases_can_be_read() -> None:
    for case in cases(COUNT, SEED):
        case.readings(case.case())


@pytest.mark.longer
@settings(max_examples=50)
@given(generated_cases())
def test_cases_of_hypothesis_can_be_read(case: Generated) -> None:
    case.readings(case.case())


def test_a_case_is_the_same_again_whatever_the_count() -> None:
    assert list(cases(5, SEED)) == list(cases(9, SEED))[:5]
    assert next(cases(1, SEED)) != next(cases(1, SEED + 1))


@pytest.mark.longer
def test_no_dose_drug_event_species_or_use_is_left_out() -> None:
    every = {(name, use) for name in substances.known_substances() for use in substances.uses_of(name)}
    assert {(dose["substance"], dose["use"]) for dose in _tables("doses", count=400)} == every
    assert {given["drug"] for given in _tables("injections")} == {row["drug"] for row in tables.table("drugs")}
    assert {event["what"] for event in _tables("events", count=400)} == set(Happens) - {Happens.FISH_OUT}
    assert {found["what"] for found in _tables("already", count=400)} == set(THINGS)
    assert {fish["species"] for fish in _tables("patients")} == set(SPECIES)
    assert {vessel["use"] for vessel in _tables("vessels")} == set(Use) - {Use.VAT}  # it stands alone: test_vat.py


def test_cases_are_of_one_to_three_patients_and_one_to_six_waters() -> None:
    patients, waters = set(), set()
    for case in cases(COUNT, SEED):
        patients.add(len(case.document["patients"]))
        waters.add(
            sum(key in case.document for key in ("home_pond", "mains_water")) + len(case.document.get("vessels", ()))
        )
    assert patients == {1, 2, 3}
    assert waters == {1, 2, 3, 4, 5, 6}


def test_readings_are_good_bad_censored_and_left_out() -> None:
    texts = [
        str(value)
        for section in ("home_water", "mains_water", "vessels")
        for table in _tables(section)
        for value in table.values()
    ]
    for part in ("<0.25", "not measured", "basis unknown", "% saturation", "°F", "±", "owner's word"):
        assert sum(part in text for text in texts) > 3, part
