"""Questions asked backwards: answers against hand arithmetic, and a clear word where none exists."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from waterplan.errors import ImpossibleInput
from waterplan.spread import Draws, Measured
from waterplan.tank.aeration import Diffuser, Gas
from waterplan.tank.air_needed import air_flow_to_hold_l_per_min, least_air, least_air_against_co2, outlets
from waterplan.tank.answers import own_needs, thinned
from waterplan.tank.changes_needed import NitrogenLimits, daily_change_litres
from waterplan.tank.events import WaterChange
from waterplan.tank.fish_events import Fed
from waterplan.tank.heater_size import heat_loss_w, watts_that_cannot_cook, watts_to_hold
from waterplan.tank.occupants import Fish
from waterplan.tank.setup import Setup
from waterplan.tank.through_time import course
from waterplan.tank.water_body import Room, Tank, Water
from waterplan.water.carbonate import co2_mg_per_l as co2_mg_per_l_of

_DRAWS = Draws(count=1000)
_STONE = Diffuser(air_flow_l_per_min=1.0, depth_m=0.5, sote_percent_per_m=2.0, alpha=0.9, beta=0.98)
_CLEAN = Water(water_temp_c=20.0, do_mg_per_l=9.0)


def _koi(biomass_kg: float, *, uptake: object = 0.0, excretion: object = 0.0) -> Fish:
    return Fish(
        name="koi", biomass_kg=biomass_kg, uptake_mg_per_kg_h=uptake, excretion_mg_n_per_kg_h=excretion,  # type: ignore[arg-type]
        uptake_q10=1.0, excretion_q10=1.0,
    )  # fmt: skip


def _tub(volume_l: float, fish: Fish, **more: object) -> Setup:
    return Setup(tank=Tank(volume_l=volume_l), water=_CLEAN, room=Room(air_temp_c=20.0), fish=(fish,), **more)  # type: ignore[arg-type]


def _heavy(volume_l: float, co2_mg_per_l: float, uptake: float) -> Setup:
    """A tank of 100 mg/L of alkalinity at the pH that so much carbon dioxide gives it, 2 kg of koi in it."""
    ph = brentq(
        lambda ph: co2_mg_per_l_of(ph, alkalinity_mg_caco3_per_l=100.0, water_temp_c=20.0) - co2_mg_per_l, 5.0, 9.0
    )
    return replace(
        _tub(volume_l, _koi(2.0, uptake=uptake)), water=replace(_CLEAN, ph=ph, alkalinity_mg_caco3_per_l=100.0)
    )


def _co2_after(setup: Setup, stone: Diffuser, hours: float) -> float:
    done = course(replace(setup, aeration=(stone,)), [], until_h=hours, step_h=0.1)
    return float(done.states["co2_mg_per_l"][-1, 0])


def test_own_needs_take_the_quantile_of_the_draws() -> None:
    needs = np.concatenate([[50.0], np.arange(1.0, 101.0)])
    found = own_needs(needs)
    assert found.value is not None
    assert 95.0 <= found.value <= 96.0
    assert float((needs[1:] <= found.value).mean()) >= 0.95
    never = own_needs(np.append(needs, [np.inf] * 20))
    assert never.value is None


def test_thinned_keeps_the_best_and_the_first_draws() -> None:
    tank = Tank(volume_l=np.arange(1.0, 12.0), area_m2=2.0)
    assert thinned((tank,), 3)[0].volume_l == pytest.approx([1.0, 2.0, 3.0, 4.0])
    assert thinned(tank, 3).area_m2 == 2.0


class TestAir:
    def test_by_hand(self) -> None:
        """0.39 g/h at 25 °C and 6 mg/L need the 10 L/min of the worked example (1.67 g/h x 0.2338)."""
        setup = replace(_tub(200.0, _koi(1.0, uptake=390.0)), water=Water(water_temp_c=25.0, do_mg_per_l=8.0))
        found = least_air(setup, stone=_STONE, target_do_mg_per_l=6.0)
        assert found.flow.value == pytest.approx(10.0, abs=0.03)
        assert outlets(found.flow.value, most_l_per_min_per_outlet=4.0, least_outlets=2) == 3

    def test_holds_what_it_says_and_not_less(self) -> None:
        uptake = _DRAWS.of("uptake", Measured.within_factor(80.0, 0.4))
        setup = _tub(200.0, _koi(2.0, uptake=uptake))
        found = least_air(setup, stone=_STONE, target_do_mg_per_l=7.0)
        assert found.flow.value is not None
        for flow, expected in ((found.flow.value, 0.95), (0.9 * found.flow.value, 0.90)):
            stone = replace(_STONE, air_flow_l_per_min=flow)
            done = course(replace(setup, aeration=(stone,)), until_h=60.0, every_h=60.0)
            held = float((done.states["do_mg_per_l"][-1, 1:] >= 7.0 - 1e-6).mean())
            assert held == pytest.approx(expected, abs=0.03)
            assert (held >= 0.95) is (flow == found.flow.value)

    def test_none_at_altitude(self) -> None:
        """Above about 1,350 m air cannot hold 7 mg/L at 25 °C; oxygen can."""
        high = Room(air_temp_c=25.0, air_pressure_kpa=84.0)
        setup = replace(
            _tub(200.0, _koi(1.0, uptake=100.0)), water=Water(water_temp_c=25.0, do_mg_per_l=6.0), room=high
        )
        air = least_air(setup, stone=_STONE, target_do_mg_per_l=7.0)
        assert air.flow.value is None
        assert air.highest_do_mg_per_l < 7.0
        assert least_air(setup, stone=replace(_STONE, gas=Gas.OXYGEN), target_do_mg_per_l=7.0).flow.value is not None

    @pytest.mark.parametrize(("uptake", "depth"), [(0.0, 0.5), (0.0, 1.5), (250.0, 0.5)])
    def test_the_tank_itself_comes_under_the_limit_in_the_time(self, uptake: float, depth: float) -> None:
        """The course of the tank, which knows nothing of the closed form: never above, and by half of the air not there."""
        setup, stone = _heavy(600.0, 45.0, uptake), replace(_STONE, depth_m=depth)
        given = {"start_mg_per_l": 45.0, "end_mg_per_l": 20.0, "hours": 3.0}
        flow = least_air_against_co2(setup, stone=stone, **given).value
        assert flow is not None
        enough, half = (_co2_after(setup, replace(stone, air_flow_l_per_min=one), 3.0) for one in (flow, 0.5 * flow))
        assert 18.0 < enough <= 20.05
        assert half > 23.0
        assert _co2_after(setup, replace(stone, air_flow_l_per_min=flow), 72.0) <= 20.0

    def test_what_is_under_the_limit_and_has_no_fish_needs_none(self) -> None:
        found = least_air_against_co2(
            _heavy(600.0, 15.0, 0.0), stone=_STONE, start_mg_per_l=15.0, end_mg_per_l=20.0, hours=1.0
        )
        assert found.value == 0.0

    def test_no_demand_needs_none_but_outlets_stay(self) -> None:
        found = least_air(_tub(100.0, _koi(1.0)), stone=_STONE, target_do_mg_per_l=7.0)
        assert found.flow.value == 0.0
        assert outlets(found.flow.value, most_l_per_min_per_outlet=4.0, least_outlets=2) == 2

    def test_negative_demand_is_impossible(self) -> None:
        with pytest.raises(ImpossibleInput, match="demand_mg_per_h"):
            air_flow_to_hold_l_per_min(
                7.0, demand_mg_per_h=-1.0, ceiling_do_mg_per_l=9.0, transfer_l_per_h_per_l_per_min=30.0
            )


class TestChanges:
    @pytest.mark.parametrize(
        ("volume", "weight", "limit", "share"),
        [(200.0, 1.0, 0.5, 0.48), (200.0, 1.0, 1.0, 0.24), (300.0, 3.0, 0.5, 0.96), (300.0, 3.0, 1.0, 0.48)],
    )
    def test_steady_share_is_production_over_limit(
        self, volume: float, weight: float, limit: float, share: float
    ) -> None:
        """Fasted at 2 mg N/kg/h: the share is what a day brings over the limit, as worked by hand."""
        found = daily_change_litres(
            _tub(volume, _koi(weight, excretion=2.0)),
            source=_CLEAN,
            limits=NitrogenLimits(tan_mg_n_per_l=limit),
            days=21.0 if share < 0.4 else 12.0,
        )
        assert found.value == pytest.approx(share * volume, abs=0.006 * volume)
        assert found.ruled_by == "total ammonia"

    def test_a_fed_tank_without_a_filter_has_none(self) -> None:
        """3 kg fed 1 % of a 35 % protein food in 300 L: up to 3.7 mg/L a day against 0.5."""
        meals = [Fed(at_h=24.0 * day + 9.0, feed_g=30.0, ammonia_kg_n_per_kg_feed=0.037) for day in range(7)]
        found = daily_change_litres(
            _tub(300.0, _koi(3.0)), source=_CLEAN, limits=NitrogenLimits(tan_mg_n_per_l=0.5), events=meals
        )
        assert found.value is None

    def test_new_water_over_the_limit_has_none_and_says_so(self) -> None:
        mains = replace(_CLEAN, chloramine_mg_cl2_per_l=3.0)
        found = daily_change_litres(
            _tub(300.0, _koi(1.0, excretion=2.0)), source=mains, limits=NitrogenLimits(tan_mg_n_per_l=0.5)
        )
        assert found.value is None
        assert found.ruled_by == "total ammonia"

    def test_chance_is_the_share_of_draws(self) -> None:
        excretion = _DRAWS.of("excretion", Measured.within_factor(2.0, 0.3))
        setup = _tub(300.0, _koi(1.0, excretion=excretion))
        found = daily_change_litres(setup, source=_CLEAN, limits=NitrogenLimits(tan_mg_n_per_l=0.4))
        assert found.value is not None
        changes = [WaterChange(at_h=24.0 * d, share_changed=found.value / 300.0, source=_CLEAN) for d in range(1, 8)]
        done = course(setup, changes, until_h=168.0)
        held = float((done.highest("tan_mg_n_per_l")[1:] <= 0.4).mean())
        assert 0.94 <= held < 0.98

    def test_nh3_asks_more_in_alkaline_water(self) -> None:
        limits, litres = NitrogenLimits(nh3_mg_n_per_l=0.02), []
        for ph, alkalinity in ((7.2, 60.0), (8.2, 150.0)):
            water = replace(_CLEAN, ph=ph, alkalinity_mg_caco3_per_l=alkalinity)
            setup = replace(_tub(300.0, _koi(0.5, excretion=2.0)), water=water)
            litres.append(daily_change_litres(setup, source=water, limits=limits).value)
        assert None not in litres
        assert litres[1] > 2.0 * litres[0]

    def test_impossible(self) -> None:
        with pytest.raises(ImpossibleInput, match="at least one"):
            NitrogenLimits()
        with pytest.raises(ImpossibleInput, match="tan_mg_n_per_l"):
            NitrogenLimits(tan_mg_n_per_l=0.0)


class TestHeater:
    _TANK = Tank(volume_l=200.0, wall_area_m2=2.2, wall_u_w_per_m2_k=11.0)

    def test_least_is_the_loss_at_the_coldest_hour(self) -> None:
        setup = Setup(tank=self._TANK, water=_CLEAN, room=Room(air_temp_c=16.0, daily_swing_c=2.0))
        assert watts_to_hold(setup, target_temp_c=22.0).value == pytest.approx(2.2 * 11.0 * 8.0, abs=0.1)
        assert heat_loss_w(setup, water_temp_c=22.0, air_temp_c=14.0)[0] == pytest.approx(193.6, abs=0.1)

    def test_most_in_closed_form(self) -> None:
        """Stuck at W watts: t = air + W/UA + (start - air - W/UA) e^(-kt), turned round for W by hand."""
        setup = Setup(tank=self._TANK, water=_CLEAN, room=Room(air_temp_c=16.0))
        found = watts_that_cannot_cook(setup, target_temp_c=22.0, ceiling_temp_c=28.0, unattended_h=10.0)
        loss = 2.2 * 11.0
        left = np.exp(-3.6 * loss * 10.0 / (200.0 * 0.9982 * 4.182))
        watts = loss * (28.0 - 16.0 - (22.0 - 16.0) * left) / (1.0 - left)
        assert found == pytest.approx(watts, rel=0.003)
        assert found < watts
        assert found > watts_to_hold(setup, target_temp_c=22.0).value

    def test_a_small_tub_in_the_cold_fits_none(self) -> None:
        setup = Setup(
            tank=replace(self._TANK, volume_l=30.0), water=_CLEAN, room=Room(air_temp_c=2.0, daily_swing_c=12.0)
        )
        least = watts_to_hold(setup, target_temp_c=22.0)
        assert least.value is not None
        most = watts_that_cannot_cook(setup, target_temp_c=22.0, ceiling_temp_c=24.0, unattended_h=14.0)
        assert most is None or most < least.value

    def test_a_hot_room_has_no_safe_watts(self) -> None:
        setup = Setup(tank=self._TANK, water=_CLEAN, room=Room(air_temp_c=34.0))
        found = watts_that_cannot_cook(setup, target_temp_c=24.0, ceiling_temp_c=27.0, unattended_h=12.0)
        assert found is None

    def test_impossible(self) -> None:
        setup = Setup(tank=self._TANK, water=_CLEAN)
        with pytest.raises(ImpossibleInput, match="ceiling_temp_c"):
            watts_that_cannot_cook(setup, target_temp_c=25.0, ceiling_temp_c=24.0, unattended_h=10.0)
        with pytest.raises(ImpossibleInput, match="unattended_h"):
            watts_that_cannot_cook(setup, target_temp_c=25.0, ceiling_temp_c=28.0, unattended_h=0.0)
