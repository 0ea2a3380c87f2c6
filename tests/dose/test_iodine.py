"""Povidone-iodine."""

import pytest

from waterplan import tables
from waterplan.dose.iodine import available_iodine_mg_per_ml


def test_the_pharmacopoeia_strength_contains_the_nominal_one() -> None:
    # British Pharmacopoeia 2013, Povidone-Iodine Solution: 0.85 to 1.20 % w/v available iodine.
    assert 8.5 < available_iodine_mg_per_ml(10.0) < 12.0


@pytest.mark.parametrize("use", ["instruments", "nets", "eggs", "wound", "hands"])
def test_uses_are_complete(use: str) -> None:
    row = tables.row("iodine_uses", use=use)
    assert row.unit == "mg/L"
    assert 100.0 <= row.low <= row.value <= row.high <= 10_000.0
    assert float(row["contact_min"]) > 0.0
    assert row["contact_words"]
    assert row["notes"]


def test_egg_strength_is_the_codes() -> None:
    # WOAH Aquatic Animal Health Code 2010, article 4.4.2: 100 ppm available iodine.
    assert tables.row("iodine_uses", use="eggs").value == 100.0
