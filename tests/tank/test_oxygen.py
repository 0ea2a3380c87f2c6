"""Oxygen through time: worked times to hypoxia, steady states, scarcity, air and oxygen, carbon dioxide."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from waterplan.tank.aeration import Diffuser, Gas
from waterplan.tank.balance.oxygen import _in_want, _Supply
from waterplan.tank.equipment_events import AirStops
from waterplan.tank.occupants import Fish
from waterplan.tank.setup import Setup
from waterplan.tank.through_time import course
from waterplan.tank.water_body import Room, Tank, Water
from waterplan.water.gas import co2_at_air_equilibrium_mg_per_l
from waterplan.water.oxygen import saturation_mg_per_l


def _fish(biomass_kg: float, uptake: float, **more: float) -> Fish:
    return Fish(
        name="koi",
        biomass_kg=biomass_kg,
        uptake_mg_per_kg_h=uptake,
        excretion_mg_n_per_kg_h=0.0,
        uptake_q10=1.0,
        **more,
    )


@pytest.mark.parametrize(
    ("volume", "fish", "uptake", "temp", "start", "level", "area", "transfer", "hours", "tolerance"),
    [
        (200.0, 2.0, 150.0, 20.0, 9.092, 5.0, 0.0, 0.0, 2.728, 0.002),
        (200.0, 2.0, 150.0, 20.0, 9.092, 5.0, 0.5, 0.5, 2.943, 0.002),
        (1000.0, 5.0, 120.0, 25.0, 8.0, 4.0, 0.0, 0.0, 6.667, 0.002),
        (1000.0, 5.0, 120.0, 25.0, 8.0, 4.0, 1.2, 0.6, 7.550, 0.005),
    ],
)
def test_time_to_hypoxia(
    volume: float, fish: float, uptake: float, temp: float, start: float, level: float, area: float, transfer: float,
    hours: float, tolerance: float,
) -> None:  # fmt: skip
    """Worked by hand from t = -ln[(Cl - Ceq)/(C0 - Ceq)]/k, Ceq = Cs - demand/k V."""
    setup = Setup(
        tank=Tank(volume_l=volume, area_m2=area, transfer_m_per_day=transfer),
        water=Water(water_temp_c=temp, do_mg_per_l=start),
        room=Room(air_temp_c=temp),
        fish=(_fish(fish, uptake),),
    )
    done = course(setup, until_h=10.0, every_h=0.05)
    # Falling all the way, so that the hour at which the level is passed can be read off between two records.
    falling = done.best("do_mg_per_l")
    assert np.interp(-level, -falling, done.hours) == pytest.approx(hours, abs=tolerance)


def test_aerated_tank_settles_where_supply_is_demand() -> None:
    stone = Diffuser(air_flow_l_per_min=10.0, depth_m=0.5, alpha=0.9, beta=0.98)
    setup = Setup(
        tank=Tank(volume_l=200.0),
        water=Water(water_temp_c=25.0, do_mg_per_l=8.0),
        room=Room(air_temp_c=25.0),
        fish=(_fish(1.0, 390.0),),
        aeration=(stone,),
    )
    # 10 L/min at 0.5 m and 2 %/m hold 6 mg/L at 25 °C against 0.39 g/h (1.67 g/h x 0.2338).
    assert course(setup, until_h=48.0).best("do_mg_per_l")[-1] == pytest.approx(6.0, abs=0.02)


def test_scarce_oxygen_is_shared_out_and_never_negative() -> None:
    setup = Setup(
        tank=Tank(volume_l=20.0, area_m2=0.2, transfer_m_per_day=0.5),
        water=Water(water_temp_c=25.0, do_mg_per_l=7.0),
        fish=(_fish(1.0, 300.0), Fish(name="orfe", biomass_kg=0.5, uptake_mg_per_kg_h=300.0, excretion_mg_n_per_kg_h=0.0)),
    )  # fmt: skip
    done = course(setup, until_h=12.0)
    assert done.lowest("do_mg_per_l")[0] > 0.0
    # At rest the surface's 4.17 L/h x (Cs - C) is all there is: C = Cs k/(k + demand/critical).
    full = saturation_mg_per_l(done.best("water_temp_c")[-1])
    wanted = [300.0 * 1.0, 300.0 * 0.5 * 2.0 ** ((done.best("water_temp_c")[-1] - 20.0) / 10.0)]
    surface = 0.2 * 0.5 * 1000.0 / 24.0
    assert done.best("do_mg_per_l")[-1] == pytest.approx(full * surface / (surface + sum(wanted)), rel=1e-3)


def test_pure_oxygen_does_not_strip_carbon_dioxide() -> None:
    """Held at one oxygen level, fine oxygen leaves several times the carbon dioxide that air does."""
    levels = {}
    for gas, flow in ((Gas.AIR, 20.0), (Gas.OXYGEN, 0.5)):
        device = Diffuser(air_flow_l_per_min=flow, depth_m=0.5, gas=gas, sote_percent_per_m=4.0)
        setup = Setup(
            tank=Tank(volume_l=200.0), water=Water(water_temp_c=20.0, do_mg_per_l=8.0, ph=7.8),
            room=Room(air_temp_c=20.0), fish=(_fish(3.0, 100.0),), aeration=(device,),
        )  # fmt: skip
        levels[gas] = course(setup, until_h=72.0).best("co2_mg_per_l")[-1]
    assert levels[Gas.OXYGEN] > 3.0 * levels[Gas.AIR]


def test_empty_aerated_water_comes_to_the_air() -> None:
    setup = Setup(
        tank=Tank(volume_l=50.0),
        water=Water(water_temp_c=20.0, do_mg_per_l=2.0, ph=6.5, alkalinity_mg_caco3_per_l=100.0),
        room=Room(air_temp_c=20.0),
        aeration=(Diffuser(air_flow_l_per_min=10.0, depth_m=0.4, beta=1.0),),
    )
    done = course(setup, until_h=240.0)
    assert done.best("do_mg_per_l")[-1] == pytest.approx(9.092, abs=0.002)
    assert done.best("co2_mg_per_l")[-1] == pytest.approx(
        co2_at_air_equilibrium_mg_per_l(20.0, co2_in_air_ppm=420.0), rel=0.001
    )
    # Air-equilibrium pH of 100 mg/L alkalinity at 20 °C and 420 ppm, without activity: 8.46.
    assert done.best("ph")[-1] == pytest.approx(8.46, abs=0.02)


def test_stopped_air_stops_only_the_air() -> None:
    pump = Diffuser(air_flow_l_per_min=5.0, depth_m=0.5)
    setup = Setup(
        tank=Tank(volume_l=100.0, area_m2=1.0, transfer_m_per_day=2.4), water=Water(water_temp_c=20.0, do_mg_per_l=5.0),
        room=Room(air_temp_c=20.0), aeration=(pump,),
    )  # fmt: skip
    done = course(setup, [AirStops(at_h=0.0)], until_h=1.0)
    # The surface alone: 100 L/h of 100 L, one e-folding.
    assert done.best("do_mg_per_l")[-1] == pytest.approx(9.092 - 4.092 * np.exp(-1.0), abs=0.005)


@pytest.mark.parametrize("consumers", [1, 2, 3])
def test_what_is_short_is_shared_as_scipy_integrates_it(consumers: int) -> None:
    """Uptakes that fall in proportion under their own critical amounts, passed down and up again within the step.

    Checked by scipy.integrate.solve_ivp (LSODA) on dM/dt = supply - rate M - sum of wanted min(1, M / critical).
    """
    rng, hours, draws = np.random.default_rng(consumers), 0.5, 24
    critical, wanted = rng.uniform(10.0, 1000.0, (consumers, draws)), 10.0 ** rng.uniform(0.0, 3.5, (consumers, draws))
    critical[-1] = critical[0] if consumers > 2 else critical[-1]
    start, rate = rng.uniform(0.0, 1500.0, draws), 10.0 ** rng.uniform(-2.0, 1.5, draws)
    first, last = rng.uniform(0.0, 3000.0, (2, draws))
    amount, taken = _in_want(start, hours, _Supply(rate, first, last), wanted, critical)
    for one in range(draws):

        def slopes(t: float, y: np.ndarray, one: int = one) -> np.ndarray:
            uptake = wanted[:, one] * np.clip(y[0] / critical[:, one], 0.0, 1.0)
            supply = first[one] + (last[one] - first[one]) * t / hours
            return np.r_[supply - rate[one] * y[0] - uptake.sum(), uptake]

        begin = np.r_[start[one], np.zeros(consumers)]
        true = solve_ivp(slopes, (0.0, hours), begin, method="LSODA", rtol=1e-9, atol=1e-8, max_step=0.005).y[:, -1]
        assert amount[one] == pytest.approx(true[0], rel=1e-4)
        assert taken[:, one] == pytest.approx(true[1:], rel=2e-3)
