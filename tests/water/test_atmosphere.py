import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from iapws import IAPWS97

from tests.water.printed import check, params
from waterplan.water.atmosphere import (
    air_pressure_kpa,
    dew_point_c,
    station_pressure_kpa,
    water_vapour_pressure_kpa,
)


@pytest.mark.parametrize("row", params("water_atmosphere"))
def test_printed_values(row):
    check(row)


@pytest.mark.parametrize("temp_c", [1.0, 5.0, 10.0, 20.0, 30.0, 40.0, 60.0])
def test_vapour_pressure_is_that_of_the_steam_tables(temp_c):
    # IAPWS-IF97, and the 300 ppm by which ASHRAE says that its formula departs from it
    assert water_vapour_pressure_kpa(temp_c) == pytest.approx(1000.0 * IAPWS97(T=temp_c + 273.15, x=0).P, rel=4e-4)


@pytest.mark.parametrize(("air_c", "humidity"), [(25.0, 50.0), (5.0, 80.0), (35.0, 20.0)])
def test_water_at_the_dew_point_has_the_vapour_pressure_of_the_air(air_c, humidity):
    in_the_air = humidity / 100.0 * IAPWS97(T=air_c + 273.15, x=0).P
    dew = dew_point_c(air_c, relative_humidity_percent=humidity)
    assert pytest.approx(in_the_air, rel=1e-3) == IAPWS97(T=dew + 273.15, x=0).P


@given(st.floats(-500, 5000), st.floats(97, 105))
def test_a_weather_report_moves_the_pressure_in_proportion_nearly(altitude_m, report_kpa):
    standard = air_pressure_kpa(altitude_m)
    assert station_pressure_kpa(101.325, altitude_m=altitude_m) == pytest.approx(standard, rel=1e-12)
    at_station = station_pressure_kpa(report_kpa, altitude_m=altitude_m)
    assert at_station / standard == pytest.approx(report_kpa / 101.325, rel=0.01)


def test_reduction_by_the_temperature_at_the_station_agrees_with_the_standard_atmosphere():
    # 8.5 degrees is what the standard atmosphere has at 1,000 m (ISO 2533)
    by_temperature = station_pressure_kpa(101.325, altitude_m=1000.0, air_temp_c=8.5)
    assert by_temperature == pytest.approx(air_pressure_kpa(1000.0), rel=2e-4)
    cold, warm = station_pressure_kpa(101.325, altitude_m=1000.0, air_temp_c=np.array([-10.0, 30.0]))
    assert cold < by_temperature < warm
