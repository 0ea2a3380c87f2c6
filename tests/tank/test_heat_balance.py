"""Temperature through time: closed forms, a measured cup, a heater, ice, the day."""

import csv
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import least_squares

from waterplan.tank.equipment_events import HeaterFails, HeaterMended, HeaterSticksOn, LidOn
from waterplan.tank.events import IceIn
from waterplan.tank.setup import Heater, Setup
from waterplan.tank.through_time import course
from waterplan.tank.water_body import Room, Tank, Water

_CUP = Path(__file__).parents[1] / "published_values" / "tank_cooling_cup.csv"
_KJ_PER_L_K = 0.9982 * 4.182


def _cup_error(parameters: np.ndarray, minutes: np.ndarray, measured: np.ndarray, evaporates: bool) -> np.ndarray:
    loss, opening_cm2, room = parameters
    setup = Setup(
        tank=Tank(
            volume_l=0.3,
            wall_area_m2=1.0,
            wall_u_w_per_m2_k=abs(loss),
            area_m2=abs(opening_cm2) * 1e-4,
            evaporation_factor=1.0 if evaporates else 0.0,
        ),
        water=Water(water_temp_c=measured[0], do_mg_per_l=4.0),
        room=Room(air_temp_c=room, relative_humidity=0.4, air_speed_m_per_s=0.0),
    )
    done = course(setup, until_h=float(minutes[-1] - minutes[0]) / 60.0, every_h=0.2, step_h=0.1)
    return np.asarray(done.best("water_temp_c") - measured)


@pytest.mark.longer
def test_cooling_cup() -> None:
    """A mug of water cooled by its walls and by evaporation; Newton's law alone misses it by several times more."""
    with _CUP.open(encoding="utf-8", newline="") as file:
        rows = [(float(row["minutes"]), float(row["expected"])) for row in csv.DictReader(file)]
    minutes, measured = (np.array(column) for column in zip(*rows, strict=True))
    rms, fitted = {}, {}
    for evaporates in (False, True):
        found = least_squares(
            _cup_error,
            [0.2, 60.0, 24.0],
            x_scale=[0.1, 10.0, 1.0],
            diff_step=1e-3,
            args=(minutes, measured, evaporates),
            max_nfev=12,
        )
        rms[evaporates], fitted[evaporates] = float(np.sqrt(np.mean(found.fun**2))), found.x
    assert rms[True] < 0.1
    assert rms[False] > 3.0 * rms[True]
    # The opening of a mug is 6 to 11 cm across.
    assert 28.0 < abs(fitted[True][1]) < 95.0


def test_newton_cooling_in_closed_form() -> None:
    setup = Setup(
        tank=Tank(volume_l=100.0, wall_area_m2=1.5, wall_u_w_per_m2_k=6.0),
        water=Water(water_temp_c=28.0, do_mg_per_l=7.0),
        room=Room(air_temp_c=18.0),
    )
    done = course(setup, until_h=48.0, every_h=6.0)
    rate = 3.6 * 9.0 / (100.0 * _KJ_PER_L_K)
    assert done.best("water_temp_c") == pytest.approx(18.0 + 10.0 * np.exp(-rate * done.hours), abs=1e-10)


def test_daily_swing_lags_and_shrinks_as_a_first_order_tank_must() -> None:
    setup = Setup(
        tank=Tank(volume_l=100.0, wall_area_m2=1.5, wall_u_w_per_m2_k=20.0),
        water=Water(water_temp_c=20.0, do_mg_per_l=7.0),
        room=Room(air_temp_c=20.0, daily_swing_c=5.0, warmest_hour=15.0),
    )
    done = course(setup, until_h=480.0, every_h=1.0)
    last = done.best("water_temp_c")[done.hours >= 456.0]
    rate, omega = 3.6 * 30.0 / (100.0 * _KJ_PER_L_K), 2.0 * np.pi / 24.0
    share, lag = rate / np.hypot(rate, omega), np.arctan2(omega, rate) / omega
    expected = 20.0 + 5.0 * share * np.cos(omega * (done.hours[done.hours >= 456.0] - 15.0 - lag))
    assert last == pytest.approx(expected, abs=0.01)


