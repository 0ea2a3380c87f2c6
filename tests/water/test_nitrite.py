import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.water.printed import check, params
from waterplan import tables
from waterplan.water.nitrite import (
    ChlorideSalt,
    RatioBasis,
    chloride_needed_mg_per_l,
    chloride_to_nitrite_mass_ratio,
    chloride_to_nitrite_molar_ratio,
    nitrogen_from_no2_mg_per_l,
    no2_from_nitrogen_mg_per_l,
    ratio_by_mass,
    salt_for_chloride_mg_per_l,
)


@pytest.mark.parametrize("row", params("water_nitrite"))
def test_printed_values(row):
    check(row)


@given(st.floats(0, 50), st.floats(0, 30), st.floats(0, 500), st.sampled_from(RatioBasis))
def test_the_dose_is_never_negative_and_reaches_the_ratio(nitrite, ratio, chloride, basis):
    dose = chloride_needed_mg_per_l(nitrite, ratio=ratio, basis=basis, chloride_mg_per_l=chloride)
    assert dose >= 0.0
    reached = chloride_to_nitrite_mass_ratio(chloride + dose, nitrite_mg_no2_per_l=nitrite)
    assert reached >= ratio_by_mass(ratio, basis=basis) * (1 - 1e-9)


def test_the_basis_changes_the_dose_as_the_weights_say():
    dose = {basis: chloride_needed_mg_per_l(5.0, ratio=10.0, basis=basis) for basis in RatioBasis}
    assert dose[RatioBasis.MASS_NO2] / dose[RatioBasis.MASS_N] == pytest.approx(3.2844, rel=1e-4)
    assert dose[RatioBasis.MASS_NO2] / dose[RatioBasis.MOLAR] == pytest.approx(1.2977, rel=1e-4)


def test_water_without_nitrite_has_an_infinite_ratio():
    ratio = chloride_to_nitrite_mass_ratio(np.array([0.0, 30.0, 30.0]), nitrite_mg_no2_per_l=np.array([0.0, 0.0, 3.0]))
    assert ratio.tolist() == [math.inf, math.inf, 10.0]
    assert chloride_to_nitrite_molar_ratio(0.0, nitrite_mg_no2_per_l=0.0) == math.inf


@given(st.floats(0, 100))
def test_bases_round_trip(nitrite):
    assert nitrogen_from_no2_mg_per_l(no2_from_nitrogen_mg_per_l(nitrite)) == pytest.approx(nitrite, rel=1e-12)


def test_calcium_chloride_brings_more_chloride_than_salt_and_its_crystals_less():
    salt = {kind: salt_for_chloride_mg_per_l(100.0, salt=kind) for kind in ChlorideSalt}
    assert salt[ChlorideSalt.CACL2] < salt[ChlorideSalt.NACL] < salt[ChlorideSalt.CACL2_2H2O]


def test_the_default_ratio_stands_in_the_table():
    row = tables.find("water_methods", quantity="chloride to nitrite ratio")
    assert (row.value, row["method"]) == (10.0, "10 by mass of NO2")
