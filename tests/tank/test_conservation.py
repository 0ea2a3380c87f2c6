"""Nothing is lost: water, heat, salt, nitrogen, oxygen, alkalinity and carbon over thirty days of events."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterplan.tank.aeration import Diffuser, Fall, Gas
from waterplan.tank.biofilter import Biofilter, FilterState
from waterplan.tank.equipment_events import (
    AirReturns,
    AirStops,
    HeaterMended,
    HeaterSticksOn,
    LidOff,
    LidOn,
    PowerFails,
    PowerReturns,
    ThermostatSet,
)
from waterplan.tank.events import BicarbonateDose, Event, IceIn, SaltDose, WaterChange
from waterplan.tank.fish_events import Fed, FilterDamaged, Handled, PairedTest
from waterplan.tank.ledger import Quantity
from waterplan.tank.occupants import Fish
from waterplan.tank.setup import Exchange, Heater, Setup
from waterplan.tank.through_time import course
from waterplan.tank.water_body import Room, Tank, Water

_DRAWS = 5
_MAINS = Water(
    water_temp_c=14.0, do_mg_per_l=10.0, tan_mg_n_per_l=0.2, nitrate_mg_no3_per_l=20.0, salinity_g_per_l=0.2,
    alkalinity_mg_caco3_per_l=140.0, ph=7.9, chloramine_mg_cl2_per_l=1.0,
)  # fmt: skip


def _setup(*, exchange: bool = False, level_kept: bool = False) -> Setup:
    spread = np.linspace(0.7, 1.4, _DRAWS)
    koi = Fish(name="koi", biomass_kg=2.0 * spread, uptake_mg_per_kg_h=70.0, excretion_mg_n_per_kg_h=4.0 / spread)
    orfe = Fish(name="orfe", biomass_kg=0.8, uptake_mg_per_kg_h=90.0 * spread, excretion_mg_n_per_kg_h=3.0)
    return Setup(
        tank=Tank(
            volume_l=400.0 * spread, area_m2=0.8, transfer_m_per_day=0.3, wall_area_m2=3.0, wall_u_w_per_m2_k=5.0,
            surface_u_w_per_m2_k=9.0, lid_u_w_per_m2_k=4.0, evaporation_factor=0.74, pump_heat_w=10.0,
            other_demand_mg_per_h=5.0, level_kept=level_kept,
        ),
        water=Water(water_temp_c=16.0, do_mg_per_l=8.0, salinity_g_per_l=1.0, tan_mg_n_per_l=0.3),
        room=Room(air_temp_c=17.0, daily_swing_c=3.0),
        fish=(koi, orfe),
        aeration=(
            Diffuser(air_flow_l_per_min=12.0, depth_m=0.5),
            Diffuser(air_flow_l_per_min=0.3, depth_m=0.5, gas=Gas.OXYGEN, name="oxygen"),
            Fall(flow_l_per_h=600.0, fall_height_m=0.2),
        ),
        heater=Heater(heater_w=300.0, target_temp_c=20.0),
        filter=Biofilter(state=FilterState.SEEDED, capacity_mg_n_per_h=40.0 * spread),
        exchange=Exchange(flow_l_per_h=4.0, source=_MAINS) if exchange else None,
        top_up=_MAINS,
    )  # fmt: skip


_KINDS = {
    "change": lambda at, size: WaterChange(at_h=at, share_changed=size, source=_MAINS),
    "salt": lambda at, size: SaltDose(at_h=at, salt_g=200.0 * size),
    "bicarbonate": lambda at, size: BicarbonateDose(at_h=at, bicarbonate_g=20.0 * size),
    "ice": lambda at, size: IceIn(at_h=at, ice_kg=2.0 * size),
    "feed": lambda at, size: Fed(at_h=at, feed_g=20.0 * size),
    "handled": lambda at, size: Handled(at_h=at, stress_factor=1.0 + 3.0 * size, name="koi"),
    "air stops": lambda at, _: AirStops(at_h=at),
    "air returns": lambda at, _: AirReturns(at_h=at),
    "power fails": lambda at, _: PowerFails(at_h=at),
    "power returns": lambda at, _: PowerReturns(at_h=at),
    "heater sticks": lambda at, _: HeaterSticksOn(at_h=at),
    "heater mended": lambda at, _: HeaterMended(at_h=at),
    "thermostat": lambda at, size: ThermostatSet(at_h=at, target_temp_c=15.0 + 10.0 * size),
    "lid on": lambda at, _: LidOn(at_h=at),
    "lid off": lambda at, _: LidOff(at_h=at),
    "damaged": lambda at, _: FilterDamaged(at_h=at, treatment="formalin"),
    "test": lambda at, _: PairedTest(at_h=at, clean=True),
}


def _events(kinds: list[str], times: list[float], sizes: list[float]) -> list[Event]:
    return [_KINDS[kind](at, size) for kind, at, size in zip(kinds, sorted(times), sizes, strict=True)]


def _check(setup: Setup, events: list[Event], until_h: float, step_h: float = 1.0) -> None:
    done = course(setup, events, until_h=until_h, every_h=24.0, step_h=step_h)
    for quantity in Quantity:
        assert np.max(np.abs(done.unbalanced(quantity))) < 1e-9, quantity
    for name in ("do_mg_per_l", "tan_mg_n_per_l", "nitrite_mg_no2_per_l", "salinity_g_per_l", "co2_mg_per_l"):
        assert done.lowest(name).min() >= 0.0, name
    assert all(np.all(np.isfinite(values)) for values in done.states.values())


@pytest.mark.parametrize("seed", [1, 2])
def test_thirty_days_and_two_hundred_events(seed: int) -> None:
    generator = np.random.default_rng(seed)
    kinds = list(generator.choice(list(_KINDS), 200))
    times = [float(at) for at in np.round(generator.uniform(0.0, 720.0, 200), 2)]
    sizes = [float(size) for size in generator.uniform(0.05, 0.9, 200)]
    _check(_setup(exchange=seed == 1, level_kept=seed == 2), _events(kinds, times, sizes), 720.0)


@given(
    data=st.lists(
        st.tuples(st.sampled_from(list(_KINDS)), st.floats(0.0, 24.0), st.floats(0.0, 1.0)), min_size=1, max_size=12
    )
)
@settings(max_examples=25, deadline=None)
def test_any_day_balances(data: list[tuple[str, float, float]]) -> None:
    kinds, times, sizes = (list(column) for column in zip(*data, strict=True))
    _check(_setup(), _events(kinds, times, sizes), 24.0)


def test_salt_to_the_gram() -> None:
    setup = Setup(tank=Tank(volume_l=600.0), water=Water(water_temp_c=18.0, do_mg_per_l=9.0))
    fresh = Water(water_temp_c=18.0, do_mg_per_l=9.0)
    events = [
        SaltDose(at_h=0.0, salt_g=600.0),
        SaltDose(at_h=12.0, salt_g=600.0),
        WaterChange(at_h=24.0, share_changed=0.25, source=fresh),
        SaltDose(at_h=25.0, salt_g=300.0),
        WaterChange(at_h=48.0, share_changed=0.5, source=fresh),
    ]
    done = course(setup, events, until_h=60.0)
    # By hand: 1200 g; a quarter out, 300; 900 + 300 back to 1200; half out, 600 g in 600 L.
    assert done.end[Quantity.SALT][0] == pytest.approx(600.0, abs=1e-9)
    assert done.best("salinity_g_per_l")[-1] == pytest.approx(1.0, abs=1e-12)
    assert done.ledger.of(Quantity.SALT, "dose")[0] == pytest.approx(1500.0, abs=1e-9)
    assert done.happenings[2].moved[Quantity.SALT, "water change out"][0] == pytest.approx(-300.0, abs=1e-9)
