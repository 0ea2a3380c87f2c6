import pytest
from iapws import IAPWS97

from tests.water.printed import check, params
from waterplan.water.atmosphere import (
    water_vapour_pressure_kpa,
)


@pytest.mark.parametrize("row", params("water_atmosphere"))
def test_printed_values(row):
    check(row)


@pytest.mark.parametrize("temp_c", [1.0, 5.0, 10.0, 20.0, 30.0, 40.0, 60.0])
def test_vapour_pressure_is_that_of_the_steam_tables(temp_c):
    # IAPWS-IF97, and the 300 ppm by which ASHRAE says that its formula departs from it
    assert water_vapour_pressure_kpa(temp_c) == pytest.approx(1000.0 * IAPWS97(T=temp_c + 273.15, x=0).P, rel=4e-4)
