"""Changes, ammonia and nitrification through time against the arithmetic of the textbooks."""

import numpy as np
import pytest

from waterplan.tank.aeration import Diffuser
from waterplan.tank.biofilter import Biofilter, FilterState
from waterplan.tank.events import BicarbonateDose, WaterChange
from waterplan.tank.fish_events import Fed, FilterDamaged, PairedTest
from waterplan.tank.occupants import Fish
from waterplan.tank.setup import Setup
from waterplan.tank.through_time import course
from waterplan.tank.water_body import Tank, Water

_CLEAN = Water(water_temp_c=20.0, do_mg_per_l=9.0)


def _fish(biomass_kg: float, excretion: float) -> Fish:
    return Fish(name="koi", biomass_kg=biomass_kg, uptake_mg_per_kg_h=0.0, excretion_mg_n_per_kg_h=excretion)


def test_three_changes_of_thirty_percent_leave_34_percent() -> None:
    setup = Setup(tank=Tank(volume_l=100.0), water=Water(water_temp_c=20.0, do_mg_per_l=9.0, tan_mg_n_per_l=1.0))
    changes = [WaterChange(at_h=at, share_changed=0.3, source=_CLEAN) for at in (1.0, 2.0, 3.0)]
    assert course(setup, changes, until_h=4.0).best("tan_mg_n_per_l")[-1] == pytest.approx(0.343, abs=1e-6)


def test_unfiltered_day() -> None:
    """5 kg/m3 at 8.2 mg N/kg/h: 0.984 mg/L in a day."""
    setup = Setup(tank=Tank(volume_l=1000.0), water=_CLEAN, fish=(_fish(5.0, 8.2),))
    assert course(setup, until_h=24.0).best("tan_mg_n_per_l")[-1] == pytest.approx(0.984, abs=5e-4)


def test_chloramine_comes_in_as_ammonia() -> None:
    """3 mg/L monochloramine as Cl2 leave 0.593 mg/L ammonia nitrogen."""
    mains = Water(water_temp_c=20.0, do_mg_per_l=9.0, chloramine_mg_cl2_per_l=3.0)
    done = course(
        Setup(tank=Tank(volume_l=100.0), water=_CLEAN),
        [WaterChange(at_h=1.0, share_changed=1.0, source=mains)],
        until_h=1.0,
    )
    assert done.best("tan_mg_n_per_l")[-1] == pytest.approx(0.593, abs=0.002)


def test_filter_turns_ammonia_to_nitrate_with_its_oxygen_and_alkalinity() -> None:
    setup = Setup(
        tank=Tank(volume_l=100.0),
        water=Water(water_temp_c=20.0, do_mg_per_l=40.0, tan_mg_n_per_l=2.0, alkalinity_mg_caco3_per_l=150.0),
        filter=Biofilter(state=FilterState.SEEDED, capacity_mg_n_per_h=100.0),
    )
    done = course(setup, until_h=240.0, every_h=24.0)
    assert done.best("tan_mg_n_per_l")[-1] == pytest.approx(0.0, abs=1e-9)
    assert done.best("nitrate_mg_no3_per_l")[-1] == pytest.approx(2.0 * 62.004 / 14.007, abs=1e-6)
    assert 40.0 - done.best("do_mg_per_l")[-1] == pytest.approx(2.0 * 4.57, abs=0.01)
    assert 150.0 - done.best("alkalinity_mg_caco3_per_l")[-1] == pytest.approx(2.0 * 7.145, abs=0.01)


def test_a_meal_gives_its_nitrogen_within_a_day() -> None:
    setup = Setup(tank=Tank(volume_l=100.0), water=_CLEAN, fish=(_fish(1.0, 0.0),))
    done = course(setup, [Fed(at_h=1.0, feed_g=10.0, ammonia_kg_n_per_kg_feed=0.0368)], until_h=30.0)
    assert done.best("tan_mg_n_per_l")[-1] == pytest.approx(3.68, abs=1e-9)
    rates = np.diff(done.best("tan_mg_n_per_l")) / np.maximum(np.diff(done.hours), 1e-9)
    peak = done.hours[int(np.argmax(rates))]
    assert 3.0 <= peak <= 6.0  # Brett & Zala 1975: highest 4 to 4.5 h after feeding


