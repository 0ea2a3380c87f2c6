"""How pH is closed: against the water room's own equations, finite differences, and printed doses of bicarbonate."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from waterplan.tank.balance import carbonate
from waterplan.tank.events import BicarbonateDose
from waterplan.tank.setup import Setup
from waterplan.tank.through_time import course
from waterplan.tank.water_body import Tank, Water
from waterplan.water.carbonate import co2_mg_per_l

_PH, _TEMP, _ALKALINITY = st.floats(6.0, 9.5), st.floats(2.0, 32.0), st.floats(20.0, 400.0)


def _closed(ph: float, temp: float, alkalinity: float, tan: float, *, near: float = 7.0) -> carbonate.Carbonate:
    water = Water(water_temp_c=temp, do_mg_per_l=8.0, ph=ph, alkalinity_mg_caco3_per_l=alkalinity, tan_mg_n_per_l=tan)
    return carbonate.balanced(
        np.atleast_1d(carbonate.carbon_mmol_per_l(water)),
        alkalinity_meq_per_l=np.array([alkalinity / 50.043]),
        tan_mmol_per_l=np.array([tan / 14.007]),
        at=carbonate.constants(np.array([temp])),
        near_ph=np.array([near]),
    )


@given(ph=_PH, temp=_TEMP, alkalinity=_ALKALINITY, tan=st.floats(0.0, 20.0))
def test_there_and_back(ph: float, temp: float, alkalinity: float, tan: float) -> None:
    if alkalinity < 2.0 * tan:  # ammonia alone would be the alkalinity
        return
    assert _closed(ph, temp, alkalinity, tan).ph[0] == pytest.approx(ph, abs=1e-6)


@given(ph=st.floats(6.0, 8.8), temp=_TEMP, alkalinity=_ALKALINITY)
def test_carbon_dioxide_is_the_water_rooms(ph: float, temp: float, alkalinity: float) -> None:
    found = _closed(ph, temp, alkalinity, 0.0).dioxide[0] * carbonate.MG_CO2_PER_MMOL
    assert found == pytest.approx(co2_mg_per_l(ph, alkalinity_mg_caco3_per_l=alkalinity, water_temp_c=temp), rel=1e-4)


@given(ph=_PH, temp=_TEMP, alkalinity=_ALKALINITY, tan=st.floats(0.0, 5.0))
def test_slope_is_the_finite_difference(ph: float, temp: float, alkalinity: float, tan: float) -> None:
    at = carbonate.constants(np.array([temp]))
    water = Water(water_temp_c=temp, do_mg_per_l=8.0, ph=ph, alkalinity_mg_caco3_per_l=alkalinity, tan_mg_n_per_l=tan)
    total, step = np.atleast_1d(carbonate.carbon_mmol_per_l(water)), 1e-4
    found = [
        carbonate.balanced(
            total + shift,
            alkalinity_meq_per_l=np.array([alkalinity / 50.043]),
            tan_mmol_per_l=np.array([tan / 14.007]),
            at=at,
            near_ph=np.array([ph]),
        )
        for shift in (-step, 0.0, step)
    ]
    difference = (found[2].dioxide[0] - found[0].dioxide[0]) / (2.0 * step)
    assert found[1].slope[0] == pytest.approx(difference, rel=2e-3)


@pytest.mark.parametrize(
    ("alkalinity", "ph", "temp", "dose", "alkalinity_after", "ph_after", "tolerance"),
    [
        (40.0, 6.8, 20.0, 84.0, 90.0, 7.15, 0.01),  # worked by hand from the constants of Plummer & Busenberg
        (200.0, 10.0, 25.0, 100.0, 259.6, 9.9, 0.1),  # SRAC leaflet on high pH: about 9.9
        (50.0, 10.0, 25.0, 100.0, 109.6, 9.6, 0.1),  # the same: about 9.6
    ],
)
def test_bicarbonate_in_a_closed_water(
    alkalinity: float, ph: float, temp: float, dose: float, alkalinity_after: float, ph_after: float, tolerance: float
) -> None:
    water = Water(water_temp_c=temp, do_mg_per_l=8.0, ph=ph, alkalinity_mg_caco3_per_l=alkalinity)
    setup = Setup(tank=Tank(volume_l=100.0), water=water)
    done = course(setup, [BicarbonateDose(at_h=0.0, bicarbonate_g=0.1 * dose)], until_h=1.0)
    assert done.best("alkalinity_mg_caco3_per_l")[1] == pytest.approx(alkalinity_after, abs=0.1)
    assert done.best("ph")[1] == pytest.approx(ph_after, abs=tolerance)


def test_newton_reaches_a_far_ph() -> None:
    assert _closed(10.5, 20.0, 200.0, 0.0, near=4.0).ph[0] == pytest.approx(10.5, abs=1e-6)
    assert _closed(5.0, 20.0, 1.0, 0.0, near=9.0).ph[0] == pytest.approx(5.0, abs=1e-6)