def test_stuck_heater_warms_a_tub_at_its_watts() -> None:
    """300 W in 100 L without losses: 2.6 °C an hour."""
    setup = Setup(
        tank=Tank(volume_l=100.0),
        water=Water(water_temp_c=20.0, do_mg_per_l=8.0),
        heater=Heater(heater_w=300.0, target_temp_c=15.0),
    )
    done = course(setup, [HeaterSticksOn(at_h=1.0)], until_h=2.0)
    assert done.best("water_temp_c")[-1] - 20.0 == pytest.approx(2.587, abs=0.005)
    assert done.best("water_temp_c")[1] == pytest.approx(20.0, abs=1e-12)


def test_a_heater_that_fails_warms_nothing_until_it_is_mended() -> None:
    """A tub without losses, 10 °C under its thermostat: nothing for an hour; then 300 W in 100 L, 2.6 °C an hour."""
    setup = Setup(
        tank=Tank(volume_l=100.0),
        water=Water(water_temp_c=20.0, do_mg_per_l=8.0),
        heater=Heater(heater_w=300.0, target_temp_c=30.0),
    )
    done = course(setup, [HeaterFails(at_h=0.0), HeaterMended(at_h=1.0)], until_h=2.0)
    assert done.best("water_temp_c")[1] == pytest.approx(20.0, abs=1e-12)
    assert done.best("water_temp_c")[-1] - 20.0 == pytest.approx(2.587, abs=0.005)


def test_thermostat_takes_as_much_as_is_lost() -> None:
    setup = Setup(
        tank=Tank(volume_l=200.0, wall_area_m2=2.2, wall_u_w_per_m2_k=6.0),
        water=Water(water_temp_c=22.0, do_mg_per_l=8.0),
        room=Room(air_temp_c=16.0),
        heater=Heater(heater_w=200.0, target_temp_c=22.0, band_c=0.5),
    )
    done = course(setup, until_h=240.0)
    # At rest 200 (22.25 - t)/0.5 = 13.2 (t - 16), so t = (8900 + 211.2)/413.2.
    assert done.best("water_temp_c")[-1] == pytest.approx(9111.2 / 413.2, abs=1e-6)
    assert abs(done.best("water_temp_c")[-1] - 22.0) < 0.25


def test_sealed_ice_takes_its_melting_heat() -> None:
    setup = Setup(tank=Tank(volume_l=200.0), water=Water(water_temp_c=30.0, do_mg_per_l=7.0))
    done = course(setup, [IceIn(at_h=0.0, ice_kg=4.0)], until_h=72.0)
    # 4 kg melt and warm to t: 4 (333.6 + 4.17 t) = 200 x 4.1745 (30 - t) gives 28.0 °C by hand.
    assert done.best("water_temp_c")[-1] == pytest.approx(27.9, abs=0.15)
    assert np.all(np.diff(done.best("water_temp_c")) <= 1e-12)


def test_a_lid_spares_heat_and_water() -> None:
    setup = Setup(
        tank=Tank(volume_l=200.0, area_m2=1.0, surface_u_w_per_m2_k=9.0, lid_u_w_per_m2_k=4.0, evaporation_factor=0.74),
        water=Water(water_temp_c=26.0, do_mg_per_l=8.0),
        room=Room(air_temp_c=18.0),
    )
    open_, covered = (course(setup, events, until_h=24.0) for events in ([], [LidOn(at_h=0.0)]))
    assert covered.best("water_temp_c")[-1] > open_.best("water_temp_c")[-1] + 0.5
    assert 200.0 - covered.best("volume_l")[-1] < 0.25 * (200.0 - open_.best("volume_l")[-1])


def test_water_of_a_heater_that_sticks_is_kept_as_hot_as_the_equations_go() -> None:
    """2 kW warm 20 L by 86 °C in an hour without loss: past 80 °C, where it is kept; and it does not boil dry."""
    setup = Setup(
        tank=Tank(volume_l=20.0, area_m2=0.2, evaporation_factor=1.0),
        water=Water(water_temp_c=20.0, do_mg_per_l=8.0),
        heater=Heater(heater_w=2000.0, target_temp_c=25.0),
    )
    done = course(setup, [HeaterSticksOn(at_h=0.0)], until_h=200.0)
    assert done.best("water_temp_c")[-1] == pytest.approx(80.0, abs=0.1)
    assert done.best("volume_l").min() == pytest.approx(2.0)
    assert done.best("do_mg_per_l").min() >= 0.0
