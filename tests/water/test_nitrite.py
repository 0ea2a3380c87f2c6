import pytest

from tests.water.printed import check, params
from waterplan import tables
from waterplan.water.nitrite import (
    ChlorideSalt,
    RatioBasis,
    chloride_needed_mg_per_l,
    salt_for_chloride_mg_per_l,
)


@pytest.mark.parametrize("row", params("water_nitrite"))
def test_printed_values(row):
    check(row)


def test_the_basis_changes_the_dose_as_the_weights_say():
    dose = {basis: chloride_needed_mg_per_l(5.0, ratio=10.0, basis=basis) for basis in RatioBasis}
    assert dose[RatioBasis.MASS_NO2] / dose[RatioBasis.MASS_N] == pytest.approx(3.2844, rel=1e-4)
    assert dose[RatioBasis.MASS_NO2] / dose[RatioBasis.MOLAR] == pytest.approx(1.2977, rel=1e-4)


def test_calcium_chloride_brings_more_chloride_than_salt_and_its_crystals_less():
    salt = {kind: salt_for_chloride_mg_per_l(100.0, salt=kind) for kind in ChlorideSalt}
    assert salt[ChlorideSalt.CACL2] < salt[ChlorideSalt.NACL] < salt[ChlorideSalt.CACL2_2H2O]


def test_the_default_ratio_stands_in_the_table():
    row = tables.find("water_methods", quantity="chloride to nitrite ratio")
    assert (row.value, row["method"]) == (10.0, "10 by mass of NO2")