@pytest.mark.parametrize("state", [FilterState.UNSEEDED, FilterState.DAMAGED])
def test_a_filter_that_cannot_be_counted_on_counts_as_none(state: FilterState) -> None:
    setup = Setup(
        tank=Tank(volume_l=100.0),
        water=_CLEAN,
        fish=(_fish(1.0, 3.0),),
        filter=Biofilter(state=state, capacity_mg_n_per_h=100.0),
    )
    assert course(setup, until_h=24.0).best("tan_mg_n_per_l")[-1] == pytest.approx(0.72, abs=1e-9)


def test_damaged_until_two_clean_paired_tests_running() -> None:
    setup = Setup(
        tank=Tank(volume_l=100.0),
        water=Water(water_temp_c=20.0, do_mg_per_l=9.0, tan_mg_n_per_l=0.0),
        fish=(_fish(1.0, 3.0),),
        aeration=(Diffuser(air_flow_l_per_min=20.0, depth_m=0.5),),
        filter=Biofilter(state=FilterState.SEEDED, capacity_mg_n_per_h=100.0),
    )
    events = [
        FilterDamaged(at_h=0.0, treatment="formalin 300 mg/L"),
        PairedTest(at_h=24.0, clean=True),
        PairedTest(at_h=48.0, clean=False),
        PairedTest(at_h=72.0, clean=True),
        PairedTest(at_h=96.0, clean=True),
    ]
    done = course(setup, events, until_h=120.0)
    tan = done.best("tan_mg_n_per_l")
    at_96 = tan[np.flatnonzero(done.hours == 96.0)[0]]
    assert at_96 == pytest.approx(3.0 * 96.0 / 100.0, abs=1e-9)
    assert tan[-1] < 0.1


def test_a_maturing_filter_grows_and_nitrite_lags() -> None:
    filter_ = Biofilter(
        state=FilterState.MATURING,
        capacity_mg_n_per_h=100.0,
        days_to_full=20.0,
        nitrite_lag_days=8.0,
        doubling_days=2.0,
    )
    shares = [filter_.grown(24.0 * day) for day in (0.0, 10.0, 18.0, 20.0, 28.0)]
    assert [ammonia for ammonia, _ in shares] == pytest.approx([2**-10.0, 2**-5.0, 0.5, 1.0, 1.0])
    assert [nitrite for _, nitrite in shares] == pytest.approx([2**-14.0, 2**-9.0, 2**-5.0, 2**-4.0, 1.0])
    setup = Setup(
        tank=Tank(volume_l=200.0), water=Water(water_temp_c=20.0, do_mg_per_l=9.0, alkalinity_mg_caco3_per_l=300.0),
        fish=(_fish(1.0, 1.0),), filter=filter_,
    )  # fmt: skip
    water = Water(water_temp_c=20.0, do_mg_per_l=9.0, alkalinity_mg_caco3_per_l=300.0)
    changes = [WaterChange(at_h=24.0 * day, share_changed=0.2, source=water) for day in range(1, 40)]
    done = course(setup, changes, until_h=24.0 * 40, every_h=24.0, step_h=2.0)
    peaks = [int(np.argmax(done.best(name))) for name in ("tan_mg_n_per_l", "nitrite_mg_no2_per_l")]
    assert peaks[0] < peaks[1] < 40


def test_bicarbonate_raises_alkalinity_by_its_equivalents() -> None:
    """1.679 mg/L NaHCO3 for each mg/L alkalinity as CaCO3."""
    done = course(
        Setup(tank=Tank(volume_l=100.0), water=_CLEAN), [BicarbonateDose(at_h=0.0, bicarbonate_g=8.395)], until_h=1.0
    )
    assert done.best("alkalinity_mg_caco3_per_l")[-1] == pytest.approx(150.0, abs=0.05)
